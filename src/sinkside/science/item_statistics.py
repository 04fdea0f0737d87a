"""Whether questions are any good: how hard, how well they tell people apart, how far they agree.

Answers stand in a table, a row for each person and a column for each question: 1 right, 0 wrong, NaN not
asked. Where not everybody was asked everything, a person's score is the share that they had right of what
they were asked; of a full table that gives what sums of right answers give, as a correlation does not see a
scale.

Variances: KR-20 is of single answers p(1 - p), which is over n, so the variance of the sums is over n too
(Kuder and Richardson 1937). Coefficient alpha divides one variance by another, which is the same number over
n and over n - 1; some programs mix the two, and theirs then is a little higher.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.science.validity import FloatArray

#: The share of people in each of the two groups that are compared (Kelley, J Educ Psychol 30 (1939) 17:
#: 27 % is the best choice where scores are normal; second-hand).
GROUP_SHARE: Final = 0.27

_NO_NUMBER: Final = math.nan
_FEWEST: Final = 2
_HALF: Final = 0.5


@dataclass(frozen=True, slots=True)
class ItemStatistics:
    """What the answers to one question say; NaN where they say nothing.

    Attributes:
        answered: people who were asked.
        difficulty: share of them who were right; high is easy.
        discrimination: point-biserial correlation with the score on the other questions.
        upper_lower: share right among the best 27 % less that among the weakest 27 %, by the other questions.
    """

    answered: int
    difficulty: float
    discrimination: float
    upper_lower: float


def item_statistics(answers: FloatArray) -> tuple[ItemStatistics, ...]:
    """The statistics of each question.

    Args:
        answers: Shape (people, questions); 1 right, 0 wrong, NaN not asked.

    Raises:
        ValueError: if the table has another shape, or another number stands in it.

    Source: point-biserial with the item left out of the score, as classical test theory has it
    (Crocker and Algina 1986, from memory).

    >>> rows = np.array([[1.0, 1.0, 1.0], [1.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 0.0]])
    >>> round(item_statistics(rows)[1].discrimination, 4)
    0.7071
    """
    _refuse_unless_answers(answers)
    return tuple(item_of(answers, column) for column in range(answers.shape[1]))


def item_of(answers: FloatArray, column: int, *, fewest: int = 1) -> ItemStatistics:
    """The statistics of one question.

    Args:
        answers: Shape (people, questions); 1 right, 0 wrong, NaN not asked.
        column: Which question.
        fewest: Other questions that make a person's score.

    Raises:
        ValueError: if the table has another shape, or another number stands in it.

    Source: as `item_statistics`.

    >>> item_of(np.array([[1.0, 1.0], [0.0, 0.0]]), 0).difficulty
    0.5
    """
    _refuse_unless_answers(answers)
    right, scores = answers[:, column], scores_without(answers, column, fewest=fewest)
    asked = ~np.isnan(right)
    known = asked & ~np.isnan(scores)
    apart = upper_lower(right[known], scores[known]) if known.sum() >= _FEWEST else _NO_NUMBER
    return ItemStatistics(
        answered=int(asked.sum()),
        difficulty=float(right[asked].mean()) if asked.any() else _NO_NUMBER,
        discrimination=correlation(right, scores),
        upper_lower=apart,
    )


def scores_without(answers: FloatArray, column: int, *, fewest: int = 1) -> FloatArray:
    """Each person's share right of the other questions that they were asked; NaN where these were too few.

    Args:
        answers: Shape (people, questions); 1 right, 0 wrong, NaN not asked.
        column: The question that is left out.
        fewest: Other questions that make a score.

    Source: arithmetic.

    >>> scores_without(np.array([[1.0, 0.0, 1.0], [1.0, np.nan, np.nan]]), 0).tolist()
    [0.5, nan]
    """
    others = np.delete(answers, column, axis=1)
    asked = np.sum(~np.isnan(others), axis=1)
    return np.where(asked >= max(fewest, 1), np.nansum(others, axis=1) / np.maximum(asked, 1), np.nan)


def upper_lower(right: FloatArray, scores: FloatArray, *, share: float = GROUP_SHARE) -> float:
    """Share right among the best less that among the weakest; equal scores at a border count in part.

    Args:
        right: Shape (n,); 1 right, 0 wrong.
        scores: Shape (n,); by what people are ordered.
        share: Of people in each group, up to a half.

    Raises:
        ValueError: if the share is not above zero and up to a half.

    Source: upper-lower index (Kelley 1939, second-hand); in part is its mean over all orders of the tied.

    >>> upper_lower(np.array([1.0, 1.0, 0.0, 0.0]), np.array([4.0, 3.0, 2.0, 1.0]), share=0.5)
    1.0
    """
    if not 0.0 < share <= _HALF:
        raise ValueError(f"a share of {share:g} is not above 0 and up to 0.5")
    size = max(1.0, math.floor(share * right.size))
    return _share_right_among(right, scores, size) - _share_right_among(right, -scores, size)


def kr20(answers: FloatArray) -> float:
    """Kuder and Richardson's formula 20 of a full table, all variances over n; NaN if nobody differs.

    Args:
        answers: Shape (people, questions), two of each or more, nothing missing.

    Raises:
        ValueError: if something is missing, or there are fewer.

    Source: Kuder and Richardson, Psychometrika 2 (1937) 151, formula 20 (from memory; checked on LSAT-6).

    >>> kr20(np.array([[1.0, 1.0], [0.0, 0.0]]))
    1.0
    """
    _refuse_unless_full(answers)
    shares = answers.mean(axis=0)
    return _agreement(
        answers.shape[1], float((shares * (1.0 - shares)).sum()), float(answers.sum(axis=1).var())
    )


def cronbach_alpha(answers: FloatArray, *, over: int = 0) -> float:
    """Coefficient alpha of a full table; of right and wrong it is KR-20.

    Args:
        answers: Shape (people, questions), two of each or more, nothing missing.
        over: What is taken off n in both variances, 0 or 1; the coefficient is the same.

    Raises:
        ValueError: if something is missing, or there are fewer.

    Source: Cronbach, Psychometrika 16 (1951) 297 (from memory; checked on LSAT-6).

    >>> rows = np.array([[1.0, 1.0], [1.0, 0.0], [0.0, 0.0]])
    >>> round(cronbach_alpha(rows), 4), round(cronbach_alpha(rows, over=1), 4)
    (0.6667, 0.6667)
    """
    _refuse_unless_full(answers)
    single = float(answers.var(axis=0, ddof=over).sum())
    return _agreement(answers.shape[1], single, float(answers.sum(axis=1).var(ddof=over)))


def choice_shares(choices: Sequence[int], how_many: int) -> tuple[float, ...]:
    """How large a share took each choice.

    Args:
        choices: What people took, counted from 0.
        how_many: Choices that the question has.

    Raises:
        ValueError: if somebody took what is no choice, or nobody took any.

    Source: arithmetic.

    >>> choice_shares([0, 0, 1, 0], 3)
    (0.75, 0.25, 0.0)
    """
    if not choices or not all(0 <= one < how_many for one in choices):
        raise ValueError(f"expected choices from 0 to {how_many - 1}")
    return tuple(sum(1 for one in choices if one == choice) / len(choices) for choice in range(how_many))


def correlation(left: FloatArray, right: FloatArray) -> float:
    """Pearson's correlation of pairs of which both are there; NaN where one of the two never differs.

    >>> correlation(np.array([1.0, 2.0, 3.0]), np.array([2.0, 4.0, 6.0]))
    1.0
    """
    both = ~(np.isnan(left) | np.isnan(right))
    if both.sum() < _FEWEST:
        return _NO_NUMBER
    a, b = left[both] - left[both].mean(), right[both] - right[both].mean()
    scatter = math.sqrt(float(a @ a) * float(b @ b))
    return float(np.clip(float(a @ b) / scatter, -1.0, 1.0)) if scatter > 0.0 else _NO_NUMBER


def _share_right_among(right: FloatArray, scores: FloatArray, size: float) -> float:
    """The share right among so many with the highest scores; of those tied at the border, their mean."""
    border = np.sort(scores)[::-1][int(size) - 1]
    above, tied = scores > border, scores == border
    room = size - float(above.sum())
    return (float(right[above].sum()) + room * float(right[tied].mean())) / size


def _agreement(questions: int, single: float, total: float) -> float:
    return questions / (questions - 1) * (1.0 - single / total) if total > 0.0 else _NO_NUMBER


def _refuse_unless_answers(answers: FloatArray) -> None:
    if answers.ndim != _FEWEST:
        raise ValueError("expected a row for each person and a column for each question")
    if not np.isin(answers[~np.isnan(answers)], (0.0, 1.0)).all():
        raise ValueError("expected 1 for right, 0 for wrong and NaN for not asked")


def _refuse_unless_full(answers: FloatArray) -> None:
    _refuse_unless_answers(answers)
    if np.isnan(answers).any() or min(answers.shape) < _FEWEST:
        raise ValueError("expected two people and two questions or more, and every answer")
