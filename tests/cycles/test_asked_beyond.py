"""What only a qualification or the program itself asks: each met, missed, and left open where it must be."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from sinkside.cycles import (
    Channel,
    ChannelKind,
    Criterion,
    Label,
    Remark,
    Role,
    Trace,
    Verdict,
    judge,
    simulate,
)
from sinkside.department import Program
from sinkside.documents import validate
from sinkside.science.steam import saturation_pressure_at_c


def steam(**fields: Any) -> Program:
    exposure = {"temperature": "134 °C", "band": "3 K", "time": "3 min", **fields.pop("exposure", {})}
    removal = {"pulses": 3, "vacuum": "15 kPa", **fields.pop("air_removal", {})}
    values = {"kind": "steam-prevacuum", "name": "x", "exposure": exposure, "air_removal": removal, **fields}
    return validate(Program, values, resource="program")


def plateau(drain_behind_k: float = 0.0, drain_late_s: float = 0.0, wave_k: float = 0.0) -> Trace:
    """Three pulses from and to tabulated pressures, and a plateau of saturated steam at 135 °C."""
    corners = [
        (0, 100),
        (40, 10),
        (80, 200),
        (120, 10),
        (160, 200),
        (200, 10),
        (320, 313),
        (560, 313),
        (620, 100),
    ]
    times = np.arange(0.0, 700.0)
    pressure = np.interp(times, *np.array(corners, dtype=float).T)
    hot = (times >= 320) & (times < 560)
    chamber = np.where(
        hot, 135.0 + wave_k * np.sin(times / 9.0), np.clip(60.0 + 0.6 * (times - 200), 55.0, 130.0)
    )
    late = (times >= 320) & (times < 320 + drain_late_s)
    drain = np.where(late, 133.5, chamber - drain_behind_k * hot)
    pressure = np.where(hot, saturation_pressure_at_c(np.maximum(chamber, 1.0)) / 1000.0, pressure)
    channels = [
        Channel(name, kind, Role.chamber, unit, values)
        for name, kind, unit, values in (
            ("Chamber", ChannelKind.temperature, "°C", chamber + 0.01 * np.sin(times)),
            ("Drain", ChannelKind.temperature, "°C", drain + 0.01 * np.cos(times)),
            ("p abs", ChannelKind.pressure, "kPa", pressure * 1000.0 + 3.0 * np.sin(times)),
        )
    ]
    return Trace("x", times, tuple(channels))


def criterion(verdict: Verdict, name: str) -> Criterion:
    return next(one for one in verdict.criteria if one.id == name)


@pytest.mark.parametrize(("late_s", "volume", "met"), [(10, 450, True), (20, 450, False), (20, 900, True)])
def test_equilibration_by_volume(late_s: float, volume: int, met: bool) -> None:
    """15 s up to 800 L and 30 s above (HTM 2010, second-hand), and only where the scope asks."""
    trace = plateau(drain_late_s=late_s)
    asked = steam(scope=["equilibration"], chamber={"volume": f"{volume} L"})
    verdict = judge(trace, asked)
    assert criterion(verdict, "equilibration").measured == pytest.approx(late_s, abs=1.0)
    assert criterion(verdict, "equilibration").met is met
    assert judge(trace, steam()).verdict == "meets"


def test_equilibration_with_one_probe_is_open() -> None:
    """One probe cannot show how late another would have been."""
    trace = plateau()
    alone = replace(trace, channels=(trace.channels[0], trace.channels[2]))
    verdict = judge(alone, steam(scope=["equilibration"]))
    assert verdict.verdict == "unclear"
    assert "equilibration cannot be judged" in verdict.summary


@pytest.mark.parametrize(("wave_k", "met"), [(0.5, True), (1.2, False)])
def test_fluctuation_about_the_mean(wave_k: float, met: bool) -> None:
    """At most 1 K about a probe's own mean (EN 285, second-hand), where the scope asks."""
    verdict = judge(
        plateau(wave_k=wave_k),
        steam(scope=["fluctuation"], exposure={"temperature": "133 °C", "band": "5 K"}),
    )
    assert criterion(verdict, "fluctuation").met is met


def test_the_drain_below_the_chamber() -> None:
    """A drain 1.5 K colder than the chamber misses a program that allows 1 K, and no other."""
    trace = plateau(drain_behind_k=0.9)
    assert criterion(judge(trace, steam(probes={"drain": "0.5 K"})), "drain-below-chamber").met is False
    assert criterion(judge(trace, steam(probes={"drain": "1.2 K"})), "drain-below-chamber").met is True


def test_air_as_a_partial_pressure() -> None:
    """What the pressure has beyond saturated steam at the coldest probe is air (Dalton), in kPa."""
    trace = plateau(drain_behind_k=0.9)
    verdict = judge(trace, steam(exposure={"air": "2 kPa"}))
    expected = float(saturation_pressure_at_c(135.0) - saturation_pressure_at_c(134.1)) / 1000.0
    assert criterion(verdict, "air-partial-pressure").measured == pytest.approx(expected, abs=0.1)
    assert verdict.verdict == "fails"


def test_air_left_by_ideal_mixing() -> None:
    """Falls from 100, 200 and 200 to 10 kPa leave 0.1 · 0.05 · 0.05 of the air (arithmetic)."""
    verdict = judge(plateau(), steam(air_removal={"left": "0.03 %"}))
    assert verdict.values["air-left"].value == pytest.approx(0.025, rel=0.02)
    assert verdict.verdict == "meets"
    short = judge(plateau(), steam(air_removal={"left": "0.01 %"}))
    assert short.evidence["air_removal"] == "missed"
    assert "air-left-by-pulses" in {finding.rule for finding in short.findings}


