"""A device in a stance: built of its pieces, taken apart along its axis, its other position a ghost."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from sinkside.instruction import POSITIONS, Part
from sinkside.shapes.blocks_form import blocks
from sinkside.shapes.cast import Cast, Form
from sinkside.shapes.forceps_form import forceps_form
from sinkside.shapes.hollow_forms import needle_form, tube_form
from sinkside.shapes.lines import Anchor, Box, Line, Shape, Stroke, moved, of_part
from sinkside.shapes.moving import can_draw
from sinkside.shapes.punch_form import punch_form
from sinkside.shapes.shaft_form import bends, shaft_form, straight_axis
from sinkside.shapes.sizes import Sizes
from sinkside.shapes.stance import Stance

_APART = 24.0
_BELOW = 16.0

_FORMS: dict[Form, Callable[[Cast, Sizes, Stance], Shape]] = {
    Form.forceps: forceps_form,
    Form.shaft: shaft_form,
    Form.tube: tube_form,
    Form.punch: punch_form,
    Form.needle: needle_form,
}

#: Parts in the order in which they come off, from the back to the working end.
_ALONG = (
    "stylet",
    "hand",
    "front",
    "spring",
    "screw",
    "knob",
    "upper",
    "lower",
    "tube",
    "sleeve",
    "base",
    "slide",
    "inner",
)

#: Features whose other position is shown by a ghost.
_GHOSTLY = ("jaw", "sleeve")


def posed(cast: Cast, sizes: Sizes, stance: Stance, stated: Mapping[str, str]) -> Shape:
    """The device with what is known of it drawn; where nothing is, a box for each part.

    Args:
        cast: the device.
        sizes: of its pieces.
        stance: its positions.
        stated: those that somebody stated; only these have a ghost of the other position.
    """
    if cast.form is Form.blocks:
        parts = cast.device.parts or (Part(id="", name=cast.device.name),)
        return blocks(parts) if stance.part == "apart" else blocks(parts, gap=0.0)
    shape = built(cast, sizes, stance)
    if is_apart(cast, stance):
        shape = _exploded(cast, shape)
    else:
        # Behind everything, so that a ghost is seen only where the device is not.
        shape = Shape(strokes=_ghosts(cast, sizes, stance, stated, shape)) + shape
    return shape + Shape(anchors=tuple(_unnamed(shape)))


def with_boxes(cast: Cast, shape: Shape) -> Shape:
    """The shape with a box for each part that it does not show, since nobody stated shape or place of it."""
    if cast.form is Form.blocks:
        return shape
    left_over = [part for part in cast.device.parts if part.id not in shape.parts()]
    frame = shape.box()
    return shape + blocks(left_over, left=frame.left, top=frame.bottom + _BELOW)


def built(cast: Cast, sizes: Sizes, stance: Stance) -> Shape:
    """The device together, without ghosts and boxes; its form must not be `blocks`."""
    return _FORMS[cast.form](cast, sizes, stance)


def is_apart(cast: Cast, stance: Stance) -> bool:
    """Whether the stance takes apart what can be taken apart."""
    return stance.part == "apart" and can_draw(cast, "part")


def _unnamed(shape: Shape) -> Iterator[Anchor]:
    """A place to letter every drawn part that has none: on top of the middle of its longest body."""
    named = {name for anchor in shape.anchors for name in anchor.names}
    for part in shape.parts():
        if of_part(part) not in named:
            bodies = [one for one in shape.strokes if one.part == part and one.is_body]
            frame = max((Box.round_points(one.points) for one in bodies), key=lambda box: box.width)
            yield Anchor(((frame.left + frame.right) / 2, frame.top), (of_part(part),), part)


def _exploded(cast: Cast, shape: Shape) -> Shape:
    """The parts one after another along the axis, with a thin line through them."""
    # What no listed part accounts for, such as a handle that nobody names, comes first.
    order = ["", *(cast.roles[role] for role in _ALONG if role in cast.roles)]
    spread = Shape()
    right: float | None = None
    for part in order:
        piece = shape.of_part(part)
        if not piece.strokes:
            continue
        frame = piece.box()
        shift = 0.0 if right is None else right + _APART - frame.left
        spread += piece.mapped(moved(shift))
        right = frame.right + shift
    frame = spread.box()
    axis = Stroke(((frame.left - _APART / 2, 0.0), (frame.right + _APART / 2, 0.0)), Line.axis)
    return Shape((axis,)) + spread


def _ghosts(
    cast: Cast, sizes: Sizes, stance: Stance, stated: Mapping[str, str], shape: Shape
) -> tuple[Stroke, ...]:
    here = {stroke.points for stroke in shape.strokes}
    if cast.form is Form.shaft and bends(cast, stance):
        return (straight_axis(sizes),)
    ghosts: list[Stroke] = []
    for feature in _GHOSTLY:
        if feature in stated and can_draw(cast, feature):
            other = next(position for position in POSITIONS[feature] if position != stance[feature])
            there = built(cast, sizes, replace(stance, **{feature: other}))
            ghosts.extend(
                Stroke((*one.points, one.points[0]), Line.ghost, part=one.part)
                for one in there.strokes
                if one.moves == feature and one.is_body and one.points not in here
            )
    return tuple(ghosts)
