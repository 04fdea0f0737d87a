"""Drift: whether a machine still runs a program as it did, seen before a cycle fails.

The first cycles after installation, repair or service (the opening stretch) say where each figure lies and
how far it scatters. Three charts follow it from there: single values for a jump, a weighted average and a
cumulative sum for a slow shift. A finding says which of them tells, since when, how far, and when the limit
would be reached.

The charts ring later than a textbook's, on purpose. Their centre is estimated from some thirty cycles, eight
figures are watched in each cycle of each machine, and a chart that cries wolf is soon not looked at.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np

from sinkside.cycles import drift_wording as wording
from sinkside.cycles.figures_for_trend import TREND_FIGURES, TrendFigure
from sinkside.cycles.verdict import Verdict
from sinkside.documents import Value
from sinkside.findings import Evidence, Finding, Level, Measure
from sinkside.science import control
from sinkside.science.validity import FloatArray

#: A pace is carried forward over at most so many times the cycles that it was seen in.
_CARRIED_FORWARD: Final = 5

#: Fewer cycles than this have no pace worth telling.
_PACE_FROM: Final = 5

#: Where a figure stands now is the median of so many cycles.
_LATEST: Final = 5
_NO_LIMIT: Final = (-np.inf, np.inf)


@dataclass(frozen=True)
class TrendPoint:
    """One judged cycle of one machine and program: figures by name, in the units of `TREND_FIGURES`."""

    cycle: str
    at: datetime
    values: Mapping[str, float]


@dataclass(frozen=True)
class ChartRules:
    """How the charts are drawn and when they ring; widths in units of the scatter.

    Sinkside's own choice. With them, of machines that do not change, one figure in some five hundred stands
    beyond its slow charts at any one time; a shift of 1.5 times the scatter is told after some 11 cycles, one
    of 3 times after some 3 (simulated; `tests/cycles/test_drift.py`).
    """

    opening: int = 30
    individuals_width: float = 4.0
    ewma_weight: float = 0.2
    ewma_width: float = 4.0
    cusum_slack: float = 0.75
    cusum_decision: float = 10.0


class Trend(Value):
    """One figure of one machine and program from cycle to cycle, with its charts.

    Lists have one entry per cycle; those of the charts are empty, and their limits left out, before there are
    as many cycles as an opening stretch needs (`settled`). The sums and their limit are in the figure's unit.
    `limit` is what the figure must keep to, in the direction in which it moves or would get worse.
    """

    figure: str
    title: str
    unit: str
    decimals: int
    cycles: tuple[str, ...]
    at: tuple[datetime, ...]
    values: tuple[float, ...]
    opening: int
    settled: bool
    centre: float | None = None
    sigma: float | None = None
    low: float | None = None
    high: float | None = None
    ewma: tuple[float, ...] = ()
    ewma_low: tuple[float, ...] = ()
    ewma_high: tuple[float, ...] = ()
    cusum_up: tuple[float, ...] = ()
    cusum_down: tuple[float, ...] = ()
    decision: float | None = None
    limit: float | None = None
    finding: Finding | None = None


def trend_point(verdict: Verdict, *, cycle: str, at: datetime) -> TrendPoint:
    """What a verdict adds to the charts of its machine and program."""
    values = {name: verdict.values[name].value for name in TREND_FIGURES if name in verdict.values}
    return TrendPoint(cycle, at, values)


def trends(
    points: Sequence[TrendPoint],
    *,
    limits: Mapping[str, tuple[float, float]] | None = None,
    restarts: Sequence[datetime] = (),
    rules: ChartRules | None = None,
) -> tuple[Trend, ...]:
    """How each figure of one machine and program went, with a finding where it drifts or has jumped.

    Args:
        points: Cycles in any order.
        limits: The lowest and highest that figures may be, by name; see `trend_limits`.
        restarts: When the machine was repaired, serviced, moved or calibrated: the charts start anew after
            the last of them that any cycle followed.
        rules: How the charts are drawn.
    """
    begin = max((at for at in restarts if any(point.at > at for point in points)), default=None)
    ordered = sorted((p for p in points if begin is None or p.at > begin), key=lambda p: p.at)
    made = []
    for name, figure in TREND_FIGURES.items():
        series = [point for point in ordered if name in point.values]
        if series:
            within = (limits or {}).get(name, _NO_LIMIT)
            charts = _Charts(
                name=name, figure=figure, series=series, limits=within, rules=rules or ChartRules()
            )
            made.append(charts.trend())
    return tuple(made)


@dataclass(frozen=True, kw_only=True)
class _Charts:
    """One figure, its series and the limits it must keep to, from which its charts are made."""

    name: str
    figure: TrendFigure
    series: Sequence[TrendPoint]
    limits: tuple[float, float]
    rules: ChartRules

    @functools.cached_property
    def values(self) -> FloatArray:
        """Shape (n,), in the figure's unit."""
        return np.array([point.values[self.name] for point in self.series])

    def trend(self) -> Trend:
        """The figure with its charts, or only with its values while there are too few of them."""
        points = Trend(
            figure=self.name,
            title=self.figure.title,
            unit=self.figure.unit,
            decimals=self.figure.decimals,
            cycles=tuple(point.cycle for point in self.series),
            at=tuple(point.at for point in self.series),
            values=tuple(self.values.tolist()),
            opening=self.rules.opening,
            settled=self.values.size > self.rules.opening,
            limit=self._limit(rising=self.figure.worse == "higher"),
        )
        if not points.settled:
            return points
        return points.model_copy(update=self._charts())

    def _charts(self) -> dict[str, object]:
        rules, opening = self.rules, self.values[: self.rules.opening]
        level = control.robust_level(opening, least_sigma=self.figure.least_sigma)
        slow = control.Level(level.centre, control.lasting_sigma(opening, level))
        low, high = control.shewhart_limits(level, width=rules.individuals_width)
        usual = control.without_strays(self.values, level)
        average = control.ewma(usual, weight=rules.ewma_weight, start=level.centre)
        average_low, average_high = control.ewma_limits(
            slow, weight=rules.ewma_weight, width=rules.ewma_width, count=usual.size
        )
        up, down = control.cusum(usual, centre=level.centre, slack=rules.cusum_slack * slow.sigma)
        decision = rules.cusum_decision * slow.sigma
        rung = {
            "weighted average": (average[-1] > average_high[-1], average[-1] < average_low[-1]),
            "cumulative sum": (up[-1] > decision, down[-1] > decision),
        }
        charts = {
            "centre": level.centre, "sigma": level.sigma, "low": low, "high": high, "decision": decision,
            "ewma": _told(average), "ewma_low": _told(average_low), "ewma_high": _told(average_high),
            "cusum_up": _told(up), "cusum_down": _told(down),
        }  # fmt: skip
        rising = any(above for above, _ in rung.values())
        if rising or any(below for _, below in rung.values()):
            tells = [name for name, sides in rung.items() if sides[0 if rising else 1]]
            since = control.first_of_run(up if rising else down, self.values.size - 1)
            finding = self._drift(level, tells=tells, since=since, rising=rising)
            return charts | {"finding": finding, "limit": self._limit(rising=rising)}
        if not low <= self.values[-1] <= high:
            return charts | {"finding": self._outlying(level, low, high)}
        return charts

    def _drift(self, level: control.Level, *, tells: Sequence[str], since: int, rising: bool) -> Finding:
        limit, run = self._limit(rising=rising), self.values[since:]
        # The average lags behind, and its strays were cut; where the figure stands now is said by its last
        # cycles.
        latest = float(np.median(run[-_LATEST:]))
        evidence: Evidence = {
            "figure": self.name,
            "title": self.figure.title[:1].upper() + self.figure.title[1:],
            "chart": " and ".join(tells),
            "since": self.series[since].cycle,
            "start": self.series[since].at.isoformat(),
            "direction": "risen" if rising else "fallen",
            "moved": self._measure(abs(latest - level.centre)),
            "centre": self._measure(level.centre),
            "latest": self._measure(latest),
        }
        words = wording.DRIFTS
        if limit is not None:
            evidence["limit"] = self._measure(limit)
            words = wording.DRIFTS_TO_A_LIMIT
        pace = control.median_slope(run) if run.size >= _PACE_FROM else 0.0
        left = _cycles_left(latest, pace, limit) if limit is not None else None
        if left is not None and left <= _CARRIED_FORWARD * run.size:
            evidence |= {"pace": Measure(value=pace, unit=self.figure.unit), "cycles_left": left}
            words = wording.DRIFTS_AT_A_PACE
        return self._weighed(words.finding(evidence=self._rounded(evidence)), rising=rising)

    def _weighed(self, finding: Finding, *, rising: bool) -> Finding:
        """A concern where it moves towards a limit or the way that wear goes; else a note."""
        wears = rising == (self.figure.worse == "higher") or self._limit(rising=rising) is not None
        return finding if wears else finding.model_copy(update={"level": Level.note})

    def _outlying(self, level: control.Level, low: float, high: float) -> Finding:
        last = self.series[-1]
        evidence: Evidence = {
            "figure": self.name,
            "title": self.figure.title,
            "chart": "individuals",
            "since": last.cycle,
            "start": last.at.isoformat(),
            "latest": self._measure(float(self.values[-1])),
            "centre": self._measure(level.centre),
            "low": self._measure(low),
            "high": self._measure(high),
        }
        return wording.OUTLYING.finding(evidence=self._rounded(evidence))

    def _limit(self, *, rising: bool) -> float | None:
        end = self.limits[1 if rising else 0]
        return float(end) if np.isfinite(end) else None

    def _measure(self, value: float) -> Measure:
        return Measure(value=value, unit=self.figure.unit)

    def _rounded(self, evidence: Evidence) -> Evidence:
        """Measures with as many decimals as people read; a pace has two more."""
        decimals = self.figure.decimals
        return {
            name: item.model_copy(update={"value": round(item.value, decimals + 2 * (name == "pace"))})
            if isinstance(item, Measure)
            else item
            for name, item in evidence.items()
        }


def _cycles_left(latest: float, pace: float, limit: float) -> int | None:
    """In how many cycles a limit is reached; None where it is passed, or the pace leads away from it."""
    if pace == 0.0:
        return None
    left = (limit - latest) / pace
    return int(np.ceil(left)) if left > 0.0 else None


def _told(values: FloatArray) -> tuple[float, ...]:
    return tuple(values.tolist())
