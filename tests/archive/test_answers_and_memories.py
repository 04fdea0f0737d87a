"""Answers kept once, memories kept and counted, and what is left of either when a person is erased."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from sinkside.archive import WorkspaceArchive
from sinkside.errors import BadInput, Conflict
from sinkside.records import Answer, KeptMemory, MemoryShare
from support.archive_places import DEPARTMENT, NOW, later, person
from support.memory_archive import MemoryUnit, Tables


def _answer(number: int, *, who: str = "", instruction: str = "i-1") -> Answer:
    return Answer(
        f"a-{number}",
        DEPARTMENT,
        who or person().id,
        instruction,
        2,
        "q1",
        "day",
        1,
        number % 2 == 0,
        later(number),
    )


def _memory(question: str, due: datetime, *, who: str = "", instruction: str = "i-1") -> KeptMemory:
    return KeptMemory(
        DEPARTMENT, who or person().id, question, instruction, due, {"stability": 2.3, "step": None}
    )


@pytest.fixture
def peopled(archive: WorkspaceArchive) -> WorkspaceArchive:
    """An archive with two people."""
    with archive.unit() as unit:
        unit.people.add(person(), salt=b"s" * 16)
        unit.people.add(person(11, "Bo Reed"), salt=b"t" * 16)
    return archive


def test_an_answer_is_kept_once_and_the_unit_goes_on(peopled: WorkspaceArchive) -> None:
    """The same id is refused, the first answer stays, and what else the unit does is kept."""
    with peopled.unit() as unit:
        unit.answers.keep(_answer(1))
        with pytest.raises(Conflict, match="answered already"):
            unit.answers.keep(replace(_answer(1), choice=0))
        unit.answers.keep(_answer(2))
    with peopled.unit(writes=False) as unit:
        assert unit.answers.get("a-1") == _answer(1)
        assert unit.answers.get("a-9") is None
        assert unit.answers.of_person(DEPARTMENT, person().id, since=later(2)) == [_answer(2)]


def test_the_latest_answers_of_an_instruction_come_oldest_first(peopled: WorkspaceArchive) -> None:
    """Of four answers the latest two of this instruction come, and none of another one or elsewhere."""
    with peopled.unit() as unit:
        for number in (3, 1, 2):
            unit.answers.keep(_answer(number))
        unit.answers.keep(_answer(4, instruction="i-2"))
        found = unit.answers.of_instruction(DEPARTMENT, "i-1", most=2)
        assert [one.id for one in found] == ["a-2", "a-3"]
        assert unit.answers.of_instruction("elsewhere", "i-1", most=2) == []


def test_right_answers_are_counted_by_person_and_revision(peopled: WorkspaceArchive) -> None:
    """Of three answers one is right; another revision's do not count; the archive in memory says the same."""
    kept = [_answer(1), _answer(2), _answer(3), _answer(4, who=person(11).id)]
    kept.append(replace(_answer(6), revision=1))
    twin = MemoryUnit.over(Tables())
    with peopled.unit() as unit:
        for one in kept:
            unit.answers.keep(one)
            twin.answers.keep(one)
        expected = {person().id: (1, 3), person(11).id: (1, 1)}
        assert unit.answers.right_of(DEPARTMENT, "i-1", 2) == expected
        assert twin.answers.right_of(DEPARTMENT, "i-1", 2) == expected


def test_memories_come_by_what_is_due(peopled: WorkspaceArchive) -> None:
    """What is due first comes first, a second put changes it, and a moment leaves out what is due later."""
    with peopled.unit() as unit:
        for question, due in (("q1", later(30)), ("q2", later(10)), ("q3", later(20))):
            unit.memories.put(_memory(question, due))
        unit.memories.put(_memory("q1", later(5)))
        assert unit.memories.get(DEPARTMENT, person().id, "i-1", "q1") == _memory("q1", later(5))
        assert unit.memories.get(DEPARTMENT, person().id, "i-2", "q1") is None
        own = unit.memories.of_person(DEPARTMENT, person().id)
        assert [one.question for one in own] == ["q1", "q2", "q3"]
        first = unit.memories.of_person(DEPARTMENT, person().id, due_by=later(10), most=1)
        assert [one.question for one in first] == ["q1"]
        with pytest.raises(BadInput, match="does not exist"):
            unit.memories.put(_memory("q1", NOW, who="nobody"))


def test_shares_count_people_and_the_twin_counts_the_same(peopled: WorkspaceArchive) -> None:
    """Of two people's three answers two are fresh; the archive in memory says the same."""
    kept = [
        _memory("q1", later(10)),
        _memory("q2", later(-10)),
        _memory("q1", later(10), who=person(11).id),
        _memory("q7", later(10), instruction="i-2"),
    ]
    twin = MemoryUnit.over(Tables())
    with peopled.unit() as unit:
        for one in kept:
            unit.memories.put(one)
            twin.memories.put(one)
        assert unit.memories.by_device(DEPARTMENT, NOW) == [
            MemoryShare("i-1", 2, 3, 2),
            MemoryShare("i-2", 1, 1, 1),
        ]
        assert unit.memories.by_device(DEPARTMENT, NOW) == twin.memories.by_device(DEPARTMENT, NOW)
        by_question = [MemoryShare("q1", 2, 2, 2), MemoryShare("q2", 1, 1, 0)]
        assert unit.memories.by_question(DEPARTMENT, "i-1", NOW) == by_question
        assert twin.memories.by_question(DEPARTMENT, "i-1", NOW) == by_question


def test_erasing_takes_memories_and_leaves_answers_that_say_nothing(peopled: WorkspaceArchive) -> None:
    """The erased person's memories are gone, the others' stay; an answer keeps a pseudonym without a name."""
    with peopled.unit() as unit:
        unit.answers.keep(_answer(1))
        unit.memories.put(_memory("q1", NOW))
        unit.memories.put(_memory("q1", NOW, who=person(11).id))
        unit.people.erase(person().id)
    with peopled.unit(writes=False) as unit:
        assert unit.memories.of_person(DEPARTMENT, person().id) == []
        assert len(unit.memories.of_person(DEPARTMENT, person(11).id)) == 1
        kept = unit.answers.get("a-1")
        assert kept is not None
        assert kept.person == person().id
        assert unit.people.names([kept.person]) == {}
