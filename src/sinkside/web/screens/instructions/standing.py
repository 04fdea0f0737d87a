"""How an instruction stands for whoever looks: approved or why not yet, and when it must be confirmed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from sinkside.bench.recall import CauseKind
from sinkside.desk import approving
from sinkside.desk.fit_touched import touched_by_approval
from sinkside.desk.instruction_view import InstructionView
from sinkside.desk.people import readers_here
from sinkside.desk.ports import Unit
from sinkside.desk.set_touched import sets_with
from sinkside.desk.shelf import OpenInstruction
from sinkside.desk.sign_off_touched import PersonTouched, people_touched
from sinkside.web.asked import Asked
from sinkside.web.fit_words import detail_of, state_of, words_of
from sinkside.web.recall_links import recall_link
from sinkside.web.screen import Option
from sinkside.web.screens.instructions.shelf import is_overdue, turn_words
from sinkside.web.sign_off_words import stations_said

#: A text is to be confirmed current once a year unless somebody says otherwise (common practice, no source).
_CONFIRM_WITHIN: Final = timedelta(days=365)


@dataclass(frozen=True)
class FindingToAnswer:
    """One finding that is still to be answered: id, level, letter of its step, sentence.

    `maker_only` says that only the maker's written answer settles it.
    """

    id: str
    level: str
    letter: str
    message: str
    maker_only: bool


@dataclass(frozen=True)
class StepToAccept:
    """One step with figures that nobody accepted yet: its id, letter and sentence."""

    id: str
    letter: str
    sentence: str


@dataclass(frozen=True)
class TouchedShown:
    """A department that the approval touches: where its answer opens, how it stands, and how it stood.

    `before` is how the approved revision stands there, in words; empty where none is, or nothing changes.
    """

    department: str
    address: str
    state: str
    words: str
    detail: str
    before: str


@dataclass(frozen=True)
class TouchedSetShown:
    """A set that has the device: its page, and what it is called."""

    name: str
    address: str


@dataclass(frozen=True)
class TouchedPersonShown:
    """Somebody whose sign-off the approval touches: their page, name, family, stations, what changed."""

    name: str
    address: str
    family: str
    stations: str
    changes: str


@dataclass(frozen=True)
class ApprovalShown:
    """How an instruction stands, and what this person may do about it.

    Attributes:
        not_yet: why this revision is not to be approved by this person now, one sentence each.
        left: how much is still to do, in words; empty where nothing is.
        findings: the stops and concerns that are still to be answered.
        steps: the steps with figures that are still to be accepted.
        approved_by: who approved it.
        confirm_by: by when it must be confirmed current.
        confirm_turn: whose turn that is.
        may_confirm: whether this person may confirm it.
        overdue: whether that day has passed.
        turn: whose turn it is now.
        propose: the day proposed for the next confirmation.
        readers: who could confirm, as id and name, where this person is to choose one.
        person: the pseudonym of whoever looks.
        touches: what the approval touches, for whoever may give it.
        sets: the sets that have the device, for whoever may give the approval.
        people: whose sign-offs it would open again, or has opened and nobody has given anew.
        people_count: how many people these are.
        recall: where one looks at what went by this revision; empty for one that was never approved.
    """

    not_yet: tuple[str, ...]
    left: str
    findings: tuple[FindingToAnswer, ...]
    steps: tuple[StepToAccept, ...]
    approved_by: str
    confirm_by: str
    confirm_turn: str
    may_confirm: bool
    overdue: bool
    turn: str
    propose: str
    readers: tuple[Option, ...]
    person: str
    touches: tuple[TouchedShown, ...]
    sets: tuple[TouchedSetShown, ...]
    people: tuple[TouchedPersonShown, ...]
    people_count: int
    recall: str


def approval_shown(
    asked: Asked, opened: OpenInstruction, view: InstructionView, names: Mapping[str, str]
) -> ApprovalShown:
    """How an instruction stands for whoever asks; `names` holds everybody that its row names."""
    row, fields, who = opened.row, opened.row.fields, asked.visitor
    approved = bool(fields.get("approved"))
    whose_turn = fields.get("confirm_turn")
    with asked.archive.unit(writes=False) as unit:
        against = approving.may_approve_opened(unit, who, opened).reasons_not if opened.latest else ()
        touches = _touches(asked, unit, opened)
        sets = _sets(asked, unit, opened)
        people = people_touched(unit, who, opened)
    may_confirm = approved and (whose_turn == who.person or who.may(approving.RIGHT))
    chooses = may_confirm or (opened.latest and not against)
    return ApprovalShown(
        not_yet=against,
        left=opened.to_do.words if opened.latest else "",
        findings=tuple(_to_answer(view)) if opened.latest else (),
        steps=_to_accept(opened, view) if opened.latest else (),
        approved_by=names.get(str(fields.get("approved_by") or ""), "") if approved else "",
        confirm_by=str(fields.get("confirm_by") or ""),
        confirm_turn=names.get(str(whose_turn or ""), ""),
        may_confirm=may_confirm,
        overdue=is_overdue(row.due, asked.now),
        turn=turn_words(row, names),
        propose=(asked.now + _CONFIRM_WITHIN).date().isoformat(),
        readers=_readers(asked) if chooses else (),
        person=who.person,
        touches=touches,
        sets=sets,
        people=tuple(_touched_person(asked, one) for one in people.lines),
        people_count=people.people,
        recall=_recall(asked, opened, view),
    )


def _recall(asked: Asked, opened: OpenInstruction, view: InstructionView) -> str:
    """Where one looks at what went by a revision that was approved, or stood before one that was."""
    number = opened.revision.number
    if number > int(opened.row.fields.get("approved") or 0):
        return ""
    words = f"{view.name}, revision {number}: withdrawn."
    return recall_link(asked, CauseKind.text, opened.row.id, revision=str(number), words=words)


def _touched_person(asked: Asked, one: PersonTouched) -> TouchedPersonShown:
    return TouchedPersonShown(
        name=one.name,
        address=asked.at(f"/sign-offs/people/{one.person}"),
        family=one.family,
        stations=stations_said(one.stations),
        changes="; ".join(one.changes),
    )


def _waits_for(asked: Asked, opened: OpenInstruction) -> bool:
    """Whether this is what somebody who may approve would approve."""
    return opened.latest and opened.row.state != "approved" and asked.visitor.may(approving.RIGHT)


def _sets(asked: Asked, unit: Unit, opened: OpenInstruction) -> tuple[TouchedSetShown, ...]:
    if not _waits_for(asked, opened):
        return ()
    found = sets_with(unit, asked.visitor, opened.row)
    return tuple(TouchedSetShown(row.title, asked.at(f"/sets/{row.id}")) for row in found)


def _touches(asked: Asked, unit: Unit, opened: OpenInstruction) -> tuple[TouchedShown, ...]:
    if not _waits_for(asked, opened):
        return ()
    tablet = asked.someone.session.shared_tablet
    found = touched_by_approval(unit, asked.visitor, opened, now=asked.now, shared_tablet=tablet)
    return tuple(
        TouchedShown(
            department=one.site.name,
            address=f"/at/{one.site.id}/fit/{opened.row.id}",
            state=state_of(one.now.word),
            words=words_of(one.now.word),
            detail=detail_of(one.now.word, missing=len(one.now.missing), concerns=one.now.concerns),
            before=words_of(one.before.word) if one.before and one.before.word != one.now.word else "",
        )
        for one in found
    )


def _to_answer(view: InstructionView) -> Iterator[FindingToAnswer]:
    """Open stops, then open concerns, each in the order of the page."""
    placed = [("", one) for one in view.general]
    placed += [(step.letter, one) for stage in view.stages for step in stage.steps for one in step.findings]
    for level in ("stop", "concern"):
        for letter, one in placed:
            if one.is_open and one.level == level:
                yield FindingToAnswer(one.id, level, letter, one.message, one.maker_only)


def _to_accept(opened: OpenInstruction, view: InstructionView) -> tuple[StepToAccept, ...]:
    left = set(opened.to_do.steps)
    return tuple(
        StepToAccept(step.id, step.letter, step.sentence)
        for stage in view.stages
        for step in stage.steps
        if step.id in left
    )


def _readers(asked: Asked) -> tuple[Option, ...]:
    return tuple(Option(*one) for one in readers_here(asked.archive, asked.visitor, asked.now))
