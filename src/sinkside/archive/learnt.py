"""Lessons that people went through: kept part by part, for rolls and for a person's own list."""

from __future__ import annotations

from typing import Final

from sqlalchemy import bindparam, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema_teaching import learnt
from sinkside.records import LearntPart

_KEY: Final = ("department", "instruction", "revision", "part", "person")
_OF_PERSON: Final = (
    select(learnt)
    .where(learnt.c.department == bindparam("here"), learnt.c.person == bindparam("of"))
    .order_by(learnt.c.at.desc(), learnt.c.instruction, learnt.c.revision, learnt.c.part)
)
_OF_INSTRUCTION: Final = (
    select(learnt)
    .where(learnt.c.department == bindparam("here"), learnt.c.instruction == bindparam("of"))
    .order_by(learnt.c.at, learnt.c.revision, learnt.c.part, learnt.c.person)
)


class LearntTable:
    """Which parts of lessons people went through."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, learnt_part: LearntPart) -> None:
        """Keep that somebody went through a part; once more only moves the moment."""
        self._do.put(learnt, vars(learnt_part), key=_KEY)

    def of_person(self, department: str, person: str) -> list[LearntPart]:
        """What somebody went through, the latest first."""
        return [LearntPart(**row) for row in self._do.all(_OF_PERSON, here=department, of=person)]

    def of_instruction(self, department: str, instruction: str) -> list[LearntPart]:
        """Who went through which parts of every revision's lesson, the oldest first."""
        found = self._do.all(_OF_INSTRUCTION, here=department, of=instruction)
        return [LearntPart(**row) for row in found]
