"""Questions of a day: asked by turn, answered once, remembered, shown to oneself, counted for the team."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from sinkside.desk import accounts, answers, memories, question_bank, question_quality, team_memory, today
from sinkside.desk.memories import AskedNow
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.records import Answer, KeptMemory, LearntPart, Wanted
from sinkside.teach.question import Question
from support.desk_house import SITE, House
from support.set_house import a_device, approved


@pytest.fixture
def hook(house: House) -> str:
    """The instruction of a hook, approved."""
    return approved(house, a_device("Quarl 3 hook", drying=15))


def _left(house: House, name: str = "tom") -> tuple[AskedNow, ...]:
    return memories.today_for(house.archive, house.visitor(name), now=house.now).left


def _answer(house: House, one: AskedNow, *, right: bool = True, name: str = "tom") -> Answer:
    question = one.question
    choice = question.right if right else (question.right + 1) % len(question.choices)
    return answers.answer_question(
        house.archive, house.visitor(name), one.instruction, question.id, choice, now=house.now
    )


def _bank(house: House, instruction: str) -> tuple[Question, ...]:
    with house.archive.unit(writes=False) as unit:
        return question_bank.bank_of(unit, house.visitor("tom"), instruction)


def test_two_new_questions_a_day_and_what_was_missed_comes_back(house: House, hook: str) -> None:
    """The first day has two questions; the one that was missed is back next day, the known one is not."""
    first = _left(house)
    assert [one.is_new for one in first] == [True, True]
    assert {one.instruction for one in first} == {hook}
    _answer(house, first[0], right=False)
    assert [one.question.id for one in _left(house)] == [first[1].question.id]
    _answer(house, first[1])
    assert _left(house) == ()
    house.later(days=1)
    again = _left(house)
    assert again[0].question.id == first[0].question.id
    assert not again[0].is_new
    assert first[1].question.id not in {one.question.id for one in again}


def test_new_questions_are_of_what_was_learnt(house: House, hook: str) -> None:
    """Of two approved devices each is asked about the one whose lesson they went through; Uma, of any."""
    probe = approved(house, a_device("Plover probe"))
    with house.archive.unit() as unit:
        for name, learnt in (("tom", hook), ("eve", probe)):
            unit.learning.put(LearntPart(SITE.id, learnt, 1, "p1", house.people[name], house.now, {}))
    assert {one.instruction for one in _left(house)} == {hook}
    assert {one.instruction for one in _left(house, "eve")} == {probe}
    assert _left(house, "uma")


def test_the_day_is_the_departments(house: House, hook: str) -> None:
    """At 23:30 in Vienna the day is done; at 00:30 the next begins, though UTC has not changed its date."""
    house.now = house.now.replace(hour=22, minute=30)
    for one in _left(house):
        _answer(house, one)
    assert _left(house) == ()
    house.later(hours=1)
    assert _left(house)


def test_an_answer_sent_again_is_the_first_one(house: House, hook: str) -> None:
    """A second press, even with another choice, changes neither the answer nor the memory of it."""
    one = _left(house)[0]
    first = _answer(house, one)
    house.later(minutes=1)
    assert _answer(house, one, right=False) == first
    own = memories.own_memories(house.archive, house.visitor("tom"), now=house.now)
    assert [(kept.question.id, kept.memory.times, kept.memory.right) for kept in own] == [
        (one.question.id, 1, 1)
    ]
    assert not own[0].is_due(house.now)
    assert own[0].likely == 1.0
    house.later(days=60)
    assert memories.own_memories(house.archive, house.visitor("tom"), now=house.now)[0].is_due(house.now)


def test_the_day_tells_how_many_questions_are_left(house: House, hook: str) -> None:
    """Today says two questions, then one, then none; an auditor is told nothing of the kind."""

    def told(name: str) -> list[str]:
        found = today.today(house.archive, house.visitor(name), now=house.now)
        return [one.sentence for one in found if one.noun == memories.LEARNING]

    assert told("tom") == ["2 questions for you today."]
    for sentences in (["1 question for you today."], []):
        _answer(house, _left(house)[0])
        assert told("tom") == sentences
    assert told("olga") == []


def test_nothing_of_it_is_in_the_record_book(house: House, hook: str) -> None:
    """Answering appends no event: somebody's learning is their own."""
    with house.archive.unit(writes=False) as unit:
        before = len(unit.journal.events(SITE.id, Wanted(limit=10_000)))
    _answer(house, _left(house)[0])
    with house.archive.unit(writes=False) as unit:
        assert len(unit.journal.events(SITE.id, Wanted(limit=10_000))) == before


