"""The device drawn in the positions of a step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from sinkside.instruction import Action, Instruction
from sinkside.instruction.positions import simulate
from sinkside.plain.wording import steps_of
from sinkside.route import Operation
from sinkside.shapes import draw, drawable, svg

#: What is shown with its flow.
FLOWS: Final = frozenset({Action.flush, Action.blow})

#: As wide as it is shown beside a step, in mm.
_SHOWN_MM: Final = 120.0


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG, the same in words, and the state that it shows, which tells one from another."""

    svg: str
    words: str
    state: str = ""


class Pictures:
    """Pictures for the steps of one lesson in its order; a state just shown there is not drawn again."""

    def __init__(self, instruction: Instruction) -> None:
        self._instruction = instruction
        self._during: Mapping[str, dict[str, str]] = {
            moment.step.id: {mover: held.position for mover, held in moment.during.items()}
            for moment in simulate(instruction)
        }
        self._shown: tuple[object, ...] | None = None

    def of(self, operation: Operation) -> Picture | None:
        """The device as it is during an operation; none where its form is unknown or it was just shown."""
        device, has_flow = self._instruction.device, operation.action in FLOWS
        steps = steps_of(operation, self._instruction)
        during = self._during[steps[0].id] if steps else {}
        positions = drawable(device, {**during, **operation.positions})
        state = f"{sorted(positions.items())}{has_flow}"
        if (operation.station, state) == self._shown:
            return None
        drawing = draw(device, positions, shown_mm=_SHOWN_MM, with_flow=has_flow, with_letters=False)
        if not drawing.is_known:
            return None
        self._shown = (operation.station, state)
        return Picture(svg(drawing, key=f"lesson-{operation.letter}"), drawing.description, state)
