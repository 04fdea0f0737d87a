"""Which column is the time, and its stamps as seconds since the first."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.cells import numbers
from sinkside.cycles.reading.clock import (
    DATE,
    DAY_S,
    HOUR_S,
    LONGEST_CYCLE_S,
    SHORTEST_CYCLE_S,
    as_usual,
    clock_times,
    moment_of,
    over_midnight,
)
from sinkside.cycles.reading.clock_change import over_clock_change
from sinkside.cycles.reading.heads import Head
from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.stamp_parts import CLOCK
from sinkside.errors import BadInput, UnreadableFile
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

_SECONDS: Final = {"ms": 0.001, "s": 1.0, "min": 60.0, "h": HOUR_S, "d": DAY_S}

#: Plain numbers above this are milliseconds since 1970; spreadsheets count days since 1900.
_EPOCH_MS: Final = 1e11
_SPREADSHEET_DAYS: Final = (20_000.0, 80_000.0)

#: Dates are counted from the first day of year 1.
_DAYS_BEFORE_1970: Final = 719_163.0

#: A column without a name for time is one if nearly all its steps go forward.
_MOSTLY: Final = 0.9

#: Stamps that stand for several samples each are spread evenly if this many and more do.
_REPEATED_SHARE: Final = 0.45
_FEWEST_RUNS: Final = 4
_MANY: Final = 10
_SHARED: Final = 2
_SAME_S: Final = 1e-6

#: Parts of a day without a unit: a sample a second and less is one in hours too often.
_SLOWEST_PER_DAY_S: Final = 0.5
_QUICKEST_PER_HOUR_S: Final = 0.2
_HALF: Final = 0.5

_ROW_NUMBER: Final = re.compile(r"\W*(no|nr|num|n°|#|row|index|sample|scan|zeile|lfd\W*nr|id)\W*")
_INTERVAL: Final = re.compile(
    r"(?:interval|abtast|sampl|scan|cadence|période|intervallo|interwał|takt)[^\d\n]*(\d+(?:[.,]\d+)?)\s*"
    r"(ms|s|sec|sek|min|seconds?|minutes?|sekunden|minuten)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Stamps:
    """Seconds since the first stamp, the columns that they took, what was inferred, and in which unit.

    `first` is the first stamp; aware where it is told against UTC, None where its day is not known.
    """

    times_s: FloatArray
    taken: tuple[int, ...]
    inferred: tuple[str, ...] = ()
    unit: str | None = None
    first: datetime | None = None


def read_stamps(
    heads: Sequence[Head], columns: Sequence[pl.Series], reading: Reading, preamble: Sequence[str] = ()
) -> Stamps:
    """The first time-like column as seconds.

    Raises:
        BadInput: if no column is a time, or its unit cannot be told.
    """
    read = functools.cache(lambda index: _numbers_in(columns[index]))
    at = _time_column(heads, columns, read)
    if at is None:
        return _by_interval(columns, preamble)
    column, head = columns[at], heads[at]
    if column.dtype.is_temporal():
        return _from_typed(column, at)
    sample = _first_filled(column)
    if column.dtype.is_numeric() or not sample or not _is_clock_or_date(sample, column):
        values, notes, unit = _plain(read(at), head, reading)
        return _spread(Stamps(values, (at,), notes, unit))
    column = as_usual(column, sample)
    taken: tuple[int, ...] = (at,)
    if not CLOCK.match(_first_filled(column)):
        clock_at = next((i for i, c in enumerate(columns) if i != at and _is_time_of_day(c)), None)
        if clock_at is None:
            raise BadInput("there are dates without a time of day; expected a time for each sample")
        clock = as_usual(columns[clock_at], _first_filled(columns[clock_at]))
        column, taken, head = column + " " + clock, (at, clock_at), heads[clock_at]
    else:
        column, taken = _with_date_beside(column, at, heads, columns)
    told = clock_times(column, head, reading)
    return _spread(Stamps(_since_first(told.seconds), taken, told.notes, told.unit, told.first))


def _since_first(seconds: FloatArray) -> FloatArray:
    filled = seconds[np.isfinite(seconds)]
    since: FloatArray = seconds - filled[0] if filled.size else seconds
    return since


def _is_clock_or_date(sample: str, column: pl.Series) -> bool:
    usual = _first_filled(as_usual(column.head(50), sample))
    return bool(CLOCK.match(usual) or DATE.match(usual))


def _is_time_of_day(column: pl.Series) -> bool:
    sample = _first_filled(column)
    return bool(sample) and bool(CLOCK.match(_first_filled(as_usual(column.head(50), sample))))


def _with_date_beside(
    column: pl.Series, at: int, heads: Sequence[Head], columns: Sequence[pl.Series]
) -> tuple[pl.Series, tuple[int, ...]]:
    """A time of day with the date that stands in a column behind it, if one does."""
    found = CLOCK.match(_first_filled(column))
    if found is None or found["date"]:
        return column, (at,)
    for index, other in enumerate(columns):
        sample = _first_filled(other)
        if index != at and heads[index].kind in {"time", "other"} and DATE.match(sample):
            return other + " " + column, (index, at)
    return column, (at,)


def _first_filled(column: pl.Series) -> str:
    """The first text of a column that is not blank; '' for columns that are no text."""
    import polars as pl

    if column.dtype != pl.String:
        return ""
    return next((cell.strip() for cell in column.head(50).to_list() if cell and cell.strip()), "")


def _numbers_in(column: pl.Series) -> FloatArray:
    return numbers(column, decimal_comma="," in _first_filled(column))


def _time_column(
    heads: Sequence[Head], columns: Sequence[pl.Series], read: Callable[[int], FloatArray]
) -> int | None:
    """The first column that is a time by its content or its name; else one that only goes forward."""
    named = []
    for index, (head, column) in enumerate(zip(heads, columns, strict=True)):
        if column.dtype.is_temporal() or _is_stamp(head, column):
            return index
        if head.names_time:
            values = read(index)
            if np.isfinite(values).any():
                named.append((index, _share_forward(values) > _HALF))
                if named[-1][1]:
                    return index
    if named:
        return named[0][0]
    forward = [
        index for index, head in enumerate(heads) if head.kind == "other" and _goes_forward(read(index))
    ]
    # A row number goes forward too; a unit of time tells them apart.
    timed = [index for index in forward if heads[index].unit in _SECONDS]
    unnumbered = [index for index in forward if not _is_row_number(heads[index].name)]
    return next(iter(timed or unnumbered), None)


def _is_row_number(name: str) -> bool:
    return _ROW_NUMBER.fullmatch(name.lower()) is not None


def _is_stamp(head: Head, column: pl.Series) -> bool:
    """Whether a column holds times or dates as text, and no readings."""
    sample = _first_filled(column)
    if not sample or head.kind not in {"time", "other"}:
        return False
    if head.kind == "other" and re.fullmatch(r"\d+(?:[.,]\d+)?", sample):
        return False
    return _is_clock_or_date(sample, column)


def _share_forward(values: FloatArray) -> float:
    steps = np.diff(values)
    return float((steps >= 0.0).mean()) if steps.size else 1.0


def _goes_forward(values: FloatArray) -> bool:
    steps = np.diff(values)
    return bool(steps.size and (steps > 0.0).mean() > _MOSTLY)


def _by_interval(columns: Sequence[pl.Series], preamble: Sequence[str]) -> Stamps:
    """Stamps out of the interval that the lines above the head state, where no column is a time."""
    found = next((match for line in preamble if (match := _INTERVAL.search(line))), None)
    if found is None or not columns:
        raise BadInput("no column is a time; expected one with seconds, mm:ss, h:mm:ss, clock times or dates")
    unit = next(unit for unit in ("ms", "min", "s") if found[2].lower().startswith(unit))
    step = float(found[1].replace(",", ".")) * _SECONDS[unit]
    times: FloatArray = np.arange(len(columns[0]), dtype=np.float64) * step
    return Stamps(times, (), (f"times from the stated interval of {step:g} s",))


def _from_typed(column: pl.Series, at: int) -> Stamps:
    """Dates, times of day or durations that the file itself types."""
    import polars as pl

    ticks = column.cast(pl.Datetime("us")) if column.dtype == pl.Date else column
    if isinstance(ticks.dtype, (pl.Datetime, pl.Duration)):
        ticks = ticks.dt.cast_time_unit("ns")
    whole = ticks.cast(pl.Int64)
    first = whole.drop_nulls().first() if whole.null_count() < len(whole) else 0
    seconds: FloatArray = (whole - first).cast(pl.Float64).fill_null(float("nan")).to_numpy() * 1e-9
    if column.dtype == pl.Time:
        return Stamps(over_midnight(seconds), (at,))
    if not isinstance(column.dtype, pl.Datetime):
        return Stamps(seconds, (at,))
    began_s = float(str(first)) * 1e-9 + _DAYS_BEFORE_1970 * DAY_S
    is_utc = column.dtype.time_zone is not None
    stamps = Stamps(seconds, (at,), first=moment_of(began_s, is_utc=is_utc))
    if is_utc:
        return stamps
    told, notes = over_clock_change(seconds + began_s, dated=True)
    return replace(stamps, times_s=told - began_s, inferred=notes) if notes else stamps


def _plain(
    values: FloatArray, head: Head, reading: Reading
) -> tuple[FloatArray, tuple[str, ...], str | None]:
    """Plain numbers in the unit that the head, the option or their size tells."""
    filled = values[np.isfinite(values)]
    if not filled.size:
        raise UnreadableFile(f"the column '{head.name}' holds no times")
    elapsed = values - filled[0]
    unit = head.unit if head.unit in _SECONDS else reading.time_unit
    if unit in _SECONDS:
        return elapsed * _SECONDS[unit], (), unit
    if filled[0] > _EPOCH_MS:
        return elapsed * _SECONDS["ms"], ("times in milliseconds: counted from 1970",), None
    low, high = _SPREADSHEET_DAYS
    if low < filled[0] < high and np.ptp(filled) < 1.0:
        return elapsed * DAY_S, ("times in days: counted as spreadsheets do",), None
    step = float(np.median(np.diff(filled))) if filled.size > 1 else 0.0
    if step * DAY_S >= _SLOWEST_PER_DAY_S and step * HOUR_S < _QUICKEST_PER_HOUR_S:
        return elapsed * DAY_S, ("times in days: in hours there would be many samples a second",), "d"
    span = float(np.ptp(filled))
    if not SHORTEST_CYCLE_S <= span <= LONGEST_CYCLE_S:
        raise BadInput(
            f"the column '{head.name}' runs over {span:g} without a unit, which is no cycle in seconds; "
            "say which with --time-unit s|min|h"
        )
    return elapsed, ("times in seconds: no unit named, and the length fits a cycle",), "s"


def _spread(stamps: Stamps) -> Stamps:
    """Samples that share a coarse stamp spread evenly, where every stamp stands for as many of them.

    A recorder that samples every ten seconds and prints minutes writes each stamp six times. A clock that
    stood still for a while does not look so.
    """
    times = stamps.times_s
    steps = np.diff(times)
    if not steps.size or (steps == 0.0).mean() < _REPEATED_SHARE or not (steps >= 0.0).all():
        return stamps
    starts = np.concatenate(([0], np.flatnonzero(steps) + 1, [times.size]))
    lengths = np.diff(starts)
    values = times[starts[:-1]]
    jumps = np.diff(values)
    if lengths.size < _FEWEST_RUNS or np.ptp(jumps) > _SAME_S:
        return stamps
    inner = lengths[1:-1]
    usual, uneven = int(np.median(inner)), int(np.ptp(inner))
    if usual < _SHARED or uneven > _allowed(usual) or lengths[[0, -1]].max() > usual + uneven:
        return stamps
    place = np.arange(times.size) - np.repeat(starts[:-1], lengths)
    place[: lengths[0]] += usual - lengths[0]
    parts = np.repeat(np.concatenate(([usual], inner, [usual])), lengths)
    spread: FloatArray = np.repeat(values, lengths) + place * jumps[0] / parts
    note = f"{usual} samples share each stamp: spread evenly, every {jumps[0] / usual:g} s"
    first = stamps.first and stamps.first + timedelta(seconds=float(spread[0]))
    return replace(stamps, times_s=spread - spread[0], inferred=(*stamps.inferred, note), first=first)


def _allowed(usual: int) -> int:
    """How much the number of samples to a stamp may differ: by one, where there are many."""
    return 1 if usual >= _MANY else 0
