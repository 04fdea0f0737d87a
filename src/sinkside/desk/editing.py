"""Editing an instruction: every change is a new revision, reviewed at once, with an event."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import datetime
from typing import Final

from sinkside import __version__
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import keep_next, made
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import (
    KIND,
    REVIEW,
    OpenInstruction,
    opened,
    row_of,
    shown_again,
    subject_of,
    weigh_beforehand,
)
from sinkside.desk.standing import Reviewed, Yardstick, carried_on, identity, step_digest
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.instruction import Instruction, Step
from sinkside.records import Revision

_LONGEST_REASON: Final = 2000
_LONGEST_NAME: Final = 200


@dataclass(frozen=True)
class Correct:
    """A step as it should have been read; its id and the words it was read from stay."""

    step: Step


@dataclass(frozen=True)
class Add:
    """A step that the draft left out, after another one or at the beginning; it gets an id of its own."""

    step: Step
    after: str | None = None


@dataclass(frozen=True)
class Strike:
    """A step that is none, and why."""

    step: str
    reason: str


@dataclass(frozen=True)
class Accept:
    """Steps that were read rightly."""

    steps: tuple[str, ...]


@dataclass(frozen=True)
class Describe:
    """What the device and the maker's document are called, where the draft misread it; a name must be."""

    name: str
    maker: str = ""
    title: str = ""
    edition: str = ""


Edit = Correct | Add | Strike | Accept | Describe


def edit(archive: Archive, who: Visitor, instruction: str, change: Edit, *, base: int, now: datetime) -> int:
    """Change an instruction, and say which revision that made.

    Args:
        archive: where it is kept.
        who: the acting person.
        instruction: which.
        change: what to correct, add, strike or accept, or how the device is described.
        base: the revision that the person had before them.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or step here.
        Conflict: if there is a later revision already.
        BadInput: if nothing would change, or a reason is missing.
    """
    require(who, "instruction-edit")
    with archive.unit(writes=False) as unit:
        before = opened(unit, row_of(unit, who, instruction))
        if before.revision.number != base:
            raise Conflict(
                f"somebody else made revision {before.revision.number} meanwhile; look at it and edit that",
                resource=instruction,
            )
        new = _made(unit, who, before, change, now=now)
        # Weighed here, so that nothing is worked out while others wait for their turn to write.
        weigh_beforehand(unit, new.revision, new.review)
    closed = {one.id for one in before.findings} - new.findings
    data = {
        "revision": new.revision.number,
        "digest": new.revision.digest,
        "steps": list(_concerned(change, base + 1)),
        "closed": sorted(closed),
    }
    with archive.unit() as unit:
        row = row_of(unit, who, instruction)
        unit.documents.keep(new.revision)
        unit.documents.keep(new.review)
        record(unit, who, _told(change)[0], subject_of(row.id), now=now, data=data)
        shown_again(unit, row, now=now)
    return new.revision.number


@dataclass(frozen=True)
class _Made:
    """A revision that is still to be kept, its review, and what is known of the findings by identity."""

    revision: Revision
    review: Revision
    findings: frozenset[str]


def _made(unit: Unit, who: Visitor, before: OpenInstruction, change: Edit, *, now: datetime) -> _Made:
    number = before.revision.number + 1
    after, accepted = _edited(before, change, number)
    if after == before.instruction and accepted == before.reviewed.accepted:
        raise BadInput("nothing was changed", resource=before.row.id)
    _, note = _told(change)
    revision = made(KIND, before.row.id, number, after, by=who.person, now=now, note=note)
    reviewed = _reviewed(before, after, yardstick_of(unit, who.department))
    reviewed = reviewed.model_copy(update={"accepted": accepted})
    review = made(REVIEW, before.row.id, number, reviewed, by=who.person, now=now)
    known = frozenset(identity(one) for one in (*reviewed.findings, *reviewed.carried))
    return _Made(revision, review, known)


def _reviewed(before: OpenInstruction, after: Instruction, yardstick: Yardstick) -> Reviewed:
    """What the review says of an edited text; a step that is accepted as it stands changes none of it."""
    if after is before.instruction and yardstick.measured(before.reviewed):
        return before.reviewed
    reviewed = yardstick.review(after, drafted_by=before.reviewed.drafted_by)
    carried = carried_on(before.reviewed, before.instruction, after, reviewed.findings)
    return reviewed.model_copy(update={"carried": tuple(carried)})


