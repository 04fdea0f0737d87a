"""What item statistics and exact bounds refuse, and where they have no number."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sinkside.science import binomial
from sinkside.science.item_statistics import (
    choice_shares,
    cronbach_alpha,
    item_statistics,
    kr20,
    scores_without,
    upper_lower,
)


def test_where_nobody_differs_there_is_no_number() -> None:
    """A question that all had right has a difficulty and no discrimination; equal sums have no agreement."""
    rows = np.array([[1.0, 1.0], [1.0, 0.0], [1.0, 1.0]])
    found = item_statistics(rows)[0]
    assert found.difficulty == 1.0
    assert math.isnan(found.discrimination)
    assert math.isnan(kr20(np.array([[1.0, 0.0], [0.0, 1.0]])))


def test_a_question_that_nobody_was_asked_says_nothing() -> None:
    """Its figures are no numbers, and its column spoils no other."""
    rows = np.array([[1.0, np.nan, 1.0], [0.0, np.nan, 0.0]])
    alone, unasked, _ = item_statistics(rows)
    assert unasked.answered == 0
    assert math.isnan(unasked.difficulty)
    assert math.isnan(unasked.upper_lower)
    assert alone.discrimination == pytest.approx(1.0)
    assert np.isnan(scores_without(np.array([[1.0, np.nan]]), 0)).all()


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (np.array([1.0, 0.0]), "a row for each person"),
        (np.array([[1.0, 2.0]]), "1 for right, 0 for wrong"),
    ],
)
def test_other_tables_are_refused(rows: np.ndarray, expected: str) -> None:
    """A table of another shape, or with other numbers, is no table of answers."""
    with pytest.raises(ValueError, match=expected):
        item_statistics(rows)


def test_agreement_needs_every_answer() -> None:
    """A gap, or a single person, is refused: agreement of different questions means nothing."""
    for rows in (np.array([[1.0, np.nan], [0.0, 1.0]]), np.array([[1.0, 0.0]])):
        with pytest.raises(ValueError, match="every answer"):
            kr20(rows)
        with pytest.raises(ValueError, match="every answer"):
            cronbach_alpha(rows)


def test_shares_of_choices_and_groups_refuse_what_is_none() -> None:
    """What is no choice, nobody at all, and a group of more than half are refused."""
    for choices in ([], [3], [-1]):
        with pytest.raises(ValueError, match="choices from 0 to 2"):
            choice_shares(choices, 3)
    with pytest.raises(ValueError, match=r"up to 0\.5"):
        upper_lower(np.ones(4), np.ones(4), share=0.6)


@pytest.mark.parametrize(
    ("ask", "expected"),
    [
        (lambda: binomial.upper_bound(5, 4, 0.95), "5 of 4 observations"),
        (lambda: binomial.lower_bound(0, 0, 0.95), "0 of 0 observations"),
        (lambda: binomial.interval(1, 4, 1.0), "confidence of 1"),
        (lambda: binomial.at_most(1, 4, 1.5), "share of 1.5"),
        (lambda: binomial.observations_needed(0.0, 0.95), "share of 0"),
        (lambda: binomial.observations_needed(0.05, 0.95, failures=-1), "-1 failures"),
        (lambda: binomial.observations_needed(1e-9, 0.95), "more than 10000000"),
    ],
)
def test_bounds_refuse_what_was_never_counted(ask: object, expected: str) -> None:
    """Counts beyond all, certainty itself, and shares that no audit can exclude are refused in a sentence."""
    assert callable(ask)
    with pytest.raises(ValueError, match=expected):
        ask()
