"""A punch: a base bar with a foot at its end, and a bar that slides along it towards the foot."""

from __future__ import annotations

from sinkside.instruction import FeatureKind
from sinkside.shapes.cast import Cast
from sinkside.shapes.hands import hand, held
from sinkside.shapes.lines import Anchor, Line, Shape, Stroke, of_part, ring
from sinkside.shapes.sizes import Sizes
from sinkside.shapes.stance import Stance
from sinkside.shapes.tubes import shortened

_FOOT = 7.0
_JAW_OPENS_BY = 11.0
_SLEEVE_OPENS_BY = 9.0
_NEAR = -6.0


def punch_form(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """The whole punch, together."""
    shape = _slide(cast, sizes, stance) + _base(cast, sizes)
    if sizes.is_shortened:
        shape = shortened(shape, sizes, {cast.part("slide"), cast.part("base")})
    shape += hand(cast, stance, sizes.hand)
    return shape + _screw(cast) if cast.has("screw") else shape


def _slide(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """The upper bar: at the foot while the jaw is closed, drawn back while it is open."""
    part = cast.part("slide")
    back = 0.0
    if stance.jaw == "open":
        back += _JAW_OPENS_BY * (0.4 if held(cast, stance) else 1.0)
    if stance.sleeve == "back":
        back += _SLEEVE_OPENS_BY
    half = sizes.width / 2
    end = sizes.length - _FOOT - back
    body = Stroke(
        ((_NEAR, -half), (end - 2.5, -half), (end, 0.0), (_NEAR, 0.0)), is_body=True, part=part, moves="jaw"
    )
    edge = Stroke(((end - 3.6, -half + 1.0), (end - 1.4, -0.6)), Line.fine, part=part, moves="jaw")
    bites = cast.ids(FeatureKind.jaw, FeatureKind.cutting_edge)
    anchors = [Anchor((end - 1.5, -half), (name,), part) for name in bites]
    anchors += [Anchor((end * 0.75, -half), (name,), part) for name in cast.ids(FeatureKind.sliding_sleeve)]
    if cast.has("slide"):
        anchors.append(Anchor((end * 0.6, -half), (of_part(part),), part))
    return Shape((body, edge), tuple(anchors))


def _base(cast: Cast, sizes: Sizes) -> Shape:
    """The lower bar, which ends in a foot turned up."""
    part = cast.part("base")
    half = sizes.width / 2
    end = sizes.length
    body = Stroke(
        (
            (0.0, 0.0), (end - _FOOT, 0.0), (end - _FOOT - 2.5, -half), (end - 2.0, -half - 0.8),
            (end, -half + 1.2), (end, half - 1.5), (end - 2.0, half), (0.0, half),
        ),
        is_body=True, part=part,
    )  # fmt: skip
    anchors = [Anchor((end, -half * 0.5), (name,), part) for name in cast.ids(FeatureKind.tip)]
    if cast.has("base"):
        anchors.append(Anchor((end * 0.6, half), (of_part(part),), part))
    return Shape((body,), tuple(anchors))


def _screw(cast: Cast) -> Shape:
    """The screw that holds the handles."""
    part = cast.part("screw")
    names = (of_part(part), *cast.ids(FeatureKind.thread))
    head = Stroke(ring((-22.0, -2.0), 3.4), is_body=True, part=part)
    slot = Stroke(((-24.2, -3.4), (-19.8, -0.6)), Line.fine, part=part)
    return Shape((head, slot), (Anchor((-22.0, -4.0), names, part),))
