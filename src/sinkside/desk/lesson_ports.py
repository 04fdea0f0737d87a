"""What the desk asks of whoever keeps which lessons were learnt."""

from __future__ import annotations

from typing import Protocol

from sinkside.records import LearntPart


class Learning(Protocol):
    """Which parts of lessons people went through."""

    def put(self, learnt_part: LearntPart) -> None:
        """Keep that somebody went through a part; once more only moves the moment."""

    def of_person(self, department: str, person: str) -> list[LearntPart]:
        """What somebody went through, the latest first."""

    def of_instruction(self, department: str, instruction: str) -> list[LearntPart]:
        """Who went through which parts of every revision's lesson, the oldest first."""
