"""Clock and elapsed times, with or without a date, as seconds.

Stamps that are missing, repeat or run backwards stay so. Only midnight is crossed, where stamps carry no
date: a step back of more than half a day is the next day.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.cells import numbers
from sinkside.cycles.reading.dates import days_of
from sinkside.cycles.reading.heads import Head
from sinkside.cycles.reading.options import Reading
from sinkside.errors import BadInput, UnreadableFile
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

DAY_S: Final = 86_400.0
HOUR_S: Final = 3_600.0
_MINUTE_S: Final = 60.0
_HOURS_OF_A_DAY: Final = 24
_HIGHEST_DIGIT: Final = 9

#: Between these no machine cycle can be doubted for its length, so that 38:03 cannot be hours and minutes.
SHORTEST_CYCLE_S: Final = 240.0
LONGEST_CYCLE_S: Final = 12 * HOUR_S

_STAMP: Final = (
    r"^(?:(?P<date>.*?\d)(?:[ T\u00a0_]+|, *))?"
    r"(?P<a>\d{1,4})[:hH](?P<b>\d{1,2})(?:[:mM'](?P<c>\d{1,2}))?(?P<part>[.,]\d+)?[s\"]?"
    r"\s*(?:(?P<half>[AaPp])\.?\s?[Mm]\.?)?\s*(?P<zone>Z|UTC|[+-]\d\d:?\d\d)?$"
)
CLOCK: Final = re.compile(_STAMP)
DATE: Final = re.compile(
    r"^(?:[^\W\d_]{2,9}[.,]* )?(?:\d{1,4}[./ -]+(\d{1,2}|[^\W\d_]{3,9}\.?)[./ -]+\d{1,4}|(?:19|20)\d{6})\.?$"
)

#: Other ways to write a stamp, and how to bring each into the usual one.
_REWRITTEN: Final = (
    (r"^(\d{4})(\d\d)(\d\d)[T_ ]?(\d\d)(\d\d)(\d\d)([.,]\d+)?(Z?)$", "${1}-${2}-${3} ${4}:${5}:${6}${7}${8}"),
    (r"^(\d{1,2}:\d\d(?::\d\d)?(?:[.,]\d+)?)[ ,;]+(\d{1,4}[./-]\d{1,2}[./-]\d{1,4})$", "${2} ${1}"),
    (r"^(\d+):(\d\d):(\d\d):(\d{1,3})$", "${1}:${2}:${3}.${4}"),
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


def clock_times(
    column: pl.Series, head: Head, reading: Reading
) -> tuple[FloatArray, tuple[str, ...], str | None]:
    """Seconds since some moment, what was inferred, and what times of two parts are.

    Args:
        column: Stamps in the usual writing.
        head: Of the column.
        reading: What a person said.

    Raises:
        UnreadableFile: if no stamp can be read.
        BadInput: if it cannot be told what two parts are, or in which order a date stands.
    """
    parted = _parts_at_fixed_places(column) or _parts(column)
    a, b, c, fraction, half, zone, dates = parted
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
    seconds = seconds + half - zone
    if dates is not None:
        days, more = days_of(dates, reading.date_order)
        seconds, notes = seconds + days * DAY_S, (*notes, *more)
    else:
        seconds = over_midnight(seconds)
    if not np.isfinite(seconds).any():
        raise UnreadableFile(f"the column '{head.name}' holds no times that can be read")
    return seconds, notes, unit


_Parts = tuple[
    FloatArray, FloatArray, FloatArray, FloatArray, FloatArray | float, FloatArray | float, "pl.Series | None"
]


def _parts(column: pl.Series) -> _Parts:
    """Hours, minutes, seconds, their fraction, half days, offsets and dates of stamps of any length."""
    parts = column.str.strip_chars().str.extract_groups(_STAMP).struct
    a, b, c = (numbers(parts.field(name), decimal_comma=False) for name in "abc")
    fraction = np.zeros(len(column))
    if parts.field("part").null_count() < len(column):
        fraction = np.nan_to_num(numbers(parts.field("part").str.replace(",", "."), decimal_comma=False))
    dates = parts.field("date")
    dated = dates if dates.null_count() < len(dates) else None
    half = _half_days(a, parts.field("half"))
    return a, b, c, fraction, half, _offsets(parts.field("zone")), dated


def _parts_at_fixed_places(column: pl.Series) -> _Parts | None:
    """The same, quickly, where every stamp has its figures in the same places as the first; else None."""
    texts = [] if column.null_count() else column.to_list()
    first = texts[0] if texts else ""
    found = CLOCK.match(first) if first.isascii() else None
    data = "".join(texts)
    if found is None or found["half"] or found["c"] is None or not data.isascii():
        return None
    if len(data) != len(texts) * len(first):
        return None
    chars = np.frombuffer(data.encode("ascii"), dtype=np.uint8).reshape(len(texts), len(first))
    digits = chars.astype(np.int16) - ord("0")
    is_digit = (digits >= 0) & (digits <= _HIGHEST_DIGIT)
    steady = ~is_digit[0]
    if not (is_digit == is_digit[0]).all() or not (chars[:, steady] == chars[0, steady]).all():
        return None
    if (
        found["zone"]
        and not (chars[:, slice(*found.span("zone"))] == chars[0, slice(*found.span("zone"))]).all()
    ):
        return None
    a, b, c = (_whole(digits, found.span(name)) for name in "abc")
    fraction = np.zeros(len(texts))
    if found["part"]:
        start, end = found.span("part")
        fraction = _whole(digits, (start + 1, end)) / 10.0 ** (end - start - 1)
    if found["date"] is None:
        return a, b, c, fraction, 0.0, 0.0, None
    start, end = found.span("date")
    return a, b, c, fraction, 0.0, 0.0, _dates(column, chars[:, start:end], found["date"])


def _dates(column: pl.Series, chars: np.ndarray, first: str) -> pl.Series:
    import polars as pl

    if (chars == chars[0]).all():
        return pl.repeat(first, len(column), eager=True)
    return column.str.slice(0, len(first))


def _whole(digits: np.ndarray, span: tuple[int, int]) -> FloatArray:
    value = np.zeros(digits.shape[0])
    for place in range(*span):
        value = value * 10.0 + digits[:, place]
    return value


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


def _half_days(hours: FloatArray, half: pl.Series) -> FloatArray | float:
    """What turns twelve-hour times into those of a day of twenty-four, in seconds."""
    if half.null_count() == len(half):
        return 0.0
    noon = 12.0
    letter = half.str.to_lowercase()
    after = (letter == "p").fill_null(value=False).to_numpy()
    before = (letter == "a").fill_null(value=False).to_numpy()
    shift: FloatArray = np.where(after & (hours < noon), noon, 0.0) - np.where(
        before & (hours == noon), noon, 0.0
    )
    return shift * HOUR_S


def _offsets(zone: pl.Series) -> FloatArray | float:
    """Offsets from UTC in seconds, where stamps carry them."""
    if zone.null_count() == len(zone):
        return 0.0
    parts = zone.str.extract_groups(r"^(?P<sign>[+-])(?P<h>\d\d):?(?P<m>\d\d)$").struct
    hours, minutes = (numbers(parts.field(name), decimal_comma=False) for name in "hm")
    sign = np.where((parts.field("sign") == "-").fill_null(value=False).to_numpy(), -1.0, 1.0)
    offset = sign * (hours * HOUR_S + minutes * 60.0)
    return np.where(np.isfinite(offset), offset, 0.0)


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
