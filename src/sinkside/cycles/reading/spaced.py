"""Printed tables: columns stand under each other, parted by spaces alone."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from sinkside.cycles.reading.decoding import Lines
from sinkside.cycles.reading.figures import is_figure, unit_of_figure
from sinkside.cycles.reading.heads import is_unit_row
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.spelling import normalised, unit_of

if TYPE_CHECKING:
    import polars as pl

_LINES_LOOKED_AT: Final = 100
_LONGEST_PREAMBLE: Final = 400
_FEWEST_COLUMNS: Final = 2
_FEWEST_LINES: Final = 2
_CONSISTENT_SHARE: Final = 0.5
_WORD: Final = re.compile(r"\S+")
_BLANKS: Final = re.compile(r"[ \t]+")
_PARTED: Final = re.compile(r"\S+(?: \S+)*")
_CLOCK: Final = re.compile(r"^\d{1,2}[:h]\d\d")
_DATE: Final = re.compile(r"^\d{1,4}[./-]\d{1,2}[./-]\d{1,4}$")
_HALF_DAY: Final = re.compile(r"^[ap]\.?m\.?$", re.IGNORECASE)
_RULE: Final = re.compile(r"^[\s\-=_+|*]+$")

Spans = list[tuple[int, int]]


def read_spaced(lines: Lines) -> Table | None:
    """The table in lines whose columns are parted by spaces; None if there is none with a head."""
    first = next((at for at, text in enumerate(lines.texts[:_LONGEST_PREAMBLE]) if _is_body(text)), None)
    if first is None:
        return None
    start = max(first, len(lines.texts) // 3)
    sample = [text for text in lines.texts[start : start + _LINES_LOOKED_AT] if _is_body(text)]
    width, whole = _even_lines(sample)
    if not whole or sum(_carries_units(text) for text in whole[:5]) * 2 > len(whole[:5]):
        return None
    spans = _spans(whole)
    heads, rows = _heads(lines.texts[max(0, first - 12) : first], spans, width)
    if heads is None:
        return None
    kept = lines.part(first)
    columns = _columns(kept.texts, spans, width)
    heads, columns = _joined(heads, columns, whole[0].split())
    if len(heads) != len(columns):
        return None
    head_line = rows[-1].strip() if rows else ""
    sections = tuple(
        (row, kept.numbers[row])
        for row, text in enumerate(kept.texts)
        if head_line in text and text.strip() == head_line
    )
    return Table(tuple(heads), tuple(columns), tuple(lines.texts[: first - 1]), sections, tuple(kept.numbers))


def _even_lines(sample: list[str]) -> tuple[int, list[str]]:
    """How many words most lines have, and these lines; none where they are too few to make a table."""
    if len(sample) < _FEWEST_LINES:
        return 0, []
    width, times = Counter(len(text.split()) for text in sample).most_common(1)[0]
    if width < _FEWEST_COLUMNS or times < _CONSISTENT_SHARE * len(sample):
        return width, []
    return width, [text for text in sample if len(text.split()) == width]


def _is_body(text: str) -> bool:
    """Whether a line begins with a figure and holds more of them."""
    words = text.split(None, 3)
    return len(words) >= _FEWEST_COLUMNS and is_figure(words[0]) and any(map(is_figure, words[1:3]))


def _carries_units(text: str) -> bool:
    """Whether numbers of a line carry their unit, glued or as a word of its own."""
    words = text.split()
    glued = any(unit_of_figure(word) for word in words)
    alone = any(
        is_figure(before) and not _CLOCK.match(before) and unit_of(normalised(word)) is not None
        for before, word in pairwise(words)
    )
    return glued or alone


def _heads(above: list[str], spans: Spans, width: int) -> tuple[list[str] | None, list[str]]:
    """The names of the columns, a line of units below them joined to them, and the lines they stood in."""
    rows = [text.lstrip("# ") if text.startswith("#") else text for text in above if not _RULE.match(text)]
    while rows and len(rows[-1].split()) < _FEWEST_COLUMNS:
        rows.pop()
    if not rows:
        return None, []
    lowest = rows.pop()
    heads = _under(lowest, spans, width)
    if rows and (is_unit_row(lowest.split()) or is_unit_row(re.split(r"\s{2,}", lowest.strip()))):
        names = _under(rows.pop(), spans, width)
        heads = [f"{name} [{unit}]" if unit else name for name, unit in zip(names, heads, strict=True)]
    return (heads, [lowest]) if any(heads) else (None, [])


def _spans(texts: list[str]) -> Spans:
    """Where the words of each column stand, over all lines."""
    every = [[word.span() for word in _WORD.finditer(text)] for text in texts]
    return [
        (min(start for start, _ in column), max(end for _, end in column))
        for column in zip(*every, strict=True)
    ]


def _under(text: str, spans: Spans, width: int) -> list[str]:
    """The parts of a head line, one for each column; '' where none stands above it."""
    parts = list(_PARTED.finditer(text))
    if len(parts) == width:
        return [part[0] for part in parts]
    words = list(_WORD.finditer(text))
    if len(words) == width:
        return [word[0] for word in words]
    if len(parts) < max(_FEWEST_COLUMNS, width - 2):
        parts = words
    heads = [""] * width
    for part in parts:
        at = min(range(width), key=lambda column: _apart(part.span(), spans[column]))
        heads[at] = f"{heads[at]} {part[0]}".strip()
    return heads


def _apart(one: tuple[int, int], other: tuple[int, int]) -> float:
    """How far two stretches of a line are apart; less than zero as far as they overlap."""
    gap = max(one[0], other[0]) - min(one[1], other[1])
    return gap + abs(sum(one) - sum(other)) / 1000.0


def _columns(texts: list[str], spans: Spans, width: int) -> list[pl.Series]:
    """The cells of each column; by position in lines that lack some, where all stand under each other."""
    import polars as pl

    rows: list[Sequence[str | None]] = [*_parted(texts)]
    apart = all(left[1] < right[0] for left, right in pairwise(spans))
    cuts = [0, *((left[1] + right[0]) // 2 for left, right in pairwise(spans)), None]
    for at in (at for at, row in enumerate(rows) if len(row) != width):
        placed = [texts[at][start:end].strip() for start, end in pairwise(cuts)]
        rows[at] = placed if apart else _fitted(rows[at], width)
    return [pl.Series(cells, dtype=pl.String) for cells in zip(*rows, strict=True)]


def _parted(texts: list[str]) -> Iterable[list[str]]:
    """What stands apart in each line; a space that does not break belongs to a number."""
    if "".join(texts).isascii():
        return map(str.split, texts)
    return (_BLANKS.split(text.strip()) for text in texts)


def _fitted(row: Sequence[str | None], width: int) -> Sequence[str | None]:
    """So many cells: what is more belongs to the last one."""
    more = " ".join(cell for cell in row[width - 1 :] if cell)
    return [*row[: width - 1], *([more] if more else []), *[None] * (width - len(row))]


def _joined(
    heads: list[str], columns: list[pl.Series], words: list[str]
) -> tuple[list[str], list[pl.Series]]:
    """Date and time of day, and a time of day and its half, as one column each where one head covers both."""
    at = 1
    while at < len(columns):
        dated = bool(_DATE.match(words[at - 1]) and _CLOCK.match(words[at]))
        halved = bool(_CLOCK.match(words[at - 1].rsplit(" ", 1)[-1]) and _HALF_DAY.match(words[at]))
        if (dated and not (heads[at] and heads[at - 1])) or halved:
            columns[at - 1 : at + 1] = [columns[at - 1] + " " + columns[at]]
            heads[at - 1 : at + 1] = [f"{heads[at - 1]} {heads[at]}".strip()]
            words = [*words[: at - 1], f"{words[at - 1]} {words[at]}", *words[at + 1 :]]
        else:
            at += 1
    return heads, columns
