"""The outline of every part in life size, for laying out a tray."""

from __future__ import annotations

from collections.abc import Mapping

from sinkside.instruction import Device
from sinkside.shapes.cast import Form, cast_of
from sinkside.shapes.lines import Line, Point, Shape
from sinkside.shapes.posing import built, is_apart
from sinkside.shapes.sizes import life_sizes
from sinkside.shapes.stance import Stance

#: Pieces of one part nearer than this are one; the outline is true to this.
_JOINED_MM = 0.4
_SIMPLER_BY_MM = 0.05


def outlines(device: Device, positions: Mapping[str, str] | None = None) -> dict[str, tuple[Point, ...]]:
    """A closed polygon for every part whose shape is known, in mm; together it is one, under an empty id.

    Apart, an empty id is for what no listed part accounts for. Sizes that the text does not state are common
    ones, so that a person measures before a tray is ordered.

    Args:
        device: of an instruction.
        positions: those in which it lies; `part: apart` gives one polygon a part, each about its own axis.

    Raises:
        BadInput: if a position is none of the vocabulary.
    """
    stance = Stance.of(dict(positions or {}))
    cast = cast_of(device)
    if cast.form is Form.blocks:
        return {}
    shape = built(cast, life_sizes(cast), stance)
    if not is_apart(cast, stance):
        return {"": _outline(shape)}
    return {part: _outline(shape.of_part(part)) for part in shape.parts()}


def _outline(shape: Shape) -> tuple[Point, ...]:
    """The outer line round all bodies: holes are closed, gaps narrower than a hair bridged."""
    from shapely import MultiPolygon, Polygon, unary_union

    bodies = [
        Polygon(stroke.points).buffer(_JOINED_MM)
        for stroke in shape.strokes
        if stroke.is_body and stroke.line is not Line.bare and stroke.moves != "port"
    ]
    whole = unary_union(bodies).buffer(-_JOINED_MM)
    if isinstance(whole, MultiPolygon):
        whole = whole.convex_hull
    return tuple((float(x), float(y)) for x, y in whole.simplify(_SIMPLER_BY_MM).exterior.coords[:-1])
