"""Tables without rules: lines whose words stand in columns, made into rows with strokes between the cells."""

from __future__ import annotations

from dataclasses import dataclass, field

from sinkside.draft.hyphens import joined
from sinkside.draft.layout import Row, Word, grouped

_LEAST_COLUMNS = 3
_LEAST_ROWS = 3
_GAP_IN_SIZES = 0.9
_TOLERANCE_PT = 4.0
_FARTHEST_LINE_IN_SIZES = 4.0
_TIGHT_LINE_IN_SIZES = 1.45


@dataclass(slots=True)
class _Piece:
    """Neighbouring words of a line: one cell of it, or a part of one."""

    words: list[Word]

    @property
    def x0(self) -> float:
        return self.words[0].x0

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)


@dataclass(slots=True)
class _Table:
    """Lines that stand in the same columns, from the head down."""

    starts: list[float]
    lines: list[list[_Piece]] = field(default_factory=list)

    def column_of(self, piece: _Piece) -> int | None:
        """The column at whose start a piece begins, or none."""
        for column, start in enumerate(self.starts):
            if abs(piece.x0 - start) <= _TOLERANCE_PT:
                return column
        return None


def tables_without_rules(words: list[Word]) -> tuple[list[Row], list[Word]]:
    """The rows of all tables without rules, and the words that stand in none."""
    lines = [_pieces(line) for line in grouped(words)]
    rows: list[Row] = []
    taken: set[int] = set()
    place = 0
    while place < len(lines):
        table = _table_from(lines, place)
        if table is None:
            place += 1
            continue
        rows.extend(_rows(table))
        taken.update(id(word) for line in table.lines for piece in line for word in piece.words)
        place += len(table.lines)
    return rows, [word for word in words if id(word) not in taken]


def _pieces(line: list[Word]) -> list[_Piece]:
    pieces = [_Piece([line[0]])]
    for word in line[1:]:
        if word.x0 - pieces[-1].words[-1].x1 > _GAP_IN_SIZES * word.size:
            pieces.append(_Piece([word]))
        else:
            pieces[-1].words.append(word)
    return pieces


def _table_from(lines: list[list[_Piece]], place: int) -> _Table | None:
    """The table whose head is a line, if enough lines below stand in its columns."""
    head = lines[place]
    if len(head) < _LEAST_COLUMNS:
        return None
    table = _Table([piece.x0 for piece in head], [head])
    for line in lines[place + 1 :]:
        size = line[0].words[0].size
        near = line[0].words[0].top - table.lines[-1][0].words[0].top <= _FARTHEST_LINE_IN_SIZES * size
        if not near or any(table.column_of(piece) is None for piece in line):
            break
        table.lines.append(line)
    full = sum(1 for line in table.lines if len(line) >= _LEAST_COLUMNS)
    return table if full > _LEAST_ROWS else None


def _rows(table: _Table) -> list[Row]:
    """A line with a first cell begins a row, unless it only goes on with the line close above it."""
    groups: list[list[list[_Piece]]] = []
    for line in table.lines:
        first = line[0].words[0]
        above = groups[-1][-1][0].words[0] if groups else None
        tight = above is not None and first.top - above.top <= _TIGHT_LINE_IN_SIZES * first.size
        if groups and (table.column_of(line[0]) != 0 or (tight and len(line) < _LEAST_COLUMNS)):
            groups[-1].append(line)
        else:
            groups.append([line])
    return [_row(table, group) for group in groups]


def _row(table: _Table, group: list[list[_Piece]]) -> Row:
    cells: list[list[str]] = [[] for _ in table.starts]
    for line in group:
        for piece in line:
            cells[table.column_of(piece) or 0].append(piece.text)
    text = " | ".join(joined(cell).replace("|", "/") for cell in cells)
    words = [word for line in group for piece in line for word in piece.words]
    return Row(
        f"| {text} |",
        top=min(word.top for word in words),
        bottom=max(word.bottom for word in words),
        size=words[0].size,
        bold=False,
        x0=min(word.x0 for word in words),
        x1=max(word.x1 for word in words),
        table=True,
    )
