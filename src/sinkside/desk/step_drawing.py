"""The device in the positions that a step needs, drawn beside the step."""

from __future__ import annotations

from typing import Final

from sinkside.desk.remembered import Remembered
from sinkside.desk.shelf import OpenInstruction
from sinkside.instruction import Action, Step
from sinkside.instruction.positions import simulate
from sinkside.shapes import draw, drawable, svg

#: Steps that move the device as a whole, or press water through it, whether or not they name a position.
_SHOWN_FOR: Final = frozenset({Action.take_apart, Action.put_together, Action.flush, Action.blow})
_FLOWS: Final = frozenset({Action.flush, Action.blow})
_SHOWN_MM: Final = 90.0
_KEPT: Final = 256

_DRAWN: Final = Remembered[tuple[str, str], str](most=_KEPT)


def step_drawing(opened: OpenInstruction, step: Step) -> str:
    """The device as SVG, in the positions it is in during a step.

    Empty where the step moves nothing that can be drawn, or where the device has no form that is known: a
    drawing that says no more than the words is only in their way.
    """
    return _DRAWN.get((opened.revision.digest, step.id), lambda: _drawn(opened, step))


def _drawn(opened: OpenInstruction, step: Step) -> str:
    device = opened.instruction.device
    if not drawable(device, step.positions) and step.action not in _SHOWN_FOR:
        return ""
    moment = next(one for one in simulate(opened.instruction) if one.step.id == step.id)
    positions = drawable(device, {mover: held.position for mover, held in moment.during.items()})
    drawing = draw(device, positions, shown_mm=_SHOWN_MM, with_flow=step.action in _FLOWS, with_letters=False)
    return svg(drawing, key="device") if drawing.is_known else ""
