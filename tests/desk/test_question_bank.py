"""The bank of questions: reworded, retired, added to; nothing in it goes against the instruction."""

from __future__ import annotations

import pytest

from sinkside.desk import departments, question_bank
from sinkside.desk.question_bank import NewQuestion, QuestionAt, SeenBank
from sinkside.errors import BadInput, Conflict, NotAllowed, NotForTheFloor, NotThere
from sinkside.records import Wanted
from sinkside.teach.bank import BankLine, Wording
from sinkside.teach.question import Question, QuestionKind
from support.desk_house import House, drafted, new_house
from support.paper_house import SITE
from support.set_house import a_device, approved

HOOK = "Quarl 3 hook"


@pytest.fixture
def asked() -> tuple[House, str]:
    """A house with an approved text of a hook that dries 15 minutes."""
    house = new_house()
    for name, role in (("eve", "educator"), ("uma", "educator"), ("lena", "lead"), ("tom", "technician")):
        house.add(name, role)
    departments.keep_department(house.archive, house.visitor("lena"), SITE, now=house.now)
    return house, approved(house, a_device(HOOK, drying=15))


def _seen(asked: tuple[House, str], who: str = "eve") -> SeenBank:
    house, key = asked
    return question_bank.see_bank(house.archive, house.visitor(who), key)


def _in_force(asked: tuple[House, str]) -> dict[str, Question]:
    house, key = asked
    with house.archive.unit(writes=False) as unit:
        return {one.id: one for one in question_bank.bank_of(unit, house.visitor("tom"), key)}


def _drying(asked: tuple[House, str]) -> BankLine:
    """The question for how long is dried."""
    return next(
        line
        for line in _seen(asked).lines
        if line.question.kind is QuestionKind.figure and "drying" in line.question.prompt
    )


def _at(asked: tuple[House, str], line: BankLine) -> QuestionAt:
    return QuestionAt(asked[1], line.question.id, _seen(asked).number)


def _worded(line: BankLine, **choices: str) -> Wording:
    """The same choices with some in other words: `right`, or `wrong` for the first wrong one."""
    made = line.question
    texts = [choice.text for choice in made.choices]
    wrong = next(place for place in range(len(texts)) if place != made.right)
    for which, text in choices.items():
        texts[made.right if which == "right" else wrong] = text
    return Wording(prompt="How long is it dried?", choices=tuple(texts))


def test_nothing_is_asked_of_a_text_that_nobody_approved() -> None:
    """A draft has no questions: it is refused with what to do."""
    house = new_house()
    house.add("eve", "educator")
    key = drafted(house, "eve", a_device(HOOK))
    with pytest.raises(NotForTheFloor, match="nobody has approved"):
        question_bank.see_bank(house.archive, house.visitor("eve"), key)


def test_other_words_stay_with_their_question(asked: tuple[House, str]) -> None:
    """A reworded question keeps its id and right answer, and can be left as made again; both are recorded."""
    house, _ = asked
    line = _drying(asked)
    question_bank.edit_question(
        house.archive,
        house.visitor("eve"),
        _at(asked, line),
        _worded(line, wrong="1 min"),
        now=house.now,
    )
    now = _in_force(asked)[line.question.id]
    assert now.prompt == "How long is it dried?"
    assert now.choices[now.right].text == line.question.choices[line.question.right].text
    assert "1 min" in {choice.text for choice in now.choices}
    question_bank.leave_as_made(house.archive, house.visitor("eve"), _at(asked, line), now=house.now)
    assert _in_force(asked)[line.question.id] == line.question
    with house.archive.unit(writes=False) as unit:
        events = unit.journal.events("north", Wanted(kinds=["question-edited", "question-as-made"]))
    assert {event.kind for event in events} == {"question-edited", "question-as-made"}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"right": "at least 15 min"}, "is not what the text allows"),
        ({"wrong": "at least 5 min"}, "may be right as well"),
        ({"wrong": "900 s"}, "may be right as well"),
        ({"wrong": "soon"}, "holds 0 figures"),
        ({"right": ""}, "has no words"),
    ],
)
def test_an_answer_against_the_instruction_is_refused(
    asked: tuple[House, str], change: dict[str, str], said: str
) -> None:
    """A right answer outside the text's figure, and a wrong one inside it in any unit, are refused."""
    house, _ = asked
    line = _drying(asked)
    with pytest.raises(BadInput, match=said):
        question_bank.edit_question(
            house.archive, house.visitor("eve"), _at(asked, line), _worded(line, **change), now=house.now
        )
    assert _in_force(asked)[line.question.id] == line.question


