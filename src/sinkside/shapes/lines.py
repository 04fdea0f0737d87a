"""Points and lines in millimetres: what every drawing is made of, and how it is moved.

The device lies along x, handle to the left and working end to the right; y points down, as on a page.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

Point = tuple[float, float]
Mapping = Callable[[Point], Point]


class Line(StrEnum):
    """How a line is drawn; `bare` only hides what lies behind, `unknown` frames an unknown shape."""

    edge = "edge"
    fine = "fine"
    hidden = "hidden"
    ghost = "ghost"
    hatch = "hatch"
    axis = "axis"
    flow = "flow"
    unknown = "unknown"
    bare = "bare"


@dataclass(frozen=True)
class Stroke:
    """One line: its points, whether it closes, whether its area hides what lies behind.

    Attributes:
        points: in millimetres.
        line: how it is drawn.
        is_body: a closed line round solid stuff, which hides what lies behind and counts for the outline.
        part: the part it belongs to; empty for what is no part, such as a hose.
        moves: the moving feature that takes it along, as the vocabulary of positions names it.
    """

    points: tuple[Point, ...]
    line: Line = Line.edge
    is_body: bool = False
    part: str = ""
    moves: str = ""


def of_part(part: str) -> str:
    """The name that an anchor has for a part, since a feature may have the same id."""
    return f"part {part}"


@dataclass(frozen=True)
class Anchor:
    """Where parts and features are to be seen: ids of features, and parts by `of_part`."""

    point: Point
    names: tuple[str, ...]
    part: str = ""


@dataclass(frozen=True)
class Opening:
    """Where water can go in or out: the place, the way out of it, the port's id or empty, and what it is."""

    point: Point
    outward: Point
    port: str = ""
    words: str = ""
    part: str = ""
    is_shut: bool = False


@dataclass(frozen=True)
class Shape:
    """Strokes from back to front, with the places to letter and the openings."""

    strokes: tuple[Stroke, ...] = ()
    anchors: tuple[Anchor, ...] = ()
    openings: tuple[Opening, ...] = ()

    def __add__(self, other: Shape) -> Shape:
        return Shape(
            self.strokes + other.strokes, self.anchors + other.anchors, self.openings + other.openings
        )

    def mapped(self, mapping: Mapping) -> Shape:
        """The shape with every point moved by a mapping; ways out turn along."""
        return Shape(
            tuple(replace(one, points=tuple(mapping(point) for point in one.points)) for one in self.strokes),
            tuple(replace(one, point=mapping(one.point)) for one in self.anchors),
            tuple(_mapped_opening(one, mapping) for one in self.openings),
        )

    def parts(self) -> tuple[str, ...]:
        """The parts that have a body here, in the order in which they are drawn."""
        return tuple(
            dict.fromkeys(one.part for one in self.strokes if one.is_body and one.line is not Line.bare)
        )

    def of_part(self, part: str) -> Shape:
        """What of the shape belongs to a part."""
        return Shape(
            tuple(one for one in self.strokes if one.part == part),
            tuple(one for one in self.anchors if one.part == part),
            tuple(one for one in self.openings if one.part == part),
        )

    def box(self) -> Box:
        """The box round every drawn point.

        Raises:
            ValueError: if there is none.
        """
        return Box.round_points(point for stroke in self.strokes for point in stroke.points)


@dataclass(frozen=True)
class Box:
    """An upright box in millimetres."""

    left: float
    top: float
    right: float
    bottom: float

    @classmethod
    def round_points(cls, points: Iterable[Point]) -> Box:
        """The smallest box that holds some points.

        Raises:
            ValueError: if there are no points.
        """
        xs, ys = zip(*points, strict=True)
        return cls(min(xs), min(ys), max(xs), max(ys))

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    def grown(self, by: float) -> Box:
        """The box with so much more on every side."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def touches(self, other: Box) -> bool:
        """Whether two boxes share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def moved(dx: float, dy: float = 0.0) -> Mapping:
    """A mapping that moves by so much."""
    return lambda point: (point[0] + dx, point[1] + dy)


def turned(degrees: float, about: Point = (0.0, 0.0)) -> Mapping:
    """A mapping that turns clockwise, as seen on the page."""
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def turn(point: Point) -> Point:
        x, y = point[0] - about[0], point[1] - about[1]
        return about[0] + x * cosine - y * sine, about[1] + x * sine + y * cosine

    return turn


def scaled(by: float) -> Mapping:
    """A mapping that makes larger or smaller about the origin."""
    return lambda point: (point[0] * by, point[1] * by)


def mirrored(point: Point) -> Point:
    """The point on the other side of the axis."""
    return point[0], -point[1]


@functools.lru_cache(maxsize=2048)
def arc(centre: Point, radius: float, start: float, end: float) -> tuple[Point, ...]:
    """Points along an arc; degrees run clockwise from the right."""
    count = max(3, math.ceil(abs(end - start) / 7.5))
    angles = (math.radians(start + (end - start) * step / count) for step in range(count + 1))
    return tuple(
        (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)) for angle in angles
    )


