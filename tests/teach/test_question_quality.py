"""Which questions are weak: planted faults are found, sound ones are left alone, few answers say nothing."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
from scipy import stats

from sinkside.department import Station
from sinkside.desk.question_quality import policy
from sinkside.instruction import Stage
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.question_quality import REMEDIES, Given, Weakness, quality_of


def _question(name: str, choices: int = 4, right: int = 0) -> Question:
    return Question(
        id=name,
        kind=QuestionKind.figure,
        step="s1",
        stage=Stage.cleaning,
        station=Station.sink,
        prompt=f"{name}?",
        choices=tuple(Choice(text=str(number)) for number in range(choices)),
        right=right,
    )


def _answers(people: int, seed: int, questions: int = 12) -> tuple[list[Question], list[Given]]:
    """People of different ability answer sound questions; who misses one takes any of the wrong answers."""
    draw = np.random.default_rng(seed)
    asked = [_question(f"q{number}") for number in range(questions)]
    hard = draw.normal(-0.8, 0.5, questions)
    given = []
    for person, ability in enumerate(draw.normal(0.0, 1.2, people)):
        for number, question in enumerate(asked):
            is_right = draw.random() < 1.0 / (1.0 + np.exp(-1.7 * (ability - hard[number])))
            given.append(Given(f"p{person}", question.id, 0 if is_right else int(draw.integers(1, 4))))
    return asked, given


@pytest.mark.parametrize("seed", range(3))
def test_sound_questions_are_mostly_left_alone(seed: int) -> None:
    """Of twelve sound questions none is called turned round, misleading, or no better than guessing."""
    asked, given = _answers(150, seed)
    found = quality_of(asked, given, policy())
    grave = {Weakness.turned_round, Weakness.strong_misled, Weakness.too_hard}
    assert [one for one in found.questions if grave & set(one.weak)] == []
    assert found.agreement is not None
    assert (found.agreement.questions, found.agreement.people) == (12, 150)
    assert found.agreement.kr20 > 0.6


def test_a_wrong_key_is_found_and_stands_first() -> None:
    """With the right answer of one question exchanged for a wrong one, it is turned round and comes first."""
    asked, given = _answers(150, 7)
    asked[4] = asked[4].model_copy(update={"right": 2})
    found = quality_of(asked, given, policy())
    assert found.questions[0].question.id == "q4"
    assert found.questions[0].weak[:3] == (Weakness.turned_round, Weakness.strong_misled, Weakness.too_hard)
    assert all(one in REMEDIES for one in Weakness)


def _changed(one: Given, guess: int) -> Given:
    """Nobody takes the last choice of q1, everybody is right at q2, everybody guesses at q3."""
    choice = {"q1": 2 if one.choice == 3 else one.choice, "q2": 0, "q3": guess}.get(one.question, one.choice)
    return Given(one.person, one.question, choice)


def test_an_idle_answer_an_easy_and_a_random_question_are_told_apart() -> None:
    """A choice that nobody takes, a question that all know, one that all guess: each has its own word."""
    asked, given = _answers(200, 3)
    draw = np.random.default_rng(9)
    given = [_changed(one, int(draw.integers(0, 4))) for one in given]
    found = {one.question.id: one for one in quality_of(asked, given, policy()).questions}
    assert Weakness.idle_choice in found["q1"].weak
    assert found["q1"].choices[3].people == 0
    assert found["q2"].weak == (Weakness.too_easy,)
    assert {Weakness.too_hard, Weakness.tells_little} <= set(found["q3"].weak)


def test_too_few_questions_say_nothing_of_agreement() -> None:
    """With five questions there are four others: nobody has a score, and agreement of five is told."""
    asked, given = _answers(80, 1, questions=5)
    found = quality_of(asked, given, policy())
    assert all(math.isnan(one.discrimination) for one in found.questions)
    assert found.agreement is not None
    assert quality_of(asked[:4], given, policy()).agreement is None


def test_too_few_answers_say_nothing() -> None:
    """With one answer fewer than policy asks for there is no word on any question, and none on agreement."""
    asked, given = _answers(policy().fewest - 1, 1)
    asked[4] = asked[4].model_copy(update={"right": 2})
    found = quality_of(asked, given, policy())
    assert all(not one.weak and not one.is_told for one in found.questions)
    assert found.agreement is None
    nobody = quality_of(asked, [], policy())
    assert (nobody.people, nobody.answers, nobody.agreement) == (0, 0, None)
    assert nobody.questions[0].bounds == (0.0, 1.0)


def test_only_the_first_answer_counts_and_only_to_what_is_asked() -> None:
    """A later answer, a choice that there is not, and a question out of force change no figure."""
    asked, given = _answers(60, 5)
    once = quality_of(asked, given, policy())
    later = [Given("p0", "q0", 3), Given("p1", "gone", 0), Given("p2", "q1", 9)]
    assert quality_of(asked, [*given, *later], policy()) == once


def test_bounds_are_scipys_and_agreement_is_of_those_who_answered_all() -> None:
    """Bounds are SciPy's exact ones; one that only twenty people were asked is left out of agreement."""
    asked, given = _answers(100, 2)
    given = [one for one in given if not (one.question == "q11" and int(one.person[1:]) >= 20)]
    found = quality_of(asked, given, policy())
    last = next(one for one in found.questions if one.question.id == "q11")
    assert (last.answered, last.is_told) == (20, False)
    first = next(one for one in found.questions if one.question.id == "q0")
    exact = stats.binomtest(round(first.difficulty * 100), 100).proportion_ci(0.95, method="exact")
    assert first.bounds == pytest.approx((exact.low, exact.high), abs=1e-9)
    assert found.agreement is not None
    assert (found.agreement.questions, found.agreement.people) == (11, 100)


def test_four_times_the_answers_take_no_more_than_eight_times_the_work() -> None:
    """The work grows with the answers, in time of this process: 800 and 3,200 people."""
    spent = []
    for people in (800, 3_200):
        asked, given = _answers(people, 4)
        started = time.process_time()
        quality_of(asked, given, policy())
        spent.append(time.process_time() - started)
    assert spent[1] < 8.0 * spent[0]
