"""Plain text as pages of lines: columns set by white space, leader dots and tables drawn with strokes."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from sinkside.draft.blocks import is_row, marker_of
from sinkside.draft.gutters import TEXT_SCALE, LaidLine, Piece, Region, regions
from sinkside.draft.leaders import with_leaders
from sinkside.draft.lines import Column, Line, Pages, TableStart, clean
from sinkside.draft.running import without_running_matter
from sinkside.draft.sidebyside import Columns, Heads, Rows, governs_column, opens_columns, read_region
from sinkside.draft.strokes import with_whole_rows

_PIECE = re.compile(r"\S+(?: \S+)*")
_UNDERLINE = re.compile(r"[\s|+:=_~─━—–-]+")
_BULLET = re.compile(r"[-•*–●▪◦‣·→►o]")
_TABBED = re.compile(r"\S\t+\s*\S")
_BETWEEN_TABBED = 3


def text_pages(text: str) -> Pages:
    """The lines of a plain text; a form feed begins a page."""
    pages: list[list[Line]] = []
    setter = _Setter()
    number = 0
    for page, page_text in enumerate(re.split(r"\f\n?", text), start=1):
        lines: list[Line] = []
        gap = True
        raw_lines = page_text.splitlines()
        for raw in _without_tabs(raw_lines):
            number += 1
            written = clean(raw)
            if written.strip():
                lines.append(Line(page, number, written, gap_before=gap))
            gap = not written.strip()
        pages.append(lines)
    told = [setter.lines(with_whole_rows(lines)) for lines in without_running_matter(pages)]
    return Pages(tuple(line for lines in told for line in lines), len(pages))


def _without_tabs(lines: list[str]) -> Iterator[str]:
    """Neighbouring lines with tabs between words, set so that what stands behind the same tab lines up."""
    for tabbed, group in itertools.groupby(lines, key=lambda raw: bool(_TABBED.search(raw))):
        block = list(group)
        if not tabbed:
            yield from block
            continue
        cells = [[cell.strip() for cell in raw.split("\t")] for raw in block]
        count = max(map(len, cells))
        widths = [max((len(row[x]) for row in cells if x < len(row)), default=0) for x in range(count)]
        for row in cells:
            padded = (cell.ljust(width + _BETWEEN_TABBED) for cell, width in zip(row, widths, strict=False))
            yield "".join(padded).rstrip()


@dataclass(slots=True)
class _Setter:
    """Finds what stands side by side on each page; heads hold on for the next section and page."""

    heads: Heads | None = field(default=None)

    def lines(self, page: list[Line]) -> list[Line]:
        """The lines of a page in reading order."""
        made: list[Line] = []
        for strokes, group in itertools.groupby(page, key=lambda line: is_row(line.text)):
            block = list(group)
            made.extend(block if strokes else self._block(block))
        return made

    def _block(self, block: list[Line]) -> Iterator[Line]:
        lines = with_leaders(block)
        laid = _laid(lines)
        place = 0
        for start, region in regions(laid, TEXT_SCALE, opens_columns):
            read = read_region(region, self.heads, align=TEXT_SCALE.align)
            if read is None:
                continue
            yield from lines[place:start]
            if isinstance(read, Columns):
                self._remember(region, read)
                yield from _column_lines(read, lines[start].page)
            else:
                yield from _row_lines(read, lines[start].page)
            place = start + len(region.lines)
        yield from lines[place:]

    def _remember(self, region: Region, read: Columns) -> None:
        governed = any(governs_column(head) for head in read.heads)
        self.heads = Heads(region.starts, read.heads) if governed else None


def _laid(lines: list[Line]) -> list[LaidLine]:
    """Lines in pieces; a rule is no piece, but underlines the line above it."""
    laid: list[LaidLine] = []
    starts: set[int] = set()
    for place, line in enumerate(lines):
        behind = lines[place + 1].text if place + 1 < len(lines) else ""
        pieces = [Piece(m[0], m.start(), m.end()) for m in _PIECE.finditer(line.text)]
        starts = starts if not line.gap_before else set()
        merged = _with_markers(pieces, starts)
        starts |= {round(piece.x0) for piece in merged[1:]}
        underlined = bool(behind) and _UNDERLINE.fullmatch(behind) is not None
        laid.append(LaidLine(tuple(merged), line.number, line.gap_before, underlined))
    return laid


def _with_markers(pieces: list[Piece], starts: set[int]) -> list[Piece]:
    """A bullet or number belongs to the words behind it, unless these stand in a column of their own."""
    merged: list[Piece] = []
    for piece in pieces:
        before = merged[-1] if merged else None
        if before and _is_marker(before.text) and round(piece.x0) not in starts:
            merged[-1] = Piece(f"{before.text} {piece.text}", before.x0, piece.x1)
        else:
            merged.append(piece)
    return merged


def _is_marker(text: str) -> bool:
    if _BULLET.fullmatch(text):
        return True
    return len(text) < len("(00.00.00)") and marker_of(f"{text} X") is not None


def _column_lines(read: Columns, page: int) -> Iterator[Line]:
    """Column by column; a head that only governs is said by every line below it and is no line of its own."""
    for place, (head, texts) in enumerate(zip(read.heads, read.texts, strict=True), start=1):
        if not texts:
            continue
        column = Column(place, head, max(len(text) for _, text in texts))
        if head and not governs_column(head):
            yield Line(page, texts[0][0].number - 1, head, gap_before=True, prominent=True, column=column)
        before = None
        for line, text in texts:
            gap = before is None or line.gap_before or line.number - before > 1
            yield Line(page, line.number, text, gap_before=gap, column=column)
            before = line.number


def _row_lines(read: Rows, page: int) -> Iterator[Line]:
    for place, (line, cells) in enumerate(read.cells):
        opens = None if place else TableStart.heads if read.titled else TableStart.cells
        text, gap = f"| {' | '.join(cells)} |", place == 0 or line.gap_before
        yield Line(page, line.number, text, gap_before=gap, opens=opens)
