"""Columns of text as numbers, with a decimal point or a decimal comma."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

_CELLS_LOOKED_AT = 100
_COMMA_LAST = re.compile(r"^[+-]?[\d.' \u00a0]*,\d+$")
_POINT_LAST = re.compile(r"^[+-]?[\d,' \u00a0]*\.\d+$")


def has_decimal_comma(columns: Sequence[pl.Series]) -> bool:
    """Whether numbers are written with a decimal comma, judged by the whole file."""
    import polars as pl

    commas = points = 0
    for column in columns:
        if column.dtype == pl.String:
            for cell in column.head(_CELLS_LOOKED_AT):
                commas += bool(cell and _COMMA_LAST.match(cell.strip()))
                points += bool(cell and _POINT_LAST.match(cell.strip()))
    return commas > points


def numbers(column: pl.Series, *, decimal_comma: bool) -> FloatArray:
    """A column's numbers; NaN for what is missing or is no number.

    >>> import polars as pl
    >>> numbers(pl.Series(["1.013,25", " 59,0", "--"]), decimal_comma=True)
    array([1013.25,   59.  ,     nan])
    """
    import polars as pl

    if column.dtype == pl.String:
        # A plain column casts at once; only what is left needs its marks taken out.
        cast = column.cast(pl.Float64, strict=False)
        if decimal_comma or cast.null_count() > column.null_count():
            cast = _cleaned(column, decimal_comma=decimal_comma).cast(pl.Float64, strict=False)
        column = cast
    elif not column.dtype.is_numeric():
        return np.full(len(column), np.nan)
    values: FloatArray = column.cast(pl.Float64).fill_null(float("nan")).to_numpy()
    return np.where(np.isfinite(values), values, np.nan)


def _cleaned(column: pl.Series, *, decimal_comma: bool) -> pl.Series:
    text = column.str.strip_chars()
    if text.str.contains(r"[' \u00a0]").any():
        text = text.str.replace_all(r"[' \u00a0]", "")
    if not decimal_comma:
        return text.str.replace_all(",", "", literal=True)
    if text.str.contains(".", literal=True).any():
        text = text.str.replace_all(".", "", literal=True)
    return text.str.replace(",", ".", literal=True)
