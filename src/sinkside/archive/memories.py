"""Memories: what each person is likely to remember; the database deletes them with the person."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import bindparam, case, func, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema_teaching import memories
from sinkside.records import KeptMemory, MemoryShare

_KEY: Final = ("department", "person", "instruction", "question")
_OWN: Final = (memories.c.department == bindparam("here"), memories.c.person == bindparam("of"))
_MEMORY: Final = select(memories).where(
    *_OWN, memories.c.instruction == bindparam("device"), memories.c.question == bindparam("wanted")
)
_OF_PERSON: Final = (
    select(memories).where(*_OWN).order_by(memories.c.due, memories.c.question).limit(bindparam("most"))
)
_DUE: Final = (
    select(memories)
    .where(*_OWN, memories.c.due <= bindparam("due_by"))
    .order_by(memories.c.due, memories.c.question)
    .limit(bindparam("most"))
)

# Read from an index alone, which has the department, the device, the person, what is due and the question.
_FRESH: Final = func.sum(case((memories.c.due > bindparam("now", type_=memories.c.due.type), 1), else_=0))
_BY_DEVICE: Final = (
    select(
        memories.c.instruction.label("of"),
        func.count(memories.c.person.distinct()).label("people"),
        func.count().label("kept"),
        _FRESH.label("fresh"),
    )
    .where(memories.c.department == bindparam("here"))
    .group_by(memories.c.instruction)
    .order_by(memories.c.instruction)
)
_BY_QUESTION: Final = (
    select(
        memories.c.question.label("of"),
        func.count().label("people"),
        func.count().label("kept"),
        _FRESH.label("fresh"),
    )
    .where(memories.c.department == bindparam("here"), memories.c.instruction == bindparam("of"))
    .group_by(memories.c.question)
    .order_by(memories.c.question)
)


class MemoryTable:
    """What people are likely to remember; goes with its person."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, memory: KeptMemory) -> None:
        """Keep a memory, or its change.

        Raises:
            BadInput: if there is no such person or department.
        """
        self._do.put(memories, vars(memory), key=_KEY)

    def get(self, department: str, person: str, instruction: str, question: str) -> KeptMemory | None:
        """What somebody has of a question of a device."""
        found = self._do.first(_MEMORY, here=department, of=person, device=instruction, wanted=question)
        return KeptMemory(**found) if found else None

    def of_person(
        self, department: str, person: str, *, due_by: datetime | None = None, most: int = 1000
    ) -> list[KeptMemory]:
        """What somebody has, what is due first at the head; of what is due by a moment only, if told."""
        own = {"here": department, "of": person, "most": most}
        found = self._do.all(_DUE, due_by=due_by, **own) if due_by else self._do.all(_OF_PERSON, **own)
        return [KeptMemory(**row) for row in found]

    def by_device(self, department: str, now: datetime) -> list[MemoryShare]:
        """Device by device, how many people were asked, and how much of it is fresh; nobody is named."""
        return [MemoryShare(**row) for row in self._do.all(_BY_DEVICE, here=department, now=now)]

    def by_question(self, department: str, instruction: str, now: datetime) -> list[MemoryShare]:
        """Question by question of a device, the same."""
        found = self._do.all(_BY_QUESTION, here=department, of=instruction, now=now)
        return [MemoryShare(**row) for row in found]
