"""The bank of an instruction's questions: seen, reworded, retired, brought back, added to."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.lessons import EDIT, approved_ground
from sinkside.desk.paper_making import Ground
from sinkside.desk.paper_standing import route_digest
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.remembered import Remembered
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.instruction import Instruction
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain.operations import shown_operations
from sinkside.teach.bank import (
    LONGEST,
    About,
    AskedStep,
    Bank,
    BankLine,
    Edit,
    OwnQuestion,
    Retirement,
    Wording,
    lines_of,
    refuse_unfit,
)
from sinkside.teach.question import Question, QuestionKind, id_of
from sinkside.teach.questions import questions_of
from sinkside.teach.questions.case import step_marks

KIND: Final = "question-bank"

#: So many instructions' questions are made once for all who are asked.
_MADE: Final = Remembered[tuple[str, ...], tuple[Question, ...]](most=60)


@dataclass(frozen=True)
class SeenBank:
    """The questions of the revision in force.

    Attributes:
        ground: the approved revision with its route here.
        lines: every question, retired ones too.
        gone: how many changes belong to questions that the text no longer makes.
        number: the revision of the bank, which forms carry; 0 where nothing was changed.
    """

    ground: Ground
    lines: tuple[BankLine, ...]
    gone: int
    number: int

    def line(self, question: str) -> BankLine:
        """One question.

        Raises:
            NotThere: if there is none of that id.
        """
        for one in self.lines:
            if one.question.id == question:
                return one
        raise NotThere("there is no such question here", resource=question)


@dataclass(frozen=True)
class QuestionAt:
    """Which question of which instruction, in which language, and the bank's revision the person had."""

    instruction: str
    question: str
    base: int
    language: str = REFERENCE_LANGUAGE


@dataclass(frozen=True)
class NewQuestion:
    """A question of the department's own: its kind, its step, what it says; the first is right."""

    kind: QuestionKind
    step: str
    wording: Wording


def bank_of(
    unit: Unit, who: Visitor, instruction: str, *, language: str = REFERENCE_LANGUAGE
) -> tuple[Question, ...]:
    """The questions in force of an instruction: edits applied, retired ones left out, own ones in.

    Raises:
        NotThere: if there is no such instruction here.
        NotForTheFloor: while nobody approved any revision, or a template has no translation.
        BadInput: if there are no questions in the language.
    """
    seen = _seen(unit, who, instruction, language)
    return tuple(line.question for line in seen.lines if line.retired is None)


def see_bank(
    archive: Archive, who: Visitor, instruction: str, *, language: str = REFERENCE_LANGUAGE
) -> SeenBank:
    """The bank of an instruction, with all that was changed; it tells what is right, so only editors see it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        NotForTheFloor: while nobody approved any revision, or a template has no translation.
        BadInput: if there are no questions in the language.
    """
    require(who, EDIT)
    with archive.unit(writes=False) as unit:
        return _seen(unit, who, instruction, language)


def edit_question(archive: Archive, who: Visitor, at: QuestionAt, wording: Wording, *, now: datetime) -> None:
    """Word a question in other words; which choice is right stays.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such question here.
        Conflict: if somebody changed the bank meanwhile.
        BadInput: if two choices say the same, or an answer goes against the instruction's figures.
    """

    def change(seen: SeenBank, bank: Bank) -> Bank:
        line = seen.line(at.question)
        told = _tidy(wording)
        if line.own is not None:
            told = _without_gaps(told)
            refuse_unfit(told, _about(seen, line.question, at, right=0, made=""))
            own = line.own.model_copy(update={"wording": told, "by": who.person, "at": now})
            others = [one for one in bank.own if one.id != own.id]
            return bank.model_copy(update={"own": (*others, own)})
        made = line.made or line.question
        many = len(made.choices)
        if len(told.choices) < many or any(told.choices[many:]):
            raise BadInput(f"expected words for {many} choices", resource="choices")
        told = told.model_copy(update={"choices": told.choices[:many]})
        right = made.choices[made.right].text
        refuse_unfit(told, _about(seen, made, at, right=made.right, made=right))
        edit = Edit(question=at.question, language=at.language, wording=told, by=who.person, at=now)
        return bank.model_copy(
            update={"edits": (*(one for one in bank.edits if not _is_same(one, edit)), edit)}
        )

    _change(archive, who, at, "question-edited", change, now=now)


def leave_as_made(archive: Archive, who: Visitor, at: QuestionAt, *, now: datetime) -> None:
    """Take the other words of a made question back.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such question here, or it has no other words.
        Conflict: if somebody changed the bank meanwhile.
    """

    def change(seen: SeenBank, bank: Bank) -> Bank:
        edit = seen.line(at.question).edit
        if edit is None:
            raise NotThere("this question is worded as it was made", resource=at.question)
        return bank.model_copy(update={"edits": tuple(one for one in bank.edits if not _is_same(one, edit))})

    _change(archive, who, at, "question-as-made", change, now=now)


def retire_question(archive: Archive, who: Visitor, at: QuestionAt, reason: str, *, now: datetime) -> None:
    """Ask a question no more, with a reason.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such question here.
        Conflict: if somebody changed the bank meanwhile, or it is retired already.
        BadInput: without a reason, or with one that is too long.
    """
    said = " ".join(reason.split())
    if not 0 < len(said) <= LONGEST:
        raise BadInput(f"expected a reason of at most {LONGEST} signs", resource="reason")

    def change(seen: SeenBank, bank: Bank) -> Bank:
        if seen.line(at.question).retired is not None:
            raise Conflict("this question is retired already", resource=at.question)
        retired = Retirement(question=at.question, reason=said, by=who.person, at=now)
        return bank.model_copy(update={"retired": (*bank.retired, retired)})

    _change(archive, who, at, "question-retired", change, now=now)


