"""Exact bounds of a share against SciPy, and numbers of observations against a table that circulates widely.

The table for 95 % confidence that at most 5 % fail (59, 93, 124, 153, 181 with 0 to 4 failures) and for 90 %
and 99 % without failures is printed in many texts on acceptance by counting (from memory; each is checked
by SciPy's binomial distribution below, which no memory can fool).
"""

from __future__ import annotations

import pytest
from scipy import stats

from sinkside.science.binomial import at_most, interval, lower_bound, observations_needed, upper_bound

TABLE = [
    (0.05, 0.95, 0, 59),
    (0.05, 0.95, 1, 93),
    (0.05, 0.95, 2, 124),
    (0.05, 0.95, 3, 153),
    (0.05, 0.95, 4, 181),
    (0.10, 0.90, 0, 22),
    (0.10, 0.95, 0, 29),
    (0.01, 0.95, 0, 299),
    (0.01, 0.99, 0, 459),
]


@pytest.mark.parametrize(("share", "confidence", "failures", "printed"), TABLE)
def test_observations_that_a_confidence_needs(
    share: float, confidence: float, failures: int, printed: int
) -> None:
    """The printed number is enough and one fewer is not, by SciPy's binomial distribution and by ours."""
    assert stats.binom.cdf(failures, printed, share) <= 1.0 - confidence
    assert stats.binom.cdf(failures, printed - 1, share) > 1.0 - confidence
    assert observations_needed(share, confidence, failures=failures) == printed


@pytest.mark.parametrize("observed", [1, 2, 7, 59, 150, 2_000])
@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.999])
def test_bounds_are_clopper_and_pearsons(observed: int, confidence: float) -> None:
    """Both ends, one-sided and two-sided, are quantiles of SciPy's beta distribution and its exact test's."""
    for count in {0, 1, observed // 3, observed - 1, observed}:
        high = stats.beta.ppf(confidence, count + 1, observed - count) if count < observed else 1.0
        low = stats.beta.ppf(1.0 - confidence, count, observed - count + 1) if count else 0.0
        assert upper_bound(count, observed, confidence) == pytest.approx(high, abs=1e-9)
        assert lower_bound(count, observed, confidence) == pytest.approx(low, abs=1e-9)
        both = stats.binomtest(count, observed).proportion_ci(confidence, method="exact")
        assert interval(count, observed, confidence) == pytest.approx((both.low, both.high), abs=1e-9)


def test_the_chance_of_so_few_is_scipys() -> None:
    """Sums of single chances agree with SciPy from none to all, at the ends of the share too."""
    for share in (0.0, 1e-20, 1e-9, 0.05, 0.5, 0.97, 1.0):
        for count in (0, 1, 20, 39, 40):
            expected = stats.binom.cdf(count, 40, share)
            assert at_most(count, 40, share) == pytest.approx(expected, rel=1e-10, abs=1e-14)
