"""What so many tests show: how often a device may still be soiled, and whether readings move."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.science.binomial import interval, observations_needed, upper_bound
from sinkside.science.control import IndividualsChart, individuals_chart

#: How sure the bounds are (common practice, no source).
CONFIDENCE: Final = 0.95

#: Fewer readings make no chart (common practice, no source).
FEWEST_FOR_A_CHART: Final = 10


@dataclass(frozen=True)
class Shown:
    """What the tests of a device show.

    Attributes:
        tested: how many pieces were tested.
        failed: how many did not pass.
        at_most: the share that is not exceeded, one-sided; 1 where nothing was tested.
        between: the share from at least to at most, two-sided; none where nothing was tested.
    """

    tested: int
    failed: int
    at_most: float
    between: tuple[float, float] | None

    @property
    def sentence(self) -> str:
        """The same in a sentence, with how sure it is.

        >>> shown(59, 0).sentence
        '0 of 59 failed: with 95 % confidence fewer than 5 in 100 would.'
        """
        if not self.tested:
            return "Nothing was tested yet."
        head = f"{self.failed} of {self.tested} failed: with {CONFIDENCE:.0%} confidence".replace("%", " %")
        if self.at_most >= 1.0:
            return f"{self.failed} of {self.tested} failed: every one may."
        in_hundred = -(-round(self.at_most * 1e6) // 10_000)
        return f"{head} fewer than {in_hundred} in 100 would."


def shown(tested: int, failed: int) -> Shown:
    """What so many tests show of the share that would fail.

    The tests must be alike and apart from each other: pieces as they come, not the ones that look clean.

    Args:
        tested: how many pieces.
        failed: how many of them did not pass.

    Source: Clopper and Pearson 1934, by `science.binomial`; without failures 1 - 0.05^(1/n), for which 3/n is
    the rule of thumb (Hanley and Lippman-Hand, JAMA 249 (1983) 1743; from memory).
    """
    if not tested:
        return Shown(0, 0, 1.0, None)
    return Shown(
        tested, failed, upper_bound(failed, tested, CONFIDENCE), interval(failed, tested, CONFIDENCE)
    )


def how_many_show(share: float) -> int:
    """How many tests without a failure show that fewer than a share would fail.

    >>> how_many_show(0.05)
    59
    """
    return observations_needed(share, CONFIDENCE)


def chart_of(values: Sequence[float]) -> IndividualsChart | None:
    """The chart of single readings, the oldest first; none while there are too few.

    >>> chart_of([1.0, 2.0]) is None
    True
    """
    if len(values) < FEWEST_FOR_A_CHART:
        return None
    return individuals_chart(np.array(values, dtype=np.float64))
