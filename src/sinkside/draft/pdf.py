"""PDF pages as lines in reading order: words by place, columns one after the other, ruled tables as rows."""

from __future__ import annotations

import io
import itertools
import re
import statistics
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sinkside.draft.hyphens import joined
from sinkside.draft.pages import Line, Pages, clean, without_running_matter
from sinkside.errors import UnreadableFile

#: A PDF ends with this mark; without it the rest of the instruction is missing.
_END_MARK = b"%%EOF"
_SEARCHED_FOR_END_MARK = 4096

_LINE_TOLERANCE_PT = 2.5
_GAP_FACTOR = 1.25
_LEAST_PITCH = 0.9
_WIDEST_PITCH = 1.45
_PROMINENT_FACTOR = 1.12
_SMALL_FACTOR = 0.95
_PAGE_AT_END = re.compile(r"\d{1,4}\s*$")
_GUTTER_PT = 9.0
_LEAST_LINES_IN_COLUMNS = 6
_LEAST_SHARE_OF_A_COLUMN = 0.08
_SHARE_CROSSING = 0.2
_COLUMN_FILL = 0.55
_GUTTER_TRIES = 31


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    x0: float
    x1: float
    top: float
    bottom: float
    size: float
    bold: bool


@dataclass(frozen=True, slots=True)
class _Row:
    """A line of words or a table row at its height on the page."""

    text: str
    top: float
    bottom: float
    size: float
    bold: bool
    x0: float = 0.0
    x1: float = 0.0
    table: bool = False


def pdf_pages(data: bytes, *, resource: str) -> Pages:
    """The lines of a PDF with text.

    Raises:
        UnreadableFile: if it is truncated, locked or broken, or if its pages hold no text.
    """
    count = _checked(data, resource)
    pages = [_lines(rows, number) for number, rows in enumerate(_rows_of_pages(data, resource), start=1)]
    if not any(pages):
        raise UnreadableFile(
            "its pages are pictures without text; expected a PDF with text", resource=resource
        )
    return Pages(tuple(line for lines in without_running_matter(pages) for line in lines), count)


def _checked(data: bytes, resource: str) -> int:
    """The number of pages, after asking whether the file can be opened at all."""
    import pypdfium2

    if not data.lstrip().startswith(b"%PDF-"):
        raise UnreadableFile("this is no PDF although its name says so", resource=resource)
    if _END_MARK not in data[-_SEARCHED_FOR_END_MARK:]:
        raise UnreadableFile("this PDF is truncated; its end is missing", resource=resource)
    try:
        document = pypdfium2.PdfDocument(data)
        count = len(document)
        document.close()
    except pypdfium2.PdfiumError as error:
        if "password" in str(error).lower():
            raise UnreadableFile("this PDF is locked with a password", resource=resource) from error
        raise UnreadableFile("this PDF is broken and cannot be opened", resource=resource) from error
    return count


def _rows_of_pages(data: bytes, resource: str) -> list[list[_Row]]:
    import pdfplumber

    try:
        with pdfplumber.open(io.BytesIO(data)) as document:
            return [_rows(page) for page in document.pages]
    except Exception as error:  # what the parser raises on a broken file is not documented
        raise UnreadableFile("this PDF is broken and cannot be read", resource=resource) from error


def _rows(page: Any) -> list[_Row]:
    words = [_word(word) for word in page.extract_words(extra_attrs=["fontname", "size"], x_tolerance=2)]
    tables = [table for table in page.find_tables() if _columns_of(table) > 1]
    boxes = [table.bbox for table in tables]
    free = [word for word in words if not any(_inside(word, box) for box in boxes)]
    rows = [row for table in tables for row in _table_rows(table)]
    return _in_reading_order(free, rows, _gutter(words, float(page.width)))


def _word(word: dict[str, Any]) -> _Word:
    return _Word(
        text=clean(str(word["text"])),
        x0=float(word["x0"]),
        x1=float(word["x1"]),
        top=float(word["top"]),
        bottom=float(word["bottom"]),
        size=float(word["size"]),
        bold="bold" in str(word["fontname"]).lower(),
    )


def _inside(word: _Word, box: tuple[float, float, float, float]) -> bool:
    x, y = (word.x0 + word.x1) / 2, (word.top + word.bottom) / 2
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]


# Tables.


def _columns_of(table: Any) -> int:
    return max((len(row.cells) for row in table.rows), default=0)


def _table_rows(table: Any) -> Iterator[_Row]:
    """Rows with strokes between the cells; a cell merged downward says the same in every row."""
    above: list[str] = []
    for row, texts in zip(table.rows, table.extract(), strict=True):
        filled = [
            _cell_text(text) if text is not None else _merged(row, place, above)
            for place, text in enumerate(texts)
        ]
        above = filled
        if any(filled):
            yield _Row(
                f"| {' | '.join(filled)} |",
                row.bbox[1],
                row.bbox[3],
                0.0,
                bold=False,
                x0=row.bbox[0],
                x1=row.bbox[2],
                table=True,
            )


def _cell_text(text: str) -> str:
    return joined(clean(line) for line in text.splitlines()).replace("|", "/")


def _merged(row: Any, place: int, above: list[str]) -> str:
    """A cell merged across is empty here; one merged downward says what the row above says."""
    left = next((cell for cell in reversed(row.cells[:place]) if cell), None)
    right = next((cell for cell in row.cells[place + 1 :] if cell), None)
    across = left is not None and (right is None or left[2] >= right[0] - 1)
    return "" if across or place >= len(above) else above[place]


# Columns and lines.


