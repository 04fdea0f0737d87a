"""The device drawn in the state that an operation needs, wherever that changes or matters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sinkside.aids.papers.setting import Values
from sinkside.instruction import Action, Device, Instruction
from sinkside.instruction.positions import simulate
from sinkside.plain.wording import steps_of
from sinkside.route import Operation
from sinkside.shapes import Drawing, draw, drawable, svg

#: Work that moves the device as a whole, or presses water through it, is drawn without a stated position.
_SHOWN_FOR: Final = frozenset({Action.take_apart, Action.put_together, Action.flush})
_FLOWS: Final = frozenset({Action.flush, Action.blow})

#: Parts that lie apart lie alike, whatever else is known of them.
_APART: Final = ("apart",)

#: Parts in a row need more room to be told from each other.
_APART_WIDER: Final = 1.5


class Drawings:
    """Drawings for the operations of one paper, in its order; no state is drawn twice."""

    def __init__(self, instruction: Instruction, *, width_mm: float, is_apart_shown: bool = False) -> None:
        self._instruction = instruction
        self._width_mm = width_mm
        self._during = {
            moment.step.id: {mover: held.position for mover, held in moment.during.items()}
            for moment in simulate(instruction)
        }
        self._drawn: set[tuple[object, ...]] = {_APART} if is_apart_shown else set()

    def of(self, operation: Operation) -> Values | None:
        """The drawing that belongs beside an operation, or none where it would say nothing new."""
        device, action = self._instruction.device, operation.action
        stated = drawable(device, operation.positions)
        if not stated and action not in _SHOWN_FOR:
            return None
        steps = steps_of(operation, self._instruction)
        during = self._during[steps[0].id] if steps else {}
        positions = drawable(device, {**during, **operation.positions})
        state = (
            _APART if positions.get("part") == "apart" else (frozenset(positions.items()), action in _FLOWS)
        )
        if state in self._drawn:
            return None
        self._drawn.add(state)
        width = self._width_mm * (_APART_WIDER if state == _APART else 1.0)
        drawing = draw(device, positions, shown_mm=width, with_flow=action in _FLOWS, with_letters=False)
        if not drawing.is_known:
            return None
        return _values(drawing)


def numbered(device: Device, positions: Mapping[str, str], *, width_mm: float) -> Values | None:
    """A device with a number at each part and feature, as letters name steps; none if its form is unknown."""
    shown = drawable(device, positions)
    if positions and not shown:
        return None
    drawing = draw(device, shown, shown_mm=width_mm, with_numbers=True)
    if not drawing.is_known:
        return None
    return {
        "block": "drawing",
        **_values(drawing),
        "key": [{"number": number, "name": name} for number, name in drawing.key],
    }


def _values(drawing: Drawing) -> Values:
    return {
        "svg": svg(drawing, key="device"),
        "alt": drawing.description,
        "width": drawing.shown_mm,
        "ratio": drawing.frame.height / drawing.frame.width,
    }
