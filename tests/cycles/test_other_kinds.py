"""Kinds of program beside steam and washers: what each log shows, what it cannot, and what was missed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from sinkside.cycles import Channel, ChannelKind, Role, Trace, Verdict, judge
from sinkside.department import Program
from sinkside.documents import validate
from sinkside.errors import BadInput
from sinkside.findings import Measure

Corners = list[tuple[float, float]]


def log(step_s: float, curves: Mapping[str, Corners], *, noise: float = 0.05) -> Trace:
    """A log of straight pieces; `_` in a name parts the kind from the head."""
    end = max(corner[0] for corners in curves.values() for corner in corners)
    times = np.arange(0.0, end + step_s / 2, step_s)
    random = np.random.default_rng(3)
    channels = []
    for name, corners in curves.items():
        kind, head, scale = {
            "warm": (ChannelKind.temperature, "T1 (°C)", 1.0),
            "kpa": (ChannelKind.pressure, "p abs (kPa)", 1000.0),
            "conc": (ChannelKind.other, "EO conc. (mg/L)", 1.0),
            "humid": (ChannelKind.other, "Humidity (% RH)", 1.0),
            "watt": (ChannelKind.other, "Power (W)", 1.0),
            "khz": (ChannelKind.other, "Frequency (kHz)", 1.0),
        }[name]
        values = np.interp(times, *np.array(corners, dtype=float).T) + random.normal(0.0, noise, times.size)
        channels.append(Channel(head, kind, Role.chamber, "", values * scale))
    return Trace("log", times, tuple(channels))


def program(kind: str, **fields: Any) -> Program:
    return validate(Program, {"kind": kind, "name": kind, **fields}, resource="program")


def missed(verdict: Verdict) -> set[str]:
    return {criterion.id for criterion in verdict.criteria if criterion.met is False}


BATH = program(
    "thermal-disinfection", disinfection={"a0": 600}, exposure={"temperature": "80 °C", "time": "10 min"}
)


@pytest.mark.parametrize(
    ("level", "minutes", "answer", "missing"),
    [
        (81.0, 11.0, "meets", set()),
        (81.0, 8.0, "fails", {"exposure-time"}),
        (78.0, 11.0, "fails", {"exposure-time", "temperature-least", "a0"}),
        (90.0, 11.0, "meets", set()),
    ],
)
def test_a_bath_by_hand(level: float, minutes: float, answer: str, missing: set[str]) -> None:
    """Hot water by the thermometer's log: 80 °C for 10 min is an A0 of 600, cooler or shorter is not.

    The pair is printed by the European Forum of Hospital Sterile Supply, 2004 (read).
    """
    seconds = minutes * 60.0
    corners = [(0, 20), (300, level), (300 + seconds, level), (420 + seconds, 40)]
    verdict = judge(log(10.0, {"warm": corners}, noise=0.02), BATH)
    assert (verdict.verdict, missed(verdict)) == (answer, missing)


def test_a_bath_whose_log_ends_hot_is_open() -> None:
    """Nobody can say that a dose was missed whose log ends while it is still given."""
    verdict = judge(log(10.0, {"warm": [(0, 20), (300, 81), (500, 81)]}, noise=0.02), BATH)
    assert verdict.verdict == "unclear"
    assert {finding.rule for finding in verdict.findings} == {"record-cut-off", "samples-far-apart"}


EO = program(
    "exposure",
    exposure={
        "temperature": "52 °C", "band": "6 K", "time": "2 h", "humidity": {"min": "40 %", "max": "80 %"},
        "concentration": {"min": "450 mg/L", "max": "1200 mg/L"},
        "pressure": {"min": "40 kPa", "max": "70 kPa"},
    },
    aeration={"time": "8 h", "temperature": {"min": "50 °C", "max": "60 °C"}},
)  # fmt: skip


def gas(**changed: Corners) -> Trace:
    """An invented cycle of ethylene oxide inside the printed ranges of CDC 2008, Table 6 text (read)."""
    hours = 3600.0
    curves: dict[str, Corners] = {
        "warm": [(0, 25), (1 * hours, 55), (13 * hours, 55), (13.5 * hours, 30)],
        "kpa": [
            (0, 100),
            (1.2 * hours, 20),
            (1.5 * hours, 55),
            (4 * hours, 55),
            (4.2 * hours, 10),
            (4.5 * hours, 100),
        ],
        "conc": [(0, 0), (1.3 * hours, 0), (1.6 * hours, 600), (4 * hours, 560), (4.2 * hours, 0)],
        "humid": [(0, 30), (1 * hours, 60), (4 * hours, 60), (5 * hours, 20)],
    }
    return log(30.0, curves | changed, noise=0.1)


def test_a_gas_in_all_its_ranges_meets() -> None:
    """Temperature, pressure, humidity and concentration together for the time, and aeration after it."""
    verdict = judge(gas(), EO)
    assert verdict.verdict == "meets", verdict.summary
    assert [phase.name for phase in verdict.phases] == ["exposure", "aeration"]
    # From the corners: 450 mg/L is passed at 1.525 h and again at 4.039 h.
    assert verdict.values["exposure"].value == pytest.approx(2.514 * 3600, abs=60)


@pytest.mark.parametrize(
    ("changed", "answer", "where"),
    [
        (
            {"conc": [(0, 0), (5000, 0), (6000, 600), (9000, 560), (9600, 300), (20000, 0)]},
            "fails",
            "exposure",
        ),
        ({"humid": [(0, 20), (50000, 20)]}, "fails", "exposure"),
        ({"kpa": [(0, 100), (48600, 100)]}, "fails", "exposure"),
        ({"warm": [(0, 25), (3600, 55), (30000, 55), (32000, 30), (48600, 30)]}, "fails", "aeration"),
    ],
)
def test_a_gas_out_of_one_range_fails(changed: dict[str, Corners], answer: str, where: str) -> None:
    """Gas that thins out, dry air, no vacuum, or aeration that stopped early: each is missed in its place."""
    verdict = judge(gas(**changed), EO)
    assert verdict.verdict == answer
    assert verdict.evidence[where] == "missed"


def test_a_concentration_that_is_not_recorded_is_open() -> None:
    """What the program asks for and nobody recorded is named, and the verdict waits for it."""
    whole = gas()
    trace = Trace("log", whole.times_s, tuple(c for c in whole.channels if "conc" not in c.name))
    verdict = judge(trace, EO)
    assert verdict.verdict == "unclear"
    assert "no record of concentration" in verdict.summary


def test_a_gas_cycle_whose_record_ends_is_open() -> None:
    """Half an aeration on record is no missed aeration."""
    whole = gas()
    kept = whole.times_s < 8 * 3600.0
    channels = tuple(Channel(c.name, c.kind, c.role, c.unit, c.values[kept]) for c in whole.channels)
    assert judge(Trace("log", whole.times_s[kept], channels), EO).verdict == "unclear"


CABINET = program(
    "drying-cabinet",
    exposure={"temperature": "60 °C", "band": "10 K", "time": "60 min", "humidity": {"max": "25 %"}},
)


@pytest.mark.parametrize(
    ("level", "minutes", "humid", "answer"),
    [
        (65, 65, 10, "meets"),
        (65, 50, 10, "fails"),
        (55, 65, 10, "fails"),
        (65, 65, 40, "fails"),
        (75, 65, 10, "fails"),
    ],
)
def test_a_drying_cabinet(level: float, minutes: float, humid: float, answer: str) -> None:
    """Warm and dry for its time; too cool, too hot, too damp or too short is not."""
    end = 600 + minutes * 60.0
    curves: dict[str, Corners] = {
        "warm": [(0, 22), (600, level), (end, level), (end + 900, 30)],
        "humid": [(0, 45), (500, humid), (end + 900, humid)],
    }
    assert judge(log(10.0, curves), CABINET).verdict == answer


SONIC = program(
    "ultrasonic",
    ultrasonic={
        "frequency": "40 kHz", "temperature": {"min": "20 °C", "max": "45 °C"}, "time": "5 min",
        "power": {"min": "200 W"}, "degas": "4 min",
    },
)  # fmt: skip


def sonic(
    degas: float = 300.0, run: float = 320.0, watt: float = 300.0, warm: float = 35.0, khz: float = 40.0
) -> Trace:
    pause, start = 60 + degas, 60 + degas + 120
    power = [(0, 0), (60, 0), (61, watt), (pause, watt), (pause + 1, 0), (start, 0), (start + 1, watt)]
    power += [(start + run, watt), (start + run + 1, 0), (start + run + 60, 0)]
    end = start + run + 60
    return log(1.0, {"watt": power, "warm": [(0, warm), (end, warm)], "khz": [(0, khz), (end, khz)]})


@pytest.mark.parametrize(
    ("trace", "answer", "where"),
    [
        (sonic(), "meets", ""),
        (sonic(degas=100), "fails", "degassing"),
        (sonic(run=240, degas=250), "fails", "sonication"),
        (sonic(watt=120), "fails", "sonication"),
        (sonic(warm=50), "fails", "sonication"),
        (sonic(khz=130), "fails", "frequency"),
    ],
)
def test_an_ultrasonic_log(trace: Trace, answer: str, where: str) -> None:
    """Degassed, at power, in range of temperature and near its frequency; each is missed in its place."""
    verdict = judge(trace, SONIC)
    assert verdict.verdict == answer, verdict.summary
    assert {name for name, outcome in verdict.evidence.items() if outcome == "missed"} >= ({where} - {""})


def test_a_bath_without_power_shows_no_ultrasound() -> None:
    """Temperature alone does not show that anything vibrated."""
    whole = sonic()
    trace = Trace("log", whole.times_s, tuple(c for c in whole.channels if c.kind is ChannelKind.temperature))
    verdict = judge(trace, SONIC)
    assert verdict.verdict == "unclear"
    assert "no record of power" in verdict.summary


LEAK = program("leak-rate", leak={"vacuum": "7 kPa", "settle": "5 min", "time": "10 min"})


def leaking(
    mbar_per_min: float, *, lasts_s: float = 960.0, lowest: float = 5.0, admitted: bool = True
) -> Trace:
    risen = lowest + 0.1 * mbar_per_min * lasts_s / 60.0
    corners: Corners = [(0, 100), (200, lowest), (200 + lasts_s, risen)]
    if admitted:
        corners += [(240 + lasts_s, 100), (300 + lasts_s, 100)]
    end = corners[-1][0]
    return log(1.0, {"kpa": corners, "warm": [(0, 60), (end, 60)]}, noise=0.003)


@pytest.mark.parametrize(
    ("trace", "answer"),
    [
        (leaking(0.6), "meets"),
        # At most 1.3 mbar/min; 1 mmHg/min is 1.333 mbar/min and fails (EN 285, second-hand).
        (leaking(1.28), "meets"),
        (leaking(1.333), "fails"),
        (leaking(6.0), "fails"),
        (leaking(0.6, lasts_s=600.0), "fails"),
        (leaking(0.6, lasts_s=600.0, admitted=False), "unclear"),
        (leaking(0.6, lowest=9.0), "fails"),
    ],
)
def test_a_leak_test(trace: Trace, answer: str) -> None:
    """Evacuated deep enough, settled, and rising no faster than the published 1.3 mbar/min."""
    assert judge(trace, LEAK).verdict == answer


def test_a_leak_test_is_measured_after_settling() -> None:
    """Water that boils off in the first minutes is no leak; the rate is that of the measuring time."""
    corners: Corners = [(0, 100), (200, 4.0), (400, 5.5), (500, 5.8), (1160, 6.0), (1200, 100), (1260, 100)]
    verdict = judge(log(1.0, {"kpa": corners}, noise=0.003), LEAK)
    assert verdict.verdict == "meets"
    assert verdict.values["leak-rate"].value == pytest.approx(0.0182, abs=0.003)


def test_a_leak_test_tells_what_a_colder_chamber_hides() -> None:
    """Gas that cools by 30 K hides a rise; the note says how much of it (ideal gas)."""
    corners: Corners = [(0, 100), (200, 5.0), (1160, 5.0), (1200, 100), (1260, 100)]
    verdict = judge(
        log(1.0, {"kpa": corners, "warm": [(0, 90), (500, 90), (1100, 60), (1260, 60)]}, noise=0.003), LEAK
    )
    (note,) = [finding for finding in verdict.findings if finding.rule == "leak-rate-and-temperature"]
    apparent = note.evidence["apparent"]
    assert isinstance(apparent, Measure)
    assert apparent.value == pytest.approx(-4.13, abs=0.1)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [("exposure", {}), ("drying-cabinet", {}), ("ultrasonic", {}), ("thermal-disinfection", {})],
)
def test_a_program_that_states_nothing_is_never_met(kind: str, fields: dict[str, Any]) -> None:
    """Where a program asks for nothing, nothing is met by default, and the finding says what to add."""
    verdict = judge(gas(), program(kind, **fields))
    assert verdict.verdict == "unclear"
    assert "nothing-required" in {finding.rule for finding in verdict.findings}


@pytest.mark.parametrize(
    ("kind", "fields", "sentence"),
    [
        ("leak-rate", {}, "needs its leak test"),
        ("air-removal-test", {}, "needs an exposure"),
        (
            "steam-gravity",
            {"exposure": {"temperature": "121 °C", "time": "30 min"}, "use": "wrapped"},
            "needs drying",
        ),
        (
            "leak-rate",
            {"leak": {"vacuum": "120 kPa", "settle": "5 min", "time": "10 min"}},
            "below the atmosphere",
        ),
        ("leak-rate", {"leak": {"vacuum": "7 kPa", "settle": "5 K", "time": "10 min"}}, "such as '1 min'"),
        ("ultrasonic", {"ultrasonic": {"time": "5 min", "volts": 3}}, "volts"),
    ],
)
def test_a_program_that_cannot_be_meant_is_refused(kind: str, fields: dict[str, Any], sentence: str) -> None:
    """What is missing, of the wrong kind or unknown is told where it is written."""
    with pytest.raises(BadInput, match=sentence):
        program(kind, **fields)
