"""Run charts: whether a series about its median is more than chance, by its runs and its crossings.

Values on the median are left out. Of the others the longest run on one side, and how often the line crosses
the median, are held against what chance alone would seldom show. Nothing here knows what was counted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from statistics import median
from typing import Final

#: Below so many useful values nothing is said (the published tables begin here).
FEWEST_USEFUL: Final = 10

#: One in so many series of chance alone has fewer crossings than are asked for.
_ONE_IN: Final = 20


@dataclass(frozen=True, slots=True)
class RunChart:
    """A series about its median, and what chance allows.

    Attributes:
        median: of all values.
        useful: how many values do not lie on it.
        longest_run: the most useful values one after the other on one side.
        longest_allowed: a longer run is a signal; 0 where there are too few values to say.
        crossings: how often two neighbouring useful values lie on different sides.
        crossings_needed: fewer crossings are a signal; 0 where there are too few values to say.
    """

    median: float
    useful: int
    longest_run: int
    longest_allowed: int
    crossings: int
    crossings_needed: int

    @property
    def can_say(self) -> bool:
        """Whether there are enough useful values."""
        return self.useful >= FEWEST_USEFUL

    @property
    def run_is_long(self) -> bool:
        """Whether the longest run is longer than chance allows."""
        return self.can_say and self.longest_run > self.longest_allowed

    @property
    def crossings_are_few(self) -> bool:
        """Whether the line crosses its median less often than chance would have it."""
        return self.can_say and self.crossings < self.crossings_needed


def run_chart(values: Sequence[float]) -> RunChart:
    """A series as a run chart.

    Args:
        values: one or more, in the order of time.

    Raises:
        ValueError: if there are none.

    Source: Anhøj and Olesen, PLoS ONE 9(11): e113825 (2014), as quoted by the vignette of qicharts2.

    >>> chart = run_chart([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16])
    >>> chart.longest_run, chart.longest_allowed, chart.crossings, chart.crossings_needed
    (8, 7, 1, 4)
    """
    if not values:
        raise ValueError("a run chart takes one value or more")
    middle = float(median(values))
    useful, longest, crossings = runs_about(values, middle)
    enough = useful >= FEWEST_USEFUL
    return RunChart(
        median=middle,
        useful=useful,
        longest_run=longest,
        longest_allowed=longest_allowed(useful) if enough else 0,
        crossings=crossings,
        crossings_needed=crossings_needed(useful) if enough else 0,
    )


def runs_about(values: Sequence[float], line: float) -> tuple[int, int, int]:
    """How many values do not lie on a line, the longest run of those on one side, and the crossings.

    >>> runs_about([1, 1, 1, -1, -1, 0, 1], 0)
    (6, 3, 2)
    """
    sides = [value > line for value in values if value != line]
    longest = max((sum(1 for _ in run) for _, run in groupby(sides)), default=0)
    return len(sides), longest, sum(before != after for before, after in pairwise(sides))


def longest_allowed(useful: int) -> int:
    """The longest run that chance still allows: log2 n + 3, rounded.

    Args:
        useful: how many values do not lie on the median, one or more.

    Raises:
        ValueError: if there are none.

    Source: Anhøj and Olesen 2014 (as quoted); derived there from the longest run of heads in coin tosses.

    >>> [longest_allowed(n) for n in (10, 12, 24, 45, 46)]
    [6, 7, 8, 8, 9]
    """
    if useful < 1:
        raise ValueError("no value lies off the median")
    return round(math.log2(useful) + 3)


def crossings_needed(useful: int) -> int:
    """The fewest crossings that chance leaves usual: the 5 % quantile of a binomial with n - 1 halves.

    Args:
        useful: how many values do not lie on the median, one or more.

    Raises:
        ValueError: if there are none.

    Source: Anhøj and Olesen 2014 (as quoted); exact in whole numbers.

    >>> [crossings_needed(n) for n in (10, 13, 20, 24)]
    [2, 3, 6, 8]
    """
    if useful < 1:
        raise ValueError("no value lies off the median")
    chances, ways, fewest = useful - 1, 1, 0
    below = ways
    while below * _ONE_IN < 2**chances:
        ways = ways * (chances - fewest) // (fewest + 1)
        fewest += 1
        below += ways
    return fewest
