"""One PDF page in reading order: running text in one or two columns, and the tables between."""

from __future__ import annotations

import bisect
import itertools
import re
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from sinkside.draft.gutters import LaidLine, Piece, is_barred, regions
from sinkside.draft.hyphens import joined
from sinkside.draft.layout import Word, grouped, gutter_of, inside, parted
from sinkside.draft.lines import Line, TableStart
from sinkside.draft.pdf_words import Rule
from sinkside.draft.ruled import RuledTable, head_rows, ruled_tables, texts_of
from sinkside.draft.setting import Pitch, Setter, column_by_column, with_markers
from sinkside.draft.sidebyside import Rows, govern_columns, names_language, opens_columns, read_region

_GAP_FACTOR = 1.25
_LEAST_PITCH = 0.9
_WIDEST_PITCH = 1.45
_PROMINENT_FACTOR = 1.12
_SMALL_FACTOR = 0.95
_GAP_IN_SIZES = 0.9
_LEAST_COLUMNS_OF_A_TABLE = 3
_LEAST_ROWS_OF_A_TABLE = 4
_UNDERLINE_IN_SIZES = 0.8
_MOST_LINES_OF_NOTES = 12
_PAGE_AT_END = re.compile(r"\d{1,4}\s*$")
_ENDS_SENTENCE = re.compile(r"[.!?:;]$")


@dataclass(frozen=True, slots=True)
class _Item:
    """A line of words, or a table that is read already, and where it stands."""

    top: float
    x0: float
    x1: float
    words: tuple[Word, ...] = ()
    table: tuple[Line, ...] = ()