def ring(centre: Point, radius: float) -> tuple[Point, ...]:
    """Points round a circle, without the first one again."""
    return arc(centre, radius, 0, 360)[:-1]


def box(left: float, top: float, right: float, bottom: float, *, round_by: float = 0.0) -> tuple[Point, ...]:
    """The corners of a box, rounded where asked."""
    by = min(round_by, (right - left) / 2, (bottom - top) / 2)
    if by <= 0:
        return ((left, top), (right, top), (right, bottom), (left, bottom))
    return (
        *arc((right - by, top + by), by, -90, 0),
        *arc((right - by, bottom - by), by, 0, 90),
        *arc((left + by, bottom - by), by, 90, 180),
        *arc((left + by, top + by), by, 180, 270),
    )


@functools.lru_cache(maxsize=512)
def smooth(points: tuple[Point, ...], *, closed: bool = False) -> tuple[Point, ...]:
    """A curve through some points: centripetal Catmull-Rom, which makes no loops.

    Source: Yuksel, Schaefer, Keyser, Parameterization and Applications of Catmull-Rom Curves, 2011;
    from memory.
    """
    ends = (
        [points[-1], *points, points[0], points[1]]
        if closed
        else [_beyond(points[0], points[1]), *points, _beyond(points[-1], points[-2])]
    )
    curve: list[Point] = []
    for before, start, end, after in zip(ends, ends[1:], ends[2:], ends[3:], strict=False):
        curve.extend(_between(before, start, end, after))
    return tuple(curve) if closed else (*curve, points[-1])


@functools.lru_cache(maxsize=512)
def band(centre: tuple[Point, ...], first: float, last: float) -> tuple[Point, ...]:
    """The outline of a bar along a line, its far end rounded.

    Args:
        centre: points along the middle.
        first: its width at the first point, in millimetres.
        last: its width at the last point, in millimetres.
    """
    widths = even(first, last, len(centre))
    left: list[Point] = []
    right: list[Point] = []
    for index, (point, width) in enumerate(zip(centre, widths, strict=True)):
        before, after = centre[max(index - 1, 0)], centre[min(index + 1, len(centre) - 1)]
        along = math.atan2(after[1] - before[1], after[0] - before[0])
        dx, dy = -math.sin(along) * width / 2, math.cos(along) * width / 2
        left.append((point[0] + dx, point[1] + dy))
        right.append((point[0] - dx, point[1] - dy))
    heading = math.degrees(math.atan2(centre[-1][1] - centre[-2][1], centre[-1][0] - centre[-2][0]))
    cap = arc(centre[-1], last / 2, heading + 90, heading - 90)
    return (*left, *cap[1:-1], *reversed(right))


def even(first: float, last: float, count: int) -> tuple[float, ...]:
    """So many numbers evenly from first to last."""
    return tuple(first + (last - first) * step / max(count - 1, 1) for step in range(count))


def _between(before: Point, start: Point, end: Point, after: Point) -> list[Point]:
    """Points from start up to but without end, one every few degrees of what a curve may turn."""
    knots = [0.0]
    for one, other in ((before, start), (start, end), (end, after)):
        knots.append(knots[-1] + max(math.dist(one, other), 1e-9) ** 0.5)
    count = max(2, min(12, math.ceil(math.dist(start, end) / 2.5)))
    return [
        _barry_goldman((before, start, end, after), knots, knots[1] + (knots[2] - knots[1]) * step / count)
        for step in range(count)
    ]


def _barry_goldman(points: Sequence[Point], knots: Sequence[float], at: float) -> Point:
    level = list(points)
    for depth in (1, 2, 3):
        level = [
            _mix(level[i], level[i + 1], (at - knots[lo]) / (knots[hi] - knots[lo]))
            for i, (lo, hi) in enumerate(_spans(depth))
        ]
    return level[0]


def _spans(depth: int) -> tuple[tuple[int, int], ...]:
    """Which knots each mixing runs between."""
    return {1: ((0, 1), (1, 2), (2, 3)), 2: ((0, 2), (1, 3)), 3: ((1, 2),)}[depth]


def _mix(one: Point, other: Point, share: float) -> Point:
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def _beyond(end: Point, inner: Point) -> Point:
    return 2 * end[0] - inner[0], 2 * end[1] - inner[1]


def _mapped_opening(opening: Opening, mapping: Mapping) -> Opening:
    x, y = mapping(opening.point)
    tip = mapping(
        (opening.point[0] + opening.outward[0] * 0.01, opening.point[1] + opening.outward[1] * 0.01)
    )
    length = math.dist((x, y), tip) or 1.0
    return replace(opening, point=(x, y), outward=((tip[0] - x) / length, (tip[1] - y) / length))
