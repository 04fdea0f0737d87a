"""F0, A0 and saturation as verdicts carry them, against published and tabulated values."""

from __future__ import annotations

import numpy as np
import pytest

from sinkside.cycles import Channel, ChannelKind, Role, Trace, Verdict, judge
from sinkside.department import Program
from sinkside.documents import validate


def held(level_c: float, seconds: int, *, then_c: float | None = None) -> Trace:
    """A square wave of one probe, sampled every second, between long cold stretches."""
    cold, hot = np.full(120, 20.0), np.full(seconds + 1, level_c)
    after = cold if then_c is None else np.concatenate((np.full(120, then_c), cold))
    values = np.concatenate((cold, hot, after))
    probe = Channel("T1", ChannelKind.temperature, Role.chamber, "°C", values)
    return Trace("square", np.arange(values.size, dtype=float), (probe,))


def steam(temperature: str, time: str) -> Program:
    exposure = {"temperature": temperature, "band": "3 K", "time": time}
    fields = {"kind": "steam-gravity", "name": "x", "exposure": exposure, "not_recorded": ["saturation"]}
    return validate(Program, fields, resource="program")


def washer(a0: float) -> Program:
    phases = [{"name": "disinfection", "temperature": {"min": "60 °C"}}]
    fields = {"kind": "washer-disinfector", "name": "x", "phases": phases, "disinfection": {"a0": a0}}
    return validate(Program, fields, resource="program")


@pytest.mark.parametrize(
    ("temperature", "minutes", "f0"),
    # Arithmetic, t·10^((T - 121.1)/10); 15 min at 121.1 °C is printed in teaching material on F0 (read).
    [(121.1, 15, 15.0), (134.0, 3, 58.495337992741426), (132.0, 4, 49.21075083249532)],
)
def test_f0_of_a_square_wave(temperature: float, minutes: int, f0: float) -> None:
    """A verdict's F0 is that of its plateau, plus half an interval at each edge by the trapezoid rule."""
    verdict = judge(held(temperature, minutes * 60), steam("121 °C", "1 min"))
    edges = 10.0 ** ((temperature - 121.1) / 10.0) / 60.0
    assert verdict.values["f0"].value == pytest.approx(f0 + edges, rel=1e-6)
    assert (verdict.values["f0"].reference_c, verdict.values["f0"].z_k) == (121.1, 10.0)


@pytest.mark.parametrize(
    ("temperature", "seconds", "a0"),
    # A0 600 at 80 °C for 600 s, 90 °C for 60 s and 70 °C for 6,000 s: questions and answers of the European
    # Forum of Hospital Sterile Supply, 2004 (read). 3,000 at 90 °C for 300 s: arithmetic.
    [(80.0, 600, 600.0), (90.0, 60, 600.0), (70.0, 6000, 600.0), (90.0, 300, 3000.0)],
)
def test_a0_of_a_square_wave(temperature: float, seconds: int, a0: float) -> None:
    """A verdict's A0 is the published equivalence, within the second at each edge."""
    verdict = judge(held(temperature, seconds), washer(a0))
    edges = 10.0 ** ((temperature - 80.0) / 10.0)
    assert a0 * (1.0 - 1e-6) <= verdict.values["a0"].value <= a0 + edges


def test_hot_air_does_not_count_towards_a0() -> None:
    """A0 stops where the temperature first rises 2 K above the plateau (ISO 15883-1, second-hand)."""
    alone = judge(held(90.0, 200), washer(3000.0)).values["a0"].value
    dried = judge(held(90.0, 200, then_c=110.0), washer(3000.0))
    assert dried.values["a0"].value < alone + 60.0
    assert dried.verdict == "fails"


def saturated(temperature_c: float, pressure_kpa: float) -> Verdict:
    trace = held(temperature_c, 300)
    hot = trace.probes[0].values > 100.0
    pressure = np.where(hot, pressure_kpa, 100.0) * 1000.0
    channel = Channel("p", ChannelKind.pressure, Role.chamber, "kPa", pressure)
    exposure = {"temperature": "132 °C", "band": "5 K", "time": "4 min"}
    fields = {"kind": "steam-gravity", "name": "x", "exposure": exposure}
    program = validate(Program, fields, resource="program")
    return judge(Trace("x", trace.times_s, (*trace.channels, channel)), program)


@pytest.mark.parametrize(
    ("temperature", "pressure_kpa"),
    # Saturation pressures of IAPWS-IF97 as tabulated (computed, equations 30 and 31 of IAPWS R7-97(2012)).
    [(132.0, 286.82), (134.0, 304.20), (137.0, 331.85)],
)
def test_tabulated_saturation_is_no_deviation(temperature: float, pressure_kpa: float) -> None:
    """At the tabulated pressure a probe is at saturation, within the last printed digit."""
    verdict = saturated(temperature, pressure_kpa)
    (criterion,) = [c for c in verdict.criteria if c.id == "saturation"]
    assert criterion.measured == pytest.approx(0.0, abs=0.002)
    assert criterion.met


def test_ten_percent_air_is_found() -> None:
    """10 % air at the pressure of 134 °C leaves steam of 130.43 °C (computed, IAPWS-IF97), far from 2 K."""
    verdict = saturated(134.0, 304.20 * 1.1)
    (criterion,) = [c for c in verdict.criteria if c.id == "saturation"]
    assert criterion.met is False
    (finding,) = [f for f in verdict.findings if f.rule == "steam-not-saturated"]
    assert "air that was left" in finding.remedy
    assert finding.source is not None
    assert finding.source.title.startswith("EN 285")
