"""From laid lines to lines in reading order: what stands side by side is set one column after the other."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from sinkside.draft.blocks import marker_of
from sinkside.draft.charts import Chart, chart_in
from sinkside.draft.gutters import LaidLine, Piece, Scale, regions
from sinkside.draft.leaders import with_leaders
from sinkside.draft.lines import Column, Line, TableStart
from sinkside.draft.sidebyside import (
    Columns,
    Heads,
    Rows,
    Told,
    govern_columns,
    opens_columns,
    read_region,
    says_how,
)
from sinkside.draft.stacking import stacked

_A_MARKER_AND_ITS_WORDS = 2
_BARE_MARKER = re.compile(r"[A-Za-z]\d{0,2}|[1-9]\d?|\[\d{1,2}[a-z]?\]|\d{1,2}-\d{1,2}")
_BULLETS = frozenset("-•*–●▪◦‣·→►o▸✓✔")
_DASHES = frozenset("-–—")
#: In signs: no list hangs its words farther from their dash; in a table such a dash is an empty cell.
_FARTHEST_FROM_A_DASH = 6.0
_LONGEST_MARKER = len("(00.00.00)")
_GAP_IN_PITCHES = 1.25
_RULE = re.compile(r"[\s+:=_~─━—–-]+")
_LEAST_RULE = 5
_LEAST_COLUMNS = 3
_TIMES_FARTHER = 2


@dataclass(frozen=True, slots=True)
class Pitch:
    """How far the lines of a paragraph usually stand from each other on a page, and at most."""

    usual: float
    widest: float

    def among(self, tops: Sequence[float]) -> float:
        """The pitch of a column: lines beside it that stand at other heights do not count."""
        steps = sorted(b - a for a, b in itertools.pairwise(tops) if b > a)
        own = steps[len(steps) // 10] if steps else self.usual
        return min(max(self.usual, own), self.widest)


@dataclass(slots=True)
class Setter:
    """Sets the pages of one document; heads of columns hold on for the next section and the next page."""

    scale: Scale
    heads: Heads | None = field(default=None)

    def lines(self, laid: Sequence[LaidLine], *, page: int, pitch: Pitch) -> list[Line]:
        """Some laid lines of a page in reading order.

        Args:
            laid: the lines from the top down.
            page: the number of their page.
            pitch: how far the lines of a paragraph stand from each other, in the unit of their places.
        """
        kept = [line for place, line in enumerate(laid) if not _parts_heads(laid, place)]
        return with_leaders(list(self._set(kept, page, pitch)))

    def _set(self, laid: Sequence[LaidLine], page: int, pitch: Pitch) -> Iterator[Line]:
        place = 0
        for start, region in regions(laid, self.scale, opens_columns):
            read = chart_in(region) or read_region(region, self.heads, align=self.scale.align)
            if read is None:
                continue
            yield from (_across(line, page) for line in laid[place:start])
            if isinstance(read, Chart):
                yield from _chart_lines(read, page, pitch)
            elif isinstance(read, Columns):
                governed = govern_columns(read.heads)
                self.heads = Heads(region.starts, read.heads) if governed else None
                for part in stacked(region, read):
                    yield from _column_lines(part, page, pitch)
            else:
                yield from _row_lines(read, page)
            place = start + len(region.lines)
        yield from (_across(line, page) for line in laid[place:])

    def holds_heads_for(self, laid: Sequence[LaidLine]) -> bool:
        """Whether columns that are governed by a head stand in some lines, or go on in them."""
        if any(opens_columns(line) for line in laid):
            return True
        before = self.heads
        found = regions(laid, self.scale, opens_columns) if before else ()
        return before is not None and any(before.over(region, self.scale.align) for _, region in found)


def with_markers(pieces: Sequence[Piece], starts: set[int]) -> list[Piece]:
    """A bullet or number belongs to the words behind it, unless these stand in a column of their own.

    Where a line holds nothing else, they never do: that is how paragraphs hang on their numbers.

    Args:
        pieces: the pieces of a line.
        starts: where pieces behind others begin in the lines above.
    """
    merged: list[Piece] = []
    alone = len(pieces) == _A_MARKER_AND_ITS_WORDS
    for piece in pieces:
        before = merged[-1] if merged else None
        if before and not alone and _is_empty_cell(before, piece):
            merged.append(piece)
        elif before and (
            _belongs(before.text, piece, starts, alone=alone) or _heads_its_column(merged, piece)
        ):
            # A bare one keeps its distance, by which it is told from a word or a figure.
            space = " " if _is_marker(before.text) else "  "
            merged[-1] = Piece(f"{before.text}{space}{piece.text}", before.x0, piece.x1, piece.prominent)
        else:
            merged.append(piece)
    return merged


def _is_empty_cell(dash: Piece, words: Piece) -> bool:
    """Whether a dash far in front of words, or of another dash, says that its cell holds nothing."""
    far = words.x0 - dash.x1 > _FARTHEST_FROM_A_DASH * max(1.0, dash.x1 - dash.x0)
    return dash.text in _DASHES and (far or words.text in _DASHES)


def _belongs(marker: str, words: Piece, starts: set[int], *, alone: bool) -> bool:
    if alone:
        return _is_marker(marker) or _BARE_MARKER.fullmatch(marker) is not None
    return _is_marker(marker) and round(words.x0) not in starts


def _heads_its_column(before: Sequence[Piece], words: Piece) -> bool:
    """'ALWAYS        6  DRYING': a number close before capitals, far behind what stands beside them."""
    if len(before) < _A_MARKER_AND_ITS_WORDS or not words.text.partition("(")[0].strip().isupper():
        return False
    beside, marker = before[-2:]
    near = (words.x0 - marker.x1) * _TIMES_FARTHER <= marker.x0 - beside.x1
    return near and _BARE_MARKER.fullmatch(marker.text) is not None and len(words.text) >= _LEAST_RULE


def _is_marker(text: str) -> bool:
    if text in _BULLETS:
        return True
    return len(text) < _LONGEST_MARKER and marker_of(f"{text} X") is not None


def _parts_heads(laid: Sequence[LaidLine], place: int) -> bool:
    """Whether a line is the rule of signs between the heads of a table, on one line or two, and its rows."""
    if not _is_rule(laid[place]):
        return False
    # A rule that is too long for its line stands on two.
    above = [line for line in laid[max(0, place - 3) : place] if not _is_rule(line)]
    below = next((line for line in laid[place + 1 :] if not _is_rule(line)), None)
    if below is None:
        return False
    widest = max((len(line.pieces) for line in above), default=0)
    return min(widest, len(below.pieces)) >= _LEAST_COLUMNS and not below.gap_before


def _is_rule(line: LaidLine) -> bool:
    text = line.text.strip()
    return len(text) >= _LEAST_RULE and _RULE.fullmatch(text) is not None


def _across(line: LaidLine, page: int) -> Line:
    return Line(page, line.number, line.text, gap_before=line.gap_before, prominent=line.prominent)


def _column_lines(read: Columns, page: int, pitch: Pitch) -> Iterator[Line]:
    """Column by column; a head that only governs is said by every line below it and is no line of its own."""
    for place, (head, texts) in enumerate(zip(read.heads, read.texts, strict=True), start=1):
        if not texts:
            continue
        column = Column(place, head, max(len(told.text) for told in texts))
        if head and not says_how(head):
            number = texts[0].line.number - 1
            yield Line(page, number, head, gap_before=True, prominent=True, column=column)
        yield from _told_lines(texts, column, page, pitch)


def _told_lines(texts: Sequence[Told], column: Column, page: int, pitch: Pitch) -> Iterator[Line]:
    """The lines of one column; white between them counts by the pitch of the column."""
    farthest = _GAP_IN_PITCHES * pitch.among([told.line.top for told in texts])
    above = None
    for told in texts:
        gap = above is None or told.line.top - above > farthest
        yield Line(page, told.line.number, told.text, gap_before=gap, prominent=told.prominent, column=column)
        above = told.line.top


def _chart_lines(read: Chart, page: int, pitch: Pitch) -> Iterator[Line]:
    """What stands at the side heads what stands behind it."""
    for entry in read.entries:
        first = entry.texts[0].line
        yield Line(page, first.number, entry.label, gap_before=True, prominent=True, label=True)
        yield from _told_lines(entry.texts, Column(2, "", read.width), page, pitch)


def _row_lines(read: Rows, page: int) -> Iterator[Line]:
    for place, (line, cells) in enumerate(read.cells):
        opens = None if place else TableStart.heads if read.titled else TableStart.cells
        text, gap = f"| {' | '.join(cells)} |", place == 0 or line.gap_before
        yield Line(page, line.number, text, gap_before=gap, opens=opens)


def column_by_column(heads: Sequence[str], rows: Sequence[Sequence[Sequence[Line]]]) -> Iterator[Line]:
    """A table under heads that forbid: each line of a cell stands for itself, under the head of its column.

    Args:
        heads: the words at the head of each column.
        rows: for each row and column the lines of the cell.
    """
    for place, head in enumerate(heads):
        cells = [row[place] for row in rows]
        width = max((len(line.text) for cell in cells for line in cell), default=0)
        column = Column(place + 1, head, width)
        for cell in cells:
            for number, line in enumerate(cell):
                yield replace(line, gap_before=number == 0 or line.gap_before, column=column)
