"""Words of a page by place: which stand in one line, and where the gutter of two columns is."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
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
    turned: bool = False


def inside(word: Word, box: tuple[float, float, float, float]) -> bool:
    """Whether the middle of a word lies in a box."""
    x, y = (word.x0 + word.x1) / 2, (word.top + word.bottom) / 2
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]


def parted(line: Sequence[Word], gutter: float) -> bool:
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
        clear = [line for line in lines if parted(line, x)]
        crossing = len(lines) - len(clear)
        if crossing <= len(lines) * _SHARE_CROSSING and _is_filled(words, x):
            return _middle_of_white(clear, x)
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