def test_pressure_rates() -> None:
    """190 kPa in 40 s are 285 kPa/min: more than 200, less than 400; the exhaust falls by 213."""
    fast = judge(plateau(), steam(rates={"rise": "200 kPa/min"}))
    assert fast.evidence["rates"] == "missed"
    assert criterion(fast, "pressure-rise").measured == pytest.approx(285.0, rel=0.02)
    assert judge(plateau(), steam(rates={"rise": "400 kPa/min", "fall": "400 kPa/min"})).verdict == "meets"


def test_too_long_spoils_a_test_sheet() -> None:
    """An air-removal test that exposes longer than it may is missed, though long enough."""
    verdict = judge(plateau(), steam(exposure={"longest": "3.5 min"}))
    assert criterion(verdict, "exposure-longest").met is False
    assert verdict.verdict == "fails"


def test_decades_that_an_indicator_is_reduced_by() -> None:
    """240 s at 135 °C with z 10 K and D 1.5 min at 121 °C are 4 min · 10^1.4 / 1.5 min, and the way up."""
    program = steam(indicator={"population": 1e6, "d_value": "1.5 min"})
    decades = judge(plateau(), program).values["log-reduction"]
    assert decades.value == pytest.approx(4.0 * 10**1.4 / 1.5, rel=0.2)
    assert (decades.reference_c, decades.z_k) == (121.0, 10.0)


def test_below_the_model_f0_is_said_to_stand_for_nothing() -> None:
    """A cycle at 115 °C is told to lie below the range where a constant z holds, with its source."""
    exposure = {"temperature": "115 °C", "band": "3 K", "time": "30 min"}
    fields = {"kind": "steam-gravity", "name": "x", "exposure": exposure}
    program = validate(Program, fields, resource="program")
    verdict = judge(simulate(program, seed=1).as_trace("x"), program)
    (note,) = [finding for finding in verdict.findings if finding.rule == "lethality-outside-model"]
    assert verdict.verdict == "meets"
    assert note.source is not None


def test_samples_far_apart_move_the_integral() -> None:
    """Where a minute lies between samples, the rule of integration is told to move F0 by more than 1 %."""
    whole = plateau()
    channels = tuple(replace(one, values=one.values[::50]) for one in whole.channels)
    verdict = judge(Trace("x", whole.times_s[::50], channels), steam())
    assert "lethality-coarse" in {finding.rule for finding in verdict.findings}


def test_immediate_use_is_loud() -> None:
    """A cycle for use at once says so in a concern, whatever the verdict."""
    verdict = judge(plateau(), steam(use="immediate-use"))
    assert verdict.verdict == "meets"
    assert "immediate-use" in {finding.rule for finding in verdict.findings}


@pytest.mark.parametrize(
    ("label", "disagrees"),
    [
        (Label("STERILIZE", 318.0, 562.0), False),
        (Label("Sterilisieren", 150.0, 562.0), True),
        (Label("Fill", 150.0, 562.0), False),
    ],
)
def test_labels_are_compared_and_not_believed(label: Label, disagrees: bool) -> None:
    """A machine that calls heating 'sterilize' is told of; the verdict stands on what was measured."""
    verdict = judge(replace(plateau(), labels=(label,)), steam())
    assert ("label-disagrees" in {finding.rule for finding in verdict.findings}) is disagrees
    assert verdict.verdict == "meets"


@pytest.mark.parametrize(
    ("words", "noted"), [("CYCLE COMPLETE", True), ("Ergebnis: in Ordnung", True), ("NOT PASSED", False)]
)
def test_a_machine_that_calls_a_missed_cycle_good(words: str, noted: bool) -> None:
    """The machine's own 'complete' is set beside a verdict that says otherwise, and changes nothing."""
    trace = replace(plateau(), remarks=(Remark(600.0, words),))
    verdict = judge(trace, steam(exposure={"time": "10 min"}))
    assert verdict.verdict == "fails"
    assert ("machine-says-otherwise" in {finding.rule for finding in verdict.findings}) is noted


@pytest.mark.parametrize(("counted", "disagrees"), [(1.0, False), (1.3, True)])
def test_a_machines_own_count_is_compared(counted: float, disagrees: bool) -> None:
    """A controller whose F0 is 30 % above that of the recorded temperatures is told of, and not believed."""
    trace = plateau()
    ours = judge(trace, steam()).values["f0"].value
    values = np.where(trace.times_s > 500.0, counted * ours, 0.0)
    counter = Channel("F0", ChannelKind.lethality, Role.elsewhere, "min", values)
    verdict = judge(replace(trace, channels=(*trace.channels, counter)), steam())
    assert ("counter-disagrees" in {finding.rule for finding in verdict.findings}) is disagrees
    assert verdict.verdict == "meets"


def test_every_criterion_says_where_it_was_judged(programs: dict[str, Program]) -> None:
    """Each criterion of every kind of program has a place in the record, within its length."""
    for program in programs.values():
        trace = simulate(program, seed=2).as_trace("x")
        for one in judge(trace, program).criteria:
            assert one.start_s is not None
            assert one.end_s is not None
            assert 0.0 <= one.start_s < one.end_s <= trace.times_s[-1], (program.name, one.id)
