"""Columns of text as numbers: decimal point or comma, groups of thousands, units in the cells."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.spelling import UnitSaid, unit_written
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

_CELLS_LOOKED_AT: Final = 100
_COMMA_LAST: Final = re.compile(r"^[+-]?[\d.' \u00a0\u202f]*,\d+$")
_POINT_LAST: Final = re.compile(r"^[+-]?[\d,' \u00a0\u202f]*\.\d+$")

#: What a recorder writes in place of a reading.
ABSENT: Final = re.compile(
    r"^(|[-–—_. ]+|\*+|[#]?n/?a[!]?|nan|null|none|err(or)?\d*|open|short|ol|over|under|ovr|fail(ed|ure)?|"
    r"[?]+|x+|"
    r"bad|inval\w*|#\w+[!?]?|fehler|defekt|bruch|störung|erreur|errore|fout|błąd|fel)$",
    re.IGNORECASE,
)

#: A number of at most three digits before each group of three is grouped by thousands.
_GROUPED: Final = {
    ",": r"^[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?$",
    ".": r"^[+-]?\d{1,3}(?:\.\d{3})+(?:,\d+)?$",
}
_NUMBER_WITH_UNIT: Final = re.compile(r"^([+-]?\d[\d.,' \u00a0\u202f]*|[.,]\d+)\s*([^\d\s.,'+-].*)$")


def has_decimal_comma(columns: Sequence[pl.Series]) -> bool:
    """Whether numbers are written with a decimal comma, judged by the whole file."""
    import polars as pl

    texts = [column.head(_CELLS_LOOKED_AT).to_list() for column in columns if column.dtype == pl.String]
    cells = [cell.strip() for text in texts for cell in text if cell]
    commas = sum(1 for cell in cells if "," in cell and _COMMA_LAST.match(cell))
    if not commas:
        return False
    return commas > sum(1 for cell in cells if "." in cell and _POINT_LAST.match(cell))


def without_units(column: pl.Series) -> tuple[pl.Series, UnitSaid | None]:
    """A column whose cells carry their unit, as bare numbers, and that unit; else the column as it is.

    A cell with another unit than the rest is left as it is, and so is no number.

    >>> import polars as pl
    >>> bare, said = without_units(pl.Series(["132.4 °C", "132.5 °C", "--"]))
    >>> bare.to_list(), said.unit
    (['132.4', '132.5', '--'], '°C')
    """
    import polars as pl

    if column.dtype != pl.String:
        return column, None
    seen: Counter[str] = Counter()
    sample = [cell for cell in column.head(_CELLS_LOOKED_AT).to_list() if cell is not None]
    for cell in sample[:3] + sample[-3:] or column.drop_nulls().head(1).to_list():
        found = _NUMBER_WITH_UNIT.match(cell.strip())
        if found and unit_written(found[2]) is not None:
            seen[found[2].strip()] += 1
    if not seen:
        return column, None
    written, _ = seen.most_common(1)[0]
    stripped = pl.col("cell").str.strip_chars()
    bare = stripped.str.strip_suffix(written).str.strip_chars_end()
    mixed = pl.when(stripped.str.ends_with(written)).then(bare).otherwise(stripped).alias(column.name)
    return column.alias("cell").to_frame().select(mixed).to_series(), unit_written(written)


def numbers(column: pl.Series, *, decimal_comma: bool) -> FloatArray:
    """A column's numbers; NaN for what is missing or is no number.

    >>> import polars as pl
    >>> numbers(pl.Series(["1.013,25", " 59,0", "--"]), decimal_comma=True)
    array([1013.25,   59.  ,     nan])
    >>> numbers(pl.Series(["1,013.25", "987,5", "59.0"]), decimal_comma=False)
    array([1013.25,     nan,   59.  ])
    >>> numbers(pl.Series(["0.5", "1.25"]), decimal_comma=True)
    array([0.5 , 1.25])
    """
    import polars as pl

    if column.dtype == pl.String:
        # A plain column casts at once; only what is left needs its marks taken out.
        plain = column
        if decimal_comma and not column.str.contains(".", literal=True).any():
            plain = column.str.replace(",", ".", literal=True)
        cast = plain.cast(pl.Float64, strict=False)
        if (decimal_comma and plain is column) or _hides_figures(column, cast):
            cast = _cleaned(column, decimal_comma=decimal_comma).cast(pl.Float64, strict=False)
        column = cast
    elif not (column.dtype.is_numeric() or column.dtype == pl.Boolean):
        return np.full(len(column), np.nan)
    return _finite(column if column.dtype == pl.Float64 else column.cast(pl.Float64))


def all_numbers(columns: Sequence[pl.Series], *, decimal_comma: bool) -> list[FloatArray]:
    """The numbers of several columns; the same as `numbers` gives of each, and quicker.

    Text with a decimal comma and no point at all is cast for all columns at once; the library's start-up
    costs more than the work on a column.

    >>> import polars as pl
    >>> all_numbers([pl.Series(["59,0", "60,5"]), pl.Series(["1.013,25", "--"])], decimal_comma=True)
    [array([59. , 60.5]), array([1013.25,     nan])]
    """
    import polars as pl

    texts = [at for at, column in enumerate(columns) if column.dtype == pl.String]
    quick = _with_commas([columns[at] for at in texts]) if decimal_comma and texts else []
    found = dict(zip(texts, quick, strict=False))
    values = []
    for at, column in enumerate(columns):
        known = found.get(at)
        values.append(numbers(column, decimal_comma=decimal_comma) if known is None else known)
    return values


def _with_commas(columns: Sequence[pl.Series]) -> list[FloatArray | None]:
    """Columns of numbers with nothing but a decimal comma; None for a column that has anything else."""
    import polars as pl

    frame = pl.DataFrame([column.alias(str(at)) for at, column in enumerate(columns)])
    cast = frame.select(
        pl.all().str.replace(",", ".", literal=True).cast(pl.Float64, strict=False),
        pl.all().str.contains(".", literal=True).any().name.prefix("point "),
    )
    found: list[FloatArray | None] = []
    for at, column in enumerate(columns):
        values = cast[str(at)]
        plain = not cast[f"point {at}"][0] and not _hides_figures(column, values)
        found.append(_finite(values) if plain else None)
    return found


def _hides_figures(column: pl.Series, cast: pl.Series) -> bool:
    """Whether a cell that did not become a number holds a figure all the same; words and marks do not."""
    if cast.null_count() == column.null_count():
        return False
    odd = column.filter(cast.is_null() & column.is_not_null())
    return any(char.isdigit() for cell in odd.to_list() for char in cell)


def _finite(column: pl.Series) -> FloatArray:
    # What is null in a column of floats becomes NaN in an array.
    values: FloatArray = column.to_numpy()
    finite = np.isfinite(values)
    return values if finite.all() else np.where(finite, values, np.nan)


def _cleaned(column: pl.Series, *, decimal_comma: bool) -> pl.Series:
    """Without groups of thousands, and with a decimal point; what fits neither becomes no number."""
    import polars as pl

    text = column.str.strip_chars().str.replace("\u2212", "-", literal=True)
    if text.str.contains(r"\d[' \u00a0\u202f’]\d").any():
        text = text.str.replace_all(r"(\d)[' \u00a0\u202f’](\d{3})", "${1}${2}")
    mark, sign = (".", ",") if decimal_comma else (",", ".")
    marked = text.str.contains(mark, literal=True)
    if marked.any():
        grouped = text.str.contains(_GROUPED[mark])
        if not text.str.contains(sign, literal=True).any() and (marked & ~grouped).any():
            # This column's own numbers have the other sign, whatever the rest of the file has.
            mark, sign = sign, mark
        else:
            whole = text.str.replace_all(mark, "", literal=True)
            text = pl.select(pl.when(~marked).then(text).when(grouped).then(whole)).to_series()
    return text.str.replace(",", ".", literal=True) if sign == "," else text
