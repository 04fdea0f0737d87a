"""An instrument on a shaft: handle, knob, tube, insert with jaws, ports, sleeve."""

from __future__ import annotations

from sinkside.instruction import Feature, FeatureKind
from sinkside.shapes.cast import Cast
from sinkside.shapes.ends import fine_tip, jaws
from sinkside.shapes.hands import hand, hub_end
from sinkside.shapes.lines import Anchor, Line, Opening, Shape, Stroke, box, moved, of_part, turned
from sinkside.shapes.ports import port
from sinkside.shapes.sizes import Sizes
from sinkside.shapes.stance import Stance
from sinkside.shapes.tubes import (
    bent,
    divided,
    is_itself_sliding,
    rod,
    shortened,
    sliding_sleeve,
    thread,
    tube,
)

_KNOB_LENGTH = 15.0
_FIRST_PORT, _NEXT_PORT = 18.0, 20.0
_REAR = ("rear", "back ", "proximal", "end port")


def shaft_form(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """The whole instrument, together."""
    far = _insert(cast, sizes, stance) + tube(cast, sizes, stance) + _leaving(cast, sizes, stance)
    if cast.features(FeatureKind.sliding_sleeve) and not is_itself_sliding(cast):
        far += sliding_sleeve(cast, sizes, stance)
    if sizes.is_shortened:
        far = shortened(far, sizes, {cast.part(role) for role in ("tube", "inner", "sleeve")})
    if bends(cast, stance):
        far = divided(far, beyond=sizes.length * 0.6).mapped(bent(sizes))
    near = hand(cast, stance, sizes.hand)
    if cast.features(FeatureKind.thread):
        far += thread(cast, cast.part("tube"), at=1.5, half=sizes.width / 2)
    if cast.features(FeatureKind.knob):
        near += _knob(cast, sizes, stance)
    return far + ports_of(cast, sizes, stance) + near


def bends(cast: Cast, stance: Stance) -> bool:
    """Whether a knob bends the far end now."""
    return bool(cast.features(FeatureKind.knob)) and stance.knob == "deflected"


def ports_of(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """Every port in its place: at the back where its name says so, on the hub where the handle bears it."""
    shape = Shape()
    first = _FIRST_PORT + (_KNOB_LENGTH if cast.features(FeatureKind.knob) else 0.0)
    on_tube = rear = on_hand = 0
    for feature in cast.features(FeatureKind.port):
        if is_rear(feature):
            back = port(feature, cast.part("hand"), stance).mapped(turned(-90.0))
            shape += back.mapped(moved(hub_end(sizes.hand), 14.0 * rear))
            rear += 1
        elif _on_hand(cast, feature):
            shape += port(feature, cast.part("hand"), stance).mapped(moved(-8.0 - 11.0 * on_hand, -7.5))
            on_hand += 1
        else:
            x = first + _NEXT_PORT * on_tube
            shape += port(feature, cast.part("tube"), stance).mapped(moved(x, -sizes.width / 2))
            on_tube += 1
    return shape


def is_rear(port_feature: Feature) -> bool:
    """Whether a port is at the back, by its name."""
    return any(word in port_feature.name.lower() for word in _REAR)


def _on_hand(cast: Cast, feature: Feature) -> bool:
    return cast.has("hand") and feature.part == cast.part("hand")


def _insert(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """What lies in the tube and works at its end."""
    shape = rod(cast, sizes) if cast.part("inner") != cast.part("tube") else Shape()
    if cast.features(FeatureKind.jaw, FeatureKind.cutting_edge):
        end = jaws(cast, stance, width=sizes.width, length=sizes.jaw)
        return shape + end.mapped(moved(sizes.length + sizes.width * 0.5))
    return shape + fine_tip(cast, width=sizes.width, length=sizes.jaw).mapped(moved(sizes.length))


def _leaving(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """Where a lumen of the shaft ends; a closed jaw shuts it, unless it is taken out."""
    if not cast.features(FeatureKind.lumen):
        return Shape()
    apart = stance.part == "apart" and cast.part("inner") != cast.part("tube")
    if apart:
        far = Opening((sizes.length + 1.0, 0.0), (1.0, 0.0), "", "far end", cast.part("tube"))
    else:
        x = sizes.length + sizes.width * 0.5 + sizes.jaw + 2.0
        far = Opening((x, 0.0), (1.0, 0.0), "", "jaw", cast.part("tube"), stance.jaw == "closed")
    return Shape(openings=(far,))


def _knob(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """A fluted wheel round the shaft; turned, its mark stands elsewhere."""
    part = cast.part("knob")
    half = sizes.width / 2 + 5.5
    wheel = Stroke(box(0.5, -half, _KNOB_LENGTH, half, round_by=3.0), is_body=True, part=part)
    turned_by = 0.5 if bends(cast, stance) else 0.0
    flutes = tuple(
        Stroke(((4.0, half * y), (_KNOB_LENGTH - 3.5, half * y)), Line.fine, part=part, moves="knob")
        for y in (step / 3.0 + turned_by / 3.0 for step in range(-2, 2 if turned_by else 3))
    )
    names = cast.ids(FeatureKind.knob) + ((of_part(part),) if cast.has("knob") else ())
    return Shape((wheel, *flutes), (Anchor((_KNOB_LENGTH / 2, -half), names, part),))


def straight_axis(sizes: Sizes) -> Stroke:
    """Where the far end lies when it is not bent."""
    return Stroke(((sizes.length * 0.66, 0.0), (sizes.length + sizes.jaw, 0.0)), Line.axis)
