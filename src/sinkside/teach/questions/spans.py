"""Whether a wrong figure is wrong: compared as quantities with their bounds, in one unit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from sinkside.errors import BadQuantity
from sinkside.quantities.figure import FigureValue

_RELATIVE: Final = 1e-6
_ABSOLUTE: Final = 1e-9


def is_wrong(candidate: FigureValue, allowed: Iterable[FigureValue]) -> bool:
    """Whether no figure that is allowed could make a candidate right.

    Each end of the candidate lies outside every allowed range; on an end of one it may lie only where it
    opens the other way ("at most 4 min" for "at least 4 min"). What cannot be compared is not called wrong.

    >>> four = FigureValue(quantity="time", min=4, unit="min")
    >>> [is_wrong(FigureValue(quantity="time", min=low, unit="s"), [four]) for low in (180, 240, 300)]
    [True, False, False]
    >>> is_wrong(FigureValue(quantity="time", max=240, unit="s"), [four])
    True
    """
    try:
        return all(_outside(candidate.ends(), one.ends(candidate.unit)) for one in allowed)
    except BadQuantity:
        return False


def is_inside(candidate: FigureValue, allowed: FigureValue) -> bool:
    """Whether all that a candidate allows is allowed; what cannot be compared is not.

    >>> four = FigureValue(quantity="time", min=4, unit="min")
    >>> [is_inside(FigureValue(quantity="time", min=low, unit="min"), four) for low in (3, 4, 5)]
    [False, True, True]
    """
    try:
        (low, high), (least, most) = candidate.ends(), allowed.ends(candidate.unit)
    except BadQuantity:
        return False
    return (low > least or _same(low, least)) and (high < most or _same(high, most))


def same_span(one: FigureValue, other: FigureValue) -> bool:
    """Whether two figures mean the same, in whatever unit."""
    try:
        ends = zip(one.ends(), other.ends(one.unit), strict=True)
        return all(_same(first, second) for first, second in ends)
    except BadQuantity:
        return False


def _outside(candidate: tuple[float, float], allowed: tuple[float, float]) -> bool:
    low, high = allowed
    is_point = _same(low, high)
    if is_point:
        return not (candidate[0] <= low <= candidate[1] or any(_same(low, end) for end in candidate))
    return all(_end_outside(end, candidate, allowed) for end in candidate if math.isfinite(end))


def _end_outside(end: float, candidate: tuple[float, float], allowed: tuple[float, float]) -> bool:
    low, high = allowed
    is_value = _same(*candidate)
    if _same(end, low):
        return not is_value and (candidate[1] < low or _same(candidate[1], low))
    if _same(end, high):
        return not is_value and (candidate[0] > high or _same(candidate[0], high))
    return not low < end < high


def _same(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=_RELATIVE, abs_tol=_ABSOLUTE)
