"""Drift is told while it lasts, dated and measured; machines that do not change are left in peace."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from sinkside.cycles import Trend, TrendPoint, simulate, trend_limits, trend_point, trends
from sinkside.cycles import judge as judge_trace
from sinkside.department import Program
from sinkside.findings import Level, Measure
from sinkside.limits import profile
from sinkside.science.validity import FloatArray

FIRST = datetime(2026, 3, 2, 6, 30, tzinfo=UTC)
OPENING = 30
DEPTH = {"pulse-depth": (0.0, 15.0)}


def points(values: Sequence[float] | FloatArray, figure: str = "pulse-depth") -> list[TrendPoint]:
    return [
        TrendPoint(f"c{index:04d}", FIRST + timedelta(hours=index), {figure: float(value)})
        for index, value in enumerate(values)
    ]


def only(values: Sequence[float] | FloatArray, figure: str = "pulse-depth") -> Trend:
    (trend,) = trends(points(values, figure), limits=DEPTH)
    return trend


def scattered(seed: int, *, count: int = 100, correlation: float = 0.0) -> FloatArray:
    """Depths about 10 kPa with a scatter of 0.3 kPa, each resembling the one before."""
    noise = np.random.default_rng(seed).normal(size=count)
    for index in range(1, count):
        noise[index] = (
            correlation * noise[index - 1] + np.sqrt(1.0 - correlation * correlation) * noise[index]
        )
    return 10.0 + 0.3 * noise


def measured(trend: Trend, name: str) -> float:
    assert trend.finding is not None
    value = trend.finding.evidence[name]
    assert isinstance(value, Measure)
    return value.value


def test_a_pump_that_wears_is_told_before_the_limit_is_reached() -> None:
    """From cycle 60 on the pulses get 0.05 kPa shallower each: told, dated, measured, and carried forward."""
    values = scattered(1)
    values[60:] += 0.05 * np.arange(40)
    trend = only(values)
    assert trend.finding is not None
    assert trend.finding.level is Level.concern
    assert trend.finding.rule == "drift"
    since = int(str(trend.finding.evidence["since"]).removeprefix("c"))
    assert 55 <= since <= 75
    assert measured(trend, "pace") == pytest.approx(0.05, rel=0.25)
    assert measured(trend, "moved") == pytest.approx(0.05 * 37, abs=0.4)
    left = trend.finding.evidence["cycles_left"]
    assert isinstance(left, int)
    assert left == pytest.approx((15.0 - 12.0) / 0.05, rel=0.3)
    assert "15\xa0kPa" in trend.finding.message
    assert trend.limit == 15.0


def test_the_finding_shows_in_the_chart_it_names() -> None:
    """A chart that the finding names is beyond its limit at the last cycle, and one it leaves out is not."""
    for size, slope in ((70, 0.02), (100, 0.02), (100, 0.05)):
        values = scattered(4, count=size)
        values[50:] += slope * np.arange(size - 50)
        trend = only(values)
        said = str(trend.finding.evidence["chart"]) if trend.finding else ""
        assert trend.decision is not None
        assert ("cumulative sum" in said) is (trend.cusum_up[-1] > trend.decision)
        assert ("weighted average" in said) is (trend.ewma[-1] > trend.ewma_high[-1])


def test_a_step_is_told_soon_and_nothing_is_read_into_its_slope() -> None:
    """After a step of five times the scatter it is told within five cycles, without a day of reckoning."""
    values = scattered(2, count=45)
    values[40:] += 1.5
    trend = only(values)
    assert trend.finding is not None
    assert trend.finding.evidence["since"] == "c0040"
    long_after = np.concatenate((scattered(2, count=40), scattered(3, count=60) + 1.5))
    settled = only(long_after).finding
    assert settled is not None
    assert "cycles_left" not in settled.evidence


def test_what_gets_better_is_a_note() -> None:
    """A pump that draws deeper after a repair nobody entered is told as a note; nothing fails that way."""
    values = scattered(5)
    values[60:] -= 2.0
    trends_of_gap = only(values, "drying-vacuum")
    assert trends_of_gap.finding is not None
    assert trends_of_gap.finding.level is Level.note
    assert trends_of_gap.finding.evidence["direction"] == "fallen"


def test_one_stray_cycle_is_no_drift() -> None:
    """A cycle ninety times the scatter away is an outlying cycle, and the next one leaves no trace of it."""
    values = scattered(6)
    values[-1] += 27.0
    trend = only(values)
    assert trend.finding is not None
    assert (trend.finding.rule, trend.finding.level) == ("outlying-cycle", Level.note)
    assert only(np.append(values, [10.0])).finding is None


def test_charts_start_anew_after_a_repair() -> None:
    """A repair forgets what was before; until thirty cycles follow it there are values and no limits."""
    values = scattered(7)
    values[60:] += 3.0
    repaired = FIRST + timedelta(hours=59, minutes=30)
    (trend,) = trends(points(values), restarts=[repaired, FIRST + timedelta(days=900)])
    assert trend.finding is None
    assert trend.cycles[0] == "c0060"
    (young,) = trends(points(values[:80]), restarts=[repaired])
    assert (young.settled, young.centre, young.ewma, len(young.values)) == (False, None, (), 20)


def test_the_order_of_points_and_other_figures_do_not_matter() -> None:
    """Points in any order, with figures that others lack, give the same chart."""
    values = scattered(8)
    given = points(values)
    more = [TrendPoint("x", FIRST, {"come-up": 100.0}), *reversed(given)]
    come_up, depth = trends(more, limits=DEPTH)
    assert depth == only(values)
    assert (come_up.figure, come_up.settled) == ("come-up", False)
    assert trends([]) == ()


def test_equal_readings_are_no_reason_for_alarm() -> None:
    """Where a coarse recorder repeats one reading, the next step of it is neither a drift nor outlying."""
    values = np.full(60, 7.0)
    values[-1] = 7.1
    assert only(values, "drying-vacuum").finding is None


def share_told(*, correlation: float, seeds: range) -> float:
    found = [only(scattered(seed, correlation=correlation)).finding for seed in seeds]
    return sum(finding is not None and finding.rule == "drift" for finding in found) / len(found)


@pytest.mark.parametrize(("correlation", "at_most"), [(0.0, 0.01), (0.5, 0.05)])
def test_machines_that_do_not_change_are_left_in_peace(correlation: float, at_most: float) -> None:
    """Of 400 unchanged series no more than 1 in 100 is said to drift; 5 if cycles resemble the one before."""
    assert share_told(correlation=correlation, seeds=range(400)) <= at_most


@pytest.mark.parametrize(("shift", "cycles"), [(1.5, 14), (3.0, 5)])
def test_how_soon_a_shift_is_told(shift: float, cycles: int) -> None:
    """Half of the shifts by 1.5 and 3 times the scatter are told within 14 and 5 cycles."""
    soon = 0
    for seed in range(100):
        values = scattered(seed, count=OPENING + 30 + cycles)
        values[OPENING + 30 :] += shift * 0.3
        finding = only(values).finding
        soon += finding is not None and finding.rule == "drift"
    assert soon >= 50


def test_a_simulated_machine_with_a_failing_pump(programs: dict[str, Program]) -> None:
    """Of judged cycles none is told; once their drying vacuum rises, that figure is, and no other."""
    program = programs["132-4"]
    verdicts = [judge_trace(simulate(program, seed=seed).as_trace(f"{seed}"), program) for seed in range(60)]
    given = [
        trend_point(verdict, cycle=verdict.trace, at=FIRST + timedelta(hours=index))
        for index, verdict in enumerate(verdicts)
    ]
    limits = trend_limits(program, profile("eu"))
    assert [trend.figure for trend in trends(given, limits=limits) if trend.finding] == []
    worn = [
        TrendPoint(
            p.cycle, p.at, {**p.values, "drying-vacuum": p.values["drying-vacuum"] + 0.05 * max(0, i - 39)}
        )
        for i, p in enumerate(given)
    ]
    told = [trend for trend in trends(worn, limits=limits) if trend.finding]
    assert [trend.figure for trend in told] == ["drying-vacuum"]
    assert told[0].limit == 10.0
