"""Words of a page in reading order: lines, columns of running text, and which tables lie between."""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from dataclasses import dataclass

_LINE_TOLERANCE_PT = 2.5
_GUTTER_PT = 9.0
_LEAST_LINES_IN_COLUMNS = 6
_LEAST_SHARE_OF_A_COLUMN = 0.08
_SHARE_CROSSING = 0.2
_COLUMN_FILL = 0.55
_GUTTER_TRIES = 31


@dataclass(frozen=True, slots=True)
class Word:
    """A word and where it stands, in points from the top left."""

    text: str
    x0: float
    x1: float
    top: float
    bottom: float
    size: float
    bold: bool


@dataclass(frozen=True, slots=True)
class Row:
    """A line of words or a table row at its height on the page."""

    text: str
    top: float
    bottom: float
    size: float
    bold: bool
    x0: float = 0.0
    x1: float = 0.0
    table: bool = False


def inside(word: Word, box: tuple[float, float, float, float]) -> bool:
    """Whether the middle of a word lies in a box."""
    x, y = (word.x0 + word.x1) / 2, (word.top + word.bottom) / 2
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]


def in_reading_order(words: list[Word], tables: list[Row], gutter: float | None) -> list[Row]:
    """The rows of a page from the top down; of a page in two columns, band by band, left before right."""
    if gutter is None:
        return sorted([*_text_rows(words), *tables], key=lambda row: row.top)
    across = [word for line in grouped(words) if not _parted(line, gutter) for word in line]
    crossing = {id(word) for word in across}
    sides = [word for word in words if id(word) not in crossing]
    whole = [*_text_rows(across), *(row for row in tables if row.x0 < gutter < row.x1)]
    left = [*_text_rows([w for w in sides if w.x1 <= gutter]), *(row for row in tables if row.x1 <= gutter)]
    right = [*_text_rows([w for w in sides if w.x0 >= gutter]), *(row for row in tables if row.x0 >= gutter)]
    return _banded(whole, left, right)


def _banded(whole: list[Row], left: list[Row], right: list[Row]) -> list[Row]:
    """What runs across the page divides it into bands; each band is read left, then right."""
    ordered: list[Row] = []
    begin = float("-inf")
    for row in [*sorted(whole, key=lambda one: one.top), None]:
        end = row.top if row else float("inf")
        for side in (left, right):
            ordered.extend(sorted((x for x in side if begin <= x.top < end), key=lambda one: one.top))
        if row:
            ordered.append(row)
        begin = end
    return ordered


def _parted(line: list[Word], gutter: float) -> bool:
    """Whether a line keeps clear of the gutter."""
    if any(word.x0 < gutter < word.x1 for word in line):
        return False
    before = max((word.x1 for word in line if word.x1 <= gutter), default=float("-inf"))
    behind = min((word.x0 for word in line if word.x0 >= gutter), default=float("inf"))
    return behind - before >= _GUTTER_PT


def gutter_of(words: list[Word], width: float) -> float | None:
    """Where the white between two columns of running text is, or none."""
    lines = grouped(words)
    if len(lines) < _LEAST_LINES_IN_COLUMNS:
        return None
    for step in range(_GUTTER_TRIES):
        x = width * (0.5 + (step + 1) // 2 * (0.01 if step % 2 else -0.01))
        parted = [line for line in lines if _parted(line, x)]
        crossing = len(lines) - len(parted)
        if crossing <= len(lines) * _SHARE_CROSSING and _is_filled(words, x):
            return _middle_of_white(parted, x)
    return None


def _middle_of_white(lines: list[list[Word]], x: float) -> float:
    left = max((word.x1 for line in lines for word in line if word.x1 <= x), default=x)
    right = min((word.x0 for line in lines for word in line if word.x0 >= x), default=x)
    return (left + right) / 2


def _is_filled(words: list[Word], gutter: float) -> bool:
    """Whether running text fills both sides: a table without rules leaves most of its columns white."""
    margin, edge = min(word.x0 for word in words), max(word.x1 for word in words)
    sides = (
        ([word for word in words if word.x1 <= gutter], gutter - margin),
        ([word for word in words if word.x0 >= gutter], edge - gutter),
    )
    for side, room in sides:
        if len(side) < len(words) * _LEAST_SHARE_OF_A_COLUMN:
            return False
        fill = statistics.median((line[-1].x1 - line[0].x0) / room for line in grouped(side))
        if fill < _COLUMN_FILL:
            return False
    return True


def grouped(words: list[Word]) -> list[list[Word]]:
    """Words that stand at one height, left to right, from the top down."""
    lines: list[list[Word]] = []
    for word in sorted(words, key=lambda one: (one.bottom, one.x0)):
        if lines and abs(word.bottom - lines[-1][0].bottom) <= _LINE_TOLERANCE_PT:
            lines[-1].append(word)
        else:
            lines.append([word])
    return [sorted(line, key=lambda one: one.x0) for line in lines]


def _text_rows(words: list[Word]) -> Iterator[Row]:
    for line in grouped(words):
        text = " ".join(word.text for word in line if word.text)
        size = statistics.median(word.size for word in line)
        top, bottom = min(word.top for word in line), max(word.bottom for word in line)
        yield Row(text, top, bottom, size, bold=all(word.bold for word in line))
