"""Editing an instruction: every change is a new revision, reviewed at once, with an event."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.departments import department_in
from sinkside.desk.instructions import review
from sinkside.desk.keeping import keep_next
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import KIND, REVIEW, OpenInstruction, opened, row_of, shown_again, subject_of
from sinkside.desk.standing import Reviewed, carried_on, identity, step_digest
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.findings import Finding
from sinkside.instruction import Instruction, Step
from sinkside.records import Revision

_LONGEST_REASON: Final = 2000


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


Edit = Correct | Add | Strike | Accept


def edit(archive: Archive, who: Visitor, instruction: str, change: Edit, *, base: int, now: datetime) -> int:
    """Change an instruction, and say which revision that made.

    Args:
        archive: where it is kept.
        who: the acting person.
        instruction: which.
        change: what to correct, add, strike or accept.
        base: the revision that the person had before them.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or step here.
        Conflict: if there is a later revision already.
        BadInput: if nothing would change, or a reason is missing.
    """
    require(who, "instruction-edit")
    with archive.unit() as unit:
        row = row_of(unit, who, instruction)
        before = opened(unit, row)
        if before.revision.number != base:
            raise Conflict(
                f"somebody else made revision {before.revision.number} meanwhile; look at it and edit that",
                resource=instruction,
            )
        after, accepted = _edited(before, change, base + 1)
        if after == before.instruction and accepted == before.reviewed.accepted:
            raise BadInput("nothing was changed", resource=instruction)
        found = reviewed_findings(unit, who.department, after)
        carried = carried_on(before.reviewed, before.instruction, after, found)
        reviewed = Reviewed(
            profile=profile_of(unit, who.department),
            drafted_by=before.reviewed.drafted_by,
            findings=found,
            carried=tuple(carried),
            accepted=accepted,
        )
        kind, note = _told(change)
        revision = keep_revision(unit, row.id, after, reviewed, by=who.person, now=now, note=note)
        closed = {one.id for one in before.findings} - {identity(one) for one in (*found, *carried)}
        data = {
            "revision": revision.number,
            "digest": revision.digest,
            "steps": list(_concerned(change, base + 1)),
            "closed": sorted(closed),
        }
        record(unit, who, kind, subject_of(row.id), now=now, data=data)
        shown_again(unit, row, now=now)
        return revision.number


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


def reviewed_findings(unit: Unit, department: str, instruction: Instruction) -> tuple[Finding, ...]:
    """What the review finds by the profile and at the altitude of a department."""
    site = department_in(unit, department)
    altitude_m = site.altitude.to("m") if site else 0.0
    return review(instruction, profile=profile_of(unit, department), altitude_m=altitude_m)


def profile_of(unit: Unit, department: str) -> str:
    """The limits profile that a department works to."""
    site = department_in(unit, department)
    return site.profile if site else "eu"


def _edited(before: OpenInstruction, change: Edit, number: int) -> tuple[Instruction, dict[str, str]]:
    steps = list(before.instruction.steps)
    accepted = dict(before.reviewed.accepted)
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
    values = before.instruction.model_dump() | {"steps": [step.model_dump() for step in steps]}
    return Instruction.model_validate(values), accepted


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
    if isinstance(change, Strike):
        return "step-struck", reason_of(change.reason)
    if isinstance(change, Correct):
        return "step-edited", ""
    return ("step-added", "") if isinstance(change, Add) else ("step-accepted", "")


def _concerned(change: Edit, number: int) -> tuple[str, ...]:
    if isinstance(change, Accept):
        return change.steps
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
