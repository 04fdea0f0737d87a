"""A recorder file as heads and columns of text, whatever its delimiter, encoding and preamble."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sinkside.cycles.reading.heads import is_unit_row
from sinkside.errors import UnreadableFile

if TYPE_CHECKING:
    import polars as pl

#: A delimiter that can also be a decimal sign comes last.
_DELIMITERS = "\t;|,"
_LINES_LOOKED_AT = 200
_FEWEST_COLUMNS = 2
_CONSISTENT_SHARE = 0.5
_PARQUET_MARK = b"PAR1"
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")

#: A number, a clock time or a date, as a cell of a body holds it.
_FIGURE = re.compile(
    r"^[+-]?[\d.,:'/\-\u00a0 TZ+]*\d[\d.,:'/\-\u00a0 TZ+]*([eE][+-]?\d+)?(\s?[ap]\.?m\.?)?$", re.IGNORECASE
)
_ABSENT = re.compile(r"^(|-+|\*+|n/?a|nan|null|none|err(or)?|open|ol|[?]+)$", re.IGNORECASE)


@dataclass(frozen=True)
class Table:
    """Heads and columns; a column is text, or already numbers or dates where the file is typed."""

    heads: tuple[str, ...]
    columns: tuple[pl.Series, ...]


def read_table(data: bytes, *, resource: str) -> Table:
    """The table in a file's bytes.

    Raises:
        UnreadableFile: if there is no table in it, or no line that names the columns.
    """
    if data.startswith(_PARQUET_MARK):
        return _from_parquet(data, resource)
    lines = [line for line in _decoded(data, resource).splitlines() if line.strip(" ;,\t|")]
    delimiter, width = _delimiter_of(lines, resource)
    first = _first_body_line(lines, delimiter, width, resource)
    heads = _heads_above(lines, first, delimiter, resource)
    _refuse_unless_paired(heads, _cells(lines[first], delimiter), resource)
    return Table(heads, _body(lines[first:], delimiter, len(heads), resource))


def _decoded(data: bytes, resource: str) -> str:
    if data.startswith(_UTF16_MARKS):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError as error:
            raise UnreadableFile("this is no text that can be read", resource=resource) from error
    if b"\0" in data:
        raise UnreadableFile("this is a binary file; expected delimited text or Parquet", resource=resource)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]
    except csv.Error:
        return [cell.strip() for cell in line.split(delimiter)]


def _delimiter_of(lines: list[str], resource: str) -> tuple[str, int]:
    """The delimiter, and how many cells most lines have with it."""
    looked_at = lines[:_LINES_LOOKED_AT]
    for delimiter in _DELIMITERS:
        counts = Counter(len(_cells(line, delimiter)) for line in looked_at)
        width, times = counts.most_common(1)[0] if counts else (0, 0)
        if width > 1 and times >= _CONSISTENT_SHARE * len(looked_at):
            return delimiter, width
    raise UnreadableFile(
        "no table can be found; expected columns parted by comma, semicolon or tab", resource=resource
    )


def _is_body(cells: list[str], width: int) -> bool:
    """Whether a line holds readings: as wide as the others, with figures, and little else."""
    filled = [cell for cell in cells if not _ABSENT.match(cell)]
    figures = sum(1 for cell in filled if _FIGURE.match(cell))
    return len(cells) == width and figures > 1 and figures >= len(filled) - 1


def _first_body_line(lines: list[str], delimiter: str, width: int, resource: str) -> int:
    for index, line in enumerate(lines[:_LINES_LOOKED_AT]):
        if _is_body(_cells(line, delimiter), width):
            if index == 0:
                raise UnreadableFile(
                    "line 1: there is no head line; expected each column's quantity and unit",
                    resource=resource,
                )
            return index
    raise UnreadableFile("no line with readings can be found below the head line", resource=resource)


def _heads_above(lines: list[str], first: int, delimiter: str, resource: str) -> tuple[str, ...]:
    """The names of the columns; a line of units between names and readings is joined to the names."""
    heads = _joined_units(
        _cells(lines[first - 1].lstrip("# "), delimiter), len(_cells(lines[first], delimiter))
    )
    if first > 1 and is_unit_row(heads):
        names = _cells(lines[first - 2], delimiter)
        names += [""] * (len(heads) - len(names))
        heads = [f"{name} [{unit}]" if unit else name for name, unit in zip(names, heads, strict=False)]
    while heads and not heads[-1]:
        heads.pop()
    if len(heads) < _FEWEST_COLUMNS:
        raise UnreadableFile("the head line does not name the columns", resource=resource)
    return tuple(heads)


def _joined_units(heads: list[str], width: int) -> list[str]:
    """Heads such as `Temp, °C` that the delimiter has cut in two, whole again."""
    joined: list[str] = []
    surplus = len(heads) - width
    for head in heads:
        if surplus > 0 and joined and is_unit_row([head]):
            joined[-1] = f"{joined[-1]} [{head}]"
            surplus -= 1
        else:
            joined.append(head)
    return joined


def _refuse_unless_paired(heads: tuple[str, ...], cells: list[str], resource: str) -> None:
    """Refuse lines with more readings than heads: a decimal comma may have cut them in two."""
    filled = len(cells)
    while filled and not cells[filled - 1]:
        filled -= 1
    if filled > len(heads):
        raise UnreadableFile(
            f"the lines hold {filled} values under {len(heads)} heads; expected one value for each column",
            resource=resource,
        )


def _body(lines: list[str], delimiter: str, width: int, resource: str) -> tuple[pl.Series, ...]:
    import polars as pl

    text = "\n".join(lines)
    names = [f"{index}" for index in range(width)]
    try:
        frame = pl.read_csv(
            io.BytesIO(text.encode()),
            separator=delimiter,
            has_header=False,
            schema=dict.fromkeys(names, pl.String),
            truncate_ragged_lines=True,
            quote_char='"' if '"' in text else None,
        )
    except pl.exceptions.PolarsError as error:
        raise UnreadableFile("the lines cannot be parted into columns", resource=resource) from error
    return tuple(frame.get_columns())


def _from_parquet(data: bytes, resource: str) -> Table:
    import polars as pl

    try:
        frame = pl.read_parquet(io.BytesIO(data), use_pyarrow=False)
    except (pl.exceptions.PolarsError, OSError) as error:
        raise UnreadableFile("this Parquet file is damaged or cut off", resource=resource) from error
    return Table(tuple(frame.columns), tuple(frame.get_columns()))
