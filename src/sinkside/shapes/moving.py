"""Which moving features of a device a drawing can show in their positions."""

from __future__ import annotations

from collections.abc import Mapping

from sinkside.instruction import Device, FeatureKind
from sinkside.shapes.cast import Cast, Form, cast_of

#: Kinds of feature that a vocabulary position moves.
MOVERS: dict[str, frozenset[FeatureKind]] = {
    "jaw": frozenset({FeatureKind.jaw, FeatureKind.cutting_edge}),
    "ratchet": frozenset({FeatureKind.ratchet}),
    "sleeve": frozenset({FeatureKind.sliding_sleeve}),
    "port": frozenset({FeatureKind.port}),
    "knob": frozenset({FeatureKind.knob}),
}

#: Which forms have which moving features drawn.
_MOVES_IN: dict[str, frozenset[Form]] = {
    "jaw": frozenset({Form.forceps, Form.shaft, Form.punch}),
    "ratchet": frozenset({Form.forceps, Form.shaft, Form.punch}),
    "sleeve": frozenset({Form.shaft, Form.punch}),
    "port": frozenset({Form.shaft, Form.tube, Form.needle}),
    "knob": frozenset({Form.shaft}),
}


def drawable(device: Device, positions: Mapping[str, str]) -> dict[str, str]:
    """Those of some positions that a drawing of the device can show.

    >>> from sinkside.instruction import Feature
    >>> device = Device(name="Sinus forceps", features=(Feature(id="j", kind=FeatureKind.jaw),))
    >>> drawable(device, {"jaw": "open", "ratchet": "released"})
    {'jaw': 'open'}
    """
    cast = cast_of(device)
    return {mover: position for mover, position in positions.items() if can_draw(cast, mover)}


def can_draw(cast: Cast, mover: str) -> bool:
    """Whether a moving feature is on the device and its positions can be drawn."""
    if mover == "part":
        drawn = cast.device.parts if cast.form is Form.blocks else set(cast.roles.values())
        return len(drawn) > 1
    return cast.form in _MOVES_IN[mover] and bool(cast.features(*MOVERS[mover]))
