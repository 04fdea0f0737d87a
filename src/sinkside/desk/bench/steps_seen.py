"""The steps of a plan as a bench shows them: in plain words with their figures, the device drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from sinkside.bench.plan import Plan, TextBehind
from sinkside.desk import shelf
from sinkside.desk.department_route import route_of
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Unit
from sinkside.desk.remembered import Remembered
from sinkside.instruction import Instruction
from sinkside.instruction.positions import simulate
from sinkside.plain import Habits, PlainStep, plain_step
from sinkside.plain.operations import shown_operations
from sinkside.plain.wording import steps_of
from sinkside.records import Revision
from sinkside.route import Operation
from sinkside.shapes import draw, drawable, svg
from sinkside.teach.pictures import FLOWS

#: As wide as it is shown beside a task, in mm.
_SHOWN_MM: Final = 90.0


@dataclass(frozen=True)
class StepSeen:
    """One step: in plain words, and the device as it must be; no drawing where its form is unknown."""

    plain: PlainStep
    drawing: str


_Steps = Mapping[str, StepSeen]

#: By the digests of text and department; as many as are on the benches of a department in a day.
_SEEN: Final = Remembered[tuple[str, str], _Steps](most=200)


def steps_seen(unit: Unit, plan: Plan, site: Revision) -> dict[str, StepSeen]:
    """The steps of a plan by the ids of its tasks; a text that is gone leaves its tasks without."""
    by_member = {text.member: _of_text(unit, text, site) for text in plan.texts}
    found = {task.id: by_member.get(task.member, {}).get(task.letter) for task in plan.tasks}
    return {task: step for task, step in found.items() if step is not None}


def _of_text(unit: Unit, text: TextBehind, site: Revision) -> _Steps:
    kept = unit.documents.get(shelf.KIND, text.instruction, text.revision)
    if kept is None:
        return {}
    return _SEEN.get((kept.digest, site.digest), lambda: _made(kept, site))


def _made(kept: Revision, site: Revision) -> _Steps:
    instruction = from_revision(kept, Instruction)
    during = {
        moment.step.id: {mover: held.position for mover, held in moment.during.items()}
        for moment in simulate(instruction)
    }
    return {
        operation.letter: StepSeen(
            plain_step(operation, instruction, Habits()), _drawn(operation, instruction, during, kept.digest)
        )
        for operation in shown_operations(route_of(kept, site), instruction)
    }


def _drawn(
    operation: Operation, instruction: Instruction, during: Mapping[str, Mapping[str, str]], digest: str
) -> str:
    steps = steps_of(operation, instruction)
    held = {**(during[steps[0].id] if steps else {}), **operation.positions}
    drawing = draw(
        instruction.device,
        drawable(instruction.device, held),
        shown_mm=_SHOWN_MM,
        with_flow=operation.action in FLOWS,
        with_letters=False,
    )
    return svg(drawing, key=f"{digest[:8]}-{operation.letter}") if drawing.is_known else ""
