"""The column of times as seconds since the first stamp, however it is written.

Stamps that are missing, repeat or run backwards stay so. Only midnight is crossed, where stamps carry no
date: a step back of more than half a day is the next day.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sinkside.cycles.reading.cells import numbers
from sinkside.cycles.reading.dates import days_of
from sinkside.cycles.reading.heads import Head
from sinkside.cycles.reading.options import Reading
from sinkside.errors import BadInput, UnreadableFile
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

_DAY_S = 86_400.0
_HOUR_S = 3_600.0
_SECONDS = {"ms": 0.001, "s": 1.0, "min": 60.0, "h": _HOUR_S}

#: Between these no machine cycle can be doubted for its length, so that 38:03 cannot be hours and minutes.
_SHORTEST_CYCLE_S, _LONGEST_CYCLE_S = 240.0, 12 * _HOUR_S

#: Plain numbers above this are milliseconds since 1970; spreadsheets count days since 1900.
_EPOCH_MS = 1e11

_SPREADSHEET_DAYS = (20_000.0, 80_000.0)

#: A column without a name for time is one if nearly all its steps go forward.
_MOSTLY = 0.9

_STAMP = (
    r"^(?:(?P<date>.*?\d)[ T\u00a0]+)?"
    r"(?P<a>\d{1,4})[:hH](?P<b>\d{1,2})(?:[:mM'](?P<c>\d{1,2}))?(?P<part>[.,]\d+)?s?"
    r"\s*(?P<half>[AaPp])?\.?[Mm]?\.?\s*(?P<zone>Z|[+-]\d\d:?\d\d)?$"
)
_CLOCK = re.compile(_STAMP)
_DATE = re.compile(r"^\d{1,4}[./ -]+(\d{1,2}|[^\W\d_]{3,9}\.?)[./ -]+\d{1,4}$")


@dataclass(frozen=True)
class Stamps:
    """Seconds since the first stamp, the columns that they took, and what was inferred."""

    times_s: FloatArray
    taken: tuple[int, ...]
    inferred: tuple[str, ...] = ()


def read_stamps(heads: Sequence[Head], columns: Sequence[pl.Series], reading: Reading) -> Stamps:
    """The first time-like column as seconds.

    Raises:
        BadInput: if no column is a time, or its unit cannot be told.
    """
    at = _time_column(heads, columns)
    column, head = columns[at], heads[at]
    if column.dtype.is_temporal():
        return Stamps(_from_typed(column), (at,))
    sample = _first_filled(column)
    if column.dtype.is_numeric() or not (_CLOCK.match(sample) or _DATE.match(sample)):
        values, notes = _plain(numbers(column, decimal_comma="," in sample), head, reading)
        return Stamps(values, (at,), notes)
    taken: tuple[int, ...] = (at,)
    if not _CLOCK.match(sample):
        clock_at = next((i for i, c in enumerate(columns) if _CLOCK.match(_first_filled(c))), None)
        if clock_at is None:
            raise BadInput("there are dates without a time of day; expected a time for each sample")
        column, taken = column + " " + columns[clock_at], (at, clock_at)
        head = heads[clock_at]
    values, notes = _clock(column, head)
    return Stamps(values, taken, notes)


def _first_filled(column: pl.Series) -> str:
    """The first text of a column that is not blank; '' for columns that are no text."""
    import polars as pl

    if column.dtype != pl.String:
        return ""
    return next((cell.strip() for cell in column.head(50) if cell and cell.strip()), "")


def _time_column(heads: Sequence[Head], columns: Sequence[pl.Series]) -> int:
    """The first column that is a time by its content or its name; else one that only goes forward."""
    pairs = list(enumerate(zip(heads, columns, strict=True)))
    for index, (head, column) in pairs:
        sample = _first_filled(column)
        if column.dtype.is_temporal() or _CLOCK.match(sample) or _DATE.match(sample):
            return index
        if head.names_time and np.isfinite(numbers(column, decimal_comma="," in sample)).any():
            return index
    forward = [index for index, (head, column) in pairs if head.kind == "other" and _goes_forward(column)]
    # A row number goes forward too; a unit of time tells them apart.
    timed = [index for index in forward if heads[index].unit in _SECONDS]
    if not forward:
        raise BadInput("no column is a time; expected one with seconds, mm:ss, h:mm:ss, clock times or dates")
    return (timed or forward)[0]


def _goes_forward(column: pl.Series) -> bool:
    steps = np.diff(numbers(column, decimal_comma="," in _first_filled(column)))
    return bool(steps.size and (steps > 0.0).mean() > _MOSTLY)


def _from_typed(column: pl.Series) -> FloatArray:
    """Dates, times of day or durations that the file itself types."""
    import polars as pl

    ticks = column.cast(pl.Datetime("us")) if column.dtype == pl.Date else column
    if isinstance(ticks.dtype, (pl.Datetime, pl.Duration)):
        ticks = ticks.dt.cast_time_unit("ns")
    whole = ticks.cast(pl.Int64)
    first = whole.drop_nulls().first() if whole.null_count() < len(whole) else 0
    seconds: FloatArray = (whole - first).cast(pl.Float64).fill_null(float("nan")).to_numpy() * 1e-9
    return _over_midnight(seconds) if column.dtype == pl.Time else seconds


def _plain(values: FloatArray, head: Head, reading: Reading) -> tuple[FloatArray, tuple[str, ...]]:
    """Plain numbers in the unit that the head, the option or their size tells."""
    filled = values[np.isfinite(values)]
    if not filled.size:
        raise UnreadableFile(f"the column '{head.name}' holds no times")
    elapsed = values - filled[0]
    unit = head.unit if head.unit in _SECONDS else reading.time_unit
    if unit in _SECONDS:
        return elapsed * _SECONDS[unit], ()
    if filled[0] > _EPOCH_MS:
        return elapsed * _SECONDS["ms"], ("times in milliseconds: counted from 1970",)
    low, high = _SPREADSHEET_DAYS
    if low < filled[0] < high and np.ptp(filled) < 1.0:
        return elapsed * _DAY_S, ("times in days: counted as spreadsheets do",)
    span = float(np.ptp(filled))
    if not _SHORTEST_CYCLE_S <= span <= _LONGEST_CYCLE_S:
        raise BadInput(
            f"the column '{head.name}' runs over {span:g} without a unit, which is no cycle in seconds; "
            "say which with --time-unit s|min|h"
        )
    return elapsed, ("times in seconds: no unit named, and the length fits a cycle",)


def _clock(column: pl.Series, head: Head) -> tuple[FloatArray, tuple[str, ...]]:
    """Clock or elapsed times, with or without dates."""
    parts = column.str.strip_chars().str.extract_groups(_STAMP).struct
    a, b, c = (numbers(parts.field(name), decimal_comma=False) for name in "abc")
    fraction = numbers(parts.field("part").str.replace(",", "."), decimal_comma=False)
    fraction = np.where(np.isfinite(fraction), fraction, 0.0)
    has_seconds = np.isfinite(c)
    three = (a * 60.0 + b) * 60.0 + np.where(has_seconds, c, 0.0) + fraction
    two, notes = _two_parts(a, b, fraction, head, has_hours=bool(has_seconds.any()))
    seconds = np.where(has_seconds, three, two)
    seconds = _half_days(seconds, a, parts.field("half")) - _offsets(parts.field("zone"))
    dates = parts.field("date")
    if dates.null_count() < len(dates):
        days, more = days_of(dates)
        seconds, notes = seconds + days * _DAY_S, (*notes, *more)
    else:
        seconds = _over_midnight(seconds)
    filled = seconds[np.isfinite(seconds)]
    if not filled.size:
        raise UnreadableFile(f"the column '{head.name}' holds no times that can be read")
    return seconds - filled[0], notes


def _two_parts(
    a: FloatArray, b: FloatArray, fraction: FloatArray, head: Head, *, has_hours: bool
) -> tuple[FloatArray, tuple[str, ...]]:
    """`07:12`, which may be minutes and seconds or hours and minutes."""
    as_minutes, as_hours = a * 60.0 + b + fraction, (a * 60.0 + b) * 60.0
    if head.unit == "mm:ss" or has_hours:
        return as_minutes, ()
    if head.unit == "hh:mm":
        return as_hours, ()
    span = float(np.nanmax(as_minutes) - np.nanmin(as_minutes)) if np.isfinite(as_minutes).any() else 0.0
    if span >= _SHORTEST_CYCLE_S or fraction.any():
        return as_minutes, ("times are mm:ss: as h:mm the cycle would last for hours",)
    return as_hours, ("times are h:mm: as mm:ss the cycle would last for seconds",)


def _half_days(seconds: FloatArray, hours: FloatArray, half: pl.Series) -> FloatArray:
    """Twelve-hour times as they stand in a day of twenty-four."""
    if half.null_count() == len(half):
        return seconds
    noon = 12.0
    letter = half.str.to_lowercase()
    after = (letter == "p").fill_null(value=False).to_numpy()
    before = (letter == "a").fill_null(value=False).to_numpy()
    shift = np.where(after & (hours < noon), noon, 0.0) - np.where(before & (hours == noon), noon, 0.0)
    return seconds + shift * _HOUR_S


def _offsets(zone: pl.Series) -> FloatArray | float:
    """Offsets from UTC in seconds, where stamps carry them."""
    if zone.null_count() == len(zone):
        return 0.0
    parts = zone.str.extract_groups(r"^(?P<sign>[+-])(?P<h>\d\d):?(?P<m>\d\d)$").struct
    hours, minutes = (numbers(parts.field(name), decimal_comma=False) for name in "hm")
    sign = np.where((parts.field("sign") == "-").fill_null(value=False).to_numpy(), -1.0, 1.0)
    offset = sign * (hours * _HOUR_S + minutes * 60.0)
    return np.where(np.isfinite(offset), offset, 0.0)


def _over_midnight(seconds: FloatArray) -> FloatArray:
    """Times of day with a day added at each midnight."""
    filled = np.isfinite(seconds)
    known = seconds[filled]
    days = np.concatenate(([0.0], np.cumsum(np.diff(known) < -_DAY_S / 2))) if known.size else known
    result = seconds.copy()
    result[filled] = known + days * _DAY_S
    return result
