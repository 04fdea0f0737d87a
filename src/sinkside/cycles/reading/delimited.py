"""Text whose columns are parted by a delimiter: where the table begins, and what its columns are called."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.cells import ABSENT
from sinkside.cycles.reading.decoding import Lines
from sinkside.cycles.reading.figures import is_figure, unit_of_figure
from sinkside.cycles.reading.heads import is_unit_row, read_head
from sinkside.cycles.reading.layout import Table
from sinkside.errors import UnreadableFile

if TYPE_CHECKING:
    import polars as pl

#: A delimiter that can also be a decimal sign comes last.
_DELIMITERS: Final = "\t;|,"
_LINES_LOOKED_AT: Final = 100
_LONGEST_PREAMBLE: Final = 400
_LINES_ABOVE: Final = 12
_FEWEST_COLUMNS: Final = 2
_CONSISTENT_SHARE: Final = 0.5
_RULE: Final = re.compile(r"^[\s\-=_+|*.;,\t#]+$")

#: `132,4  186,2` is two numbers with decimal commas, and no three cells.
_DECIMAL_COMMA: Final = re.compile(r"^[^\W\d]*[=:]?[+-]?\d+,\d+[^\d\s,;]*$")


def read_delimited(lines: Lines, *, resource: str) -> Table | None:
    """The table in delimited text; None if no delimiter parts the lines evenly.

    Raises:
        UnreadableFile: if there are no readings, or no line that names the columns.
    """
    found = _delimiter_of(lines.texts)
    if found is None:
        return None
    delimiter, width = found
    first = _first_body_line(lines.texts, delimiter, width, resource)
    cells = _cells(lines.texts[first], delimiter)
    heads = _heads_above(lines.texts[:first], cells, delimiter)
    if heads is None:
        heads, above = _heads_in_cells(cells, resource, lines.numbers[first]), first
    else:
        above = first - 1
    _refuse_unless_paired(heads, cells, resource)
    head_line = lines.texts[first - 1] if first else None
    body = _with_whole_quotes(lines.part(first))
    sections = tuple((row, body.numbers[row]) for row, text in enumerate(body.texts) if text == head_line)
    columns = _body(body.texts, delimiter, max(len(heads), len(cells)), resource)
    return Table(heads, columns[: len(heads)], tuple(lines.texts[:above]), sections, tuple(body.numbers))


def _cells(line: str, delimiter: str) -> list[str]:
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)]
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]
    except csv.Error:
        return [cell.strip() for cell in line.split(delimiter)]


def _width(line: str, delimiter: str) -> int:
    return len(_cells(line, delimiter)) if '"' in line else line.count(delimiter) + 1


def _delimiter_of(texts: list[str]) -> tuple[str, int] | None:
    """The delimiter, and how many cells most lines have with it."""
    start = len(texts) // 3
    looked_at = texts[start : start + _LINES_LOOKED_AT]
    together = "\n".join(looked_at)
    for delimiter in (each for each in _DELIMITERS if each in together):
        counts = Counter(_width(line, delimiter) for line in looked_at)
        width, times = max(counts.items(), key=lambda item: (item[0] > 1, item[1]), default=(0, 0))
        if width <= 1 or times < _CONSISTENT_SHARE * len(looked_at):
            continue
        if delimiter == "," and _are_decimal_commas(looked_at):
            continue
        return delimiter, width
    return None


def _are_decimal_commas(texts: list[str]) -> bool:
    """Whether commas stand within numbers that are parted by spaces."""
    return sum(map(_has_decimal_commas, texts)) > len(texts) / 2


def _has_decimal_commas(text: str) -> bool:
    words = text.split()
    return len(words) > 1 and all(_DECIMAL_COMMA.match(word) for word in words if "," in word)


def _is_body(cells: list[str], width: int, usual: tuple[bool, ...]) -> bool:
    """Whether a line holds readings: as wide as the others, with figures where others have them."""
    if len(cells) != width:
        return False
    filled = [cell for cell in cells if not ABSENT.match(cell)]
    are = [is_figure(cell) for cell in filled]
    if sum(are) > 1 and sum(are) >= len(filled) - 1:
        return True
    mask = tuple(is_figure(cell) for cell in cells)
    return sum(mask) > 1 and mask == usual


def _first_body_line(texts: list[str], delimiter: str, width: int, resource: str) -> int:
    start = len(texts) // 3
    masks = Counter(
        tuple(is_figure(cell) for cell in _cells(text, delimiter)) for text in texts[start : start + 20]
    )
    usual = masks.most_common(1)[0][0]
    for index, text in enumerate(texts[:_LONGEST_PREAMBLE]):
        if _is_body(_cells(text, delimiter), width, usual):
            return index
    raise UnreadableFile("no line with readings can be found below the head line", resource=resource)


def _heads_above(above: list[str], cells: list[str], delimiter: str) -> tuple[str, ...] | None:
    """The names of the columns; a line of units below them, or of groups above them, is joined to them."""
    rows = [text.lstrip("# ") for text in above[-_LINES_ABOVE:] if not _RULE.match(text)]
    while rows and sum(1 for cell in _cells(rows[-1], delimiter) if cell) < _FEWEST_COLUMNS:
        rows.pop()
    rows = _without_events(rows, len(cells), delimiter)
    if not rows:
        return None
    heads = _joined_units(_cells(rows.pop(), delimiter), len(cells))
    if rows and is_unit_row(heads):
        names = _cells(rows.pop(), delimiter)
        names += [""] * (len(heads) - len(names))
        heads = [f"{name} [{unit}]" if unit else name for name, unit in zip(names, heads, strict=False)]
    elif rows and not (_is_told(heads) and len({*heads}) == len(heads)):
        upper = _cells(rows.pop(), delimiter)
        filled = [cell for cell in upper if cell]
        if len(upper) == len(heads) and len(filled) * 2 >= len(upper) and not any(map(is_figure, filled)):
            heads = [
                f"{over} {head}".strip() for over, head in zip(_merged(upper, heads), heads, strict=True)
            ]
    while heads and not heads[-1]:
        heads.pop()
    return tuple(heads) if len(heads) >= _FEWEST_COLUMNS else None


def _merged(upper: list[str], heads: list[str]) -> list[str]:
    """Groups above heads, each over all the columns that its cell was merged over."""
    over = list(upper)
    for at in range(1, len(over)):
        if not over[at] and heads[at] and read_head(heads[at]).kind == "other":
            over[at] = over[at - 1]
    return over


def _without_events(rows: list[str], width: int, delimiter: str) -> list[str]:
    """The lines above a table up to its head: what happened before the first sample may stand between."""
    parted = [_cells(row, delimiter) for row in rows]
    may_be = [len(cells) >= width and not any(map(is_figure, cells)) for cells in parted]
    if not rows or may_be[-1] or not any(may_be) or not any(map(is_figure, parted[-1])):
        return rows
    return rows[: len(may_be) - may_be[::-1].index(True)]


def _is_told(heads: list[str]) -> bool:
    """Whether the heads by themselves tell a temperature with its unit."""
    read = [read_head(head) for head in heads if head]
    return any(head.kind == "temperature" and head.unit for head in read)


def _heads_in_cells(cells: list[str], resource: str, line: int) -> tuple[str, ...]:
    """Heads out of the units that the cells carry, where no line names the columns."""
    units = [unit_of_figure(cell) for cell in cells]
    if not any(units):
        raise UnreadableFile(
            f"line {line}: there is no head line; expected each column's quantity and unit",
            resource=resource,
        )
    named = [
        f"{said.kind} {at} [{text}]" if said else ""
        for at, (said, text) in enumerate((unit or (None, "")) for unit in units)
    ]
    return tuple(head or ("time" if at == 0 else f"column {at + 1}") for at, head in enumerate(named))


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


def _with_whole_quotes(body: Lines) -> Lines:
    """Lines whose quotes are closed: an open one would swallow the lines below it."""
    if not any('"' in text for text in body.texts[:3]):
        return body
    whole = [index for index, text in enumerate(body.texts) if text.count('"') % 2 == 0]
    if len(whole) == len(body.texts):
        return body
    return Lines([body.texts[at] for at in whole], [body.numbers[at] for at in whole])


def _text_column(cells: list[str]) -> pl.Series:
    """Cells as a column; what is empty is missing."""
    import polars as pl

    filled = [cell or None for cell in cells] if "" in cells else cells
    return pl.Series(filled, dtype=pl.String)


def _are_even(texts: list[str], delimiter: str, width: int) -> bool:
    """Whether every line has exactly so many cells."""
    end = ord("\n")
    chars = np.frombuffer(("\n".join(texts) + "\n").encode(), dtype=np.uint8)
    marks = chars[(chars == ord(delimiter)) | (chars == end)]
    return marks.size == len(texts) * width and bool((marks[width - 1 :: width] == end).all())


def _body(texts: list[str], delimiter: str, width: int, resource: str) -> tuple[pl.Series, ...]:
    import polars as pl

    names = [f"{index}" for index in range(width)]
    quoted = any('"' in text for text in texts[:3])
    if not quoted and _are_even(texts, delimiter, width):
        cells = delimiter.join(texts).split(delimiter)
        return tuple(_text_column(cells[at::width]) for at in range(width))
    try:
        frame = pl.read_csv(
            io.BytesIO("\n".join(texts).encode()),
            separator=delimiter,
            has_header=False,
            schema=dict.fromkeys(names, pl.String),
            truncate_ragged_lines=True,
            quote_char='"' if quoted else None,
        )
    except pl.exceptions.PolarsError as error:
        raise UnreadableFile("the lines cannot be parted into columns", resource=resource) from error
    return tuple(frame.get_columns())
