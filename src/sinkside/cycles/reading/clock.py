"""Clock and elapsed times, with or without a date, as seconds.

Stamps that are missing, repeat or run backwards stay so. Only midnight is crossed, where stamps carry no
date: a step back of more than half a day is the next day.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.clock_change import over_clock_change
from sinkside.cycles.reading.dates import days_of
from sinkside.cycles.reading.heads import Head
from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.spelling import DateOrder
from sinkside.cycles.reading.stamp_parts import parts_of
from sinkside.errors import BadInput, UnreadableFile
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

DAY_S: Final = 86_400.0
HOUR_S: Final = 3_600.0
_MINUTE_S: Final = 60.0
_HOURS_OF_A_DAY: Final = 24

#: Seconds are told to as many places; dates two thousand years on leave no more in a float.
_MILLISECONDS: Final = 3

#: Between these no machine cycle can be doubted for its length, so that 38:03 cannot be hours and minutes.
SHORTEST_CYCLE_S: Final = 240.0
LONGEST_CYCLE_S: Final = 12 * HOUR_S

DATE: Final = re.compile(
    r"^(?:[^\W\d_]{2,9}[.,]* )?(?:\d{1,4}[./ -]+(\d{1,2}|[^\W\d_]{3,9}\.?)[./ -]+\d{1,4}|(?:19|20)\d{6})\.?$"
)

#: Other ways to write a stamp, and how to bring each into the usual one.
_REWRITTEN: Final = (
    (r"^(\d{4})(\d\d)(\d\d)[T_ ]?(\d\d)(\d\d)(\d\d)([.,]\d+)?(Z?)$", "${1}-${2}-${3} ${4}:${5}:${6}${7}${8}"),
    (r"^(\d{1,2}:\d\d(?::\d\d)?(?:[.,]\d+)?)[ ,;]+(\d{1,4}[./-]\d{1,2}[./-]\d{1,4})$", "${2} ${1}"),
    (r"^((?:.+[ T]+)?\d+):(\d\d):(\d\d):(\d{1,3})$", "${1}:${2}:${3}.${4}"),
    (r"^(?:(.+)[ T]+)(\d{1,2})\.(\d\d)\.(\d\d)$", "${1} ${2}:${3}:${4}"),
)
_DOTTED: Final = r"^(\d{1,2})\.(\d\d)\.(\d\d)$"
_ELAPSED: Final = re.compile(r"elaps|dauer|durée|duration|écoul|transcur|trascor|verstr")
_WEEKDAY: Final = re.compile(r"^[^\W\d_]{2,9}[.,]* (?=\d)")


def as_usual(column: pl.Series, sample: str) -> pl.Series:
    """A column of stamps in the usual writing, whatever way of the trade its first stamp shows.

    >>> import polars as pl
    >>> as_usual(pl.Series(["20260304071233"]), "20260304071233").to_list()
    ['2026-03-04 07:12:33']
    >>> as_usual(pl.Series(["7.12.58", "7.12.59", "7.13.00"]), "7.12.58").to_list()
    ['7:12:58', '7:12:59', '7:13:00']
    """
    for pattern, usual in _REWRITTEN:
        if re.match(pattern, sample):
            return column.str.strip_chars().str.replace(pattern, usual)
    # Dates do not change from row to row; 7.12.33 that does is a time of day.
    if re.match(_DOTTED, sample) and column.n_unique() * 2 > len(column):
        return column.str.strip_chars().str.replace(_DOTTED, "${1}:${2}:${3}")
    if _WEEKDAY.match(sample):
        return column.str.strip_chars().str.replace(r"^\p{L}{2,9}[.,]* ", "")
    return column


@dataclass(frozen=True, eq=False)
class ClockTimes:
    """Clock times as seconds.

    Attributes:
        seconds: Shape (n,), since midnight of some day; where `first` is known, since the midnight that is a
            day before year 1.
        notes: What was inferred.
        unit: What times of two parts are.
        first: The first of them; aware where stamps say how far they are from UTC, None where no day is
            known.
    """

    seconds: FloatArray
    notes: tuple[str, ...]
    unit: str | None
    first: datetime | None


def clock_times(column: pl.Series, head: Head, reading: Reading) -> ClockTimes:
    """Clock times, with or without a date, as seconds.

    Args:
        column: Stamps in the usual writing.
        head: Of the column.
        reading: What a person said.

    Raises:
        UnreadableFile: if no stamp can be read.
        BadInput: if it cannot be told what two parts are, or in which order a date stands.
    """
    parts = parts_of(column)
    a, b, c, fraction = parts.first, parts.second, parts.third, parts.fraction
    has_seconds = np.isfinite(c)
    three = (a * 60.0 + b) * 60.0 + np.where(has_seconds, c, 0.0) + fraction
    three = np.where((b < _MINUTE_S) & ~(c >= _MINUTE_S), three, np.nan)
    notes: tuple[str, ...] = ()
    unit: str | None = None
    seconds = three
    if not has_seconds.all():
        b = np.where(b < _MINUTE_S, b, np.nan)
        unit, notes = _unit_of_two_parts((a, b, fraction), head, reading, has_seconds)
        two = a * _MINUTE_S + b + fraction if unit == "mm:ss" else (a * _MINUTE_S + b) * _MINUTE_S
        seconds = np.where(has_seconds, three, two)
    is_clock = unit != "mm:ss" and not parts.zoned
    seconds = seconds + parts.shift_s - parts.offset_s
    seconds, more, dated = _from_day_to_day(seconds, parts.dates, reading.date_order, is_clock=is_clock)
    filled = seconds[np.isfinite(seconds)]
    if not filled.size:
        raise UnreadableFile(f"the column '{head.name}' holds no times that can be read")
    first = moment_of(float(filled[0]), is_utc=parts.zoned) if dated and unit != "mm:ss" else None
    return ClockTimes(seconds, (*notes, *more), unit, first)


def moment_of(seconds: float, *, is_utc: bool) -> datetime | None:
    """A moment from seconds since the midnight a day before year 1; None outside the calendar.

    >>> moment_of(739_706 * DAY_S + 0.25, is_utc=False)
    datetime.datetime(2026, 3, 31, 0, 0, 0, 250000)
    """
    try:
        told = datetime.min + timedelta(seconds=round(seconds - DAY_S, _MILLISECONDS))  # noqa: DTZ901 # a clock's
    except OverflowError:
        return None
    return told.replace(tzinfo=UTC) if is_utc else told


def _from_day_to_day(
    seconds: FloatArray, dates: pl.Series | None, order: DateOrder | None, *, is_clock: bool
) -> tuple[FloatArray, tuple[str, ...], bool]:
    """Times of day on their days, over midnight and a night in which the clocks change; are days known?"""
    days, notes, dated = np.zeros(seconds.size), tuple[str, ...](), False
    if dates is None:
        seconds = over_midnight(seconds)
    else:
        days, notes, dated = days_of(dates, order)
    seconds = seconds + days * DAY_S
    if not is_clock:
        return seconds, notes, dated
    seconds, more = over_clock_change(seconds, dated=dated)
    return seconds, (*notes, *more), dated


def _unit_of_two_parts(
    parts: tuple[FloatArray, FloatArray, FloatArray], head: Head, reading: Reading, has_seconds: np.ndarray
) -> tuple[str, tuple[str, ...]]:
    """`07:12`, which may be minutes and seconds or hours and minutes."""
    a, b, fraction = parts
    as_minutes = a * _MINUTE_S + b + fraction
    said = head.unit if head.unit in {"mm:ss", "hh:mm"} else reading.time_unit
    if said == "mm:ss" or has_seconds.any():
        return "mm:ss", ()
    if said == "hh:mm":
        return "hh:mm", ()
    known = as_minutes[np.isfinite(as_minutes)]
    span = float(np.ptp(known)) if known.size else 0.0
    if fraction.any() or (known.size and float(np.nanmax(a)) >= _HOURS_OF_A_DAY):
        return "mm:ss", ("times are mm:ss: as h:mm they would be no times of day",)
    if span < SHORTEST_CYCLE_S:
        return "hh:mm", ("times are h:mm: as mm:ss the cycle would last for seconds",)
    if known[0] < _MINUTE_S or _is_elapsed(head):
        return "mm:ss", ("times are mm:ss: they count from the start, and as h:mm would last for hours",)
    raise BadInput(
        f"the times in '{head.name}' may be minutes and seconds or hours and minutes; "
        "say which with --time-unit mm:ss|hh:mm"
    )


def _is_elapsed(head: Head) -> bool:
    return _ELAPSED.search(head.name.lower()) is not None


def over_midnight(seconds: FloatArray) -> FloatArray:
    """Times of day with a day added at each midnight."""
    filled = np.isfinite(seconds)
    known = seconds[filled]
    back = np.diff(known) < -DAY_S / 2
    if not back.any():
        return seconds
    result = seconds.copy()
    result[filled] = known + np.concatenate(([0.0], np.cumsum(back))) * DAY_S
    return result
