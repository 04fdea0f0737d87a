"""The night when the clocks change: wall-clock stamps as elapsed seconds where the samples settle it.

The hour that comes twice is never settled in silence. Stamps step back by an hour at a full hour of the night
and go on at the recorder's own interval, on a Sunday when clocks change: then the samples ran on, and it is
said so. Whatever fits less well stays a clock that was set, and so does a change on a day that nobody knows.
"""

from __future__ import annotations

from datetime import date
from typing import Final

import numpy as np

from sinkside.science.validity import FloatArray

_HOUR_S: Final = 3_600.0
_DAY_S: Final = 86_400.0

#: Clocks go back or forward at a full hour, at midnight or within so many hours after it (IANA time zone
#: database, rules in force since 2007: between 0:00 and 4:00 in every zone but Troll's and Lord Howe's).
_LATEST_S: Final = 4.0 * _HOUR_S

#: Across the change the samples go on at their own interval, or later by this share of it or so many seconds.
_LATER: Final = 0.5
_LATER_S: Final = 1.0

#: The Sundays on which clocks go back and forward, as month, first and last day (the same rules, from
#: memory): Europe and North America, then the southern half.
_BACK: Final = ((10, 25, 31), (11, 1, 7), (4, 1, 7))
_FORWARD: Final = ((3, 25, 31), (3, 8, 14), (9, 24, 30), (9, 2, 8), (10, 1, 7))
_SUNDAY: Final = 6

#: The hours that may come twice: 1:00 to 2:00, 2:00 to 3:00 or 3:00 to 4:00, by country.
_TWICE_FROM_S: Final = _HOUR_S
_TWICE_TO_S: Final = 4.0 * _HOUR_S


def over_clock_change(seconds: FloatArray, *, dated: bool) -> tuple[FloatArray, tuple[str, ...]]:
    """Stamps of a wall clock as if it had never been changed, and what was inferred.

    Args:
        seconds: Shape (n,): since midnight of some day, or since 1 January of year 1 less a day where `dated`
            (so that whole days are ordinals of dates).
        dated: Whether the days are known.

    >>> sunday = date(2026, 10, 25).toordinal() * 86_400.0
    >>> back = sunday + np.array([3.0 * 3600.0 - 1.0, 2.0 * 3600.0, 2.0 * 3600.0 + 1.0])
    >>> told, notes = over_clock_change(back, dated=True)
    >>> np.diff(told).tolist(), notes[0][:47]
    ([1.0, 1.0], 'the clock went back by an hour from 3:00 to 2:0')
    """
    known = np.flatnonzero(np.isfinite(seconds))
    steps = np.diff(seconds[known])
    changes = np.flatnonzero((steps < 0.0) | (steps >= _HOUR_S))
    if changes.size != 1:
        return seconds, () if changes.size else _hour_that_comes_twice(seconds[known], dated=dated)
    at = int(changes[0])
    shift = _HOUR_S if steps[at] < 0.0 else -_HOUR_S
    usual = np.delete(steps, at)
    interval = float(np.median(usual)) if usual.size else 0.0
    longest = interval + max(_LATER * interval, _LATER_S)
    turned = _turned_at(float(seconds[known[at]]), longest, shift=shift, dated=dated)
    if turned is None or not (interval > 0.0 and 0.0 < steps[at] + shift <= longest):
        return seconds, ()
    result = seconds.copy()
    result[known[at] + 1 :] += shift
    went = "back" if shift > 0.0 else "forward"
    note = (
        f"the clock went {went} by an hour from {_clock(turned)} to {_clock(turned - shift)}, and the "
        f"samples went on every {interval:g} s: counted as running on"
    )
    return result, (note,)


def _turned_at(before_s: float, longest_s: float, *, shift: float, dated: bool) -> float | None:
    """The full hour of the night, in seconds of the day, at which the clock was turned; None if it was none.

    `before_s` is the last stamp before, `longest_s` how much later the next sample may be. Without a date
    any clock that was set at a full hour would look the same.
    """
    hour = float(np.floor(before_s / _HOUR_S) + 1.0) * _HOUR_S
    of_day = hour % _DAY_S
    if not dated or hour - before_s > longest_s or of_day > _LATEST_S:
        return None
    day = date.fromordinal(int(hour // _DAY_S))
    return of_day if _is_among(day, _BACK if shift > 0.0 else _FORWARD) else None


def _is_among(day: date, sundays: tuple[tuple[int, int, int], ...]) -> bool:
    """Whether clocks change on a day."""
    return day.weekday() == _SUNDAY and any(
        day.month == month and first <= day.day <= last for month, first, last in sundays
    )


def _hour_that_comes_twice(seconds: FloatArray, *, dated: bool) -> tuple[str, ...]:
    """What is to be said of stamps in an hour that may have come twice, though none of them steps back."""
    if not dated or not seconds.size:
        return ()
    first = date.fromordinal(int(seconds[0] // _DAY_S))
    of_day = seconds % _DAY_S
    within = (of_day >= _TWICE_FROM_S) & (of_day < _TWICE_TO_S)
    if not (_is_among(first, _BACK) and within.any()):
        return ()
    return (
        "in the night when clocks go back no stamp says which of the two hours it is in: their order counts",
    )


def _clock(seconds: float) -> str:
    hours, rest = divmod(round(seconds % _DAY_S), int(_HOUR_S))
    return f"{hours}:{rest // 60:02d}"
