"""Where a flush goes in and out, as arrows and in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sinkside.shapes.lines import Line, Opening, Point, Shape, Stroke

_NEAR, _LENGTH = 3.0, 17.0
_BARB, _BARB_ANGLE = 5.0, 152.0


@dataclass(frozen=True)
class FlowPath:
    """Where water goes in, where it can leave, and which openings are shut; empty where it is not stated."""

    inlet: Opening | None
    outlets: tuple[Opening, ...]
    shut: tuple[Opening, ...]


def flow_path(openings: Sequence[Opening]) -> FlowPath:
    """The way of a flush through some openings: in at the first open port, out everywhere else."""
    inlet = next((one for one in openings if one.port and not one.is_shut), None)
    others = [one for one in openings if one is not inlet]
    return FlowPath(
        inlet,
        tuple(one for one in others if not one.is_shut),
        tuple(one for one in others if one.is_shut),
    )


def flow_arrows(path: FlowPath) -> Shape:
    """An arrow in, one out at every open end, and a bar across what is shut."""
    strokes: list[Stroke] = []
    if path.inlet:
        strokes += _arrow(path.inlet, is_inward=True)
    for outlet in path.outlets:
        strokes += _arrow(outlet, is_inward=False)
    for opening in path.shut:
        strokes.append(_bar(opening))
    return Shape(tuple(strokes))


def _arrow(opening: Opening, *, is_inward: bool) -> list[Stroke]:
    near, far = _along(opening, _NEAR), _along(opening, _NEAR + _LENGTH)
    tail, head = (far, near) if is_inward else (near, far)
    heading = math.atan2(head[1] - tail[1], head[0] - tail[0])
    barbs = [
        (head[0] + _BARB * math.cos(heading + turn), head[1] + _BARB * math.sin(heading + turn))
        for turn in (math.radians(_BARB_ANGLE), math.radians(-_BARB_ANGLE))
    ]
    return [Stroke((tail, head), Line.flow), Stroke((barbs[0], head, barbs[1]), Line.flow)]


def _bar(opening: Opening) -> Stroke:
    x, y = _along(opening, _NEAR)
    dx, dy = opening.outward
    return Stroke(((x - dy * 5.0, y + dx * 5.0), (x + dy * 5.0, y - dx * 5.0)), Line.flow)


def _along(opening: Opening, distance: float) -> Point:
    return opening.point[0] + opening.outward[0] * distance, opening.point[1] + opening.outward[1] * distance
