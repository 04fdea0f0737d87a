"""Letters for parts and features: beside what they name, clear of every line and of each other."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sinkside.shapes.lines import Anchor, Box, Line, Point, Shape

#: Letters that are not taken for figures.
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_DISTANCES = (0.0, 1.5, 2.2, 3.2, 4.5, 6.5, 9.0, 13.0)
_ANGLES = (-90.0, 90.0, -65.0, -115.0, 65.0, 115.0, -40.0, -140.0, 40.0, 140.0, 0.0, 180.0)
_CLEAR = 0.62
_SLANT_COSTS = 0.6
_CROSSING_COSTS = 0.8
_TINY = 1e-12
_OWN_LINE = 0.02

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Letter:
    """A letter, the id of what it names, its middle, and the thin line from there to it."""

    letter: str
    name: str
    middle: Point
    lead: tuple[Point, Point]

    def box(self, height: float) -> Box:
        """The room that the letter takes."""
        half = height / 2
        wide = half * (0.8 if len(self.letter) == 1 else 1.5)
        return Box(self.middle[0] - wide, self.middle[1] - half, self.middle[0] + wide, self.middle[1] + half)


def letter_of(index: int) -> str:
    """The letter of a number from 0; two letters after Z.

    >>> letter_of(0), letter_of(8), letter_of(24)
    ('A', 'J', 'AA')
    """
    rest, place = divmod(index, len(_LETTERS))
    return (letter_of(rest - 1) if rest else "") + _LETTERS[place]


def lettered(shape: Shape, letters: Mapping[str, str], *, height: float) -> tuple[Letter, ...]:
    """Every letter in the best free place near what it names.

    Args:
        shape: what is drawn.
        letters: letter by id, in order.
        height: of a letter, in mm of the drawing.
    """
    segments = _segments(shape, step=0.5 * height)
    reach = (_DISTANCES[-1] + 1.0) * height
    placed: list[Letter] = []
    for name, letter in letters.items():
        anchor = next(one for one in shape.anchors if name in one.names)
        near = _near(segments, anchor.point, reach)
        placed.append(_best(letter, name, anchor, segments=near, placed=placed, height=height))
    return tuple(placed)


def _best(
    letter: str, name: str, anchor: Anchor, *, segments: Numbers, placed: Sequence[Letter], height: float
) -> Letter:
    """The cheapest candidate: near, upright, over few lines; the last resort is above everything."""
    best: Letter | None = None
    cheapest = math.inf
    for distance in _DISTANCES:
        if cheapest <= distance:
            break
        middles = np.array([_at(anchor.point, distance * height, angle) for angle in _ANGLES])
        clear = _distances(middles, segments).min(axis=1) > _CLEAR * height
        crossed = _crossings(np.array(anchor.point), middles, segments)
        for index, angle in enumerate(_ANGLES):
            slant = abs(math.cos(math.radians(angle)))
            cost = distance * (1.0 + _SLANT_COSTS * slant) + _CROSSING_COSTS * float(crossed[index])
            if clear[index] and cost < cheapest:
                made = _letter(
                    letter, name, anchor.point, (float(middles[index, 0]), float(middles[index, 1])), height
                )
                if not _in_the_way(made, placed, height):
                    best, cheapest = made, cost
    return best or _above_all(letter, name, anchor, segments=segments, placed=placed, height=height)


def _letter(letter: str, name: str, anchor: Point, middle: Point, height: float) -> Letter:
    """The letter with its lead, which stops short of it."""
    length = math.dist(anchor, middle)
    share = max(length - height * 0.72, 0.0) / length if length else 0.0
    stop = (anchor[0] + (middle[0] - anchor[0]) * share, anchor[1] + (middle[1] - anchor[1]) * share)
    return Letter(letter, name, middle, (anchor, stop))


def _in_the_way(made: Letter, placed: Sequence[Letter], height: float) -> bool:
    """Whether a letter or its lead meets one that is there already."""
    mine = made.box(height).grown(height * 0.15)
    return any(
        mine.touches(other.box(height).grown(height * 0.15))
        or _cross(made.lead, other.lead)
        or _meets(made.lead, other.box(height))
        or _meets(other.lead, mine)
        for other in placed
    )


def _above_all(
    letter: str, name: str, anchor: Anchor, *, segments: Numbers, placed: Sequence[Letter], height: float
) -> Letter:
    top = float(segments[:, [1, 3]].min())
    tops = [top, *(one.middle[1] for one in placed)]
    return _letter(letter, name, anchor.point, (anchor.point[0], min(tops) - 1.6 * height), height)


def _at(point: Point, distance: float, angle: float) -> Point:
    return point[0] + distance * math.cos(math.radians(angle)), point[1] + distance * math.sin(
        math.radians(angle)
    )


def _segments(shape: Shape, *, step: float) -> Numbers:
    """All lines that a letter must keep off, as rows of x, y, x, y; steps shorter than `step` are joined."""
    rows: list[tuple[float, float, float, float]] = []
    for stroke in shape.strokes:
        if stroke.line is Line.hatch:
            continue
        points = (*stroke.points, stroke.points[0]) if stroke.is_body else stroke.points
        last = points[0]
        for point in points[1:]:
            if point is points[-1] or abs(point[0] - last[0]) + abs(point[1] - last[1]) >= step:
                rows.append((*last, *point))
                last = point
    return np.array(rows)


def _near(segments: Numbers, point: Point, reach: float) -> Numbers:
    """The segments that come within reach of a point, by their boxes."""
    low = np.minimum(segments[:, :2], segments[:, 2:]) <= np.array(point) + reach
    high = np.maximum(segments[:, :2], segments[:, 2:]) >= np.array(point) - reach
    return np.asarray(segments[low.all(axis=1) & high.all(axis=1)])


def _distances(points: Numbers, segments: Numbers) -> Numbers:
    """From every point to every segment."""
    x, y, dx, dy = _from(segments, np.zeros(2))
    px, py = points[:, :1] - x, points[:, 1:] - y
    share = np.clip((px * dx + py * dy) / np.maximum(dx * dx + dy * dy, _TINY), 0.0, 1.0)
    return np.hypot(px - share * dx, py - share * dy)


def _crossings(anchor: Numbers, middles: Numbers, segments: Numbers) -> npt.NDArray[np.int64]:
    """How many lines the way from the anchor to each middle crosses."""
    x, y, dx, dy = _from(segments, anchor)
    wx, wy = middles[:, :1] - anchor[0], middles[:, 1:] - anchor[1]
    turn = wx * dy - wy * dx
    turn = np.where(np.abs(turn) < _TINY, np.inf, turn)
    on_way, on_line = (x * dy - y * dx) / turn, (x * wy - y * wx) / turn
    hit = (on_way > _OWN_LINE) & (on_way < 1.0) & (on_line >= 0.0) & (on_line < 1.0)
    return np.asarray(hit.sum(axis=1))


def _from(segments: Numbers, origin: Numbers) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """Start and way of every segment, seen from a point."""
    x, y = segments[:, 0] - origin[0], segments[:, 1] - origin[1]
    return x, y, segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1]


def _cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    if one[0] == other[0]:
        return False
    a, b = one
    c, d = other
    return _side(a, b, c) != _side(a, b, d) and _side(c, d, a) != _side(c, d, b)


def _side(a: Point, b: Point, c: Point) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) > (b[1] - a[1]) * (c[0] - a[0])


def _meets(lead: tuple[Point, Point], box: Box) -> bool:
    corners = (
        (box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)
    )  # fmt: skip
    sides = zip(corners, (*corners[1:], corners[0]), strict=True)
    inside = box.left < lead[1][0] < box.right and box.top < lead[1][1] < box.bottom
    return inside or any(_cross(lead, side) for side in sides)