def test_an_answer_is_shown_to_whoever_gave_it(house: House, hook: str) -> None:
    """It comes with its question, step and when again; to anybody else it is not there."""
    one = _left(house)[0]
    kept = _answer(house, one, right=False)
    shown = answers.shown_answer(house.archive, house.visitor("tom"), kept.id)
    assert (shown.question, shown.answer.is_right) == (one.question, False)
    assert shown.step is not None
    assert shown.step.id == one.question.step
    assert shown.memory.due - house.now >= timedelta(days=1)
    for name, key in (("eve", kept.id), ("tom", "a-unknown")):
        with pytest.raises(NotThere, match="no such answer of yours"):
            answers.shown_answer(house.archive, house.visitor(name), key)


def test_what_cannot_be_answered_is_refused(house: House, hook: str) -> None:
    """No such choice, no such question, no such device, no right: each is refused and nothing is kept."""
    one, tom = _left(house)[0], house.visitor("tom")
    for device, question, choice, error in (
        (hook, one.question.id, 99, BadInput),
        (hook, "gone", 0, NotThere),
        ("i-unknown", one.question.id, 0, NotThere),
    ):
        with pytest.raises(error):
            answers.answer_question(house.archive, tom, device, question, choice, now=house.now)
    with pytest.raises(NotAllowed):
        answers.answer_question(house.archive, house.visitor("olga"), hook, one.question.id, 0, now=house.now)
    with pytest.raises(NotAllowed):
        memories.today_for(house.archive, house.visitor("olga"), now=house.now)
    assert memories.own_memories(house.archive, tom, now=house.now) == ()


def test_what_is_not_approved_is_not_asked(house: House) -> None:
    """A house without an approved text has no questions, and no team to speak of."""
    assert _left(house) == ()
    assert team_memory.team_devices(house.archive, house.visitor("tom"), now=house.now).devices == ()


def test_a_team_is_shown_in_numbers_and_only_if_it_is_large_enough(house: House, hook: str) -> None:
    """Of four people nothing is said; of five it is said how many have it fresh, and step by step."""
    question = _bank(house, hook)[0]
    with house.archive.unit() as unit:
        for number in range(4):
            due = house.now + timedelta(days=number - 1, hours=1)
            unit.memories.put(KeptMemory(SITE.id, f"p-{number}", question.id, hook, due, {}))
    tom = house.visitor("tom")
    assert team_memory.team_devices(house.archive, tom, now=house.now) == team_memory.Team((), 1)
    assert team_memory.team_steps(house.archive, tom, hook, now=house.now)[1] == ()
    with house.archive.unit() as unit:
        unit.memories.put(KeptMemory(SITE.id, "p-9", question.id, hook, house.now, {}))
    [device] = team_memory.team_devices(house.archive, tom, now=house.now).devices
    assert (device.instruction, device.people, device.kept, device.fresh) == (hook, 5, 5, 3)
    name, [step] = team_memory.team_steps(house.archive, tom, hook, now=house.now)
    assert (name, step.step.id, step.kept, step.fresh) == ("Quarl 3 hook", question.step, 5, 3)


def test_erasing_takes_the_memory_and_leaves_the_statistics(house: House, hook: str) -> None:
    """After erasing Tom his memories are gone; his answer still counts, under a pseudonym without a name."""
    house.add("mira", "administrator")
    kept = _answer(house, _left(house)[0])
    accounts.erase_person(house.archive, house.visitor("ada"), house.people["tom"], now=house.now)
    with house.archive.unit(writes=False) as unit:
        assert unit.memories.of_person(SITE.id, kept.person) == []
        assert unit.answers.get(kept.id) == kept
        assert unit.people.names([kept.person]) == {}
    assert question_quality.quality_here(house.archive, house.visitor("eve"), hook).answers == 1


def test_the_quality_of_questions_is_for_those_who_edit_them(house: House, hook: str) -> None:
    """Thirty first answers make a question speak; a technician may not read it."""
    question = _bank(house, hook)[0]
    with house.archive.unit() as unit:
        for number in range(question_quality.policy().fewest):
            kept = Answer(
                f"a-{number}",
                SITE.id,
                f"p-{number}",
                hook,
                1,
                question.id,
                "day",
                0,
                is_right=False,
                at=house.now,
            )
            unit.answers.keep(replace(kept, choice=(question.right + 1) % len(question.choices)))
    found = question_quality.quality_here(house.archive, house.visitor("eve"), hook)
    assert found.questions[0].question == question
    assert (found.questions[0].is_told, found.questions[0].difficulty) == (True, 0.0)
    with pytest.raises(NotAllowed):
        question_quality.quality_here(house.archive, house.visitor("tom"), hook)