def bring_back(archive: Archive, who: Visitor, at: QuestionAt, *, now: datetime) -> None:
    """Ask a retired question again.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such question here, or it is not retired.
        Conflict: if somebody changed the bank meanwhile.
    """

    def change(seen: SeenBank, bank: Bank) -> Bank:
        if seen.line(at.question).retired is None:
            raise NotThere("this question is not retired", resource=at.question)
        kept = tuple(one for one in bank.retired if one.question != at.question)
        return bank.model_copy(update={"retired": kept})

    _change(archive, who, at, "question-brought-back", change, now=now)


def add_question(archive: Archive, who: Visitor, at: QuestionAt, new: NewQuestion, *, now: datetime) -> str:
    """Add a question of the department's own to a step, and give its id.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or step here.
        Conflict: if somebody changed the bank meanwhile.
        BadInput: if two choices say the same, or an answer goes against the instruction's figures.
    """
    key = id_of(new.kind, new.step, "own", new_id("q"))

    def change(seen: SeenBank, bank: Bank) -> Bank:
        text = seen.ground.shown.instruction
        step = next((one for one in text.steps if one.id == new.step), None)
        if step is None:
            raise NotThere("there is no such step", resource="step")
        told = _tidy(new.wording)
        told = _without_gaps(told)
        refuse_unfit(told, About(new.kind, step, language=at.language))
        own = OwnQuestion(
            id=key,
            kind=new.kind,
            language=at.language,
            mark=step_marks(text.steps)[step.id],
            wording=told,
            by=who.person,
            at=now,
        )
        return bank.model_copy(update={"own": (*bank.own, own)})

    _change(
        archive,
        who,
        QuestionAt(at.instruction, key, at.base, at.language),
        "question-added",
        change,
        now=now,
    )
    return key


def _seen(unit: Unit, who: Visitor, instruction: str, language: str) -> SeenBank:
    ground = approved_ground(unit, who, instruction)
    made = _made(unit, who, ground, language)
    kept = unit.documents.get(KIND, instruction)
    bank = read_kept(unit, KIND, instruction, Bank) or Bank()
    lines = lines_of(made, bank, _steps(ground), language=language)
    there = {line.question.id for line in lines}
    changes = {one.question for one in bank.edits} | {one.question for one in bank.retired}
    changes |= {one.id for one in bank.own}
    return SeenBank(ground, lines, len(changes - there), kept.number if kept else 0)


def _made(unit: Unit, who: Visitor, ground: Ground, language: str) -> tuple[Question, ...]:
    """The questions of a revision, made once for as long as nothing that they ask changes."""
    site = department_in(unit, who.department)
    route = route_digest(ground.route) if ground.route else ""
    key = (ground.shown.revision.digest, route, who.department, language)
    return _MADE.get(
        key,
        lambda: questions_of(ground.shown.instruction, ground.route, department=site, language=language),
    )


def _steps(ground: Ground) -> dict[str, AskedStep]:
    """The steps by what each asks, with where it is done, in the order of the text."""
    text: Instruction = ground.shown.instruction
    stations = {
        step: operation.station
        for operation in (*shown_operations(None, text), *shown_operations(ground.route, text))
        for step in operation.steps
    }
    marks = step_marks(text.steps)
    return {marks[step.id]: AskedStep(step, stations[step.id]) for step in text.steps}


def _about(seen: SeenBank, question: Question, at: QuestionAt, *, right: int, made: str) -> About:
    step = seen.ground.shown.instruction.step(question.step)
    return About(question.kind, step, right=right, made=made, language=at.language)


def _tidy(wording: Wording) -> Wording:
    return Wording(
        prompt=_spaced(wording.prompt),
        choices=tuple(_spaced(one) for one in wording.choices),
        why=_spaced(wording.why),
    )


def _without_gaps(wording: Wording) -> Wording:
    """A wording of the department's own without the wrong answers that have no words; the first is right."""
    first, *others = wording.choices or ("",)
    return wording.model_copy(update={"choices": (first, *(one for one in others if one))})


def _spaced(text: str) -> str:
    """A text without doubled spaces; those that keep number and unit on one line stay."""
    return re.sub(r"[ \t\r\n]+", " ", text).strip()


def _is_same(one: Edit, other: Edit) -> bool:
    return (one.question, one.language) == (other.question, other.language)


def _change(
    archive: Archive,
    who: Visitor,
    at: QuestionAt,
    kind: str,
    change: Callable[[SeenBank, Bank], Bank],
    *,
    now: datetime,
) -> None:
    """Keep a changed bank as its next revision, and tell it in the record book."""
    require(who, EDIT)
    with archive.unit() as unit:
        seen = _seen(unit, who, at.instruction, at.language)
        if seen.number != at.base:
            raise Conflict(
                "somebody changed these questions meanwhile; look at them first", resource=at.instruction
            )
        bank = change(seen, read_kept(unit, KIND, at.instruction, Bank) or Bank())
        kept = keep_next(unit, KIND, at.instruction, bank, by=who.person, now=now, note=at.question)
        data = {"question": at.question, "bank": kept.number, "digest": kept.digest}
        record(unit, who, kind, shelf.subject_of(at.instruction), now=now, data=data)
