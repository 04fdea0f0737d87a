"""The disinfection plateau of a washer, found in the temperature, and where drying begins."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles.spans import Mask, Span, spans_of
from sinkside.science.validity import FloatArray

#: Level: the mean of this many seconds before and after a moment differ by no more than so many kelvin.
#: A washer heats by two kelvin in the same time or more.
_HALF_WINDOW_S: Final = 15.0
_LEVEL_K: Final = 0.5

#: Stretches of one plateau: interrupted by a dip, at the same level.
_SAME_LEVEL_K: Final = 2.0

#: A machine that fills with hot water stands level for a moment; so far below what disinfection asks for,
#: a stretch must last to be its plateau.
_FAR_BELOW_K: Final = 10.0
_LASTS_S: Final = 60.0

#: Drying begins where the temperature first rises so far above the plateau (Sinkside's contract).
DRYING_RISE_K: Final = 2.0


@dataclass(frozen=True)
class Plateau:
    """A level stretch: its samples, and its temperature in °C."""

    span: Span
    level_c: float


def disinfection_plateau(
    times_s: FloatArray, cold_c: FloatArray, *, floor_c: float, expected_c: float
) -> Plateau | None:
    """The first level stretch above a floor, in the hot part that holds the record's hottest moment.

    Args:
        times_s: Shape (n,).
        cold_c: The coldest probe at each moment, shape (n,); NaN where not to be believed.
        floor_c: What disinfects is hotter than this.
        expected_c: What the program asks disinfection to reach.

    >>> times = np.arange(0.0, 600.0, 2.0)
    >>> cold = np.interp(times, [0, 100, 300, 350, 600], [50, 91, 91, 100, 100])
    >>> round(disinfection_plateau(times, cold, floor_c=65.0, expected_c=90.0).level_c)
    91
    """
    level = _is_level(times_s, cold_c)
    hot = [
        part
        for span in spans_of(level & ~(cold_c < floor_c))
        if np.isfinite(cold_c[span.samples]).any()
        and _could_disinfect(part := _plateau(span, cold_c), times_s, expected_c)
    ]
    if not hot:
        return None
    group = _with_the_hottest(hot, cold_c, floor_c)
    first = _before_any_rise(group, times_s)
    same = [part for part in group if abs(part.level_c - first.level_c) <= _SAME_LEVEL_K]
    last = first
    for part in same[same.index(first) + 1 :]:
        between = cold_c[last.span.last : part.span.first + 1]
        if np.nanmax(between) > first.level_c + DRYING_RISE_K:
            break
        last = part
    return Plateau(Span(first.span.first, last.span.last), first.level_c)


def drying_begins(cold_c: FloatArray, plateau: Plateau) -> int | None:
    """The first sample that has risen 2 K above the plateau; None if none does."""
    risen = np.flatnonzero(cold_c[plateau.span.first :] > plateau.level_c + DRYING_RISE_K)
    return int(risen[0]) + plateau.span.first if risen.size else None


def _plateau(span: Span, cold_c: FloatArray) -> Plateau:
    return Plateau(span, float(np.nanmedian(cold_c[span.samples])))


def _could_disinfect(part: Plateau, times_s: FloatArray, expected_c: float) -> bool:
    lasts = float(times_s[part.span.last] - times_s[part.span.first]) >= _LASTS_S
    return lasts or part.level_c >= expected_c - _FAR_BELOW_K


def _before_any_rise(group: list[Plateau], times_s: FloatArray) -> Plateau:
    """The longest of the first stretches, up to where the temperature steps up."""
    first = group[0]
    for part in group[1:]:
        if part.level_c > first.level_c + DRYING_RISE_K:
            break
        first = max(first, part, key=lambda each: times_s[each.span.last] - times_s[each.span.first])
    return first


def _with_the_hottest(hot: list[Plateau], cold_c: FloatArray, floor_c: float) -> list[Plateau]:
    """The level stretches that no cold stretch parts from the hottest one."""
    hottest = max(hot, key=lambda part: part.level_c)
    start = hot.index(hottest)
    while start > 0:
        between = cold_c[hot[start - 1].span.last : hot[start].span.first + 1]
        if (between < floor_c).any():
            break
        start -= 1
    return hot[start : hot.index(hottest) + 1]


def _is_level(times_s: FloatArray, values: FloatArray) -> Mask:
    """Where the mean before and the mean after a moment agree."""
    known = np.isfinite(values)
    sums = np.concatenate(([0.0], np.cumsum(np.where(known, values, 0.0))))
    counts = np.concatenate(([0], np.cumsum(known)))
    at = np.arange(times_s.size)
    # Two samples at least on either side, however slow the recorder.
    before = np.minimum(np.searchsorted(times_s, times_s - _HALF_WINDOW_S), np.maximum(at - 2, 0))
    after = np.maximum(
        np.searchsorted(times_s, times_s + _HALF_WINDOW_S, side="right"), np.minimum(at + 3, at.size)
    )

    def mean(first: np.ndarray, last: np.ndarray) -> FloatArray:
        size = counts[last] - counts[first]
        with np.errstate(invalid="ignore"):
            return np.where(size > 1, (sums[last] - sums[first]) / np.maximum(size, 1), np.nan)

    level: Mask = np.abs(mean(at + 1, after) - mean(before, at)) <= _LEVEL_K
    return level
