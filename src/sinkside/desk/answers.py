"""Answering a question: once a day each, right or not, with what it points back to; it moves the memory.

Nothing of it goes into the record book. Somebody's learning is their own; what proves that work is done by
people who can do it are sign-offs.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.keeping import from_revision
from sinkside.desk.memories import LEARN, bank_in_force, day_of, remember
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_texts import approved_of, device_name
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.instruction import Instruction, Step
from sinkside.records import Answer, Row
from sinkside.teach.memory import Memory
from sinkside.teach.question import Question

_SIGNS: Final = 16


@dataclass(frozen=True)
class AnswerShown:
    """An answer with its question and what to know of it.

    `step` is the step that the question points back to; none where the revision no longer has it, or somebody
    may not read it. `memory` is what the answer left behind.
    """

    answer: Answer
    question: Question
    device: str
    step: Step | None
    memory: Memory


def answer_question(
    archive: Archive, who: Visitor, instruction: str, question: str, choice: int, *, now: datetime
) -> Answer:
    """Keep an answer. A question is answered once a day; whatever comes again is the first answer.

    Args:
        archive: where it is kept.
        who: who answers.
        instruction: the device that is asked about.
        question: which question.
        choice: which of its choices, counted from 0.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if that question is not asked here any more.
        BadInput: if it has no such choice.
    """
    require(who, LEARN)
    key = key_of(who, instruction, question, now)
    with archive.unit() as unit:
        if known := unit.answers.get(key):
            return known
        row, asked = _question(unit, who, instruction, question)
        if not 0 <= choice < len(asked.choices):
            raise BadInput("choose one of the answers", resource="choice")
        answer = Answer(
            id=key,
            department=who.department,
            person=who.person,
            instruction=row.id,
            revision=approved_of(row),
            question=asked.id,
            sitting=day_of(who, now),
            choice=choice,
            is_right=choice == asked.right,
            at=now,
        )
        try:
            unit.answers.keep(answer)
        except Conflict:
            if first := unit.answers.get(key):
                return first
            raise
        remember(unit, who, answer)
        return answer


def shown_answer(archive: Archive, who: Visitor, answer: str) -> AnswerShown:
    """One's own answer, with why it is right or not, and the step that it points back to.

    Raises:
        NotAllowed: without the right.
        NotThere: if it is nobody's, or another's, or its question is not asked any more.
    """
    require(who, LEARN)
    with archive.unit(writes=False) as unit:
        kept = unit.answers.get(answer)
        if kept is None or (kept.department, kept.person) != (who.department, who.person):
            raise NotThere("there is no such answer of yours here", resource=answer)
        row, question = _question(unit, who, kept.instruction, kept.question)
        memory = unit.memories.get(who.department, who.person, kept.instruction, kept.question)
        if memory is None:
            raise NotThere("nothing is kept of this question", resource=answer)
        step = _step(unit, row, question) if who.may("instruction-read") else None
        left = Memory.of_fields(memory.due, memory.fields)
        return AnswerShown(kept, question, device_name(row), step, left)


def key_of(who: Visitor, instruction: str, question: str, now: datetime) -> str:
    """What a person's answer to a question on one day is kept under, however often it is sent."""
    told = "\0".join((who.department, who.person, instruction, question, day_of(who, now)))
    return f"a-{sha256(told.encode()).hexdigest()[:_SIGNS]}"


def _question(unit: Unit, who: Visitor, instruction: str, question: str) -> tuple[Row, Question]:
    row = shelf.row_of(unit, who, instruction)
    found = bank_in_force(unit, who, row.id) if approved_of(row) else ()
    asked = next((one for one in found if one.id == question), None)
    if asked is None:
        raise NotThere("this question is not asked any more", resource=question)
    return row, asked


def _step(unit: Unit, row: Row, question: Question) -> Step | None:
    kept = unit.documents.get(shelf.KIND, row.id, approved_of(row))
    steps = from_revision(kept, Instruction).steps if kept else ()
    return next((step for step in steps if step.id == question.step), None)
