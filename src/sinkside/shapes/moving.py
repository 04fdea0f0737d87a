"""Which moving features of a device a drawing can show in their positions."""

from __future__ import annotations

from sinkside.instruction import FeatureKind
from sinkside.shapes.cast import Cast, Form

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


def can_draw(cast: Cast, mover: str) -> bool:
    """Whether a moving feature is on the device and its positions can be drawn."""
    if mover == "part":
        drawn = cast.device.parts if cast.form is Form.blocks else set(cast.roles.values())
        return len(drawn) > 1
    return cast.form in _MOVES_IN[mover] and bool(cast.features(*MOVERS[mover]))
