"""Washer cycles: phases in order, disinfection apart from drying, and what a record's end hides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from sinkside.cycles import Channel, ChannelKind, Role, Trace, Verdict, judge, simulate
from sinkside.department import Program
from sinkside.quantities import Quantity

#: Corners of an invented cycle that the sample washer program accepts: seconds and °C.
GOOD = [
    (0, 22), (20, 30), (260, 30), (264, 24), (500, 54), (830, 55), (834, 38), (980, 40), (984, 60),
    (1240, 91.5), (1540, 91.5), (1610, 100), (2540, 100), (2600, 70),
]  # fmt: skip


def washed(corners: Sequence[tuple[float, float]], apart_k: float = 0.2) -> Trace:
    times = np.arange(0.0, corners[-1][0], 2.0)
    water = np.interp(times, *np.array(corners, dtype=float).T)
    water = water + np.random.default_rng(1).normal(0.0, 0.1, times.size)
    probes = [("T1", water), ("T2", water - apart_k)]
    channels = [Channel(name, ChannelKind.temperature, Role.chamber, "°C", values) for name, values in probes]
    return Trace("washed", times, tuple(channels))


def missed(verdict: Verdict) -> set[str]:
    return {criterion.id for criterion in verdict.criteria if criterion.met is False}


def test_the_good_cycle_meets(programs: dict[str, Program]) -> None:
    """The cycle that the following tests spoil meets, with its phases in order."""
    verdict = judge(washed(GOOD), programs["washer"])
    assert verdict.verdict == "meets", verdict.summary
    assert [phase.name for phase in verdict.phases] == [
        "pre-rinse",
        "wash",
        "rinse",
        "disinfection",
        "drying",
    ]
    starts = [phase.start_s for phase in verdict.phases]
    assert starts == sorted(starts)


@pytest.mark.parametrize(
    ("spoilt", "criterion"),
    [
        ({1: (20, 49), 2: (260, 49)}, "pre-rinse-time"),
        ({4: (500, 48), 5: (830, 48)}, "wash-time"),
        ({5: (600, 55)}, "wash-time"),
        ({6: (834, 52), 7: (980, 52)}, "rinse-time"),
        ({9: (1240, 86), 10: (1540, 86)}, "disinfection-temperature"),
        ({10: (1300, 91.5)}, "a0"),
        ({12: (2100, 100), 13: (2200, 60)}, "drying-time"),
    ],
)
def test_each_phase_is_required(
    spoilt: dict[int, tuple[float, float]], criterion: str, programs: dict[str, Program]
) -> None:
    """One phase too short, too cold or too hot fails the cycle by that phase's own criterion."""
    corners = [spoilt.get(index, corner) for index, corner in enumerate(GOOD)]
    shift = 0.0
    moved = []
    for index, (seconds, celsius) in enumerate(corners):
        if index in spoilt and seconds != GOOD[index][0]:
            shift = seconds - GOOD[index][0]
            moved.append((float(seconds), float(celsius)))
        else:
            moved.append((GOOD[index][0] + shift, float(celsius)))
    verdict = judge(washed(moved), programs["washer"])
    assert verdict.verdict == "fails", verdict.summary
    assert criterion in missed(verdict)


def test_heating_for_the_wash_is_no_pre_rinse(programs: dict[str, Program]) -> None:
    """A wash that heats slowly through the range of the pre-rinse does not make up for a hot pre-rinse."""
    hot = [(0, 22), (10, 49), (260, 49), (264, 16), (560, 54), *[(s + 60, c) for s, c in GOOD[5:]]]
    verdict = judge(washed(hot), programs["washer"])
    assert "pre-rinse-time" in missed(verdict)


def test_probes_apart_are_missed_only_where_asked(programs: dict[str, Program]) -> None:
    """Probes 3 K apart on the plateau fail the program that allows 2 K, and not one that says nothing."""
    corners = [(s, c + 3 if 1240 <= s <= 1540 else c) for s, c in GOOD]
    verdict = judge(washed(corners, apart_k=3.0), programs["washer"])
    assert missed(verdict) == {"probe-spread"}
    silent = programs["washer"].model_copy(update={"probes": programs["washes-hot"].probes})
    assert judge(washed(corners, apart_k=3.0), silent).verdict == "meets"


