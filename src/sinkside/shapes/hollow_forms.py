"""Hollow things without a handle that moves: a tube with ports, and a needle with its stylet."""

from __future__ import annotations

from dataclasses import replace

from sinkside.instruction import FeatureKind
from sinkside.shapes.cast import Cast
from sinkside.shapes.ends import exit_holes, open_end, slanted_end
from sinkside.shapes.lines import Anchor, Line, Opening, Shape, Stroke, box, moved, of_part, smooth
from sinkside.shapes.shaft_form import is_rear, ports_of
from sinkside.shapes.sizes import Sizes
from sinkside.shapes.stance import Stance
from sinkside.shapes.tubes import shortened, thread, tube

_HUB = 30.0
_NEEDLE_HUB = 16.0
_BEHIND = 8.0

#: Stands for the back of the hub where a port's id would stand; no id has a space.
_BACK = "back of hub"


def tube_form(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """A rigid tube behind whose ports there is a plain hub, open at both ends."""
    shape = _stylet(cast, sizes, hub=_HUB, beyond=2.0) + tube(cast, sizes, stance)
    shape += open_end(cast, width=sizes.width, bore=sizes.bore).mapped(moved(sizes.length))
    if cast.says(r"\b(holes?|fenestrat\w+|side openings?)\b"):
        shape += exit_holes(cast, width=sizes.width).mapped(moved(sizes.length))
    if sizes.is_shortened:
        shape = shortened(shape, sizes, {cast.part("tube"), *_stylet_part(cast)})
    if cast.features(FeatureKind.thread):
        shape += thread(cast, cast.part("tube"), at=1.5, half=sizes.width / 2)
    return _plugged(cast, stance, shape + ports_of(cast, sizes, stance) + _tube_hub(cast, sizes))


def needle_form(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """A slender tube with a slanted end on a hub; a stylet lies in it where there is one."""
    shape = _stylet(cast, sizes, hub=_NEEDLE_HUB, beyond=sizes.width * 0.8) + tube(cast, sizes, stance)
    shape += slanted_end(cast, width=sizes.width, length=sizes.width * 1.7).mapped(moved(sizes.length))
    if sizes.is_shortened:
        shape = shortened(shape, sizes, {cast.part("tube"), *_stylet_part(cast)})
    return _plugged(cast, stance, shape + ports_of(cast, sizes, stance) + _needle_hub(cast, sizes))


def _stylet_part(cast: Cast) -> set[str]:
    return {cast.part("stylet")} if cast.has("stylet") else set()


def _stylet(cast: Cast, sizes: Sizes, *, hub: float, beyond: float) -> Shape:
    """The rod that fills the tube, with its cap behind the hub."""
    if not cast.has("stylet"):
        return Shape()
    part = cast.part("stylet")
    half = max(min(sizes.bore, sizes.width) / 2 - 1.2, 0.4) if sizes.bore else sizes.width * 0.25
    end = sizes.length + sizes.width * 0.5 + beyond
    body = Stroke(((-hub, -half), (end - 3.0, -half), (end, half), (-hub, half)), is_body=True, part=part)
    grip = sizes.width / 2 + 4.0
    cap = Stroke(box(-hub - _BEHIND, -grip, -hub, grip, round_by=2.4), is_body=True, part=part)
    ribs = tuple(
        Stroke(((-hub - _BEHIND + 2.5, y * grip), (-hub - 2.5, y * grip)), Line.fine, part=part)
        for y in (-0.5, 0.0, 0.5)
    )
    return Shape((body, cap, *ribs), (Anchor((-hub - _BEHIND / 2, grip), (of_part(part),), part),))


def _tube_hub(cast: Cast, sizes: Sizes) -> Shape:
    """A stepped hub; a handle of its own is drawn as a plain bar, since nobody stated its shape."""
    part = cast.part("hand")
    half = sizes.width / 2 + 3.0
    barrel = Stroke(box(-_HUB + 6.0, -half, 0.0, half, round_by=2.0), is_body=True, part=part)
    flange = Stroke(box(-_HUB, -half - 3.0, -_HUB + 6.0, half + 3.0, round_by=1.4), is_body=True, part=part)
    names = (of_part(part),) if cast.has("hand") else ()
    return Shape(
        (barrel, flange), (Anchor((-_HUB / 2, half), names, part),), _back_openings(cast, part, -_HUB)
    )


def _needle_hub(cast: Cast, sizes: Sizes) -> Shape:
    part = cast.part("tube")
    near, far = sizes.width / 2 + 4.0, sizes.width / 2 + 1.2
    cone = Stroke(
        (
            (-_NEEDLE_HUB, -near), (-4.0, -far - 1.0), (0.0, -far),
            (0.0, far), (-4.0, far + 1.0), (-_NEEDLE_HUB, near),
        ),
        is_body=True, part=part,
    )  # fmt: skip
    rim = Stroke(
        box(-_NEEDLE_HUB, -near - 1.8, -_NEEDLE_HUB + 3.6, near + 1.8, round_by=1.2), is_body=True, part=part
    )
    hollow = Stroke(
        smooth(((-_NEEDLE_HUB + 4.5, -near * 0.45), (-6.0, -sizes.width * 0.32), (-1.0, -sizes.width * 0.3))),
        Line.hidden, part=part,
    )  # fmt: skip
    anchors = tuple(
        Anchor((-_NEEDLE_HUB + 2.0, near), (name,), part) for name in cast.ids(FeatureKind.connector)
    )
    return Shape((cone, rim, hollow), anchors, _back_openings(cast, part, -_NEEDLE_HUB))


def _back_openings(cast: Cast, part: str, x: float) -> tuple[Opening, ...]:
    """The back of the hub is open where a stylet goes in there, or where a lumen has no port to go in at."""
    ports = cast.features(FeatureKind.port)
    if not cast.features(FeatureKind.lumen) or any(is_rear(one) for one in ports):
        return ()
    if ports and not cast.has("stylet"):
        return ()
    return (Opening((x - 1.0, 0.0), (-1.0, 0.0), _BACK, "back of the hub", part),)


def _plugged(cast: Cast, stance: Stance, shape: Shape) -> Shape:
    """The shape with its ends shut where a stylet lies in the lumen."""
    if not cast.has("stylet") or stance.part == "apart":
        return shape
    return replace(
        shape,
        openings=tuple(
            replace(one, is_shut=True) if one.port in {"", _BACK} else one for one in shape.openings
        ),
    )
