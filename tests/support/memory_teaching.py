"""The tables of teaching in memory: they keep the promises of `sinkside.desk.ports`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from sinkside.errors import Conflict
from sinkside.records import Answer, KeptMemory, LearntPart, MemoryShare


@dataclass
class TeachingTables:
    """What teaching keeps."""

    answers: dict[str, Answer] = field(default_factory=dict)
    memories: dict[tuple[str, str, str, str], KeptMemory] = field(default_factory=dict)
    learnt: dict[tuple[str, str, int, str, str], LearntPart] = field(default_factory=dict)


class MemoryAnswers:
    """What was answered to questions."""

    def __init__(self, tables: TeachingTables) -> None:
        self._tables = tables

    def keep(self, answer: Answer) -> None:
        """Keep an answer, once."""
        if answer.id in self._tables.answers:
            raise Conflict("this was answered already", resource=answer.id)
        self._tables.answers[answer.id] = answer

    def get(self, answer: str) -> Answer | None:
        """An answer."""
        return self._tables.answers.get(answer)

    def of_person(self, department: str, person: str, *, since: datetime) -> list[Answer]:
        """What somebody answered since a moment, oldest first."""
        return [one for one in self._of(department) if one.person == person and one.at >= since]

    def of_instruction(self, department: str, instruction: str, *, most: int) -> list[Answer]:
        """The latest answers to the questions of an instruction, oldest first."""
        return [one for one in self._of(department) if one.instruction == instruction][-most:]

    def right_of(self, department: str, instruction: str, revision: int) -> dict[str, tuple[int, int]]:
        """Person by person, how many answers were right, and how many there are."""
        counted: dict[str, list[bool]] = defaultdict(list)
        for one in self._of(department):
            if (one.instruction, one.revision) == (instruction, revision):
                counted[one.person].append(one.is_right)
        return {person: (sum(right), len(right)) for person, right in counted.items()}

    def _of(self, department: str) -> list[Answer]:
        found = (one for one in self._tables.answers.values() if one.department == department)
        return sorted(found, key=lambda one: (one.at, one.id))


class MemoryMemories:
    """What people are likely to remember."""

    def __init__(self, tables: TeachingTables) -> None:
        self._tables = tables

    def put(self, memory: KeptMemory) -> None:
        """Keep a memory, or its change."""
        key = memory.department, memory.person, memory.instruction, memory.question
        self._tables.memories[key] = memory

    def get(self, department: str, person: str, instruction: str, question: str) -> KeptMemory | None:
        """What somebody has of a question of a device."""
        return self._tables.memories.get((department, person, instruction, question))

    def of_person(
        self, department: str, person: str, *, due_by: datetime | None = None, most: int = 1000
    ) -> list[KeptMemory]:
        """What somebody has, what is due first at the head."""
        own = [one for one in self._of(department) if one.person == person]
        wanted = [one for one in own if due_by is None or one.due <= due_by]
        return sorted(wanted, key=lambda one: (one.due, one.question))[:most]

    def by_device(self, department: str, now: datetime) -> list[MemoryShare]:
        """Device by device, how many people were asked, and how much of it is fresh."""
        return _shares(((one.instruction, one) for one in self._of(department)), now)

    def by_question(self, department: str, instruction: str, now: datetime) -> list[MemoryShare]:
        """Question by question of a device, the same."""
        found = (one for one in self._of(department) if one.instruction == instruction)
        return _shares(((one.question, one) for one in found), now)

    def _of(self, department: str) -> list[KeptMemory]:
        return [one for one in self._tables.memories.values() if one.department == department]


def _shares(memories: Iterable[tuple[str, KeptMemory]], now: datetime) -> list[MemoryShare]:
    grouped: dict[str, list[KeptMemory]] = defaultdict(list)
    for of, one in memories:
        grouped[of].append(one)
    return [
        MemoryShare(of, len({one.person for one in kept}), len(kept), sum(one.due > now for one in kept))
        for of, kept in sorted(grouped.items())
    ]


class MemoryLearning:
    """Which parts of lessons people went through."""

    def __init__(self, tables: TeachingTables) -> None:
        self._tables = tables

    def put(self, learnt_part: LearntPart) -> None:
        """Keep that somebody went through a part; once more only moves the moment."""
        one = learnt_part
        key = (one.department, one.instruction, one.revision, one.part, one.person)
        self._tables.learnt[key] = one

    def of_person(self, department: str, person: str) -> list[LearntPart]:
        """What somebody went through, the latest first."""
        found = [one for one in self._tables.learnt.values() if one.person == person]
        found.sort(key=lambda one: (one.instruction, one.revision, one.part))
        return sorted(
            (one for one in found if one.department == department), key=lambda one: one.at, reverse=True
        )

    def of_instruction(self, department: str, instruction: str) -> list[LearntPart]:
        """Who went through which parts of every revision's lesson, the oldest first."""
        found = [one for one in self._tables.learnt.values() if one.department == department]
        return sorted(
            (one for one in found if one.instruction == instruction),
            key=lambda one: (one.at, one.revision, one.part, one.person),
        )
