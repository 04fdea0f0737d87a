"""Dates in any order of day, month and year, as days that can be counted."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from sinkside.cycles.reading.spelling import DateOrder
from sinkside.errors import BadInput
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

_CENTURY = 2000
_FOUR_DIGITS = 100
_COMPACT = len("20260304")

#: Beginnings of month names in the languages met most; English is written out by most recorders.
_MONTHS = (
    ("jan", "ene", "gen", "jän"),
    ("feb", "fev", "fév"),
    ("mar", "mär", "mrz"),
    ("apr", "avr", "abr"),
    ("may", "mai", "mag", "maj"),
    ("jun", "juin", "giu"),
    ("jul", "juil", "lug"),
    ("aug", "aoû", "ago"),
    ("sep", "set"),
    ("oct", "okt", "out", "ott"),
    ("nov",),
    ("dec", "dez", "dic", "déc"),
)
_ORDERS: dict[DateOrder, tuple[int, int, int]] = {
    "year-month-day": (0, 1, 2),
    "day-month-year": (2, 1, 0),
    "month-day-year": (2, 0, 1),
}


def days_of(column: pl.Series, said: DateOrder | None = None) -> tuple[FloatArray, tuple[str, ...], bool]:
    """Day numbers of a column of dates, what was inferred about their order, and whether they are known.

    They are not where all of a record is on one date that can be read in more than one order.

    Where more than one order fits, they are read in the one that lets the record go on from day to day;
    within one day the order does not matter.

    Args:
        column: Dates as text.
        said: The order that a person named; only orders that fit count.

    Raises:
        BadInput: if the dates can be read in no order, or in several that differ in what they say of the
            record's length; names the option that settles it.

    >>> import polars as pl
    >>> days_of(pl.Series(["31.03.2026", "01.04.2026"]))[0]
    array([739706., 739707.])
    """
    written = column.drop_nulls().unique(maintain_order=True).to_list()
    readings = {name: read for name, order in _ORDERS.items() if (read := _in_order(written, order))}
    if not readings:
        raise BadInput(f"the date '{written[0]}' cannot be read; expected day, month and year")
    if said in readings:
        readings = {said: readings[said]}
    order, note = _settled(written, readings)
    numbers = readings[order]
    if len(written) == 1:
        known = column.is_not_null().to_numpy()
        sure = len({each[written[0]] for each in readings.values()}) == 1
        return np.where(known, float(numbers[written[0]]), np.nan), (), sure
    days = np.array([float(numbers[text]) if text in numbers else np.nan for text in column.to_list()])
    return days, note, True


def _settled(
    written: list[str], readings: dict[DateOrder, dict[str, int]]
) -> tuple[DateOrder, tuple[str, ...]]:
    """The order in which the dates go on from day to day, and how it was told."""
    steps = {name: np.diff([read[text] for text in written]) for name, read in readings.items()}
    spans = {name: int(np.abs(each).sum()) for name, each in steps.items()}
    order = min(spans, key=lambda name: spans[name])
    nearest = [name for name, span in spans.items() if span == spans[order]]
    if any((steps[name] != steps[order]).any() for name in nearest):
        orders = "|".join(nearest)
        raise BadInput(
            f"the dates {written[0]} to {written[-1]} can be read in more than one order; "
            f"say which with --date-order {orders}"
        )
    if len(nearest) == len(spans):
        return order, ()
    return order, (f"dates are {order}: otherwise the record would span {max(spans.values())} days",)


def _in_order(written: list[str], order: tuple[int, int, int]) -> dict[str, int] | None:
    """Day numbers of all dates in an order of year, month, day; None if one does not fit."""
    days = {}
    for text in written:
        parts = _parts(text)
        if len(parts) != len(order):
            return None
        year, month, day = (parts[place] for place in order)
        if (year >= _FOUR_DIGITS) != (max(parts) >= _FOUR_DIGITS):
            return None
        try:
            days[text] = date(year if year >= _FOUR_DIGITS else _CENTURY + year, month, day).toordinal()
        except ValueError:
            return None
    return days


def _parts(text: str) -> list[int]:
    """The three numbers of a date, a month's name as its number."""
    if len(text) == _COMPACT and text.isdigit():
        return [int(text[:4]), int(text[4:6]), int(text[6:])]
    parts = []
    for piece in re.findall(r"\d+|[^\W\d_]{3,}", text.lower()):
        if piece.isdigit():
            parts.append(int(piece))
        else:
            month = [index for index, names in enumerate(_MONTHS, 1) if piece.startswith(names)]
            parts += month[:1]
    return parts
