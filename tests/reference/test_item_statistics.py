"""Item statistics against the answers to section 6 of the Law School Admission Test (LSAT-6).

Bock and Lieberman, Psychometrika 35 (1970) 179, print the patterns of 1,000 candidates and their counts; the
paper itself was not seen. Patterns and shares right are those that public data sets carry under that citation
(the R packages ltm and gllm name it; read in our reference data). Rizopoulos, J Stat Software 17 (2006) 5,
prints alpha and the correlations with the sums of these data (from memory); every figure is computed here a
second time with NumPy or SciPy, apart from our code, which no memory can fool.
"""

from __future__ import annotations

import csv
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from sinkside.science.item_statistics import (
    correlation,
    cronbach_alpha,
    item_statistics,
    kr20,
    scores_without,
    upper_lower,
)
from sinkside.science.validity import FloatArray

DATA = Path(__file__).parent / "data" / "lsat6_patterns.csv"
SHARES_RIGHT = (0.924, 0.709, 0.553, 0.763, 0.870)


@pytest.fixture(scope="module")
def lsat() -> FloatArray:
    """Every candidate's answers to the five questions."""
    lines = (line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    rows = [
        [float(sign) for sign in line["pattern"]]
        for line in csv.DictReader(lines)
        for _ in range(int(line["count"]))
    ]
    return np.array(rows)


def test_shares_right_are_those_published(lsat: FloatArray) -> None:
    """1,000 candidates; .924, .709, .553, .763 and .870 right; mean 3.819, scatter over n - 1 1.03504."""
    assert lsat.shape == (1000, 5)
    assert tuple(one.difficulty for one in item_statistics(lsat)) == pytest.approx(SHARES_RIGHT)
    sums = lsat.sum(axis=1)
    assert float(sums.mean()) == pytest.approx(3.819)
    assert float(sums.std(ddof=1)) == pytest.approx(1.03504, abs=5e-6)


def test_agreement_is_that_published_and_says_its_variance(lsat: FloatArray) -> None:
    """KR-20, all variances over n, is 0.294997; alpha is the same over n and n - 1; mixing gives 0.295952."""
    assert kr20(lsat) == pytest.approx(0.294997, abs=5e-7)
    assert cronbach_alpha(lsat) == pytest.approx(kr20(lsat), abs=1e-12)
    assert cronbach_alpha(lsat, over=1) == pytest.approx(kr20(lsat), abs=1e-12)
    mixed = 5 / 4 * (1 - lsat.var(axis=0).sum() / lsat.sum(axis=1).var(ddof=1))
    assert mixed == pytest.approx(0.295952, abs=5e-7)
    assert abs(mixed - kr20(lsat)) > 5e-4


def test_agreement_without_each_question_and_correlations_are_those_printed(lsat: FloatArray) -> None:
    """Rizopoulos 2006 prints alpha .2754 to .2663 with one left out, and .3620 to .4354 with the sums."""
    left_out = [round(cronbach_alpha(np.delete(lsat, column, axis=1)), 4) for column in range(5)]
    assert left_out == [0.2754, 0.2376, 0.2168, 0.2459, 0.2663]
    sums = lsat.sum(axis=1)
    with_sums = [round(correlation(lsat[:, column], sums), 4) for column in range(5)]
    assert with_sums == [0.3620, 0.5668, 0.6184, 0.5344, 0.4354]


def test_agreement_is_the_mean_of_all_halves(lsat: FloatArray) -> None:
    """Alpha of four questions is the mean of Guttman's coefficient over the three ways to halve them.

    Cronbach (1951) proves it; a second way to the same number that shares no formula with ours.
    """
    four = lsat[:, :4]
    total = four.sum(axis=1).var()
    halves = [(0, 1), (0, 2), (0, 3)]
    split = []
    for pair in halves:
        others = [one for one in range(4) if one not in pair]
        parts = four[:, list(pair)].sum(axis=1).var() + four[:, others].sum(axis=1).var()
        split.append(2.0 * (1.0 - parts / total))
    assert cronbach_alpha(four) == pytest.approx(float(np.mean(split)), abs=1e-12)


def test_discrimination_is_scipys_point_biserial(lsat: FloatArray) -> None:
    """Each question against the sum of the others: SciPy's point-biserial, .1128 to .1728 here."""
    found = [one.discrimination for one in item_statistics(lsat)]
    for column, one in enumerate(found):
        rest = lsat.sum(axis=1) - lsat[:, column]
        assert one == pytest.approx(stats.pointbiserialr(lsat[:, column], rest).statistic, abs=1e-12)
    assert [round(one, 4) for one in found] == [0.1128, 0.1532, 0.1728, 0.1444, 0.1216]


def test_upper_lower_is_the_mean_over_all_orders_of_the_tied() -> None:
    """Of six people with ties at both borders, the index is the mean over all 720 orders of them."""
    right = np.array([1.0, 1.0, 0.0, 1.0, 0.0, 0.0])
    scores = np.array([3.0, 2.0, 2.0, 2.0, 1.0, 1.0])
    by_order = []
    for order in permutations(range(6)):
        ordered = sorted(order, key=lambda one: -scores[one])
        by_order.append(right[ordered[:2]].mean() - right[ordered[-2:]].mean())
    assert upper_lower(right, scores, share=0.34) == pytest.approx(float(np.mean(by_order)), abs=1e-12)


def test_upper_lower_agrees_in_sign_and_order_with_the_correlation(lsat: FloatArray) -> None:
    """On LSAT-6 every question tells people apart the right way, and the middle one does it best, by both."""
    found = item_statistics(lsat)
    assert all(one.upper_lower > 0.0 for one in found)
    assert max(found, key=lambda one: one.upper_lower) is found[2]
    assert max(found, key=lambda one: one.discrimination) is found[2]


def test_not_being_asked_changes_nobody_elses_figures(lsat: FloatArray) -> None:
    """With a third of the answers struck at random, figures are those of the pairs that are left (SciPy)."""
    struck = lsat.copy()
    struck[np.random.default_rng(6).random(lsat.shape) < 1.0 / 3.0] = np.nan
    for column, one in enumerate(item_statistics(struck)):
        scores = scores_without(struck, column)
        both = ~np.isnan(struck[:, column]) & ~np.isnan(scores)
        expected = stats.pointbiserialr(struck[both, column], scores[both]).statistic
        assert one.discrimination == pytest.approx(expected, abs=1e-12)
        assert one.answered == int((~np.isnan(struck[:, column])).sum())
        assert one.difficulty == pytest.approx(SHARES_RIGHT[column], abs=0.05)
