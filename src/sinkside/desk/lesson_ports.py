"""What the desk asks of whoever keeps which lessons were learnt, what was answered, what is remembered."""

from __future__ import annotations

from datetime import datetime
from typing import Protocol

from sinkside.records import Answer, KeptMemory, LearntPart, MemoryShare


class Learning(Protocol):
    """Which parts of lessons people went through."""

    def put(self, learnt_part: LearntPart) -> None:
        """Keep that somebody went through a part; once more only moves the moment."""

    def of_person(self, department: str, person: str) -> list[LearntPart]:
        """What somebody went through, the latest first."""

    def of_instruction(self, department: str, instruction: str) -> list[LearntPart]:
        """Who went through which parts of every revision's lesson, the oldest first."""


class Answers(Protocol):
    """What was answered to questions."""

    def keep(self, answer: Answer) -> None:
        """Keep an answer.

        Raises:
            Conflict: if one of that id is kept; the unit can go on.
        """

    def get(self, answer: str) -> Answer | None:
        """An answer."""

    def of_person(self, department: str, person: str, *, since: datetime) -> list[Answer]:
        """What somebody answered since a moment, oldest first."""

    def of_instruction(self, department: str, instruction: str, *, most: int) -> list[Answer]:
        """The latest answers to the questions of an instruction, oldest first."""

    def right_of(self, department: str, instruction: str, revision: int) -> dict[str, tuple[int, int]]:
        """Person by person, how many answers to a revision's questions were right, and how many there are."""


class Memories(Protocol):
    """What people are likely to remember; goes with its person."""

    def put(self, memory: KeptMemory) -> None:
        """Keep a memory, or its change."""

    def get(self, department: str, person: str, instruction: str, question: str) -> KeptMemory | None:
        """What somebody has of a question of a device."""

    def of_person(
        self, department: str, person: str, *, due_by: datetime | None = None, most: int = 1000
    ) -> list[KeptMemory]:
        """What somebody has, what is due first at the head; of what is due by a moment only, if told."""

    def by_device(self, department: str, now: datetime) -> list[MemoryShare]:
        """Device by device, how many people were asked, and how much of it is fresh; nobody is named."""

    def by_question(self, department: str, instruction: str, now: datetime) -> list[MemoryShare]:
        """Question by question of a device, the same."""
