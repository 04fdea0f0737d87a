"""Handles behind a shaft: two plain grips, rings or a pistol grip, with ratchet, spring and plug.

The shaft begins at the origin. What moves with the jaw turns about one pivot below the hub.
"""

from __future__ import annotations

import math

from sinkside.instruction import FeatureKind
from sinkside.shapes.cast import Cast, Grip
from sinkside.shapes.lines import (
    Anchor,
    Line,
    Point,
    Shape,
    Stroke,
    arc,
    band,
    box,
    of_part,
    ring,
    scaled,
    smooth,
    turned,
)
from sinkside.shapes.stance import Stance

_PIVOT: Point = (-12.0, 6.0)
_RACK_RADIUS = 54.0
_RACK_DEPTH = 3.5
_RACK_FROM, _RACK_TO = 93.0, 123.0
_OPENS_BY = -17.0
_RING_OUTER, _RING_INNER = 15.0, 10.0
_HUB = (-34.0, -10.0, 0.0, 10.0)

#: Middle lines of the grips, from the hub down, and their widths at both ends.
_FIXED = ((-27.0, 2.0), (-34.0, 26.0), (-42.0, 52.0), (-49.0, 80.0))
_MOVING = (_PIVOT, (-13.0, 28.0), (-17.0, 54.0), (-22.0, 80.0))
_STOCK = (
    (-38.0, -8.5), (-20.0, -11.5), (-4.0, -9.5), (0.0, 0.0), (-4.0, 9.5), (-20.0, 13.0), (-31.0, 20.0),
    (-37.0, 40.0), (-42.0, 64.0), (-47.0, 86.0), (-56.0, 93.0), (-67.0, 88.0), (-65.0, 66.0), (-57.0, 38.0),
    (-49.0, 14.0), (-45.0, 1.0),
)  # fmt: skip
_STOCK_LINE = ((-55.0, 44.0), (-59.0, 62.0), (-60.0, 80.0))
_SHANK = (_PIVOT, (-9.0, 22.0), (-11.0, 36.0))
_LOOP = (
    (-13.0, 35.0),
    (-4.0, 41.0),
    (-1.0, 55.0),
    (-6.0, 69.0),
    (-15.0, 75.0),
    (-22.0, 69.0),
    (-23.0, 55.0),
    (-20.0, 41.0),
)
_LOOP_MIDDLE = (-12.5, 55.0)
_HOLE = 0.66

#: Where a handle is lettered.
_NAMED_AT = {grip: (-55.0, 70.0) if grip is Grip.pistol else (-43.0, 60.0) for grip in Grip}


def hand(cast: Cast, stance: Stance, scale: float) -> Shape:
    """The handle with all that belongs to it.

    Args:
        cast: the device.
        stance: its positions; the jaw moves the grip, the ratchet its pawl.
        scale: 1 as large as life.
    """
    fixed = cast.part("hand")
    front = cast.part("front") if cast.has("front") else fixed
    swing = turned(_swing(cast, stance), _PIVOT)
    moving = _moving_grip(cast, front).mapped(swing)
    ratchet = cast.ids(FeatureKind.ratchet)
    rack = _rack(front, ratchet).mapped(swing) if ratchet else Shape()
    pawl = _pawl(fixed, stance) if ratchet else Shape()
    spring = _spring(cast) if cast.features(FeatureKind.spring) else Shape()
    plug = _plug(cast, fixed) if cast.features(FeatureKind.connector) else Shape()
    whole = rack + moving + spring + plug + _fixed_grip(cast, fixed) + pawl
    return whole.mapped(scaled(scale))


def hub_end(scale: float) -> float:
    """How far behind the origin the hub ends, in mm."""
    return _HUB[0] * scale


def _swing(cast: Cast, stance: Stance) -> float:
    """How far the moving grip stands from closed; an engaged ratchet lets it open to its first tooth."""
    moves = cast.features(FeatureKind.jaw, FeatureKind.cutting_edge)
    if not moves or stance.jaw == "closed":
        return 0.0
    return _OPENS_BY * (0.4 if held(cast, stance) else 1.0)


def held(cast: Cast, stance: Stance) -> bool:
    """Whether a ratchet that the device has holds the handle."""
    return bool(cast.features(FeatureKind.ratchet)) and stance.ratchet == "engaged"


def _fixed_grip(cast: Cast, part: str) -> Shape:
    name = (Anchor(_NAMED_AT[cast.grip], (of_part(part),), part),) if cast.has("hand") else ()
    if cast.grip is Grip.pistol:
        body = Stroke(smooth(_STOCK, closed=True), is_body=True, part=part)
        line = Stroke(smooth(_STOCK_LINE), Line.fine, part=part)
        return Shape((body, line), name)
    hub = Stroke(box(*_HUB, round_by=5.0), is_body=True, part=part)
    pin = Stroke(ring(_PIVOT, 2.2), Line.fine, part=part)
    return _grip(_FIXED, part, with_ring=cast.grip is Grip.rings) + Shape((hub, pin), name)


