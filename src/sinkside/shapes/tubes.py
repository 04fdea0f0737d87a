"""Shafts: the tube with bore and coat, a sleeve that slides on it, a break where it is drawn shorter.

The shaft runs along the axis from the origin to the right.
"""

from __future__ import annotations

import math
from dataclasses import replace

from sinkside.instruction import FeatureKind
from sinkside.shapes.cast import Cast, Form
from sinkside.shapes.lines import Anchor, Line, Mapping, Point, Shape, Stroke, box, of_part, smooth
from sinkside.shapes.sizes import Sizes
from sinkside.shapes.stance import Stance

_BREAK_AT = 0.42
_SLIDES_BY = 24.0
_BENDS_BY = 32.0


def tube(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """The tube with the lines of its bore and coat; one that slides bares its insert when it is back."""
    part = cast.part("tube")
    slides = is_itself_sliding(cast)
    if slides and stance.sleeve == "back":
        sizes = replace(sizes, length=sizes.length - _slide_of(sizes))
    half = sizes.width / 2
    body = Stroke(
        box(0.0, -half, sizes.length, half), is_body=True, part=part, moves="sleeve" if slides else ""
    )
    name = (Anchor((sizes.length * 0.6, -half), (of_part(part),), part),) if cast.has("tube") else ()
    # On a plain tube a sleeve is the tube itself, since there is nothing that it could slide on.
    sleeve = cast.ids(FeatureKind.sliding_sleeve) if slides or cast.form is Form.tube else ()
    names = tuple(Anchor((sizes.length * 0.9, half), (one,), part) for one in sleeve)
    return Shape((body,), name + names) + _coat(cast, part, sizes) + _bore(cast, part, sizes)


def is_itself_sliding(cast: Cast) -> bool:
    """Whether the tube round an insert is what slides, so that there is no other sleeve."""
    owners = {one.part for one in cast.features(FeatureKind.sliding_sleeve)}
    return cast.has("tube") and cast.has("inner") and cast.part("tube") in owners


def rod(cast: Cast, sizes: Sizes, *, behind: float = 0.0) -> Shape:
    """The rod of an insert, which a tube hides while the device is together."""
    part = cast.part("inner")
    half = max(sizes.width * 0.26, 0.4)
    body = Stroke(box(-behind, -half, sizes.length, half), is_body=True, part=part)
    return Shape((body,), (Anchor((sizes.length * 0.5, -half), (of_part(part),), part),))


def sliding_sleeve(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """A tube over the shaft, with a collar to hold: forward as far as the working end, or drawn back."""
    part = cast.part("sleeve")
    half = sizes.width / 2 + 1.6
    back = _slide_of(sizes) if stance.sleeve == "back" else 0.0
    left, right = sizes.length * 0.3 - back, sizes.length * 0.97 - back
    collar = box(left, -half - 3.0, left + 7.0, half + 3.0, round_by=1.6)
    names = cast.ids(FeatureKind.sliding_sleeve) + ((of_part(part),) if cast.has("sleeve") else ())
    return Shape(
        (
            Stroke(box(left, -half, right, half), is_body=True, part=part, moves="sleeve"),
            Stroke(collar, is_body=True, part=part, moves="sleeve"),
        ),
        (Anchor((left + 3.5, half + 3.0), names, part),),
    )


def shortened(shape: Shape, sizes: Sizes, parts: set[str]) -> Shape:
    """The shape with a break in every long body of some parts that crosses the place of the break."""
    at = sizes.length * _BREAK_AT
    breaks: list[Stroke] = []
    for part in sorted(parts):
        crossing = [
            stroke
            for stroke in shape.strokes
            if stroke.is_body and stroke.part == part
            and min(x for x, _ in stroke.points) < at - 8.0
            and max(x for x, _ in stroke.points) > at + 8.0
        ]  # fmt: skip
        if crossing:
            half = max(abs(y) for stroke in crossing for _, y in stroke.points if abs(y) < sizes.width * 1.5)
            breaks.extend(_break(at, half + 1.2, part))
    return replace(shape, strokes=shape.strokes + tuple(breaks))


def thread(cast: Cast, part: str, *, at: float, half: float) -> Shape:
    """The lines of a screw thread where two parts are joined."""
    lines = tuple(
        Stroke(((at + step * 2.0, -half), (at + step * 2.0 + 1.4, half)), Line.fine, part=part)
        for step in range(5)
    )
    return Shape(
        lines, tuple(Anchor((at + 5.0, half), (name,), part) for name in cast.ids(FeatureKind.thread))
    )


def bent(sizes: Sizes, *, degrees: float = 32.0) -> Mapping:
    """A mapping that bends the far end of a shaft down along an arc."""
    start = sizes.length - 0.34 * sizes.length
    run = min(_BENDS_BY, sizes.length * 0.25)
    radius = run / math.radians(degrees)

    def bend(point: Point) -> Point:
        x, y = point
        if x <= start:
            return point
        angle = min((x - start) / radius, math.radians(degrees))
        beyond = max(x - start - run, 0.0)
        centre_y = radius
        return (
            start + (radius - y) * math.sin(angle) + beyond * math.cos(angle),
            centre_y - (radius - y) * math.cos(angle) + beyond * math.sin(angle),
        )

    return bend


def divided(shape: Shape, *, beyond: float, longest: float = 2.5) -> Shape:
    """The shape with points added to long straight lines, so that these can be bent."""
    return replace(
        shape,
        strokes=tuple(
            replace(one, points=_divided(one, longest)) if max(x for x, _ in one.points) > beyond else one
            for one in shape.strokes
        ),
    )


def _slide_of(sizes: Sizes) -> float:
    return min(_SLIDES_BY, sizes.length * 0.2)


def _divided(stroke: Stroke, longest: float) -> tuple[Point, ...]:
    closing = (stroke.points[0],) if stroke.is_body else ()
    points: list[Point] = []
    for (ax, ay), (bx, by) in zip(stroke.points, (*stroke.points[1:], *closing), strict=False):
        count = max(1, math.ceil(math.hypot(bx - ax, by - ay) / longest))
        points.extend((ax + (bx - ax) * step / count, ay + (by - ay) * step / count) for step in range(count))
    return tuple(points) if stroke.is_body else (*points, stroke.points[-1])


def _bore(cast: Cast, part: str, sizes: Sizes) -> Shape:
    lumens = cast.features(FeatureKind.lumen)
    if not lumens:
        return Shape()
    half = min(sizes.bore / 2, sizes.width / 2 - 1.0)
    lines = [Stroke(((2.0, y), (sizes.length - 2.0, y)), Line.hidden, part=part) for y in (-half, half)]
    if sizes.rod:
        inner = min(sizes.rod / 2, half - 0.8)
        lines += [
            Stroke(((2.0, y), (sizes.length - 2.0, y)), Line.hidden, part=part) for y in (-inner, inner)
        ]
    places = [sizes.length * (0.78 - 0.06 * index) for index in range(len(lumens))]
    anchors = tuple(Anchor((x, 0.0), (one.id,), part) for x, one in zip(places, lumens, strict=True))
    return Shape(tuple(lines), anchors)


def _coat(cast: Cast, part: str, sizes: Sizes) -> Shape:
    """The insulation: a light hatch along both edges of the shaft."""
    names = cast.ids(FeatureKind.insulation)
    if not names:
        return Shape()
    depth = sizes.width * 0.24
    half = sizes.width / 2
    left, right = 4.0, sizes.length - 3.0
    step = 3.2
    lines: list[Stroke] = []
    for index in range(int((right - left - depth) / step)):
        x = left + index * step
        lines.append(Stroke(((x, -half + depth), (x + depth, -half)), Line.hatch, part=part))
        lines.append(Stroke(((x, half), (x + depth, half - depth)), Line.hatch, part=part))
    return Shape(tuple(lines), tuple(Anchor((sizes.length * 0.3, half), (name,), part) for name in names))


def _break(at: float, half: float, part: str) -> list[Stroke]:
    """Two waves across the shaft, with nothing between them."""
    wave = smooth(((0.0, -half), (1.5, -half * 0.5), (0.0, 0.0), (-1.5, half * 0.5), (0.0, half)))
    left = tuple((at - 2.2 + x, y) for x, y in wave)
    right = tuple((at + 2.2 + x, y) for x, y in wave)
    gap = Stroke((*left, *reversed(right)), Line.bare, is_body=True, part=part)
    return [gap, Stroke(left, Line.fine, part=part), Stroke(right, Line.fine, part=part)]
