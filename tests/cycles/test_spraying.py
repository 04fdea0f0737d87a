"""What a washer's record shows of its cleaning: spray arms, pump, ports, conductivity and dose."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from sinkside.cycles import Channel, ChannelKind, Role, Trace, Verdict, judge, simulate
from sinkside.department import Program
from sinkside.documents import validate


@pytest.fixture(scope="module")
def washed(programs: dict[str, Program]) -> Trace:
    """A normal cycle of a program that asks nothing of its cleaning."""
    return simulate(programs["washer"], seed=8).as_trace("washed")


def asking(program: Program, **cleaning: Any) -> Program:
    values = program.model_dump(mode="json", exclude_none=True) | {"cleaning": cleaning}
    return validate(Program, values, resource="program")


def beside(trace: Trace, head: str, values: float | np.ndarray) -> Trace:
    """The record with one more column."""
    column = np.broadcast_to(np.asarray(values, dtype=float), trace.times_s.shape).copy()
    channel = Channel(head, ChannelKind.other, Role.elsewhere, "", column)
    return replace(trace, channels=(*trace.channels, channel))


def missed(verdict: Verdict) -> set[str]:
    return {criterion.id for criterion in verdict.criteria if criterion.met is False}


@pytest.mark.parametrize(
    ("head", "values", "criterion"),
    [
        ("Spray arm 1 (rpm)", 0.0, "spray-arm"),
        ("Sprüharm unten [U/min]", 0.0, "spray-arm"),
        ("Pump pressure (kPa)", 101.3, "pump-pressure"),
    ],
)
def test_what_stood_still_is_missed_though_nobody_asked(
    head: str, values: float, criterion: str, washed: Trace, programs: dict[str, Program]
) -> None:
    """An arm that never turned, or a pump that never pressed, cleans nothing, though it disinfected."""
    verdict = judge(beside(washed, head, values), programs["washer"])
    assert verdict.verdict == "fails"
    assert missed(verdict) == {criterion}
    assert verdict.evidence["disinfection"] == "met"
    assert verdict.summary.lower().startswith("disinfected, cleaning not met")


def test_what_turned_is_told_and_cleaning_stays_open(washed: Trace, programs: dict[str, Program]) -> None:
    """An arm that turned is evidence of an arm that turned, and of no clean load."""
    verdict = judge(beside(washed, "Spray arm (rpm)", 32.0), programs["washer"])
    assert verdict.verdict == "meets"
    assert verdict.evidence["cleaning"] == "not evidenced"
    assert "cleaning not evidenced beyond the spray" in verdict.summary


@pytest.mark.parametrize(
    ("cleaning", "head", "values", "answer"),
    [
        ({"spray_arm": {"min": "30 rpm"}}, "Spray arm (rpm)", 32.0, "meets"),
        ({"spray_arm": {"min": "30 rpm"}}, "Spray arm (rpm)", 25.0, "fails"),
        ({"spray_arm": {"min": "30 rpm"}}, "Room (lux)", 300.0, "unclear"),
        ({"ports": 4}, "Connected ports", 4.0, "meets"),
        ({"ports": 4}, "Connected ports", 3.0, "fails"),
        ({"conductivity": {"max": "15 µS/cm"}}, "Conductivity (µS/cm)", 9.0, "meets"),
        ({"conductivity": {"max": "15 µS/cm"}}, "Conductivity (µS/cm)", 22.0, "fails"),
        ({"pump_pressure": {"min": "25 kPa"}}, "Pump pressure (kPa)", float("nan"), "unclear"),
    ],
)
def test_what_the_program_asks_for_is_required(
    cleaning: dict[str, Any],
    head: str,
    values: float,
    answer: str,
    washed: Trace,
    programs: dict[str, Program],
) -> None:
    """What a program asks its record to show is met, missed, or leaves the verdict open."""
    verdict = judge(beside(washed, head, values), asking(programs["washer"], **cleaning))
    assert verdict.verdict == answer, verdict.summary


def test_cleaning_is_met_only_where_the_program_says_by_what(programs: dict[str, Program]) -> None:
    """Dose, arms and pump as the program asks: met as far as it asks a record, and no further."""
    verdict = judge(simulate(programs["shows-spray"], seed=4).as_trace("x"), programs["shows-spray"])
    assert verdict.evidence["cleaning"] == "met"
    assert "cleaning met as far as the program asks a record" in verdict.summary
