"""Control charts: whether a series of measurements still is what it was.

Three charts with different eyes: one for single measurements (a jump), an exponentially weighted average and
a cumulative sum (a slow shift). All ask how far from a centre, in units of the scatter. Where both are
estimated from measurements that may hold strays, medians do it (`robust_level`), which half of the
measurements can spoil and no fewer.

Nothing here rounds, and nothing is known of machines.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.science.validity import FloatArray

#: Of the ranges of two normal values: mean in units of the scatter, and the limit in units of their mean
#: (NIST/SEMATECH e-Handbook 6.3.2.2, as printed there).
MEAN_OF_RANGES_OF_TWO: Final = 1.128
LIMIT_OF_RANGES_OF_TWO: Final = 3.267

#: The median distance of normal values from their median, and the median distance of two of them, in units of
#: the scatter: the 3/4 quantile of the normal distribution, and that times √2 (computed).
MEDIAN_DISTANCE: Final = 0.6744897501960817
MEDIAN_RANGE_OF_TWO: Final = MEDIAN_DISTANCE * 2.0**0.5

_SIGMAS: Final = 3.0
_FEWEST: Final = 2

#: Further out a single value is a stray (Sinkside's own choice, with the reasons where it is used).
_STRAY: Final = 4.0

#: So few values as an opening stretch has tell no correlation beyond this from a plain trend.
_MOST_ALIKE: Final = 0.8


@dataclass(frozen=True, slots=True)
class Level:
    """Where measurements lie, and how far they scatter about it."""

    centre: float
    sigma: float


@dataclass(frozen=True, slots=True)
class IndividualsChart:
    """Limits for single measurements, and for the distance of each from the one before."""

    level: Level
    low: float
    high: float
    mean_range: float
    range_limit: float


def individuals_chart(values: FloatArray) -> IndividualsChart:
    """The chart of individuals and moving ranges, its scatter from the mean moving range.

    Args:
        values: Shape (n,), two or more.

    Raises:
        ValueError: if there are fewer than two values.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.2 (its figures in our reference data).

    >>> individuals_chart(np.array([10.0, 11.0, 10.0, 11.0])).level.centre
    10.5
    """
    mean_range = float(_moving_ranges(values).mean())
    level = Level(float(values.mean()), mean_range / MEAN_OF_RANGES_OF_TWO)
    low, high = shewhart_limits(level)
    return IndividualsChart(level, low, high, mean_range, LIMIT_OF_RANGES_OF_TWO * mean_range)


def shewhart_limits(level: Level, *, width: float = _SIGMAS) -> tuple[float, float]:
    """The limits for single measurements, `width` times the scatter on either side.

    >>> shewhart_limits(Level(10.0, 2.0))
    (4.0, 16.0)
    """
    return level.centre - width * level.sigma, level.centre + width * level.sigma


def robust_level(values: FloatArray, *, least_sigma: float = 0.0) -> Level:
    """Centre and scatter by medians, which a few strays do not move.

    The centre is the median. The scatter is the larger of two: from the median distance to the median, and
    from the median distance between neighbours. The first sees slow wandering that is usual for a machine;
    the second holds where readings come in two alternating kinds. The larger costs some sensitivity and saves
    false alarms.

    Args:
        values: Shape (n,), two or more.
        least_sigma: What the scatter is taken to be at least, as rounded readings may not scatter at all.

    Raises:
        ValueError: if there are fewer than two values.

    Source: median absolute deviation, NIST/SEMATECH e-Handbook 1.3.5.6 (from memory); factors computed.

    >>> robust_level(np.array([9.0, 10.0, 11.0, 10.0, 9.0, 500.0])).centre
    10.0
    """
    ranges = _moving_ranges(values)
    centre = float(np.median(values))
    by_distance = float(np.median(np.abs(values - centre))) / MEDIAN_DISTANCE
    by_neighbours = float(np.median(ranges)) / MEDIAN_RANGE_OF_TWO
    return Level(centre, max(by_distance, by_neighbours, least_sigma))


def lasting_sigma(values: FloatArray, level: Level) -> float:
    """The scatter that an average or a sum of many such values has to reckon with.

    A machine's cycles follow one another: the first in the morning is cold, and the next is a little so. Sums
    of values that resemble their neighbours wander further than the values' own scatter says, by the square
    root of (1 + r) / (1 - r) for a correlation r between neighbours. Strays count as no further away than
    four times the scatter. A negative correlation narrows nothing.

    Args:
        values: Shape (n,), those that the level was estimated from.
        level: Their centre and scatter.

    Source: variance of the mean of a first-order autoregressive series (from memory); checked by simulation.

    >>> lasting_sigma(np.array([1.0, -1.0, 1.0, -1.0]), Level(0.0, 1.0))
    1.0
    """
    away = without_strays(values, level) - level.centre
    away = away - away.mean()
    total = float((away * away).sum())
    shared = float((away[1:] * away[:-1]).sum()) / total if total > 0.0 else 0.0
    shared = min(max(shared, 0.0), _MOST_ALIKE)
    return level.sigma * float(np.sqrt((1.0 + shared) / (1.0 - shared)))


def without_strays(values: FloatArray, level: Level) -> FloatArray:
    """The values, none of them further from the centre than four times the scatter; shape (n,).

    One stray is the business of the chart of individuals. An average or a sum that took it as it stands would
    ring for it alone, and for long.
    """
    away = _STRAY * level.sigma
    within: FloatArray = np.clip(values, level.centre - away, level.centre + away)
    return within


def ewma(values: FloatArray, *, weight: float, start: float) -> FloatArray:
    """The exponentially weighted moving average after each value, shape (n,).

    Args:
        values: Shape (n,).
        weight: Of the newest value, above 0 and up to 1.
        start: The average before the first value.

    Raises:
        ValueError: if the weight is none.

    Source: NIST/SEMATECH e-Handbook 6.3.2.4.

    >>> ewma(np.array([52.0, 47.0]), weight=0.3, start=50.0).round(2).tolist()
    [50.6, 49.52]
    """
    _refuse_no_weight(weight)
    averages = np.empty_like(values)
    average = start
    for index, value in enumerate(values.tolist()):
        average = weight * value + (1.0 - weight) * average
        averages[index] = average
    return averages


def ewma_limits(
    level: Level, *, weight: float, width: float = _SIGMAS, count: int | None = None
) -> tuple[FloatArray, FloatArray]:
    """The limits of the weighted average, low and high.

    Args:
        level: Centre and scatter of single values.
        weight: As the average's.
        width: Half the distance between the limits, in units of the average's own scatter.
        count: How many values; limits are narrower for the first of them. Without it, one limit for all.

    Raises:
        ValueError: if the weight is none.

    Source: NIST/SEMATECH e-Handbook 6.3.2.4; the narrower first limits from memory (Lucas and Saccucci 1990).

    >>> [round(float(end[0]), 2) for end in ewma_limits(Level(50.0, 2.0539), weight=0.3)]
    [47.41, 52.59]
    """
    _refuse_no_weight(weight)
    share = np.ones(1) if count is None else 1.0 - (1.0 - weight) ** (2.0 * np.arange(1, count + 1))
    away = width * level.sigma * np.sqrt(weight / (2.0 - weight) * share)
    return level.centre - away, level.centre + away


def cusum(values: FloatArray, *, centre: float, slack: float) -> tuple[FloatArray, FloatArray]:
    """The two cumulative sums after each value, of what went above and of what went below; shape (n,) each.

    Each adds up what a value is beyond the centre and the slack, and never falls below zero.

    Args:
        values: Shape (n,).
        centre: Where values should lie.
        slack: What is let pass on either side, in the values' unit.

    Source: NIST/SEMATECH e-Handbook 6.3.2.3, the tabular form.

    >>> [side.tolist() for side in cusum(np.array([1.0, 2.0, -4.0]), centre=0.0, slack=0.5)]
    [[0.5, 2.0, 0.0], [0.0, 0.0, 3.5]]
    """
    return _summed(values - centre - slack), _summed(centre - values - slack)


def first_of_run(sums: FloatArray, at: int) -> int:
    """Where the run of a cumulative sum that stands at an index began: the first value after it was zero.

    That is the usual estimate of when the shift set in (from memory; Page 1954).

    >>> first_of_run(np.array([0.0, 0.5, 0.0, 1.0, 2.0, 3.0]), 5)
    3
    """
    zero = np.flatnonzero(sums[: at + 1] <= 0.0)
    return int(zero[-1]) + 1 if zero.size and zero[-1] < at else (at if zero.size else 0)


def median_slope(values: FloatArray) -> float:
    """The change from one value to the next, as the median of the slopes between all pairs.

    Args:
        values: Shape (n,), two or more, one step apart.

    Raises:
        ValueError: if there are fewer than two values.

    Source: Theil 1950, Sen 1968 (from memory); checked against SciPy.

    >>> median_slope(np.array([1.0, 3.0, 5.0, 7.0, 100.0]))
    2.0
    """
    if values.size < _FEWEST:
        raise ValueError(f"a slope takes two values or more, not {values.size}")
    first, second = np.triu_indices(values.size, k=1)
    return float(np.median((values[second] - values[first]) / (second - first)))


def _moving_ranges(values: FloatArray) -> FloatArray:
    if values.size < _FEWEST:
        raise ValueError(f"a scatter takes two values or more, not {values.size}")
    ranges: FloatArray = np.abs(np.diff(values))
    return ranges


def _summed(steps: FloatArray) -> FloatArray:
    """Cumulative sums that start again wherever they would fall below zero."""
    sums = np.empty_like(steps)
    total = 0.0
    for index, step in enumerate(steps.tolist()):
        total = max(0.0, total + step)
        sums[index] = total
    return sums


def _refuse_no_weight(weight: float) -> None:
    if not 0.0 < weight <= 1.0:
        raise ValueError(f"a weight is above 0 and at most 1, not {weight:g}")
