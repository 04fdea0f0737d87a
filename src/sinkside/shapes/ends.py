"""Working ends: jaws, blades, fine tips, open and slanted ends. The end begins at the origin."""

from __future__ import annotations

from sinkside.instruction import FeatureKind
from sinkside.shapes.cast import Cast
from sinkside.shapes.hands import held
from sinkside.shapes.lines import (
    Anchor,
    Line,
    Opening,
    Point,
    Shape,
    Stroke,
    box,
    mirrored,
    ring,
    smooth,
    turned,
)
from sinkside.shapes.stance import Stance

_OPENS_BY = 19.0
_RIGHT: Point = (1.0, 0.0)


def jaw_angle(cast: Cast, stance: Stance) -> float:
    """How far each jaw stands off the axis, in degrees; less where a ratchet holds it."""
    if stance.jaw == "closed":
        return 0.0
    return _OPENS_BY * (0.4 if held(cast, stance) else 1.0)


def jaws(cast: Cast, stance: Stance, *, width: float, length: float) -> Shape:
    """A pair of jaws, or of blades where the device cuts, on a pin in a fork."""
    part = cast.part("inner")
    fork = Stroke(
        box(-width * 0.9, -width / 2, width * 0.45, width / 2, round_by=width * 0.3), is_body=True, part=part
    )
    pin = Stroke(ring((0.0, 0.0), width * 0.17), Line.fine, part=part)
    angle = jaw_angle(cast, stance)
    upper = jaw(cast, part, height=width / 2, length=length)
    pair = upper.mapped(turned(-angle)) + upper.mapped(mirrored).mapped(turned(angle))
    return pair + Shape((fork, pin), jaw_names(cast, part, length=length, height=width / 2, angle=angle))


def jaw(cast: Cast, part: str, *, height: float, length: float) -> Shape:
    """The upper jaw, closed, from its pin at the origin; blades are pointed, jaws blunt and toothed."""
    cuts = bool(cast.features(FeatureKind.cutting_edge))
    back: tuple[Point, ...]
    inner: tuple[Point, ...]
    if cuts:
        back = (
            (0.0, -height),
            (length * 0.35, -height * 0.95),
            (length * 0.75, -height * 0.6),
            (length, 0.0),
        )
        inner = ((length * 0.2, -height * 0.3), (length * 0.88, -height * 0.16))
    else:
        back = (
            (0.0, -height), (length * 0.3, -height * 0.98), (length * 0.7, -height * 0.78),
            (length * 0.94, -height * 0.5), (length, -height * 0.14), (length, 0.0),
        )  # fmt: skip
        inner = _teeth(length, height)
    body = Stroke((*smooth(back), (0.0, 0.0)), is_body=True, part=part, moves="jaw")
    return Shape((body, Stroke(inner, Line.fine, part=part, moves="jaw")))


def jaw_names(cast: Cast, part: str, *, length: float, height: float, angle: float) -> tuple[Anchor, ...]:
    """Where the jaw, its edges, its tip and its joint are lettered."""
    up, down = turned(-angle), turned(angle)
    places: tuple[tuple[Point, tuple[FeatureKind, ...]], ...] = (
        (up((length * 0.5, -height * 0.8)), (FeatureKind.jaw,)),
        (down((length * 0.6, height * 0.4)), (FeatureKind.cutting_edge,)),
        (up((length * 0.98, 0.0)), (FeatureKind.tip,)),
        ((0.0, 0.0), (FeatureKind.joint,)),
    )
    return tuple(Anchor(point, (name,), part) for point, kinds in places for name in cast.ids(*kinds))


def fine_tip(cast: Cast, *, width: float, length: float) -> Shape:
    """A shaft that runs out into a fine end."""
    part = cast.part("inner")
    cone = smooth(((0.0, -width / 2), (length * 0.3, -width * 0.3), (length, -width * 0.08)))
    body = Stroke((*cone, *(mirrored(point) for point in reversed(cone))), is_body=True, part=part)
    return Shape((body,), tuple(Anchor((length, 0.0), (name,), part) for name in cast.ids(FeatureKind.tip)))


def open_end(cast: Cast, *, width: float, bore: float) -> Shape:
    """The far opening of a tube, seen a little from the side, with its edge where it cuts."""
    part = cast.part("tube")
    rim = Stroke(_oval(width / 2), is_body=True, part=part)
    hole = Stroke(_oval(bore / 2), Line.fine, part=part)
    anchors = [
        Anchor((width * 0.12, -width * 0.4), (name,), part) for name in cast.ids(FeatureKind.cutting_edge)
    ]
    anchors += [Anchor((width * 0.16, 0.0), (name,), part) for name in cast.ids(FeatureKind.tip)]
    return Shape((rim, hole), tuple(anchors), (Opening((width * 0.16, 0.0), _RIGHT, "", "far end", part),))


def exit_holes(cast: Cast, *, width: float) -> Shape:
    """Holes through the wall near the far end."""
    part = cast.part("tube")
    holes = tuple(
        Stroke(ring((-width * (1.0 + 0.9 * step), 0.0), width * 0.17), Line.fine, part=part)
        for step in range(3)
    )
    return Shape(holes)


def slanted_end(cast: Cast, *, width: float, length: float) -> Shape:
    """The slanted end of a needle; its point lies below."""
    part = cast.part("tube")
    slant = ((0.0, -width / 2), (length, width / 2), (0.0, width / 2))
    inner = ((width * 0.2, -width * 0.16), (length * 0.66, width * 0.34))
    names = cast.ids(FeatureKind.tip, FeatureKind.cutting_edge)
    return Shape(
        (
            Stroke(slant, is_body=True, part=part),
            Stroke(inner, Line.fine, part=part),
        ),
        tuple(Anchor((length * 0.9, width * 0.4), (name,), part) for name in names),
        (Opening((length * 0.6, 0.0), _RIGHT, "", "far end", part),),
    )


def _teeth(length: float, height: float) -> tuple[Point, ...]:
    """A zigzag along the inner side of a jaw."""
    count = 13
    return tuple(
        (length * (0.3 + 0.62 * step / (count - 1)), -height * (0.1 if step % 2 else 0.36))
        for step in range(count)
    )


def _oval(radius: float) -> tuple[Point, ...]:
    return tuple((x * 0.32, y) for x, y in ring((0.0, 0.0), radius))