def test_drying_cooler_than_disinfection_is_not_counted_as_dose(programs: dict[str, Program]) -> None:
    """Air below the plateau after a short disinfection neither dries nor disinfects."""
    corners = [*GOOD[:10], (1300, 91.5), (1340, 82), (2400, 82), (2500, 60)]
    verdict = judge(washed(corners), programs["washer"])
    assert verdict.verdict != "meets"
    assert verdict.values["a0"].value < 3000


@pytest.mark.parametrize("name", ["washer", "washes-hot", "rinses-twice"])
def test_a_washer_record_that_ends_early_never_fails(name: str, programs: dict[str, Program]) -> None:
    """Wherever the record of a normal washer cycle is cut, nothing is missed that may still have come."""
    recording = simulate(programs[name], seed=4)
    verdicts = []
    for share in np.linspace(0.02, 0.98, 25):
        kept = np.arange(recording.times_s.size) < share * recording.times_s.size
        verdicts.append(judge(recording.kept(kept).as_trace("cut"), programs[name]).verdict)
    assert set(verdicts[:15]) == {"unclear"}
    assert "fails" not in verdicts


@pytest.mark.parametrize(("start", "end"), [(20, 300), (510, 820), (840, 975), (1700, 2500)])
def test_a_gap_in_a_phase_proves_no_time(start: float, end: float, programs: dict[str, Program]) -> None:
    """What was not recorded was not seen: a phase is as long as its longest stay on record, and then open."""
    whole = washed(GOOD)
    kept = (whole.times_s <= start) | (whole.times_s >= end)
    channels = tuple(replace(one, values=one.values[kept]) for one in whole.channels)
    verdict = judge(Trace("gap", whole.times_s[kept], channels), programs["washer"])
    assert verdict.verdict == "unclear", verdict.summary


def test_a_washer_that_never_dried_fails(programs: dict[str, Program]) -> None:
    """A record that goes on until everything is cold, without hot air, shows that there was no drying."""
    verdict = judge(washed([*GOOD[:11], (1600, 80), (1900, 45), (1960, 40)]), programs["washer"])
    assert verdict.verdict == "fails"
    assert missed(verdict) == {"drying-time"}


def test_a_disinfection_hardly_hotter_than_the_wash_is_not_taken_for_the_wash(
    programs: dict[str, Program],
) -> None:
    """Drying is not taken for the disinfection that stayed far too cold."""
    verdict = judge(
        simulate(programs["washes-hot"], "low-disinfection", seed=5, size=7.5).as_trace("x"),
        programs["washes-hot"],
    )
    assert verdict.verdict == "fails"
    assert verdict.evidence["disinfection"] == "missed"


def test_air_that_warms_up_disinfects_nothing(programs: dict[str, Program]) -> None:
    """A plateau of 89 °C is too cold for 90 °C, though drying passes 90 °C before it counts as drying."""
    corners = [(s, 89.0 if c == 91.5 else c) for s, c in GOOD]
    verdict = judge(washed(corners), programs["washer"])
    assert verdict.verdict == "fails"
    assert "disinfection-temperature" in missed(verdict)


def test_a_dose_that_was_reached_in_too_short_a_stay_says_what_was_missed(
    programs: dict[str, Program],
) -> None:
    """A program may ask for a stay as well as for A0: the summary names the stay, not the dose alone."""
    program = programs["washer"]
    asks_a_stay = [
        phase.model_copy(update={"time": Quantity.parse("10 min")}) if phase.name == "disinfection" else phase
        for phase in program.phases
    ]
    verdict = judge(washed(GOOD), program.model_copy(update={"phases": tuple(asks_a_stay)}))
    assert missed(verdict) == {"disinfection-time"}
    stay = next(item.measured for item in verdict.criteria if item.id == "disinfection-time")
    assert f"isinfection missed: time at temperature {stay:,.4g} s of 600 (A0" in verdict.summary