def test_two_equal_choices_are_refused(asked: tuple[House, str]) -> None:
    """Choices that differ in case and spaces alone say the same."""
    house, _ = asked
    line = _drying(asked)
    same = line.question.choices[line.question.right].text.upper() + " "
    with pytest.raises(BadInput, match="two choices say the same"):
        question_bank.edit_question(
            house.archive, house.visitor("eve"), _at(asked, line), _worded(line, wrong=same), now=house.now
        )


def test_a_retired_question_is_not_asked_until_it_is_brought_back(asked: tuple[House, str]) -> None:
    """Retiring needs a reason and takes a question out; bringing it back asks it again."""
    house, _ = asked
    line = _drying(asked)
    with pytest.raises(BadInput, match="reason"):
        question_bank.retire_question(
            house.archive, house.visitor("eve"), _at(asked, line), " ", now=house.now
        )
    question_bank.retire_question(
        house.archive, house.visitor("eve"), _at(asked, line), "Everybody knows it", now=house.now
    )
    assert line.question.id not in _in_force(asked)
    kept = _seen(asked).line(line.question.id).retired
    assert kept is not None
    assert kept.reason == "Everybody knows it"
    question_bank.bring_back(house.archive, house.visitor("uma"), _at(asked, line), now=house.now)
    assert line.question.id in _in_force(asked)


def test_an_own_question_ends_with_its_step(asked: tuple[House, str]) -> None:
    """A question of our own is asked while its step stands, and no longer once the figure is another."""
    house, key = asked
    step = _drying(asked).question.step
    own = NewQuestion(
        QuestionKind.figure,
        step,
        Wording(prompt="How long does our hook dry?", choices=("15 min", "900 s", "3 h", "10 s")),
    )
    at = QuestionAt(key, "", 0)
    with pytest.raises(BadInput, match="may be right as well"):
        question_bank.add_question(house.archive, house.visitor("eve"), at, own, now=house.now)
    fitting = own.wording.model_copy(update={"choices": ("15 min", "2 min", "", "10 s")})
    added = question_bank.add_question(
        house.archive, house.visitor("eve"), at, NewQuestion(own.kind, step, fitting), now=house.now
    )
    question = _in_force(asked)[added]
    assert question.choices[question.right].text == "15 min"
    assert len(question.choices) == 3
    approved(house, a_device(HOOK, drying=30, revision="2"), follows=key)
    assert added not in _in_force(asked)
    assert _seen(asked).gone == 1


def test_only_who_edits_lessons_changes_questions(asked: tuple[House, str]) -> None:
    """A technician may read and not change; who had another revision of the bank looks first."""
    house, key = asked
    line = _drying(asked)
    with pytest.raises(NotAllowed):
        question_bank.retire_question(
            house.archive, house.visitor("tom"), _at(asked, line), "no", now=house.now
        )
    with pytest.raises(Conflict, match="meanwhile"):
        question_bank.retire_question(
            house.archive, house.visitor("eve"), QuestionAt(key, line.question.id, 7), "no", now=house.now
        )
    with pytest.raises(NotThere):
        question_bank.bring_back(
            house.archive, house.visitor("eve"), QuestionAt(key, "no-such", 0), now=house.now
        )
