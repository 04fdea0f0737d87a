"""Run charts, Pareto order and charts of rates against NumPy, SciPy and plain counting."""

from __future__ import annotations

import random

import numpy as np
import pytest
from scipy import stats

from sinkside.science.counts import chance_of_so_few, pareto, rate_chart
from sinkside.science.run_chart import FEWEST_USEFUL, crossings_needed, longest_allowed, run_chart


@pytest.mark.parametrize("seed", range(40))
def test_runs_and_crossings_are_those_that_numpy_counts(seed: int) -> None:
    """Of random series, ties with the median among them, NumPy finds the same runs and crossings."""
    values = np.random.default_rng(seed).integers(0, 7, size=5 + seed)
    sides = np.sign(values - np.median(values))
    sides = sides[sides != 0]
    turns = np.flatnonzero(np.diff(sides))
    lengths = np.diff(np.concatenate(([-1], turns, [sides.size - 1]))) if sides.size else np.array([0])
    chart = run_chart(values.tolist())
    assert chart.median == float(np.median(values))
    assert chart.useful == sides.size
    assert chart.crossings == turns.size
    assert chart.longest_run == lengths.max()


@pytest.mark.parametrize("useful", range(2, 400))
def test_limits_are_those_of_the_binomial_of_scipy(useful: int) -> None:
    """The fewest crossings are SciPy's 5 % quantile of a binomial; the longest run is log2 n + 3, rounded."""
    assert crossings_needed(useful) == int(stats.binom.ppf(0.05, useful - 1, 0.5))
    assert longest_allowed(useful) == int(np.rint(np.log2(useful) + 3))


def test_too_few_values_say_nothing_and_a_shift_is_a_signal() -> None:
    """Nine useful values signal nothing, however they lie; twelve below and twelve above are two signals."""
    few = run_chart([1.0] * 4 + [2.0] + [3.0] * 4)
    assert (few.can_say, few.run_is_long, few.crossings_are_few) == (False, False, False)
    shifted = run_chart([1.0] * 12 + [3.0] * 12)
    assert (shifted.can_say, shifted.run_is_long, shifted.crossings_are_few) == (True, True, True)
    mixed = run_chart([1.0, 3.0] * FEWEST_USEFUL)
    assert (mixed.run_is_long, mixed.crossings_are_few) == (False, False)
    with pytest.raises(ValueError, match="one value or more"):
        run_chart([])
    for limit in (longest_allowed, crossings_needed):
        with pytest.raises(ValueError, match="off the median"):
            limit(0)


def test_chance_alone_signals_seldom() -> None:
    """Of 4,000 random series of 24 values fewer than one in ten signals (simulated)."""
    chance = np.random.default_rng(11)
    charts = [run_chart(chance.normal(size=24).tolist()) for _ in range(4_000)]
    signals = sum(one.run_is_long or one.crossings_are_few for one in charts)
    assert 0.02 < signals / len(charts) < 0.10


@pytest.mark.parametrize("seed", range(20))
def test_a_pareto_is_the_counts_in_falling_order(seed: int) -> None:
    """Nothing is lost or doubled; the shares are NumPy's running sums; what was never seen is no bar."""
    chance = random.Random(seed)  # noqa: S311 # repeatable
    counts = {f"fault {number:02}": chance.randint(0, 9) for number in range(12)}
    bars = pareto(counts)
    assert {one.name: one.count for one in bars} == {name: count for name, count in counts.items() if count}
    assert [one.count for one in bars] == sorted((one.count for one in bars), reverse=True)
    running = np.cumsum([one.count for one in bars]) / sum(counts.values())
    assert [one.cumulated for one in bars] == pytest.approx(running.tolist())
    assert [one.share for one in bars] == pytest.approx(np.diff(running, prepend=0.0).tolist())


def test_a_pareto_of_nothing_is_empty_and_a_count_below_none_is_refused() -> None:
    """No counts, no bars; a negative count is no count."""
    assert pareto({}) == pareto({"soil": 0}) == ()
    with pytest.raises(ValueError, match="none or more"):
        pareto({"soil": -1})


@pytest.mark.parametrize("seed", range(10))
def test_limits_of_rates_follow_the_poisson_distribution(seed: int) -> None:
    """About the pooled rate, three of SciPy's Poisson deviations of each count; never below zero."""
    chance = np.random.default_rng(seed)
    over = chance.uniform(0.5, 9.0, size=20)
    counts = chance.poisson(2.0 * over)
    chart = rate_chart(counts.tolist(), over.tolist())
    assert chart.centre == pytest.approx(counts.sum() / over.sum())
    away = 3.0 * stats.poisson(chart.centre * over).std() / over
    assert list(chart.high) == pytest.approx((chart.centre + away).tolist())
    assert list(chart.low) == pytest.approx(np.maximum(chart.centre - away, 0.0).tolist())


@pytest.mark.parametrize(
    ("counts", "over"), [([], []), ([1], [1.0, 2.0]), ([1], [0.0])], ids=["none", "unequal", "nothing"]
)
def test_a_chart_of_rates_needs_something_to_count_over(counts: list[int], over: list[float]) -> None:
    """No values, other numbers of them, or a count over nothing are refused."""
    with pytest.raises(ValueError, match=r"expected as many|above zero"):
        rate_chart(counts, over)


@pytest.mark.parametrize(
    ("before", "after"), [((8, 1000.0), (1, 1000.0)), ((20, 300.0), (12, 500.0)), ((3, 50.0), (9, 70.0))]
)
def test_fewer_than_before_by_chance_is_the_exact_test_of_scipy(
    before: tuple[int, float], after: tuple[int, float]
) -> None:
    """The chance of so few afterwards is the one-sided exact binomial test of SciPy."""
    share = after[1] / (before[1] + after[1])
    expected = stats.binomtest(after[0], before[0] + after[0], share, alternative="less").pvalue
    assert chance_of_so_few(before, after) == pytest.approx(expected, rel=1e-9)


def test_no_events_at_all_show_nothing() -> None:
    """None before and none after may well be chance; a count over nothing is refused."""
    assert chance_of_so_few((0, 10.0), (0, 10.0)) == 1.0
    with pytest.raises(ValueError, match="more than nothing"):
        chance_of_so_few((1, 0.0), (0, 10.0))
