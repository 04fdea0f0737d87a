"""Approving a revision, by somebody who did not write it, and confirming that a text is still current."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Final, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict

from sinkside.desk.access import Visitor, current, policy, record, require
from sinkside.desk.keeping import keep_next
from sinkside.desk.people import known_person
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import KIND, OpenInstruction, opened, row_of, shown_again, subject_of, words_in
from sinkside.desk.sign_off_touched import reopen_touched
from sinkside.errors import BadInput, Conflict, NotAllowed
from sinkside.journal import moment
from sinkside.records import Row

APPROVAL: Final = "approval"
RIGHT: Final = "revision-approve"


class Approval(BaseModel):
    """That somebody approved a revision: which, with what settled or open, and until when it holds."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    format: Literal["sinkside/approval-1"] = "sinkside/approval-1"
    revision: int
    digest: str
    by: str
    at: AwareDatetime
    concerns_open: int
    confirm_by: date
    confirm_turn: str


@dataclass(frozen=True)
class MayApprove:
    """Whether somebody may approve the latest revision, and if not, why not, one sentence each."""

    reasons_not: tuple[str, ...]

    @property
    def yes(self) -> bool:
        """Whether nothing stands against it."""
        return not self.reasons_not


def may_approve(archive: Archive, who: Visitor, instruction: str) -> MayApprove:
    """What stands between somebody and approving the latest revision.

    Raises:
        NotAllowed: if they may not read instructions.
        NotThere: if there is none here.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        return may_approve_opened(unit, who, opened(unit, row_of(unit, who, instruction)))


def may_approve_opened(unit: Unit, who: Visitor, latest: OpenInstruction) -> MayApprove:
    """The same of a latest revision that is open already."""
    return MayApprove(_reasons_not(unit, who, latest))


def approve(
    archive: Archive,
    who: Visitor,
    instruction: str,
    *,
    revision: int,
    confirm_by: date,
    now: datetime,
    confirm_turn: str | None = None,
) -> None:
    """Approve the latest revision.

    Args:
        archive: where it is kept.
        who: the acting person, who did not draft it and made no revision since the last approved one.
        instruction: which.
        revision: the revision that the person had before them.
        confirm_by: by when the text must be confirmed current.
        now: the moment.
        confirm_turn: whose turn that will be; the approver's unless told.

    Raises:
        NotAllowed: without the right, by somebody who wrote it, while a stop or a concern is open, or while
            a step with figures is not accepted.
        NotThere: if there is none here.
        Conflict: if there is a later revision.
        BadInput: if the date has passed, or whoever is to confirm cannot.
    """
    require(who, RIGHT)
    with archive.unit() as unit:
        row = row_of(unit, who, instruction)
        latest = opened(unit, row)
        if latest.revision.number != revision:
            raise Conflict(
                f"there is revision {latest.revision.number} now; look at it first", resource=instruction
            )
        against = _reasons_not(unit, who, latest)
        if against:
            raise NotAllowed("; ".join(against), resource=instruction)
        turn = _turn(unit, who, confirm_turn, now)
        approval = Approval(
            revision=revision,
            digest=latest.revision.digest,
            by=who.person,
            at=now,
            concerns_open=int(row.fields.get("concerns_open") or 0),
            confirm_by=_future(confirm_by, now),
            confirm_turn=turn,
        )
        kept = keep_next(unit, APPROVAL, row.id, approval, by=who.person, now=now)
        data = {"revision": revision, "digest": latest.revision.digest, "approval": kept.digest}
        dated = {"confirm_by": confirm_by.isoformat(), "confirm_turn": turn}
        record(unit, who, "revision-approved", subject_of(row.id), now=now, data={**data, **dated})
        reopen_touched(unit, who, row, latest.instruction, now=now)
        approvals = " ".join([*words_in(row, "approvals"), str(revision)])
        known: dict[str, str | int] = {
            "approved": revision,
            "approved_by": who.person,
            "approvals": approvals,
        }
        shown_again(unit, _due(row, who, confirm_by, turn, **known), now=now)


def confirm_current(
    archive: Archive,
    who: Visitor,
    instruction: str,
    *,
    confirm_by: date,
    now: datetime,
    confirm_turn: str | None = None,
) -> None:
    """Confirm that the maker's text is still the current one, until the next date.

    Raises:
        NotAllowed: without the right to approve, unless it is their turn.
        NotThere: if there is none here.
        BadInput: if nothing is approved, the date has passed, or whoever is next cannot confirm.
    """
    with archive.unit() as unit:
        require(who, "instruction-read")
        row = row_of(unit, who, instruction)
        if row.fields.get("confirm_turn") != who.person:
            require(who, RIGHT)
        confirmed_in(unit, who, row, confirm_by=confirm_by, confirm_turn=confirm_turn, now=now)


def confirmed_in(
    unit: Unit, who: Visitor, row: Row, *, confirm_by: date, now: datetime, confirm_turn: str | None = None
) -> None:
    """The same within a transaction, for whoever is known to may.

    Raises:
        BadInput: if nothing is approved, the date has passed, or whoever is next cannot confirm.
    """
    if not row.fields.get("approved"):
        raise BadInput("nothing is approved that could be confirmed", resource=row.id)
    turn = _turn(unit, who, confirm_turn, now)
    data = {"confirm_by": _future(confirm_by, now).isoformat(), "confirm_turn": turn}
    record(unit, who, "text-confirmed-current", subject_of(row.id), now=now, data=data)
    unit.rows.put(replace(_due(row, who, confirm_by, turn), updated=now))


def _reasons_not(unit: Unit, who: Visitor, latest: OpenInstruction) -> tuple[str, ...]:
    against = []
    if not who.may(RIGHT):
        against.append(f"your role here does not allow you to {policy().rights[RIGHT]}")
    if latest.revision.number == latest.row.fields.get("approved"):
        against.append("this revision is approved already")
    if who.person in _writers(unit, latest):
        against.append("who drafts or edits does not approve: somebody else must")
    return (*against, *latest.to_do.sentences)


def _writers(unit: Unit, latest: OpenInstruction) -> frozenset[str]:
    """Who drafted the text, and who made a revision since the last approved one."""
    since = int(latest.row.fields.get("approved") or 0)
    history = unit.documents.history(KIND, latest.row.id)
    made = {one.by for one in history if since < one.number <= latest.revision.number}
    return frozenset({latest.reviewed.drafted_by, *made})


def _turn(unit: Unit, who: Visitor, wanted: str | None, now: datetime) -> str:
    if wanted is None or wanted == who.person:
        return who.person
    known_person(unit, wanted)
    roles = {g.role for g in current(unit.people.grants(wanted), now) if g.department == who.department}
    if not any("instruction-read" in policy().roles[role].rights for role in roles):
        raise BadInput("this person cannot read instructions here", resource="confirm_turn")
    return wanted


def _future(day: date, now: datetime) -> date:
    if day <= now.date():
        raise BadInput("expected a day that is still to come", resource="confirm_by")
    return day


def _due(row: Row, who: Visitor, day: date, turn: str, **known: str | int) -> Row:
    """The row with the end of a day, where the department is, as when it is due."""
    due = moment(datetime.combine(day + timedelta(days=1), time(4)), who.zone, fold=0)
    dated = {"confirm_by": day.isoformat(), "confirm_turn": turn}
    return replace(row, due=due, fields={**row.fields, **dated, **known})
