"""Clock times taken apart: hours, minutes, seconds, halves of the day, offsets from UTC, and dates.

A recorder writes its figures in the same places all through, and only its remarks and heads stand elsewhere.
What stands in the usual places is taken apart at once; the rest one by one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from sinkside.cycles.reading.cells import numbers
from sinkside.cycles.spans import Mask
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

_HOUR_S: Final = 3_600.0
_NOON_H: Final = 12.0

#: So many of the first stamps are tried for one that most are like.
_TRIED: Final = 4
_MOST: Final = 0.5

_STAMP: Final = (
    r"^(?:(?P<date>.*?\d)(?:[ T\u00a0_]+|, *))?"
    r"(?P<a>\d{1,4})[:hH](?P<b>\d{1,2})(?:[:mM'](?P<c>\d{1,2}))?(?P<part>[.,]\d+)?[s\"]?"
    r"\s*(?:(?P<half>[AaPp])\.?\s?[Mm]\.?)?\s*(?P<zone>Z|UTC|[+-]\d\d:?\d\d)?$"
)
_SOME_DATE: Final = (
    r"^(?:\p{L}+[.,]* )?(?:\d+[-./ ]+(?:\d+|\p{L}+\.?)[-./, ]+\d+|\d{8}|\p{L}+[. ]+\d+,? +\d+)[.,]?$"
)
CLOCK: Final = re.compile(_STAMP)
_OFFSET: Final = re.compile(r"^(?P<sign>[+-])(?P<h>\d\d):?(?P<m>\d\d)$")

Characters = npt.NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class StampParts:
    """What clock times are made of, each of shape (n,); NaN, or null, for what is no time.

    Attributes:
        first: Hours, or minutes of a time without hours.
        second: Minutes, or seconds.
        third: Seconds; NaN for a time of two parts.
        fraction: Of a second.
        shift_s: What turns a time of twelve hours into one of a day of twenty-four.
        offset_s: From UTC; zero where stamps do not say it.
        dates: As text; None where no stamp has one.
        zoned: Whether stamps say how far they are from UTC, so that no change of the clock can hide in them.
    """

    first: FloatArray
    second: FloatArray
    third: FloatArray
    fraction: FloatArray
    shift_s: FloatArray
    offset_s: FloatArray
    dates: pl.Series | None
    zoned: bool


def parts_of(column: pl.Series) -> StampParts:
    """Clock times, with or without a date, taken apart.

    >>> import polars as pl
    >>> parts = parts_of(pl.Series(["07:12:33", "07:12:34", "07:12:35", "x", "7:12 pm"]))
    >>> parts.first.tolist(), parts.third.tolist(), parts.shift_s.tolist()
    ([7.0, 7.0, 7.0, nan, 7.0], [33.0, 34.0, 35.0, nan, nan], [0.0, 0.0, 0.0, 0.0, 43200.0])
    """
    texts: list[str | None] = column.to_list()
    for text in [each for each in texts[: 2 * _TRIED] if each][:_TRIED]:
        found = CLOCK.match(text) if text.isascii() else None
        if found is None or found["half"] or found["c"] is None:
            continue
        chars, alike = _written_like(found, texts)
        if alike.all():
            return _at_fixed_places(found, chars)
        if alike.mean() > _MOST and not found["zone"]:
            return _with_the_rest(_at_fixed_places(found, chars), alike, column)
    return _one_by_one(column)


def _written_like(found: re.Match[str], texts: list[str | None]) -> tuple[Characters, Mask]:
    """The stamps that have figures where one has and are else the same: their characters, and which.

    Shapes (alike, length) and (n,). An offset from UTC must be the very same.
    """
    length = len(found[0])
    joined = "" if None in texts else "".join(texts)  # type: ignore[arg-type]  # there is no None among them
    fits = np.ones(len(texts), dtype=np.bool_)
    if len(joined) != length * len(texts) or not joined.isascii():
        fitting = [text is not None and len(text) == length and text.isascii() for text in texts]
        joined = "".join(text for text, does in zip(texts, fitting, strict=True) if does and text)
        fits = np.array(fitting, dtype=np.bool_)
    chars = _characters(joined, length)
    own = _characters(found[0], length)[0]
    fixed = ~_are_figures(own)
    if found["zone"]:
        fixed[slice(*found.span("zone"))] = True
    alike = (_are_figures(chars) == _are_figures(own)).all(axis=1) & (chars == own)[:, fixed].all(axis=1)
    fits[fits] = alike
    return chars[alike], fits


def _characters(text: str, length: int) -> Characters:
    return np.frombuffer(text.encode("ascii"), dtype=np.uint8).reshape(-1, length)


def _are_figures(chars: Characters) -> Mask:
    return np.asarray((chars >= ord("0")) & (chars <= ord("9")))


def _at_fixed_places(found: re.Match[str], chars: Characters) -> StampParts:
    """Stamps that are written like one, shape (n, length)."""
    digits = chars.astype(np.int16) - ord("0")
    first, second, third = (_whole(digits, found.span(name)) for name in "abc")
    nothing = np.zeros(len(chars))
    fraction = nothing
    if found["part"]:
        start, end = found.span("part")
        fraction = _whole(digits, (start + 1, end)) / 10.0 ** (end - start - 1)
    dates = None if found["date"] is None else _dates(found, chars)
    offset = nothing + _offset_s(found["zone"] or "")
    return StampParts(first, second, third, fraction, nothing, offset, dates, found["zone"] is not None)


def _whole(digits: npt.NDArray[np.int16], span: tuple[int, int]) -> FloatArray:
    value = np.zeros(digits.shape[0])
    for place in range(*span):
        value = value * 10.0 + digits[:, place]
    return value


def _dates(found: re.Match[str], chars: Characters) -> pl.Series:
    import polars as pl

    start, end = found.span("date")
    own = chars[:, start:end]
    if (own == own[0]).all():
        return pl.repeat(found["date"], len(chars), eager=True)
    text, length = own.tobytes().decode("ascii"), end - start
    return pl.Series([text[at : at + length] for at in range(0, len(text), length)], dtype=pl.String)


def _with_the_rest(usual: StampParts, alike: Mask, column: pl.Series) -> StampParts:
    """The parts of all stamps, of which most are alike; dates count only if these have them."""
    import polars as pl

    rest = _one_by_one(column.filter(pl.Series(~alike)))

    def merged(own: FloatArray, others: FloatArray) -> FloatArray:
        both = np.empty(alike.size)
        both[alike], both[~alike] = own, others
        return both

    dates = None
    if usual.dates is not None:
        rows = np.concatenate((np.flatnonzero(alike), np.flatnonzero(~alike)))
        others = pl.repeat(None, len(rest.first), dtype=pl.String, eager=True)
        both = usual.dates.append(others if rest.dates is None else rest.dates)
        dates = both.gather(np.argsort(rows))
    return StampParts(
        merged(usual.first, rest.first),
        merged(usual.second, rest.second),
        merged(usual.third, rest.third),
        merged(usual.fraction, rest.fraction),
        merged(usual.shift_s, rest.shift_s),
        merged(usual.offset_s, rest.offset_s),
        dates,
        rest.zoned,
    )


def _one_by_one(column: pl.Series) -> StampParts:
    """Stamps of any writing and length."""
    import polars as pl

    stamp = pl.col("stamp").str.strip_chars().str.extract_groups(_STAMP)
    parts = column.alias("stamp").to_frame().select(stamp).unnest("stamp")
    # A remark that ends with a time is no stamp.
    is_stamp = parts["date"].is_null() | parts["date"].str.contains(_SOME_DATE)
    parts = parts.select(pl.when(is_stamp).then(pl.all()))
    # These are nothing but figures, if anything.
    first, second, third = (parts[name].cast(pl.Float64, strict=False).to_numpy() for name in "abc")
    fraction, dates = np.zeros(len(column)), parts["date"]
    if parts["part"].null_count() < len(column):
        fraction = np.nan_to_num(numbers(parts["part"].str.replace(",", "."), decimal_comma=False))
    return StampParts(
        first,
        second,
        third,
        fraction,
        _half_days(first, parts["half"]),
        _offsets(parts["zone"]),
        dates if dates.null_count() < len(dates) else None,
        parts["zone"].null_count() < len(column),
    )


def _half_days(hours: FloatArray, half: pl.Series) -> FloatArray:
    """What turns twelve-hour times into those of a day of twenty-four, in seconds."""
    if half.null_count() == len(half):
        return np.zeros(len(half))
    letter = half.str.to_lowercase()
    after = (letter == "p").fill_null(value=False).to_numpy()
    before = (letter == "a").fill_null(value=False).to_numpy()
    shift: FloatArray = np.where(after & (hours < _NOON_H), _NOON_H, 0.0) - np.where(
        before & (hours == _NOON_H), _NOON_H, 0.0
    )
    return shift * _HOUR_S


def _offsets(zone: pl.Series) -> FloatArray:
    """Offsets from UTC in seconds, where stamps carry them."""
    known = {text: _offset_s(text) for text in zone.drop_nulls().unique().to_list()}
    return np.array([known.get(text, 0.0) for text in zone.to_list()], dtype=np.float64)


def _offset_s(zone: str) -> float:
    """An offset such as `+01:00` in seconds.

    >>> _offset_s("-0530"), _offset_s("Z")
    (-19800.0, 0.0)
    """
    found = _OFFSET.match(zone)
    if found is None:
        return 0.0
    seconds = int(found["h"]) * _HOUR_S + int(found["m"]) * 60.0
    return -seconds if found["sign"] == "-" else seconds
