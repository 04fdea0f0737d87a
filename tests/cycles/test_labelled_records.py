"""The labelled records: every verdict, and the lethality where the record allows one.

Source of the labels: `tests/samples/traces/labels.json`, made together with the simulated records and not by
the judge.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from sinkside.cycles import Verdict, judge_file
from sinkside.department import Program

TRACES = Path(__file__).parents[1] / "samples" / "traces"
LABELS: dict[str, dict[str, Any]] = json.loads((TRACES / "labels.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def verdicts(programs: dict[str, Program]) -> dict[str, Verdict]:
    """A verdict on each labelled record."""
    return {name: judge_file(TRACES / name, programs[label["program"]]) for name, label in LABELS.items()}


@pytest.mark.parametrize("name", sorted(LABELS))
def test_verdict_is_as_labelled(name: str, verdicts: dict[str, Verdict]) -> None:
    """The verdict on each labelled record is the one that its label asks for."""
    assert verdicts[name].verdict == LABELS[name]["expect"], verdicts[name].summary


@pytest.mark.parametrize("name", sorted(name for name, label in LABELS.items() if label["f0"]))
def test_f0_is_within_one_percent(name: str, verdicts: dict[str, Verdict]) -> None:
    """F0 of the whole record by its coldest probe is within 1 % of the label."""
    assert verdicts[name].values["f0"].value == pytest.approx(LABELS[name]["f0"], rel=0.01)


@pytest.mark.parametrize("name", sorted(name for name, label in LABELS.items() if label["a0"]))
def test_a0_is_within_five_percent(name: str, verdicts: dict[str, Verdict]) -> None:
    """A0 from 65 °C until drying begins is within 5 % of the label."""
    assert verdicts[name].values["a0"].value == pytest.approx(LABELS[name]["a0"], rel=0.05)


@pytest.mark.parametrize(
    ("kind", "missed"),
    [
        ("short-exposure", {"exposure"}),
        ("low-temperature", {"exposure"}),
        ("dip", {"exposure"}),
        ("missing-pulse", {"air_removal"}),
        ("short-dry", {"drying"}),
        ("short-disinfection", {"disinfection"}),
        ("low-disinfection", {"disinfection"}),
        ("cold-wash", {"phases", "cleaning"}),
        ("no-rinse", {"phases", "cleaning"}),
    ],
)
def test_fault_is_named_where_it_is(kind: str, missed: set[str], verdicts: dict[str, Verdict]) -> None:
    """A fault shows as missed in its own place, and everything else was met or left open."""
    names = [name for name, label in LABELS.items() if label["kind"] == kind]
    assert names
    for name in names:
        evidence = verdicts[name].evidence
        assert {key for key, outcome in evidence.items() if outcome == "missed"} == missed


def test_drying_missed_says_what_to_do(verdicts: dict[str, Verdict]) -> None:
    """Exposure met with drying missed fails, and the summary says to hold the load."""
    (verdict,) = [verdicts[name] for name, label in LABELS.items() if label["kind"] == "short-dry"]
    assert verdict.summary.startswith(
        "Exposure met (249 s; 240 s required), drying missed (9.3 min; 20 min required): "
        "hold, look for moisture, a person decides"
    )
