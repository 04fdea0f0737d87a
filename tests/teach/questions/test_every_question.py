"""Every question has one right answer by the instruction's own data, whatever the instruction."""

from __future__ import annotations

import functools
from collections import Counter
from itertools import combinations

import pytest

from sinkside.instruction import Instruction
from sinkside.teach.question import Question
from sinkside.teach.questions import questions_of
from support.question_checking import right_answers, span_of
from support.question_texts import demo_texts, random_text

#: The bar of the mission: so many questions, of so many kinds, for each device of the demo.
FEWEST, KINDS = 30, 6
QUICK, LONG = 400, 10_000


@functools.cache
def _of_demo(name: str) -> tuple[Question, ...]:
    return questions_of(demo_texts()[name])


def _hold(question: Question, instruction: Instruction) -> None:
    """The properties of one question."""
    told = f"{instruction.device.name}: {question.kind} of {question.step}: {question.prompt}"
    texts = [" ".join(choice.text.split()).rstrip(".").casefold() for choice in question.choices]
    assert len(set(texts)) == len(texts), told
    seen = [choice.drawing.partition("</desc>")[2] for choice in question.choices if choice.drawing]
    assert len(set(seen)) == len(seen), told
    assert 3 <= len(question.choices) <= 4, told
    assert right_answers(question, instruction) == [question.right], (told, texts)


@pytest.mark.parametrize(
    "name", ["bone-punch", "micro-scissors", "modular-dissector", "sinus-forceps", "suction-punch"]
)
def test_every_demo_device_has_thirty_questions_of_six_kinds(name: str) -> None:
    """Each device of the demo is asked about in 30 questions or more, of 6 kinds or more, each right once."""
    instruction = demo_texts()[name]
    questions = _of_demo(name)
    assert len({question.id for question in questions}) == len(questions) >= FEWEST
    assert len(
        {
            (question.prompt, question.drawing, *sorted(c.text for c in question.choices))
            for question in questions
        }
    ) == len(questions)
    assert len(Counter(question.kind for question in questions)) >= KINDS
    for question in questions:
        _hold(question, instruction)


def _hunt(wanted: int, *, start: int) -> int:
    """Questions of random texts, one text after the other, until so many held; says how many did."""
    found, seed = 0, start
    while found < wanted:
        instruction = random_text(seed)
        questions = questions_of(instruction)
        for question in questions:
            _hold(question, instruction)
        found += len(questions)
        seed += 1
    return found


def test_one_answer_is_right_in_hundreds_of_random_questions() -> None:
    """400 questions of random texts: one right answer, none twice, no wrong one inside what is allowed."""
    assert _hunt(QUICK, start=1) >= QUICK


@pytest.mark.long
def test_one_answer_is_right_in_ten_thousand_random_questions() -> None:
    """The same for 10,000 questions of other random texts."""
    assert _hunt(LONG, start=1_000) >= LONG


def test_no_two_steps_share_a_question() -> None:
    """Two figures of one instruction never make the same prompt with another answer."""
    for name in demo_texts():
        asked = [one.prompt for one in _of_demo(name) if one.kind == "figure"]
        assert [prompt for prompt, times in Counter(asked).items() if times > 1] == []


def test_figures_differ_as_quantities() -> None:
    """No two choices of a figure mean the same in another unit: 60 s beside 1 min."""
    for name in demo_texts():
        for question in _of_demo(name):
            if question.kind == "figure":
                spans = [span_of(choice.text) for choice in question.choices]
                assert all(one != pytest.approx(two, rel=1e-6) for one, two in combinations(spans, 2))