@dataclass(slots=True)
class PageReader:
    """Reads the words and rules of one page; `setter` keeps what holds on from page to page."""

    words: list[Word]
    rules: list[Rule]
    width: float
    number: int
    setter: Setter
    body: float = field(init=False)
    pitch: float = field(init=False)
    in_tables: set[int] = field(default_factory=set)
    notes: list[list[_Item]] = field(default_factory=list)

    def lines(self) -> list[Line]:
        """The lines of the page in reading order."""
        words = [word for word in self.words if not word.turned]
        tables = ruled_tables(self.rules)
        boxes = [table.box for table in tables]
        lines = grouped([word for word in words if not any(inside(word, box) for box in boxes)])
        self._measure(lines)
        gutter = self._gutter(lines)
        self._measure([line for place, line in enumerate(lines) if place not in self.in_tables] or lines)
        items = [_item_of(line) for line in self._without_small_print(lines, boxes)]
        items += [item for item in map(self._table, tables) if item.table]
        read = self._flow(self._without_notes(items)) if gutter is None else self._banded(items, gutter)
        notes = (replace(line, aside=True) for foot in self.notes for line in self._flow(foot))
        return [*read, *notes, *self._turned()]

    def _without_notes(self, items: list[_Item]) -> list[_Item]:
        """A flow without the notes in small type at its foot, which are kept for the end of the page."""
        kept = sorted(items, key=lambda item: item.top)
        foot = []
        while len(kept) > 1 and kept[-1].words and self._is_small(list(kept[-1].words)):
            foot.append(kept.pop())
        if len(foot) > _MOST_LINES_OF_NOTES or len(foot) > len(kept):
            return items
        self.notes.append(foot)
        return kept

    def _measure(self, lines: list[list[Word]]) -> None:
        """The usual size of the type, and the usual distance from line to line."""
        sizes = [statistics.median(word.size for word in line) for line in lines]
        self.body = statistics.median(sizes) if sizes else 0.0
        self.pitch = self._pitch(lines)

    def _pitch(self, *flows: list[list[Word]]) -> float:
        """From line to line inside a paragraph: a low one of all distances, never wider than is usual."""
        pairs = (pair for lines in flows for pair in itertools.pairwise(lines))
        steps = ((_top(b) - _top(a), b[0].size) for a, b in pairs)
        pitches = sorted(step for step, size in steps if step >= _LEAST_PITCH * size)
        low = pitches[len(pitches) // 10] if pitches else self.body
        return min(low, _WIDEST_PITCH * self.body)

    # Running text.

    def _gutter(self, lines: list[list[Word]]) -> float | None:
        """Where two columns of running text part; none where heads or tables say how the page is set."""
        laid = self._laid(lines)
        if self.setter.holds_heads_for(laid):
            return None
        scale = self.setter.scale
        for place, region in regions(laid, scale, opens_columns):
            read = read_region(region, None, align=scale.align)
            wide = [line for line in region.lines if len(line.pieces) >= _LEAST_COLUMNS_OF_A_TABLE]
            if isinstance(read, Rows) and len(wide) >= _LEAST_ROWS_OF_A_TABLE:
                self.in_tables.update(range(place, place + len(region.lines)))
        self.in_tables.update(place for place, line in enumerate(laid) if is_barred(line))
        if self.in_tables:
            return None
        return gutter_of([word for word in self.words if not word.turned], self.width)

    def _banded(self, items: list[_Item], gutter: float) -> list[Line]:
        """What runs across the page divides it into bands; each band is read left, then right."""
        across: list[_Item] = []
        left: list[_Item] = []
        right: list[_Item] = []
        for item in items:
            if item.words and parted(item.words, gutter):
                left.extend(_side(item, [word for word in item.words if word.x1 <= gutter]))
                right.extend(_side(item, [word for word in item.words if word.x0 >= gutter]))
            elif item.words or item.x0 < gutter < item.x1:
                across.append(item)
            else:
                (left if item.x1 <= gutter else right).append(item)
        left, right = self._without_notes(left), self._without_notes(right)
        self.pitch = self._pitch(
            *([list(item.words) for item in side if item.words] for side in (left, right))
        )
        sides = sorted(item.top for item in (*left, *right))
        whole = _runs(sorted(across, key=lambda item: item.top), sides)
        ends = [*(run[0].top for run in whole), float("inf")]
        read: list[Line] = []
        for place, (begin, end) in enumerate(itertools.pairwise([float("-inf"), *ends])):
            for side in (left, right):
                read = _continued(read, self._flow([x for x in side if begin <= x.top < end]))
            read.extend(line for run in whole[place : place + 1] for line in self._flow(run))
        return read

    def _flow(self, items: list[_Item]) -> list[Line]:
        """Lines and tables that follow each other from the top down."""
        read: list[Line] = []
        pitch = Pitch(self.pitch, _WIDEST_PITCH * self.body)
        ordered = sorted(items, key=lambda item: item.top)
        for is_table, group in itertools.groupby(ordered, key=lambda item: bool(item.table)):
            if is_table:
                read.extend(line for item in group for line in item.table)
            else:
                laid = self._laid([list(item.words) for item in group])
                read.extend(self.setter.lines(laid, page=self.number, pitch=pitch))
        return read

    def _laid(self, lines: list[list[Word]]) -> list[LaidLine]:
        laid: list[LaidLine] = []
        starts: set[int] = set()
        before: list[Word] | None = None
        for number, line in enumerate(lines, start=1):
            gap = before is None or _top(line) - _top(before) > _GAP_FACTOR * self.pitch
            merged = with_markers(self._pieces(line), starts)
            starts |= {round(piece.x0) for piece in merged[1:]}
            laid.append(
                LaidLine(
                    tuple(merged),
                    merged[0].text if len(merged) == 1 else " ".join(word.text for word in line),
                    number=number,
                    top=_top(line),
                    gap_before=gap,
                    underlined=self._is_underlined(line),
                )
            )
            before = line
        return laid

    def _pieces(self, line: list[Word]) -> list[Piece]:
        """Neighbouring words of a line, cut where the white between them is wide."""
        runs = [[line[0]]]
        for word in line[1:]:
            if word.x0 - runs[-1][-1].x1 > _GAP_IN_SIZES * word.size:
                runs.append([word])
            else:
                runs[-1].append(word)
        return [
            Piece(" ".join(word.text for word in run), run[0].x0, run[-1].x1, self._is_prominent(run))
            for run in runs
        ]

    def _is_prominent(self, run: list[Word]) -> bool:
        size = statistics.median(word.size for word in run)
        return all(word.bold for word in run) or size > _PROMINENT_FACTOR * self.body

    def _is_underlined(self, line: list[Word]) -> bool:
        bottom = max(word.bottom for word in line)
        return any(
            rule.level
            and -1.0 <= rule.y0 - bottom <= _UNDERLINE_IN_SIZES * self.body
            and rule.x0 <= line[0].x1
            and rule.x1 >= line[-1].x0
            for rule in self.rules
        )

    def _without_small_print(
        self, lines: list[list[Word]], boxes: Sequence[tuple[float, float, float, float]]
    ) -> list[list[Word]]:
        """The lines without small type above all else, and without a small last one with a page number."""
        first = min((box[1] for box in boxes), default=float("inf"))
        last = max((box[3] for box in boxes), default=float("-inf"))
        kept = list(lines)
        while kept and _top(kept[0]) < first and self._is_small(kept[0]):
            kept.pop(0)
        ends = kept and _top(kept[-1]) > last and self._is_small(kept[-1])
        return kept[:-1] if ends and _PAGE_AT_END.search(kept[-1][-1].text) else kept

    def _is_small(self, line: list[Word]) -> bool:
        return statistics.median(word.size for word in line) < _SMALL_FACTOR * self.body

    def _turned(self) -> Iterator[Line]:
        """Words that stand upright at the side of the page, behind all that is read the usual way."""
        turned = [word.text for word in self.words if word.turned]
        if turned:
            yield Line(self.number, 0, " ".join(turned), gap_before=True)

    # Tables.

    def _table(self, table: RuledTable) -> _Item:
        count = head_rows(table)
        rows = texts_of(table, self.words, heads=count)
        texts = [[_cell_text(cell) for cell in row] for row in rows]
        heads = [_head_text(column) for column in zip(*texts[:count], strict=True)]
        if govern_columns([head for head in heads if not names_language(head)]):
            body = [[self._lines_of(cell) for cell in row] for row in rows[count:]]
            lines = tuple(column_by_column(heads, body))
        else:
            lines = tuple(self._rows([heads, *texts[count:]], titled=count > 1))
        return _Item(table.ys[0], table.xs[0], table.xs[-1], table=lines)

    def _lines_of(self, cell: list[list[Word]]) -> list[Line]:
        return [Line(self.number, 0, " ".join(word.text for word in line)) for line in cell]

    def _rows(self, texts: list[list[str]], *, titled: bool) -> Iterator[Line]:
        for place, row in enumerate(texts):
            opens = TableStart.heads if titled and place == 0 else None
            if any(row):
                text = f"| {' | '.join(row)} |"
                yield Line(self.number, 0, text, gap_before=place == 0, opens=opens)


def _item_of(line: Sequence[Word]) -> _Item:
    return _Item(_top(line), line[0].x0, max(word.x1 for word in line), words=tuple(line))


def _runs(items: list[_Item], between: list[float]) -> list[list[_Item]]:
    """Items in runs, so that nothing at one of the places stands between two of a run."""
    runs: list[list[_Item]] = []
    for item in items:
        apart = runs and bisect.bisect_left(between, runs[-1][-1].top) < bisect.bisect_left(between, item.top)
        if apart or not runs:
            runs.append([item])
        else:
            runs[-1].append(item)
    return runs


def _side(item: _Item, words: list[Word]) -> list[_Item]:
    return [replace(_item_of(words), top=item.top)] if words else []


def _top(line: Sequence[Word]) -> float:
    return min(word.top for word in line)


def _continued(read: list[Line], further: list[Line]) -> list[Line]:
    """A column behind another; a sentence that the foot of a column cuts goes on at the head of the next."""
    if read and further and not (read[-1].text.startswith("|") or _ENDS_SENTENCE.search(read[-1].text)):
        first = further[0]
        cut = first.text[:1].islower() and first.prominent == read[-1].prominent
        further = [replace(first, gap_before=first.gap_before and not cut), *further[1:]]
    return [*read, *further]


def _cell_text(lines: list[list[Word]]) -> str:
    return joined(" ".join(word.text for word in line) for line in lines).replace("|", "/")


def _head_text(texts: tuple[str, ...]) -> str:
    """The words of the heads over a column, each once."""
    return " ".join(dict.fromkeys(text for text in texts if text))
