"""Exact bounds of a share that was counted, and how many observations a confidence needs.

What is counted either happened or did not, each time by the same chance and apart from the others. The bounds
are Clopper and Pearson's: they hold at least as often as they say, whatever the true share is.
"""

from __future__ import annotations

import math
from collections.abc import Callable

#: Halvings of the interval from 0 to 1 until no double lies between its ends.
_HALVINGS = 200

#: Terms of a continued fraction, far more than it takes; when two are the same; what stands for nought in it.
_TERMS = 100_000
_SAME = 1e-15
_TINY = 1e-300

#: No audit counts more; a search that comes here was asked for a certainty that nobody can afford.
_MOST = 10_000_000


def at_most(count: int, observed: int, share: float) -> float:
    """The chance of so many or fewer in so many observations, by the binomial distribution.

    Args:
        count: How often it happens at most.
        observed: How many observations.
        share: The true share, 0 to 1.

    Raises:
        ValueError: if the count is not between none and all, or the share not between 0 and 1.

    Source: binomial distribution as an incomplete beta function, DLMF 8.17.5 (from memory; by SciPy).

    >>> round(at_most(0, 3, 0.5), 9)
    0.125
    """
    _refuse_unless_counted(count, observed)
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"a share of {share:g} is not between 0 and 1")
    if share == 0.0 or count == observed:
        return 1.0
    if share == 1.0:
        return 0.0
    return _incomplete_beta((1.0 - share, share), observed - count, count + 1)


def upper_bound(count: int, observed: int, confidence: float) -> float:
    """The share that is not exceeded, one-sided: a larger one would show so few only rarely.

    Args:
        count: How often it happened.
        observed: How many observations, one or more.
        confidence: How often the bound must hold, such as 0.95.

    Raises:
        ValueError: if the count is not between none and all, or the confidence not between 0 and 1.

    Source: Clopper and Pearson, Biometrika 26 (1934) 404 (from memory; computed).

    >>> round(upper_bound(0, 59, 0.95), 4)
    0.0495
    """
    _refuse_unless_counted(count, observed)
    _refuse_unless_confidence(confidence)
    if count == observed:
        return 1.0
    return _where(lambda share: at_most(count, observed, share) <= 1.0 - confidence)


def lower_bound(count: int, observed: int, confidence: float) -> float:
    """The share that is reached at least, one-sided: the upper bound of its opposite, turned round.

    Raises:
        ValueError: as `upper_bound`.

    Source: Clopper and Pearson, Biometrika 26 (1934) 404 (from memory; computed).

    >>> round(lower_bound(59, 59, 0.95), 4)
    0.9505
    """
    _refuse_unless_counted(count, observed)
    return 1.0 - upper_bound(observed - count, observed, confidence)


def interval(count: int, observed: int, confidence: float) -> tuple[float, float]:
    """The share from at least to at most, what may be missed shared evenly between the two ends.

    Raises:
        ValueError: as `upper_bound`.

    Source: Clopper and Pearson, Biometrika 26 (1934) 404 (from memory; computed).

    >>> low, high = interval(5, 10, 0.95)
    >>> round(low, 4), round(high, 4)
    (0.1871, 0.8129)
    """
    one_sided = 0.5 + 0.5 * confidence
    return lower_bound(count, observed, one_sided), upper_bound(count, observed, one_sided)


def observations_needed(share: float, confidence: float, *, failures: int = 0) -> int:
    """How many observations show, with a confidence, that failures are rarer than a share.

    Args:
        share: Of failures that is to be excluded, such as 0.05.
        confidence: How sure, such as 0.95.
        failures: How many may be among them.

    Raises:
        ValueError: if share or confidence is not between 0 and 1, or more than ten million would be needed.

    Source: least n with at most `failures` of n at that share no likelier than 1 - confidence; without
    failures ln(1 - confidence) / ln(1 - share), rounded up (computed).

    >>> observations_needed(0.05, 0.95), observations_needed(0.05, 0.95, failures=1)
    (59, 93)
    """
    _refuse_unless_confidence(confidence)
    if not 0.0 < share < 1.0:
        raise ValueError(f"a share of {share:g} is not between 0 and 1")
    if failures < 0:
        raise ValueError(f"{failures} failures; expected none or more")
    few, enough = failures, failures + 1
    while at_most(failures, enough, share) > 1.0 - confidence:
        few, enough = enough, 2 * enough
        if few > _MOST:
            raise ValueError(f"more than {_MOST} observations would be needed")
    while enough - few > 1:
        middle = (few + enough) // 2
        few, enough = (
            (few, middle) if at_most(failures, middle, share) <= 1.0 - confidence else (middle, enough)
        )
    return enough


def _incomplete_beta(x_and_rest: tuple[float, float], a: int, b: int) -> float:
    """The regularized incomplete beta function, by the continued fraction on the side where it is quick."""
    x, rest = x_and_rest
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - _incomplete_beta((rest, x), b, a)
    scale = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log(rest)
    return math.exp(scale) / a / _continued_fraction(x, a, b)


def _continued_fraction(x: float, a: int, b: int) -> float:
    """The denominator of DLMF 8.17.22, by Lentz's method."""
    value, numerator, denominator = 1.0, 1.0, 0.0
    for step in range(1, _TERMS):
        half = step // 2
        if step % 2:
            term = -(a + half) * (a + b + half) * x / ((a + 2 * half) * (a + 2 * half + 1))
        else:
            term = half * (b - half) * x / ((a + 2 * half - 1) * (a + 2 * half))
        denominator = 1.0 / _kept_off_zero(1.0 + term * denominator)
        numerator = _kept_off_zero(1.0 + term / numerator)
        value *= numerator * denominator
        if abs(numerator * denominator - 1.0) < _SAME:
            break
    return value


def _kept_off_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def _where(is_beyond: Callable[[float], bool]) -> float:
    """The least share that is beyond; those above it are too."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if middle in {low, high}:
            break
        low, high = (low, middle) if is_beyond(middle) else (middle, high)
    return high


def _refuse_unless_counted(count: int, observed: int) -> None:
    if observed < 1 or not 0 <= count <= observed:
        raise ValueError(f"{count} of {observed} observations; expected none to all of one or more")


def _refuse_unless_confidence(confidence: float) -> None:
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"a confidence of {confidence:g} is not between 0 and 1")
