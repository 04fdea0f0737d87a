"""Changing steps: correct, add, strike, accept, and give a left-over figure its place."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sinkside.desk import editing
from sinkside.desk import shelf as desk_shelf
from sinkside.desk.editing import Accept, Add, Correct, Edit, Strike
from sinkside.desk.figure_lines import read_figure_lines
from sinkside.desk.instruction_view import things_named
from sinkside.desk.shelf import OpenInstruction
from sinkside.desk.still_to_do import counted
from sinkside.errors import BadInput, NotThere
from sinkside.instruction import POSITIONS, Action, AirRemoval, Origin, Stage, Step
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Done, Form
from sinkside.web.screens.instructions.page import instruction as page
from sinkside.web.screens.instructions.page import left_over, step_address, step_before
from sinkside.web.screens.instructions.shelf import screen

EDIT = "instruction-edit"
_STEP = f"{DEPARTMENT}/instructions/{{instruction}}/steps/{{step}}"


class OnRevision(Form):
    """The revision that the person had before them."""

    base: int = Field(ge=1, le=1_000_000)


class StepFields(OnRevision):
    """A step as it was typed: figures and cautions one a line, things separated by commas."""

    stage: Stage
    action: Action
    on: str = Field("", max_length=500)
    uses: str = Field("", max_length=300)
    figures: str = Field("", max_length=2000)
    jaw: Literal["", "open", "closed"] = ""
    ratchet: Literal["", "engaged", "released"] = ""
    sleeve: Literal["", "forward", "back"] = ""
    port: Literal["", "open", "capped", "connected"] = ""
    knob: Literal["", "straight", "deflected"] = ""
    part: Literal["", "assembled", "apart"] = ""
    air_removal: Literal["", "prevacuum", "gravity", "pulse"] = ""
    until: str = Field("", max_length=500)
    cautions: str = Field("", max_length=2000)


class StrikeReason(OnRevision):
    """Why a step is none."""

    reason: str = Field("", max_length=2000)


class AcceptStep(OnRevision):
    """Whether to go on to the next step."""

    go_on: bool = False


class AcceptSteps(OnRevision):
    """Steps that somebody compared with the maker's words and found read rightly."""

    steps: tuple[str, ...] = ()


@screen.act(f"{_STEP}/correct", right=EDIT, form=StepFields, page=page)
def correct(asked: Asked, form: StepFields, instruction: str, step: str) -> Done:
    """Correct a step; its place in the maker's text stays."""
    known = _step(desk_shelf.open_instruction(asked.archive, asked.visitor, instruction), step)
    made = _made(asked, form, instruction, known)
    number = _edit(asked, instruction, Correct(made), form.base)
    return _back(asked, instruction, step, f"The step is corrected; this is revision {number}.")


@screen.act(f"{_STEP}/after", right=EDIT, form=StepFields, page=page)
def add_after(asked: Asked, form: StepFields, instruction: str, step: str) -> Done:
    """Add a step after another one."""
    new = Step(id="new", stage=form.stage, action=form.action)
    made = _made(asked, form, instruction, new)
    number = _edit(asked, instruction, Add(made, after=step), form.base)
    return _back(
        asked, instruction, editing.added_id(number), f"The step is added; this is revision {number}."
    )


@screen.act(
    f"{DEPARTMENT}/instructions/{{instruction}}/place/{{place}}", right=EDIT, form=StepFields, page=page
)
def give_place(asked: Asked, form: StepFields, instruction: str, place: int) -> Done:
    """Give a figure that was not understood its place, in a step of its own with the words it came from."""
    opened = desk_shelf.open_instruction(asked.archive, asked.visitor, instruction)
    origin: Origin = left_over(opened, place)
    new = Step(id="new", stage=form.stage, action=form.action, origin=origin)
    before = step_before(opened, origin)
    change = Add(_made(asked, form, instruction, new), after=before.id if before else None)
    number = _edit(asked, instruction, change, form.base)
    return _back(
        asked, instruction, editing.added_id(number), f"The figure has its place; this is revision {number}."
    )


@screen.act(f"{_STEP}/strike", right=EDIT, form=StrikeReason, page=page)
def strike(asked: Asked, form: StrikeReason, instruction: str, step: str) -> Done:
    """Strike a step that is none."""
    steps = _ids(asked, instruction)
    number = _edit(asked, instruction, Strike(step, form.reason), form.base)
    at = steps.index(step) if step in steps else 0
    left = [one for one in steps if one != step]
    next_one = left[min(at, len(left) - 1)] if left else ""
    return _back(asked, instruction, next_one, f"The step is struck; this is revision {number}.")


@screen.act(f"{_STEP}/accept", right=EDIT, form=AcceptStep, page=page)
def accept(asked: Asked, form: AcceptStep, instruction: str, step: str) -> Done:
    """Confirm that a step was read rightly."""
    _edit(asked, instruction, Accept((step,)), form.base)
    steps = _ids(asked, instruction)
    at = steps.index(step)
    shown = steps[at + 1] if form.go_on and at + 1 < len(steps) else step
    return _back(asked, instruction, shown, "The step is accepted as it was read.")


@screen.act(f"{DEPARTMENT}/instructions/{{instruction}}/accept", right=EDIT, form=AcceptSteps, page=page)
def accept_many(asked: Asked, form: AcceptSteps, instruction: str) -> Done:
    """Confirm that several steps, which the person had before them, were read rightly."""
    if not form.steps:
        raise BadInput("expected at least one step", resource="steps")
    _edit(asked, instruction, Accept(form.steps), form.base)
    said = f"{counted(len(form.steps), 'step')} accepted as read."
    return _back(asked, instruction, form.steps[-1], said)


def _ids(asked: Asked, instruction: str) -> list[str]:
    opened = desk_shelf.open_instruction(asked.archive, asked.visitor, instruction)
    return [one.id for one in opened.instruction.steps]


def _edit(asked: Asked, instruction: str, change: Edit, base: int) -> int:
    return editing.edit(asked.archive, asked.visitor, instruction, change, base=base, now=asked.now)


def _back(asked: Asked, instruction: str, step: str, said: str) -> Done:
    address = asked.at(f"/instructions/{instruction}")
    return Done(go=step_address(f"{address}?step={step}", step) if step else address, said=said)


def _step(opened: OpenInstruction, step: str) -> Step:
    for one in opened.instruction.steps:
        if one.id == step:
            return one
    raise NotThere("there is no such step", resource=step)


def _made(asked: Asked, form: StepFields, instruction: str, known: Step) -> Step:
    """A step with what was typed; what no field shows stays as it was."""
    opened = desk_shelf.open_instruction(asked.archive, asked.visitor, instruction)
    positions = {feature: getattr(form, feature) for feature in POSITIONS if getattr(form, feature)}
    return known.model_copy(
        update={
            "stage": form.stage,
            "action": form.action,
            "on": things_named(form.on, opened.instruction),
            "with_": form.uses.strip() or None,
            "figures": read_figure_lines(form.figures, known.figures),
            "positions": positions,
            "air_removal": AirRemoval(form.air_removal) if form.air_removal else None,
            "until": form.until.strip() or None,
            "cautions": tuple(filter(None, (line.strip() for line in form.cautions.splitlines()))),
        }
    )