def _moving_grip(cast: Cast, part: str) -> Shape:
    name = (Anchor((-16.0, 50.0), (of_part(part),), part),) if cast.has("front") else ()
    if cast.grip is not Grip.pistol:
        return _grip(_MOVING, part, with_ring=cast.grip is Grip.rings) + Shape(anchors=name)
    x, y = _LOOP_MIDDLE
    hole = tuple((x + (px - x) * _HOLE, y + (py - y) * _HOLE) for px, py in _LOOP)
    return Shape(
        (
            Stroke(band(smooth(_SHANK), 9.0, 7.0), is_body=True, part=part),
            Stroke(smooth(_LOOP, closed=True), is_body=True, part=part),
            Stroke(smooth(hole, closed=True), is_body=True, part=part),
        ),
        name,
    )


def _grip(middle: tuple[Point, ...], part: str, *, with_ring: bool) -> Shape:
    line = smooth(middle)
    bar = Stroke(band(line, 8.0, 6.5 if with_ring else 9.0), is_body=True, part=part)
    if not with_ring:
        return Shape((bar,))
    centre = (middle[-1][0], middle[-1][1] + _RING_INNER)
    outer = Stroke(ring(centre, _RING_OUTER), is_body=True, part=part)
    inner = Stroke(ring(centre, _RING_INNER), is_body=True, part=part)
    return Shape((bar, outer, inner))


def _rack(part: str, names: tuple[str, ...]) -> Shape:
    """A toothed bow that goes with the moving grip."""
    inner = arc(_PIVOT, _RACK_RADIUS, _RACK_FROM, _RACK_TO)
    outer = arc(_PIVOT, _RACK_RADIUS + _RACK_DEPTH, _RACK_TO, _RACK_FROM)
    teeth: list[Point] = []
    steps = 14
    for step in range(steps + 1):
        angle = _RACK_TO - 4.0 - (_RACK_TO - _RACK_FROM - 12.0) * step / steps
        teeth.append(_polar(_RACK_RADIUS - (2.6 if step % 2 else 0.0), angle))
    return Shape(
        (
            Stroke((*inner, *outer), is_body=True, part=part, moves="ratchet"),
            Stroke(tuple(teeth), Line.fine, part=part, moves="ratchet"),
        ),
        (Anchor(_polar(_RACK_RADIUS + _RACK_DEPTH, 104.0), names, part),),
    )


def _pawl(part: str, stance: Stance) -> Shape:
    """A small lever on the fixed grip: in the teeth, or lifted off them."""
    root = (-39.0, 37.0)
    tip = (-30.5, 53.0) if stance.ratchet == "engaged" else (-23.5, 43.0)
    lever = band((root, tip), 5.0, 2.4)
    return Shape(
        (
            Stroke(lever, is_body=True, part=part, moves="ratchet"),
            Stroke(ring(root, 1.2), Line.fine, part=part),
        )
    )


def _spring(cast: Cast) -> Shape:
    """Two leaves that press the grips apart."""
    part = cast.part("spring") if cast.has("spring") else cast.part("hand")
    names = cast.ids(FeatureKind.spring) + ((of_part(part),) if cast.has("spring") else ())
    back = smooth(((-33.0, 22.0), (-26.0, 34.0), (-27.0, 50.0)))
    front = smooth(((-13.0, 22.0), (-21.0, 34.0), (-22.0, 50.0)))
    return Shape(
        (
            Stroke(band(back, 1.6, 1.6), is_body=True, part=part),
            Stroke(band(front, 1.6, 1.6), is_body=True, part=part),
        ),
        (Anchor((-24.5, 40.0), names, part),),
    )


def _plug(cast: Cast, part: str) -> Shape:
    """A post for a cable at the back of the hub."""
    post = Stroke(box(-31.0, -21.0, -23.0, -8.0, round_by=1.5), is_body=True, part=part)
    pin = Stroke(box(-28.6, -28.0, -25.4, -21.0, round_by=1.4), is_body=True, part=part)
    return Shape((pin, post), (Anchor((-27.0, -26.0), cast.ids(FeatureKind.connector), part),))


def _polar(radius: float, degrees: float) -> Point:
    angle = math.radians(degrees)
    return _PIVOT[0] + radius * math.cos(angle), _PIVOT[1] + radius * math.sin(angle)
