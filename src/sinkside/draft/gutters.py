"""Where white space parts a page: runs of lines that keep clear of the same gutters.

A line is cut at its wide gaps into pieces. A region is a run of lines in which at least one gutter stays
white from its first line to its last, and in which the pieces behind a gutter stand under each other.
The same reading serves text, whose places are columns of signs, and PDF, whose places are points.
"""

from __future__ import annotations

import bisect
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

Gutter: TypeAlias = tuple[float, float]

_LEAST_LINES = 3
_SHARE_UNDER_EACH_OTHER = 0.5
_FARTHEST_LEFT_LINES = 12
_MOST_LINES_OF_A_TITLE = 3
_TIMES_LONGER = 3
_MOST_COLUMNS = 30
_AS_GOOD_AS_EQUAL = 0.01


@dataclass(frozen=True, slots=True)
class Piece:
    """Words of a line that stand close together, and from where to where."""

    text: str
    x0: float
    x1: float
    prominent: bool = False


@dataclass(frozen=True, slots=True)
class LaidLine:
    """A line in pieces and as a whole: its number and place from the top, white above it, a rule below it."""

    pieces: tuple[Piece, ...]
    text: str
    number: int
    top: float
    gap_before: bool = False
    underlined: bool = False

    @property
    def prominent(self) -> bool:
        """Whether all of it is set larger or bolder than the text."""
        return all(piece.prominent for piece in self.pieces)


@dataclass(frozen=True, slots=True)
class Scale:
    """How wide a gutter is at least, and how far starts may differ."""

    gutter: float
    align: float


#: In signs.
TEXT_SCALE = Scale(gutter=2.0, align=1.0)


@dataclass(frozen=True, slots=True)
class Region:
    """A run of lines and the gutters between its columns."""

    lines: tuple[LaidLine, ...]
    gutters: tuple[Gutter, ...]

    def cells(self, line: LaidLine) -> list[list[Piece]]:
        """The pieces of a line by column."""
        cells: list[list[Piece]] = [[] for _ in range(len(self.gutters) + 1)]
        starts = self.starts
        for piece in line.pieces:
            cells[bisect.bisect_right(starts, piece.x0 + _AS_GOOD_AS_EQUAL)].append(piece)
        return cells

    def texts(self, line: LaidLine) -> list[str]:
        """The words of a line by column."""
        return [" ".join(piece.text for piece in cell) for cell in self.cells(line)]

    @property
    def starts(self) -> tuple[float, ...]:
        """Where the columns behind the gutters begin."""
        return tuple(end for _, end in self.gutters)


def is_barred(line: LaidLine) -> bool:
    """Whether a line is a row of a table that is drawn with signs."""
    return line.text.lstrip().startswith("|")


def regions(
    lines: Sequence[LaidLine], scale: Scale, opens: Callable[[LaidLine], bool]
) -> Iterator[tuple[int, Region]]:
    """Every region from the top down, with the place of its first line.

    Args:
        lines: the lines of a page in pieces.
        scale: how wide and how straight a gutter must be.
        opens: whether a line holds the heads of columns, so that a region can only begin with it.
    """
    place = 0
    while place < len(lines):
        region = _region_from(lines, place, scale, opens)
        if region is None or _hides_columns(lines, place, region, scale, opens):
            place += 1
        else:
            yield place, region
            place += len(region.lines)


def _hides_columns(
    lines: Sequence[LaidLine], place: int, region: Region, scale: Scale, opens: Callable[[LaidLine], bool]
) -> bool:
    """Whether long columns begin inside a few lines: a title with a wide gap stands close above them."""
    few = len(region.lines)
    if len(region.gutters) > 1 or few > _MOST_LINES_OF_A_TITLE or opens(region.lines[0]):
        return False
    for start in range(place + 1, place + few):
        behind = _region_from(lines, start, scale, opens)
        if behind and len(behind.gutters) == 1 and len(behind.lines) >= _TIMES_LONGER * few:
            return True
    return False


def _region_from(
    lines: Sequence[LaidLine], place: int, scale: Scale, opens: Callable[[LaidLine], bool]
) -> Region | None:
    gutters = _gaps(lines[place], scale)
    taken = [lines[place]]
    last_behind = 1
    for below in lines[place + 1 :] if gutters else ():
        line = below if below.gap_before else _cut_at(below, _starts_of(taken, gutters))
        narrowed = gutters if line is not below else _narrowed(gutters, line, scale)
        fewer = len(narrowed) < len(gutters) and last_behind >= _LEAST_LINES
        if not narrowed or fewer or is_barred(line) or len(taken) - last_behind >= _FARTHEST_LEFT_LINES:
            break
        if _is_apart(lines, place + len(taken), narrowed) or _begins_finer(line, gutters, scale):
            break
        if len(line.pieces) > 1 and opens(line):
            break
        gutters = narrowed
        taken.append(line)
        if _reaches_behind(line, gutters):
            last_behind = len(taken)
    kept = [*taken[:last_behind], *_going_on(taken[last_behind:])]
    region = Region(tuple(kept), tuple(gutters))
    return region if gutters and _stands_in_columns(region, scale) else None


