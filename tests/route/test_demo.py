"""The demo department: what it can do, and the gap it was given."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest

from sinkside.department import Department
from sinkside.documents import load
from sinkside.instruction import Instruction
from sinkside.route import resolve, route_set
from sinkside.sets import SetDocument

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))


@pytest.fixture(scope="module")
def department() -> Department:
    return load(Department, DATA / "department.yaml")


def _instruction(name: str) -> Instruction:
    return load(Instruction, DATA / "instructions" / f"{name}.yaml")


def test_the_scissors_go_through(department: Department) -> None:
    """A delicate solid device finds everything: no conflict, no concern."""
    route = resolve(_instruction("micro-scissors"), department)
    assert route.resolved
    assert route.findings == ()
    assert [operation.letter for operation in route.operations][:3] == ["A", "B", "C"]


def test_the_dissector_lacks_drying_time_and_nothing_else(department: Department) -> None:
    """The one conflict is a drying of 20 min, and the smallest change validates it on the named cycle."""
    route = resolve(_instruction("modular-dissector"), department)
    assert [finding.rule for finding in route.conflicts] == ["route-no-steam-program"]
    assert "Validate ≥\u00a020\u00a0min drying on 134 °C, 3 min" in route.changes[0].sentence


def test_the_set_shares_one_cycle(department: Department) -> None:
    """The set's members, given the same text, share a cycle that the text names."""
    document = load(SetDocument, DATA / "set.yaml")
    scissors = _instruction("micro-scissors")
    found = route_set(document, {member.instruction: scissors for member in document.members}, department)
    assert found.resolved
    assert len(found.loads) == 1
