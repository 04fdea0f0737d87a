"""Counts of events over unequal numbers of things: Pareto order, limits of rates, two rates compared.

Nothing here rounds, and nothing is known of what was counted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.science.binomial import at_most

_SIGMAS: Final = 3.0


@dataclass(frozen=True, slots=True)
class Ranked:
    """One bar of a Pareto chart: its name, its count, its share of all, and that of it and all before it."""

    name: str
    count: int
    share: float
    cumulated: float


def pareto(counts: Mapping[str, int]) -> tuple[Ranked, ...]:
    """Counts in the order of a Pareto chart: the most frequent first, those alike by name; none is left out.

    Args:
        counts: how often each was seen, none or more; what was never seen is no bar.

    Raises:
        ValueError: if a count is below none.

    Source: Pareto charts, Juran's Quality Handbook (from memory); computed.

    >>> [(one.name, one.count, round(one.cumulated, 2)) for one in pareto({"soil": 1, "wet": 3, "torn": 1})]
    [('wet', 3, 0.6), ('soil', 1, 0.8), ('torn', 1, 1.0)]
    """
    if any(count < 0 for count in counts.values()):
        raise ValueError("a count is none or more")
    total, so_far, bars = sum(counts.values()), 0, []
    for name, count in sorted(counts.items(), key=lambda one: (-one[1], one[0])):
        if count:
            so_far += count
            bars.append(Ranked(name, count, count / total, so_far / total))
    return tuple(bars)


@dataclass(frozen=True, slots=True)
class RateChart:
    """A chart of rates: the centre, and the limits of each value by how much it was counted over."""

    centre: float
    low: tuple[float, ...]
    high: tuple[float, ...]


def rate_chart(counts: Sequence[int], over: Sequence[float]) -> RateChart:
    """The limits of a chart of rates (u chart); with the same number throughout, those of a c chart.

    Args:
        counts: how many events, value by value, one or more.
        over: how much each was counted over, above zero, in any unit.

    Raises:
        ValueError: if there are none, not as many of each, or something was counted over nothing.

    Source: three standard deviations of a Poisson count about the pooled rate, NIST/SEMATECH e-Handbook
    6.3.3.1 for equal areas of opportunity; for unequal ones Montgomery, Statistical Quality Control (memory).

    >>> chart = rate_chart([16, 14, 18], [1, 1, 1])
    >>> chart.centre, chart.low[0], chart.high[0]
    (16.0, 4.0, 28.0)
    """
    if not counts or len(counts) != len(over):
        raise ValueError(f"{len(counts)} counts over {len(over)}; expected as many of each, one or more")
    if min(over) <= 0.0:
        raise ValueError("what was counted over is above zero")
    centre = sum(counts) / sum(over)
    away = [_SIGMAS * (centre / one) ** 0.5 for one in over]
    return RateChart(
        centre, tuple(max(centre - one, 0.0) for one in away), tuple(centre + one for one in away)
    )


def chance_of_so_few(before: tuple[int, float], after: tuple[int, float]) -> float:
    """The chance of so few events afterwards, or fewer, if nothing had changed.

    Given how many there were in both times together, those afterwards are binomial by the share of what they
    were counted over.

    Args:
        before: how many events, and over how much, above zero.
        after: the same of the time after.

    Raises:
        ValueError: if something was counted over nothing, or a count is below none.

    Source: conditional test of Przyborowski and Wilenski, Biometrika 31 (1940) 313 (from memory; by SciPy).

    >>> round(chance_of_so_few((8, 1000), (1, 1000)), 4)
    0.0195
    """
    (earlier, over_before), (later, over_after) = before, after
    if min(over_before, over_after) <= 0.0 or min(earlier, later) < 0:
        raise ValueError("counts are none or more, over more than nothing")
    total = earlier + later
    return at_most(later, total, over_after / (over_before + over_after)) if total else 1.0
