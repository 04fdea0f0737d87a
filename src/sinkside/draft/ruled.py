"""Tables drawn with rules: which rules cross, which cells they enclose, and which of these are merged."""

from __future__ import annotations

import bisect
import itertools
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from sinkside.draft.layout import Word, grouped, inside
from sinkside.draft.pdf_words import Rule

_SNAP_PT = 3.0
_GAP_PT = 4.0
_SHORTEST_SIDE_PT = 6.0
_OPEN_SIDE_PT = 12.0
#: More rules than any table has; a page with more is a drawing or a trap.
_MOST_RULES = 2_500
_MOST_CELLS = 20_000
_LEAST_COLUMNS = 2


_Stroke: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell that reaches over some rows and columns, and where it stands."""

    row: int
    column: int
    rows: int
    columns: int
    box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class RuledTable:
    """A table: where its rows begin and its columns end, and its cells."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    cells: tuple[Cell, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """From where to where it reaches."""
        return self.xs[0], self.ys[0], self.xs[-1], self.ys[-1]


def ruled_tables(rules: Iterable[Rule]) -> list[RuledTable]:
    """The tables with at least two columns, from the top down."""
    level = _joined([(r.y0 + r.y1) / 2, r.x0, r.x1] for r in rules if r.level)
    upright = _joined([(r.x0 + r.x1) / 2, r.y0, r.y1] for r in rules if not r.level)
    if not upright or len(level) + len(upright) > _MOST_RULES:
        return []
    tables = (_table(*group) for group in _crossing(level, upright))
    return sorted((table for table in tables if table), key=lambda table: table.ys[0])


def _joined(strokes: Iterable[list[float]]) -> list[_Stroke]:
    """Strokes at one height made one where they touch: where, from, to; without short ones."""
    heights: list[list[list[float]]] = []
    for stroke in sorted(strokes):
        if heights and stroke[0] - heights[-1][0][0] <= _SNAP_PT:
            heights[-1].append(stroke)
        else:
            heights.append([stroke])
    joined: list[_Stroke] = []
    for same in heights:
        height = sum(stroke[0] for stroke in same) / len(same)
        for _, start, end in sorted(same, key=lambda stroke: stroke[1]):
            before = joined[-1] if joined else None
            if before and before[0] == height and start <= before[2] + _GAP_PT:
                joined[-1] = (height, before[1], max(before[2], end))
            else:
                joined.append((height, start, end))
    return [stroke for stroke in joined if stroke[2] - stroke[1] >= _SHORTEST_SIDE_PT]


def _crossing(level: list[_Stroke], upright: list[_Stroke]) -> Iterator[tuple[list[_Stroke], list[_Stroke]]]:
    """Groups of rules that touch each other."""
    owner = list(range(len(level) + len(upright)))

    def find(place: int) -> int:
        while owner[place] != place:
            owner[place] = owner[owner[place]]
            place = owner[place]
        return place

    heights = [stroke[0] for stroke in level]
    for place, (x, top, bottom) in enumerate(upright):
        first = bisect.bisect_left(heights, top - _SNAP_PT)
        for other in range(first, bisect.bisect_right(heights, bottom + _SNAP_PT)):
            if level[other][1] - _SNAP_PT <= x <= level[other][2] + _SNAP_PT:
                owner[find(other)] = find(len(level) + place)
    groups: dict[int, tuple[list[_Stroke], list[_Stroke]]] = defaultdict(lambda: ([], []))
    for place, stroke in enumerate(itertools.chain(level, upright)):
        groups[find(place)][place >= len(level)].append(stroke)
    return (group for group in groups.values() if group[0] and group[1])


def _table(level: list[_Stroke], upright: list[_Stroke]) -> RuledTable | None:
    ys = _with_open_sides([s[0] for s in level], [s[1] for s in upright], [s[2] for s in upright])
    xs = _with_open_sides([s[0] for s in upright], [s[1] for s in level], [s[2] for s in level])
    if len(xs) - 1 < _LEAST_COLUMNS or len(ys) == 1 or len(xs) * len(ys) > _MOST_CELLS:
        return None
    return RuledTable(tuple(xs), tuple(ys), tuple(_cells(xs, ys, level=level, upright=upright)))


def _with_open_sides(places: list[float], starts: list[float], ends: list[float]) -> list[float]:
    """Where rules stand, and where those that cross them begin and end without one."""
    snapped: list[float] = []
    for place in sorted(places):
        if not snapped or place - snapped[-1] > _SNAP_PT:
            snapped.append(place)
    if min(starts) < snapped[0] - _OPEN_SIDE_PT:
        snapped.insert(0, min(starts))
    if max(ends) > snapped[-1] + _OPEN_SIDE_PT:
        snapped.append(max(ends))
    return snapped


def _cells(
    xs: list[float], ys: list[float], *, level: list[_Stroke], upright: list[_Stroke]
) -> Iterator[Cell]:
    """Every field of the grid, joined with its neighbours where no rule parts them."""
    below = _walls(level, ys, xs)
    right = _walls(upright, xs, ys)
    taken: set[tuple[int, int]] = set()
    for row, column in itertools.product(range(len(ys) - 1), range(len(xs) - 1)):
        if (row, column) in taken:
            continue
        wide, tall = 1, 1
        while column + wide < len(xs) - 1 and (column + wide, row) not in right:
            wide += 1
        while row + tall < len(ys) - 1 and all(
            (row + tall, place) not in below for place in range(column, column + wide)
        ):
            tall += 1
        fields = itertools.product(range(row, row + tall), range(column, column + wide))
        taken.update(fields)
        box = (xs[column], ys[row], xs[column + wide], ys[row + tall])
        yield Cell(row, column, tall, wide, box)


def _walls(strokes: list[_Stroke], heights: list[float], between: list[float]) -> set[tuple[int, int]]:
    """Which grid lines are drawn beside which field: the number of the line, the number of the field."""
    walls: set[tuple[int, int]] = set()
    for height, start, end in strokes:
        line = min(range(len(heights)), key=lambda place: abs(heights[place] - height))
        for place in range(len(between) - 1):
            if start <= (between[place] + between[place + 1]) / 2 <= end:
                walls.add((line, place))
    return walls


def words_in(table: RuledTable, words: Sequence[Word]) -> dict[Cell, list[Word]]:
    """The words of each cell."""
    held: dict[Cell, list[Word]] = {cell: [] for cell in table.cells}
    owners = {
        (row, column): cell
        for cell in table.cells
        for row in range(cell.row, cell.row + cell.rows)
        for column in range(cell.column, cell.column + cell.columns)
    }
    for word in words:
        if inside(word, table.box):
            column = bisect.bisect_right(table.xs, (word.x0 + word.x1) / 2) - 1
            row = bisect.bisect_right(table.ys, (word.top + word.bottom) / 2) - 1
            held[owners[min(row, len(table.ys) - 2), min(column, len(table.xs) - 2)]].append(word)
    return held


def head_rows(table: RuledTable) -> int:
    """How many rows hold heads: as many as the tallest cell of the first row, if not all are as tall."""
    heads = {cell.rows for cell in table.cells if cell.row == 0}
    return max(heads) if len(heads) > 1 else 1


def texts_of(table: RuledTable, words: Sequence[Word], *, heads: int) -> list[list[list[list[Word]]]]:
    """For each row and column the lines of words in it; a merged cell says the same in each of its rows.

    Args:
        table: the cells.
        words: the words of the page.
        heads: how many rows hold heads; there a cell also says the same in each of its columns.
    """
    rows: list[list[list[list[Word]]]] = [
        [[] for _ in range(len(table.xs) - 1)] for _ in range(len(table.ys) - 1)
    ]
    for cell, inner in words_in(table, words).items():
        lines = grouped(inner)
        wide = cell.columns if cell.row < heads else 1
        for row, column in itertools.product(range(cell.rows), range(wide)):
            rows[cell.row + row][cell.column + column] = lines
    return rows
