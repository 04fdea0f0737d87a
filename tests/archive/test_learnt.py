"""Lessons that people went through: kept part by part, on the database as in memory."""

from __future__ import annotations

from dataclasses import replace

from sinkside.archive import WorkspaceArchive
from sinkside.records import LearntPart
from support.archive_places import DEPARTMENT, later, person
from support.memory_archive import MemoryUnit, Tables


def _part(
    part: str, minute: int, *, who: str = "", instruction: str = "i-1", revision: int = 1
) -> LearntPart:
    fields: dict[str, str | int | float | bool | None] = {"parts": "sink bench", "since": 0}
    return LearntPart(DEPARTMENT, instruction, revision, part, who or person().id, later(minute), fields)


KEPT = (
    _part("sink", 1),
    _part("bench", 2),
    _part("sink", 3, who="p-2"),
    _part("sink", 4, instruction="i-2"),
    _part("changes", 5, revision=2),
)


def test_what_was_learnt_is_told_by_person_and_by_instruction(archive: WorkspaceArchive) -> None:
    """Both kinds of archive tell the same, in the same order; a part once more only moves its moment."""
    memory = MemoryUnit.over(Tables())
    with archive.unit() as unit:
        for keeper in (unit, memory):
            for one in KEPT:
                keeper.learning.put(one)
            keeper.learning.put(replace(KEPT[0], at=later(6)))
    moved = replace(KEPT[0], at=later(6))
    with archive.unit(writes=False) as unit:
        for keeper in (unit, memory):
            assert keeper.learning.of_person(DEPARTMENT, person().id) == [moved, KEPT[4], KEPT[3], KEPT[1]]
            assert keeper.learning.of_instruction(DEPARTMENT, "i-1") == [KEPT[1], KEPT[2], KEPT[4], moved]
            assert keeper.learning.of_person("elsewhere", person().id) == []