def _in_reading_order(words: list[_Word], tables: list[_Row], gutter: float | None) -> list[_Row]:
    """The rows of a page from the top down; of a page in two columns, band by band, left before right."""
    if gutter is None:
        return sorted([*_text_rows(words), *tables], key=lambda row: row.top)
    across = [word for line in _grouped(words) if not _parted(line, gutter) for word in line]
    sides = [word for word in words if word not in across]
    whole = [*_text_rows(across), *(row for row in tables if row.x0 < gutter < row.x1)]
    left = [*_text_rows([w for w in sides if w.x1 <= gutter]), *(row for row in tables if row.x1 <= gutter)]
    right = [*_text_rows([w for w in sides if w.x0 >= gutter]), *(row for row in tables if row.x0 >= gutter)]
    return _banded(whole, left, right)


def _banded(whole: list[_Row], left: list[_Row], right: list[_Row]) -> list[_Row]:
    """What runs across the page divides it into bands; each band is read left, then right."""
    ordered: list[_Row] = []
    begin = float("-inf")
    for row in [*sorted(whole, key=lambda one: one.top), None]:
        end = row.top if row else float("inf")
        for side in (left, right):
            ordered.extend(sorted((x for x in side if begin <= x.top < end), key=lambda one: one.top))
        if row:
            ordered.append(row)
        begin = end
    return ordered


def _parted(line: list[_Word], gutter: float) -> bool:
    """Whether a line keeps clear of the gutter."""
    if any(word.x0 < gutter < word.x1 for word in line):
        return False
    before = max((word.x1 for word in line if word.x1 <= gutter), default=float("-inf"))
    behind = min((word.x0 for word in line if word.x0 >= gutter), default=float("inf"))
    return behind - before >= _GUTTER_PT


def _gutter(words: list[_Word], width: float) -> float | None:
    """Where the white between two columns of running text is, or none."""
    lines = _grouped(words)
    if len(lines) < _LEAST_LINES_IN_COLUMNS:
        return None
    for step in range(_GUTTER_TRIES):
        x = width * (0.5 + (step + 1) // 2 * (0.01 if step % 2 else -0.01))
        parted = [line for line in lines if _parted(line, x)]
        crossing = len(lines) - len(parted)
        if crossing <= len(lines) * _SHARE_CROSSING and _is_filled(words, x):
            return _middle_of_white(parted, x)
    return None


def _middle_of_white(lines: list[list[_Word]], x: float) -> float:
    left = max((word.x1 for line in lines for word in line if word.x1 <= x), default=x)
    right = min((word.x0 for line in lines for word in line if word.x0 >= x), default=x)
    return (left + right) / 2


def _is_filled(words: list[_Word], gutter: float) -> bool:
    """Whether running text fills both sides: a table without rules leaves most of its columns white."""
    margin, edge = min(word.x0 for word in words), max(word.x1 for word in words)
    sides = (
        ([word for word in words if word.x1 <= gutter], gutter - margin),
        ([word for word in words if word.x0 >= gutter], edge - gutter),
    )
    for side, room in sides:
        if len(side) < len(words) * _LEAST_SHARE_OF_A_COLUMN:
            return False
        fill = statistics.median((line[-1].x1 - line[0].x0) / room for line in _grouped(side))
        if fill < _COLUMN_FILL:
            return False
    return True


def _grouped(words: list[_Word]) -> list[list[_Word]]:
    """Words that stand at one height, left to right, from the top down."""
    lines: list[list[_Word]] = []
    for word in sorted(words, key=lambda one: (one.bottom, one.x0)):
        if lines and abs(word.bottom - lines[-1][0].bottom) <= _LINE_TOLERANCE_PT:
            lines[-1].append(word)
        else:
            lines.append([word])
    return [sorted(line, key=lambda one: one.x0) for line in lines]


def _text_rows(words: list[_Word]) -> Iterator[_Row]:
    for line in _grouped(words):
        text = " ".join(word.text for word in line if word.text)
        size = statistics.median(word.size for word in line)
        top, bottom = min(word.top for word in line), max(word.bottom for word in line)
        yield _Row(text, top, bottom, size, bold=all(word.bold for word in line))


def _without_small_print(rows: list[_Row], body: float) -> list[_Row]:
    """A page without small type above all text, and without a small last line that ends in a page number."""
    kept = list(rows)
    while kept and not kept[0].table and kept[0].size < _SMALL_FACTOR * body:
        kept.pop(0)
    if kept and not kept[-1].table and kept[-1].size < _SMALL_FACTOR * body:
        kept = kept[:-1] if _PAGE_AT_END.search(kept[-1].text) else kept
    return kept


def _pitch(rows: list[_Row], body: float) -> float:
    """From line to line inside a paragraph: a low one of all distances, and never wider than is usual."""
    pairs = [(a, b) for a, b in itertools.pairwise(rows) if not (a.table or b.table)]
    pitches = sorted(b.top - a.top for a, b in pairs if b.top - a.top >= _LEAST_PITCH * b.size)
    return min(pitches[len(pitches) // 10], _WIDEST_PITCH * body) if pitches else 0.0


def _lines(rows: list[_Row], page: int) -> list[Line]:
    """Rows of a page as lines, with white space above and larger or bold type noted."""
    sizes = [row.size for row in rows if not row.table]
    body = statistics.median(sizes) if sizes else 0.0
    rows = _without_small_print(rows, body)
    pitch = _pitch(rows, body)
    lines: list[Line] = []
    for number, row in enumerate(rows, start=1):
        before = rows[number - 2] if number > 1 else None
        gap = before is None or row.top < before.top or row.top - before.top > _GAP_FACTOR * pitch
        prominent = not row.table and (row.bold or row.size > _PROMINENT_FACTOR * body)
        if row.text.strip():
            lines.append(Line(page, number, row.text, gap_before=gap, prominent=prominent))
    return lines