def keep_revision(
    unit: Unit,
    subject: str,
    instruction: Instruction,
    reviewed: Reviewed,
    *,
    by: str,
    now: datetime,
    note: str,
) -> Revision:
    """Keep a revision of an instruction together with what the review says of it."""
    kept = keep_next(unit, KIND, subject, instruction, by=by, now=now, note=note)
    keep_next(unit, REVIEW, subject, reviewed, by=by, now=now, number=kept.number)
    return kept


def yardstick_of(unit: Unit, department: str) -> Yardstick:
    """By what the texts of a department are reviewed: its profile and altitude, and this program."""
    site = department_in(unit, department)
    if site is None:
        return Yardstick("eu", 0.0, __version__)
    return Yardstick(site.profile, site.altitude.to("m"), __version__)


def _edited(before: OpenInstruction, change: Edit, number: int) -> tuple[Instruction, dict[str, str]]:
    steps = list(before.instruction.steps)
    accepted = dict(before.reviewed.accepted)
    if isinstance(change, Describe):
        return _described(before.instruction, change), accepted
    if isinstance(change, Correct):
        at = _place(steps, change.step.id)
        steps[at] = change.step.model_copy(update={"origin": steps[at].origin})
        accepted[change.step.id] = step_digest(steps[at])
    elif isinstance(change, Add):
        at = _place(steps, change.after) + 1 if change.after is not None else 0
        added = change.step.model_copy(update={"id": added_id(number)})
        steps.insert(at, added)
        accepted[added.id] = step_digest(added)
    elif isinstance(change, Strike):
        steps.pop(_place(steps, change.step))
        accepted.pop(change.step, None)
    else:
        accepted |= {step_id: step_digest(steps[_place(steps, step_id)]) for step_id in change.steps}
    if isinstance(change, Accept):
        return before.instruction, accepted
    values = before.instruction.model_dump() | {"steps": [step.model_dump() for step in steps]}
    return Instruction.model_validate(values), accepted


def _described(instruction: Instruction, change: Describe) -> Instruction:
    said = {field.name: _one_line(getattr(change, field.name), field.name) for field in fields(change)}
    if not said["name"]:
        raise BadInput("expected what the device is called", resource="name")
    document = instruction.device.document.model_copy(
        update={"title": said["title"], "revision": said["edition"]}
    )
    device = instruction.device.model_copy(
        update={"name": said["name"], "maker": said["maker"], "document": document}
    )
    return instruction.model_copy(update={"device": device})


def _one_line(text: str, field: str) -> str:
    line = " ".join(text.split())
    if len(line) > _LONGEST_NAME:
        raise BadInput(f"it has {len(line)} characters; expected at most {_LONGEST_NAME}", resource=field)
    return line


def added_id(revision: int) -> str:
    """The id of a step that a revision added; no draft makes such an id, and no other revision."""
    return f"added-{revision}"


def _place(steps: list[Step], step_id: str) -> int:
    for place, step in enumerate(steps):
        if step.id == step_id:
            return place
    raise NotThere("there is no such step", resource=step_id)


def _told(change: Edit) -> tuple[str, str]:
    """The event's kind, and the note of the revision."""
    if isinstance(change, Describe):
        return "device-described", ""
    if isinstance(change, Strike):
        return "step-struck", reason_of(change.reason)
    if isinstance(change, Correct):
        return "step-edited", ""
    return ("step-added", "") if isinstance(change, Add) else ("step-accepted", "")


def _concerned(change: Edit, number: int) -> tuple[str, ...]:
    if isinstance(change, Accept):
        return change.steps
    if isinstance(change, Describe):
        return ()
    if isinstance(change, Strike):
        return (change.step,)
    return (change.step.id if isinstance(change, Correct) else added_id(number),)


def reason_of(text: str) -> str:
    """A reason as it is kept.

    Raises:
        BadInput: if there is none, or it is too long.
    """
    reason = text.strip()
    if not reason:
        raise BadInput("expected a reason", resource="reason")
    if len(reason) > _LONGEST_REASON:
        raise BadInput(
            f"the reason has {len(reason)} characters; at most {_LONGEST_REASON}", resource="reason"
        )
    return reason
