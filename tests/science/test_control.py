"""What the charts are made of, against computed values and SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from sinkside.science.control import (
    MEAN_OF_RANGES_OF_TWO,
    MEDIAN_DISTANCE,
    MEDIAN_RANGE_OF_TWO,
    Level,
    cusum,
    ewma,
    ewma_limits,
    first_of_run,
    individuals_chart,
    median_slope,
    robust_level,
    shewhart_limits,
)


def test_the_factors_are_those_of_the_normal_distribution() -> None:
    """Mean and median ranges of two normal values are 2/√π and √2 times the 3/4 quantile (SciPy)."""
    assert pytest.approx(2.0 / np.sqrt(np.pi), abs=5e-4) == MEAN_OF_RANGES_OF_TWO
    assert pytest.approx(stats.norm.ppf(0.75), abs=1e-12) == MEDIAN_DISTANCE
    assert pytest.approx(stats.halfnorm(scale=np.sqrt(2.0)).median(), abs=1e-12) == MEDIAN_RANGE_OF_TWO


@pytest.mark.parametrize("seed", range(5))
def test_robust_and_plain_level_agree_on_normal_values(seed: int) -> None:
    """Of 4,000 normal values both find centre and scatter within some per cent."""
    values = np.random.default_rng(seed).normal(10.0, 2.0, 4_000)
    robust, plain = robust_level(values), individuals_chart(values).level
    assert robust.centre == pytest.approx(10.0, abs=0.15)
    assert robust.sigma == pytest.approx(2.0, rel=0.06)
    assert plain.sigma == pytest.approx(2.0, rel=0.06)


def test_strays_move_the_plain_level_and_not_the_robust_one() -> None:
    """Four strays of thirty values treble plain limits and do not double robust ones."""
    values = np.random.default_rng(3).normal(10.0, 2.0, 30)
    strays = values.copy()
    strays[[4, 11, 17, 25]] += 60.0
    before, after = robust_level(values), robust_level(strays)
    assert abs(after.centre - before.centre) < 0.5 * before.sigma
    assert after.sigma < 2.0 * before.sigma
    assert individuals_chart(strays).level.sigma > 3.0 * individuals_chart(values).level.sigma


def test_rounded_readings_that_never_move_still_have_a_scatter() -> None:
    """Twenty equal readings scatter by the least scatter that was asked for, and not by zero."""
    assert robust_level(np.full(20, 3.0), least_sigma=0.1) == Level(3.0, 0.1)
    assert shewhart_limits(Level(3.0, 0.1)) == pytest.approx((2.7, 3.3))


def test_the_limits_of_the_average_widen_to_the_lasting_ones() -> None:
    """The first limit is that of a single weighted value, the fiftieth that of NIST 6.3.2.4."""
    level = Level(0.0, 1.0)
    low, high = ewma_limits(level, weight=0.2, count=50)
    assert high[0] == pytest.approx(3.0 * 0.2)
    assert high[-1] == pytest.approx(float(ewma_limits(level, weight=0.2)[1][0]))
    assert low == pytest.approx(-high)
    assert (np.diff(high) >= 0.0).all()


def test_the_average_scatters_as_its_limits_say() -> None:
    """Of 20,000 normal values, 0.27 % of the averages are beyond three times their scatter."""
    values = np.random.default_rng(8).normal(0.0, 1.0, 20_000)
    high = float(ewma_limits(Level(0.0, 1.0), weight=0.2)[1][0])
    beyond = float((np.abs(ewma(values, weight=0.2, start=0.0)) > high).mean())
    assert beyond == pytest.approx(2.0 * stats.norm.sf(3.0), abs=0.0015)


def test_where_the_run_of_a_sum_began() -> None:
    """A shift at value 20 is dated within some values of it; a sum that never was zero began at the first."""
    values = np.random.default_rng(1).normal(0.0, 1.0, 60)
    values[20:] += 2.5
    up, _ = cusum(values, centre=0.0, slack=0.5)
    assert abs(first_of_run(up, 59) - 20) <= 3
    assert first_of_run(np.array([1.0, 2.0]), 1) == 0
    assert first_of_run(np.array([0.0, 0.0]), 1) == 1


@pytest.mark.parametrize("seed", range(3))
def test_the_slope_is_that_of_scipy(seed: int) -> None:
    """The median slope is the Theil-Sen slope of SciPy."""
    values = np.random.default_rng(seed).normal(0.0, 1.0, 41) + 0.3 * np.arange(41)
    assert median_slope(values) == pytest.approx(stats.theilslopes(values)[0])


def test_what_cannot_be_estimated_is_refused() -> None:
    """One value has neither scatter nor slope, and no weight no average."""
    with pytest.raises(ValueError, match="two values"):
        robust_level(np.array([1.0]))
    with pytest.raises(ValueError, match="two values"):
        median_slope(np.array([1.0]))
    for weight in (0.0, 1.5, float("nan")):
        with pytest.raises(ValueError, match="weight"):
            ewma(np.array([1.0]), weight=weight, start=0.0)
