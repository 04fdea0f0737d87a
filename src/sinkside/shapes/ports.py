"""Ports: open, with a cap on, or with a nozzle and hose. A port stands on the origin, facing up."""

from __future__ import annotations

from sinkside.instruction import Feature
from sinkside.shapes.lines import Anchor, Line, Opening, Shape, Stroke, box, smooth
from sinkside.shapes.stance import Stance

_REACH = 13.0


def port(feature: Feature, part: str, stance: Stance, *, size: float = 1.0) -> Shape:
    """One port in its position; the hose is no part of the device.

    Args:
        feature: the port.
        part: the part that bears it.
        stance: open, capped or connected.
        size: 1 for a picture.
    """
    stem = Stroke(box(-2.6 * size, -9.0 * size, 2.6 * size, 1.0 * size), is_body=True, part=part)
    rim = Stroke(
        box(-4.4 * size, -_REACH * size, 4.4 * size, -9.0 * size, round_by=0.8), is_body=True, part=part
    )
    top = -_REACH * size
    shape = Shape(
        (stem, rim),
        (Anchor((4.4 * size, -11.0 * size), (feature.id,), part),),
        (_mouth(feature, part, stance, size=size),),
    )
    if stance.port == "capped":
        return shape + _cap(part, top, size)
    return shape + _hose(part, top, size) if stance.port == "connected" else shape


def _mouth(feature: Feature, part: str, stance: Stance, *, size: float) -> Opening:
    """Where water goes in: at the rim, or at the end of the hose."""
    connected = stance.port == "connected"
    point = (2.5 * size, -(_REACH + 25.0) * size) if connected else (0.0, -(_REACH + 1.0) * size)
    return Opening(point, (0.0, -1.0), feature.id, feature.name or "port", part, stance.port == "capped")


def _cap(part: str, top: float, size: float) -> Shape:
    cap = Stroke(
        box(-6.0 * size, top - 4.5 * size, 6.0 * size, top + 4.5 * size, round_by=1.8),
        is_body=True,
        part=part,
        moves="port",
    )
    ribs = tuple(
        Stroke(
            ((x * size, top - 2.6 * size), (x * size, top + 2.6 * size)), Line.fine, part=part, moves="port"
        )
        for x in (-3.2, 0.0, 3.2)
    )
    return Shape((cap, *ribs))


def _hose(part: str, top: float, size: float) -> Shape:
    nozzle = Stroke(
        ((-5.6 * size, top + 2.0 * size), (-5.6 * size, top - 6.0 * size), (-3.0 * size, top - 11.0 * size),
         (3.0 * size, top - 11.0 * size), (5.6 * size, top - 6.0 * size), (5.6 * size, top + 2.0 * size)),
        is_body=True, part=part, moves="port",
    )  # fmt: skip
    sides = tuple(
        Stroke(
            smooth(
                (
                    (x * size, top - 11.0 * size),
                    (x * size, top - 17.0 * size),
                    ((x + 2.5) * size, top - 24.0 * size),
                )
            ),
            part=part,
            moves="port",
        )
        for x in (-2.2, 2.2)
    )
    return Shape((*sides, nozzle))