def _starts_of(lines: Sequence[LaidLine], gutters: Sequence[Gutter]) -> list[float]:
    """Where every column of a table begins, as its head says; of two columns none is told so."""
    if len(gutters) < _LEAST_LINES or len(lines) < _LEAST_LINES:
        return []
    heads = {piece.x0 for piece in lines[0].pieces}
    return [end for _, end in gutters if end in heads]


def _cut_at(line: LaidLine, starts: Sequence[float]) -> LaidLine:
    """A line whose long cell reaches to the next column with one space between, cut where that begins."""
    pieces: list[Piece] = []
    for piece in line.pieces:
        left = piece
        for start in starts:
            place = round(start - left.x0)
            # Only signs of one width stand where their number says.
            whole = round(left.x1 - left.x0) == len(left.text)
            if whole and 0 < place < len(left.text) and left.text[place - 1] == " " != left.text[place]:
                words = left.text[: place - 1].rstrip()
                pieces.append(Piece(words, left.x0, left.x0 + len(words), left.prominent))
                left = Piece(left.text[place:], start, left.x1, left.prominent)
        pieces.append(left)
    return replace(line, pieces=tuple(pieces)) if len(pieces) > len(line.pieces) else line


def _gaps(line: LaidLine, scale: Scale) -> list[Gutter]:
    """The wide gaps of a line; one with more pieces than a table has columns stands in none.

    Nor does a row between bars: these part it already, however white it is beside them.
    """
    if len(line.pieces) > _MOST_COLUMNS or is_barred(line):
        return []
    pairs = zip(line.pieces, line.pieces[1:], strict=False)
    return [(a.x1, b.x0) for a, b in pairs if b.x0 - a.x1 >= scale.gutter]


def _narrowed(gutters: list[Gutter], line: LaidLine, scale: Scale) -> list[Gutter]:
    """What stays white of each gutter beside the pieces of a further line."""
    white = (_beside(gutter, line) for gutter in gutters)
    return [(begin, end) for begin, end in white if end - begin >= scale.gutter]


def _beside(gutter: Gutter, line: LaidLine) -> Gutter:
    """What stays white of one gutter; words in its midst belong to the nearer side, or right of others."""
    begin, end = gutter
    for place, piece in enumerate(line.pieces):
        if piece.x1 <= begin or piece.x0 >= end:
            continue
        if piece.x0 > begin and (piece.x1 >= end or place or piece.x0 > (begin + end) / 2):
            end = piece.x0
        else:
            begin = piece.x1
    return begin, end


def _reaches_behind(line: LaidLine, gutters: list[Gutter]) -> bool:
    return line.pieces[-1].x1 > gutters[0][0]


def _is_apart(lines: Sequence[LaidLine], place: int, gutters: list[Gutter]) -> bool:
    """A line on the left alone with white space above and below: a heading between two regions."""
    line = lines[place]
    behind = lines[place + 1] if place + 1 < len(lines) else None
    stands_free = line.gap_before and (behind is None or behind.gap_before)
    prominent = line.prominent and line.gap_before
    return not _reaches_behind(line, gutters) and (stands_free or prominent)


def _begins_finer(line: LaidLine, gutters: list[Gutter], scale: Scale) -> bool:
    """A line below white space that is cut more often than the lines above: another table begins."""
    return line.gap_before and len(_gaps(line, scale)) > len(gutters)


def _going_on(left: list[LaidLine]) -> list[LaidLine]:
    """Of the lines on the left alone at the end, those that stand close under the region."""
    going: list[LaidLine] = []
    for line in left:
        if line.gap_before or line.prominent or line.pieces[0].text.isupper():
            break
        going.append(line)
    return going


def _stands_in_columns(region: Region, scale: Scale) -> bool:
    """Whether the pieces behind each gutter stand under each other, be it by their starts or their ends."""
    for column in range(1, len(region.gutters) + 1):
        cells = [cells[column] for cells in map(region.cells, region.lines) if cells[column]]
        below = cells[1:] if len(cells) > _LEAST_LINES else cells
        starts = [cell[0].x0 for cell in below]
        ends = [cell[-1].x1 for cell in below]
        if not any(_agree(places, scale.align) for places in (starts, ends)):
            return False
    return True


def _agree(places: list[float], align: float) -> bool:
    counted = Counter(round(place / (align * 2)) for place in places)
    near = max((counted[key] + counted[key + 1] for key in counted), default=0)
    return near >= len(places) * _SHARE_UNDER_EACH_OTHER and near > 0
