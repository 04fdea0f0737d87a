"""Forceps and scissors of two crossing halves, with rings or with a spring. The joint is the origin."""

from __future__ import annotations

import math

from sinkside.instruction import FeatureKind
from sinkside.shapes.cast import Cast, Grip
from sinkside.shapes.ends import jaw, jaw_angle, jaw_names
from sinkside.shapes.hands import held
from sinkside.shapes.lines import (
    Anchor,
    Line,
    Point,
    Shape,
    Stroke,
    arc,
    band,
    box,
    mirrored,
    of_part,
    ring,
    scaled,
    smooth,
    turned,
)
from sinkside.shapes.sizes import Sizes
from sinkside.shapes.stance import Stance

_RING: Point = (-112.0, 18.5)
_RING_OUTER, _RING_INNER = 16.0, 11.0
_SHANK = ((4.0, -1.0), (-12.0, 3.0), (-40.0, 8.0), (-74.0, 9.5), (-100.0, 13.0))
_ARM = ((4.0, -1.0), (-8.0, 2.0), (-34.0, 7.0), (-72.0, 8.0), (-104.0, 4.0), (-124.0, 1.4))
_ARM_OPEN = ((4.0, -1.0), (-8.0, 4.0), (-34.0, 12.5), (-72.0, 14.0), (-104.0, 7.0), (-124.0, 1.4))
_RIBS = (-50.0, -54.0, -58.0, -62.0, -66.0)
_HEIGHT = 5.2
_LOCK = 7.0
_BAR_RADIUS = 82.0
_BAR_DEPTH = 3.4
_TEETH = 9
_DRAWN_LENGTH = 162.0

#: Long handles part by less than a jaw on a shaft.
_SHARE = 0.62


def forceps_form(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """Both halves on their joint; the upper jaw goes with the lower handle."""
    # Taken apart, each half lies along the axis.
    together = stance.part == "assembled" or not cast.has("upper")
    angle = jaw_angle(cast, stance) * _SHARE if together else 0.0
    upper, lower = cast.part("upper"), cast.part("lower")
    shape = _half(cast, lower, jaw_length=sizes.jaw, angle=angle).mapped(mirrored)
    shape += _half(cast, upper, jaw_length=sizes.jaw, angle=angle)
    if cast.grip is Grip.rings and cast.features(FeatureKind.ratchet):
        shape += _bar(cast, lower, stance, is_inner=True).mapped(turned(-angle)).mapped(mirrored)
        shape += _bar(cast, upper, stance, is_inner=False).mapped(turned(-angle))
    lock = Stroke(ring((0.0, 0.0), _LOCK), is_body=True, part=upper)
    pin = Stroke(ring((0.0, 0.0), 2.3), Line.fine, part=upper)
    shape += Shape((lock, pin), jaw_names(cast, upper, length=sizes.jaw, height=_HEIGHT, angle=angle))
    shape += Shape(anchors=_part_names(cast, angle))
    if cast.grip is Grip.spring:
        shape += _back(cast, upper)
    return shape if sizes.hand < 1.0 else shape.mapped(scaled(sizes.length / _DRAWN_LENGTH))


def _half(cast: Cast, part: str, *, jaw_length: float, angle: float) -> Shape:
    """A half with its jaw above and its handle below; a spring's arm bends, since both are joined behind."""
    end = jaw(cast, part, height=_HEIGHT, length=jaw_length)
    if cast.grip is Grip.rings:
        return (_ringed_shank(part) + end).mapped(turned(-angle))
    return end.mapped(turned(-angle)) + _springy_arm(part, is_open=angle > 0)


def _ringed_shank(part: str) -> Shape:
    return Shape(
        (
            Stroke(band(smooth(_SHANK), 9.0, 6.0), is_body=True, part=part),
            Stroke(ring(_RING, _RING_OUTER), is_body=True, part=part),
            Stroke(ring(_RING, _RING_INNER), is_body=True, part=part),
        )
    )


def _springy_arm(part: str, *, is_open: bool) -> Shape:
    line = smooth(_ARM_OPEN if is_open else _ARM)
    ribs = tuple(
        Stroke(((x, y - 1.2), (x, y + 1.2)), Line.fine, part=part)
        for x, y in (_nearest(line, at) for at in _RIBS)
    )
    return Shape((Stroke(band(line, 7.0, 4.0), is_body=True, part=part), *ribs))


def _nearest(line: tuple[Point, ...], x: float) -> Point:
    """The point of a line that lies nearest to an x."""
    return min(line, key=lambda point: abs(point[0] - x))


def _bar(cast: Cast, part: str, stance: Stance, *, is_inner: bool) -> Shape:
    """One of the two toothed bars of a ratchet, in line with the turning; sprung aside while released."""
    aside = 0.3 if held(cast, stance) else 3.4
    radius = _BAR_RADIUS + (-aside - _BAR_DEPTH if is_inner else aside)
    start, end = 180.0 - math.degrees(math.asin(11.0 / radius)), 188.0
    body = (*arc((0.0, 0.0), radius, start, end), *arc((0.0, 0.0), radius + _BAR_DEPTH, end, start))
    face = radius + (_BAR_DEPTH - 0.9 if is_inner else 0.9)
    teeth = tuple(_polar(face + (0.9 if step % 2 else -0.9), 181.0 + 0.75 * step) for step in range(_TEETH))
    names = () if is_inner else cast.ids(FeatureKind.ratchet)
    return Shape(
        (
            Stroke(body, is_body=True, part=part, moves="ratchet"),
            Stroke(teeth, Line.fine, part=part, moves="ratchet"),
        ),
        tuple(Anchor(_polar(radius + _BAR_DEPTH, 183.0), (name,), part) for name in names),
    )


def _part_names(cast: Cast, angle: float) -> tuple[Anchor, ...]:
    anchors = []
    for role, way in (("upper", 1.0), ("lower", -1.0)):
        if cast.has(role):
            part = cast.part(role)
            anchors.append(Anchor(turned(-angle * way)((-60.0, 12.0 * way)), (of_part(part),), part))
    return tuple(anchors)


def _back(cast: Cast, part: str) -> Shape:
    """Where both arms of a spring handle are joined."""
    piece = Stroke(box(-134.0, -3.4, -119.0, 3.4, round_by=3.3), is_body=True, part=part)
    return Shape(
        (piece,), tuple(Anchor((-128.0, -3.4), (name,), part) for name in cast.ids(FeatureKind.spring))
    )


def _polar(radius: float, degrees: float) -> Point:
    angle = math.radians(degrees)
    return radius * math.cos(angle), radius * math.sin(angle)
