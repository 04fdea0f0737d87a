"""Scenes of the working day: a one-minute tape, steam pulses, a washer without detergent."""

from __future__ import annotations

import numpy as np
import pytest

from sinkside.cycles import Channel, ChannelKind, Role, Trace, judge, simulate
from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.department import Program
from sinkside.documents import validate

#: One line a minute, invented: three pulses, six lines in band, drying, air.
TAPE_C = [
    60,
    55,
    110,
    60,
    112,
    58,
    120,
    132.6,
    132.8,
    132.7,
    132.9,
    132.6,
    132.7,
    110,
    95,
    90,
    88,
    86,
    84,
    80,
]


def tape(lines_in_band: int) -> bytes:
    kept = TAPE_C[:7] + TAPE_C[7 : 7 + lines_in_band] + TAPE_C[13:]
    lines = [f"14:{minute:02d};{reading:.1f}" for minute, reading in enumerate(kept)]
    return "\n".join(["Time;T [°C]", *lines, ""]).encode()


def program(**more: object) -> Program:
    fields = {
        "kind": "steam-prevacuum",
        "name": "132 °C, 4 min",
        "exposure": {"temperature": "132 °C", "band": "3 K", "time": "4 min"},
        "air_removal": {"pulses": 4, "vacuum": "15 kPa"},
        **more,
    }
    return validate(Program, fields, resource="program")


def test_a_one_minute_tape_says_what_it_shows() -> None:
    """The tape of one probe shows exposure with its doubt about time, and no air removal."""
    trace = trace_from_bytes(tape(6), name="tape")
    verdict = judge(trace, program(not_recorded=["air_removal"]))
    assert (
        "exposure met as recorded; timing ±1 min at each end; air removal not evidenced"
        in verdict.summary.lower()
    )
    assert verdict.evidence["air_removal"] == "not evidenced"
    assert verdict.verdict == "meets"


def test_a_tape_does_not_meet_what_nobody_excused() -> None:
    """The same tape is unclear for a program that does not say how else air removal is evidenced."""
    verdict = judge(trace_from_bytes(tape(6), name="tape"), program())
    assert verdict.verdict == "unclear"
    assert "air removal not evidenced (no pressure)" in verdict.summary.lower()


@pytest.mark.parametrize(("lines", "verdict"), [(2, "fails"), (3, "unclear"), (4, "unclear"), (5, "meets")])
def test_lines_a_minute_apart_bound_the_time(lines: int, verdict: str) -> None:
    """Two lines in band are less than 4 min, five are at least 4 min, between them nobody can tell."""
    trace = trace_from_bytes(tape(lines), name="tape")
    assert judge(trace, program(not_recorded=["air_removal"])).verdict == verdict


def test_steam_pulses_need_no_vacuum(programs: dict[str, Program]) -> None:
    """A cycle that never goes below the atmosphere is judged by its own pulses and meets."""
    recording = simulate(programs["pulse-undried"], seed=1)
    assert recording.pressure_kpa is not None
    assert recording.pressure_kpa.min() > 95.0
    verdict = judge(recording.as_trace("record"), programs["pulse-undried"])
    assert verdict.verdict == "meets"
    assert verdict.evidence["air_removal"] == "met"


def test_a_washer_without_detergent_disinfects_and_does_not_clean(programs: dict[str, Program]) -> None:
    """A0 reached and 0 mL dosed: disinfected, cleaning not met, and the verdict fails."""
    trace = simulate(programs["washer"], "no-detergent", seed=2).as_trace("record")
    verdict = judge(trace, programs["washer"])
    assert verdict.verdict == "fails"
    assert verdict.summary.lower().startswith("disinfected, cleaning not met (0 ml of detergent dosed)")
    assert verdict.evidence["disinfection"] == "met"
    assert [finding.rule for finding in verdict.findings] == ["nothing-dosed"]


def test_a0_of_3120_and_no_detergent(programs: dict[str, Program]) -> None:
    """To the letter: A0 3,120 of 3,000 and 0 mL of detergent are 'disinfected, cleaning not met'."""

    def cycle(hold_s: float) -> Trace:
        ends = (1240.0 + hold_s, 1310.0 + hold_s, 2340.0 + hold_s, 2400.0 + hold_s)
        corners = [
            (0, 22), (20, 30), (260, 30), (264, 24), (500, 54), (830, 55), (834, 38), (980, 40), (984, 60),
            (1240, 91.5), (ends[0], 91.5), (ends[1], 100), (ends[2], 100), (ends[3], 70),
        ]  # fmt: skip
        times = np.arange(0.0, ends[3], 2.0)
        water = np.interp(times, *np.array(corners, dtype=float).T)
        probes = [
            Channel(
                f"T{n}",
                ChannelKind.temperature,
                Role.chamber,
                "°C",
                water - 0.1 * n + 0.05 * np.sin(times + n),
            )
            for n in (1, 2)
        ]
        dose = Channel("Detergent", ChannelKind.volume, Role.dosing, "mL", np.zeros(times.size))
        return Trace("x", times, (*probes, dose))

    short, long = (judge(cycle(hold_s), programs["washer"]).values["a0"].value for hold_s in (100.0, 200.0))
    verdict = judge(cycle(100.0 + 100.0 * (3120.0 - short) / (long - short)), programs["washer"])
    assert verdict.values["a0"].value == pytest.approx(3120.0, rel=0.02)
    assert verdict.summary.lower().startswith("disinfected, cleaning not met (0 ml of detergent dosed)")
    assert verdict.evidence["disinfection"] == "met"
    assert verdict.verdict == "fails"


def test_a_washer_never_says_that_things_are_clean(programs: dict[str, Program]) -> None:
    """Even with everything met and a dose recorded, cleaning is not evidenced, and the summary says so."""
    for name in ("washer", "washes-hot"):
        verdict = judge(simulate(programs[name], seed=3).as_trace("record"), programs[name])
        assert verdict.verdict == "meets"
        assert verdict.evidence["cleaning"] == "not evidenced"
        assert "cleaning not evidenced" in verdict.summary
        assert "disinfected" in verdict.summary.lower()
