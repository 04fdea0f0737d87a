"""What was put into the demo's documents on purpose is found, and nothing else; one device meets one gap."""

from __future__ import annotations

import functools
from pathlib import Path

import pytest

from sinkside import documents
from sinkside.department import Department
from sinkside.draft import draft
from sinkside.findings import Level
from sinkside.instruction import Instruction
from sinkside.review import review
from sinkside.route import resolve

DEMO = Path(__file__).parents[2] / "src" / "sinkside" / "demo"

#: Words that each planted fault concerns (listed with the documents in their README).
PLANTED = {
    "suction-punch.pdf": (
        "nylon brush 5.0 mm in diameter",
        "(80 mL total)",
        "Brush the seal NB-28S",
        "Put the seal NB-28S back",  # where the same fault ends
        "180 °F (90 °C)",
        "the cap stays on the port during sterilization",
    ),
    "sinus-forceps.pdf": (
        "Close the jaw and flush the lumen",
        "alkaline cleaner, pH 11",
        "Pack the forceps with open jaw",
        "143 °C",
    ),
}
CLEAN = ("bone-punch", "micro-scissors", "modular-dissector")


@functools.cache
def _instruction(name: str) -> Instruction:
    on_file = DEMO / "data" / "instructions" / f"{name}.yaml"
    if on_file.exists():
        return documents.load(Instruction, on_file)
    return draft(DEMO / "documents" / (name if "." in name else f"{name}.txt"))


def _complaints(name: str) -> list[str]:
    """The words that a stop or concern is about."""
    return [finding.place.text for finding in review(_instruction(name)) if finding.level is not Level.note]


@pytest.mark.parametrize("name", sorted(PLANTED))
def test_every_planted_fault_is_found_and_nothing_else(name: str) -> None:
    """Each planted fault has a stop or concern at its words, and every stop or concern is at one of them."""
    complaints = _complaints(name)
    assert [words for words in PLANTED[name] if not any(words in text for text in complaints)] == []
    assert [text for text in complaints if not any(words in text for words in PLANTED[name])] == []


@pytest.mark.parametrize("name", CLEAN)
def test_nothing_is_said_against_a_clean_text(name: str) -> None:
    """The texts without planted faults get no stop and no concern."""
    assert _complaints(name) == []


def test_one_clean_device_meets_one_gap() -> None:
    """The department can do two of the clean devices; the third wants five more minutes of drying."""
    department = documents.load(Department, DEMO / "data" / "department.yaml")
    routes = {name: resolve(_instruction(name), department) for name in CLEAN}
    assert [name for name, route in routes.items() if not route.resolved] == ["modular-dissector"]
    assert len(routes["modular-dissector"].conflicts) == 1
    smallest = " ".join(routes["modular-dissector"].changes[0].sentence.split())
    assert "20 min drying on 134 °C, 3 min" in smallest
