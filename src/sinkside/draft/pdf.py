"""PDF pages as lines in reading order: words by place, columns one after the other, ruled tables as rows."""

from __future__ import annotations

import io
import itertools
import re
import statistics
from collections.abc import Iterator
from typing import Any

from sinkside.draft.hyphens import joined
from sinkside.draft.layout import Row, Word, gutter_of, in_reading_order, inside
from sinkside.draft.lines import Line, Pages, clean
from sinkside.draft.running import without_running_matter
from sinkside.draft.unruled import tables_without_rules
from sinkside.errors import UnreadableFile

#: A PDF ends with this mark; without it the rest of the instruction is missing.
_END_MARK = b"%%EOF"
_SEARCHED_FOR_END_MARK = 4096

_GAP_FACTOR = 1.25
_LEAST_PITCH = 0.9
_WIDEST_PITCH = 1.45
_PROMINENT_FACTOR = 1.12
_SMALL_FACTOR = 0.95
_PAGE_AT_END = re.compile(r"\d{1,4}\s*$")


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


def _rows_of_pages(data: bytes, resource: str) -> list[list[Row]]:
    import pdfplumber

    try:
        with pdfplumber.open(io.BytesIO(data)) as document:
            return [_rows_of(page) for page in document.pages]
    except Exception as error:  # what the parser raises on a broken file is not documented
        raise UnreadableFile("this PDF is broken and cannot be read", resource=resource) from error


def _rows_of(page: Any) -> list[Row]:
    try:
        return _rows(page)
    finally:
        page.close()  # every letter of a page is kept until then: a book of 300 pages would fill 2 GB


def _rows(page: Any) -> list[Row]:
    words = [_word(word) for word in page.extract_words(extra_attrs=["fontname", "size"], x_tolerance=2)]
    tables = [table for table in page.find_tables() if _columns_of(table) > 1]
    boxes = [table.bbox for table in tables]
    free = [word for word in words if not any(inside(word, box) for box in boxes)]
    rows = [row for table in tables for row in _table_rows(table)]
    unruled, free = tables_without_rules(free)
    if unruled:
        return in_reading_order(free, [*rows, *unruled], None)
    return in_reading_order(free, rows, gutter_of(words, float(page.width)))


def _word(word: dict[str, Any]) -> Word:
    return Word(
        text=clean(str(word["text"])),
        x0=float(word["x0"]),
        x1=float(word["x1"]),
        top=float(word["top"]),
        bottom=float(word["bottom"]),
        size=float(word["size"]),
        bold="bold" in str(word["fontname"]).lower(),
    )


# Tables.


def _columns_of(table: Any) -> int:
    return max((len(row.cells) for row in table.rows), default=0)


def _table_rows(table: Any) -> Iterator[Row]:
    """Rows with strokes between the cells; a cell merged downward says the same in every row."""
    above: list[str] = []
    for row, texts in zip(table.rows, table.extract(), strict=True):
        filled = [
            _cell_text(text) if text is not None else _merged(row, place, above)
            for place, text in enumerate(texts)
        ]
        above = filled
        if any(filled):
            yield Row(
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


def _without_small_print(rows: list[Row], body: float) -> list[Row]:
    """A page without small type above all text, and without a small last line that ends in a page number."""
    kept = list(rows)
    while kept and not kept[0].table and kept[0].size < _SMALL_FACTOR * body:
        kept.pop(0)
    if kept and not kept[-1].table and kept[-1].size < _SMALL_FACTOR * body:
        kept = kept[:-1] if _PAGE_AT_END.search(kept[-1].text) else kept
    return kept


def _pitch(rows: list[Row], body: float) -> float:
    """From line to line inside a paragraph: a low one of all distances, and never wider than is usual."""
    pairs = [(a, b) for a, b in itertools.pairwise(rows) if not (a.table or b.table)]
    pitches = sorted(b.top - a.top for a, b in pairs if b.top - a.top >= _LEAST_PITCH * b.size)
    return min(pitches[len(pitches) // 10], _WIDEST_PITCH * body) if pitches else 0.0


def _lines(rows: list[Row], page: int) -> list[Line]:
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
