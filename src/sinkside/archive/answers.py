"""Answers to questions: each kept once, for the statistics of questions and for a person's own day."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import Integer, bindparam, cast, func, insert, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema_teaching import answers
from sinkside.errors import Conflict
from sinkside.records import Answer

_KEEP: Final = insert(answers)
_ANSWER: Final = select(answers).where(answers.c.id == bindparam("wanted"))
_OF_PERSON: Final = (
    select(answers)
    .where(
        answers.c.department == bindparam("here"),
        answers.c.person == bindparam("of"),
        answers.c.at >= bindparam("since"),
    )
    .order_by(answers.c.at, answers.c.id)
)
_OF_INSTRUCTION: Final = (
    select(answers)
    .where(answers.c.department == bindparam("here"), answers.c.instruction == bindparam("of"))
    .order_by(answers.c.at.desc(), answers.c.id.desc())
    .limit(bindparam("most"))
)
_RIGHT_OF: Final = (
    select(
        answers.c.person, func.sum(cast(answers.c.is_right, Integer)).label("right"), func.count().label("n")
    )
    .where(
        answers.c.department == bindparam("here"),
        answers.c.instruction == bindparam("of"),
        answers.c.revision == bindparam("revision"),
    )
    .group_by(answers.c.person)
)


class AnswerTable:
    """What was answered to questions."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def keep(self, answer: Answer) -> None:
        """Keep an answer.

        Raises:
            Conflict: if one of that id is kept; the unit can go on.
        """
        try:
            self._do.change(_KEEP, **vars(answer))
        except Conflict as error:
            raise Conflict("this was answered already", resource=answer.id) from error

    def get(self, answer: str) -> Answer | None:
        """An answer."""
        found = self._do.first(_ANSWER, wanted=answer)
        return Answer(**found) if found else None

    def of_person(self, department: str, person: str, *, since: datetime) -> list[Answer]:
        """What somebody answered since a moment, oldest first."""
        return [Answer(**row) for row in self._do.all(_OF_PERSON, here=department, of=person, since=since)]

    def of_instruction(self, department: str, instruction: str, *, most: int) -> list[Answer]:
        """The latest answers to the questions of an instruction, oldest first."""
        found = self._do.all(_OF_INSTRUCTION, here=department, of=instruction, most=most)
        return [Answer(**row) for row in reversed(found)]

    def right_of(self, department: str, instruction: str, revision: int) -> dict[str, tuple[int, int]]:
        """Person by person, how many answers to a revision's questions were right, and how many there are."""
        found = self._do.all(_RIGHT_OF, here=department, of=instruction, revision=revision)
        return {row["person"]: (int(row["right"]), int(row["n"])) for row in found}
