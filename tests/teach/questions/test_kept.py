"""Which question is which: ids that stay while what is asked stays, in any order of choices and language."""

from __future__ import annotations

import pytest

from sinkside.instruction import Instruction
from sinkside.plain import LANGUAGES
from sinkside.quantities import Figure, FigureQuantity
from sinkside.teach.question import QuestionKind
from sinkside.teach.questions import questions_of
from sinkside.teach.questions.spans import is_wrong
from support.question_texts import demo_texts

TEXT = "micro-scissors"


def _ids(instruction: Instruction, **asked: object) -> set[str]:
    return {one.id for one in questions_of(instruction, **asked)}  # type: ignore[arg-type]


def _with_soak(minutes: float) -> Instruction:
    """The text with another time to soak, and its steps numbered anew."""
    text = demo_texts()[TEXT]
    steps = []
    for number, step in enumerate(text.steps, start=101):
        changed = step.model_copy(update={"id": f"s{number}"})
        if step.action == "soak":
            soak = step.figures[0].model_copy(update={"min": minutes})
            changed = changed.model_copy(update={"figures": (soak, *step.figures[1:])})
        steps.append(changed)
    return text.model_copy(update={"steps": tuple(steps)})


def test_a_changed_figure_changes_its_own_question_alone() -> None:
    """With another time to soak, and every step id another, one question goes, one comes, all others stay."""
    before = {one.id: one for one in questions_of(_with_soak(5))}
    after = {one.id: one for one in questions_of(_with_soak(7))}
    assert _ids(demo_texts()[TEXT]) == set(before)
    gone, come = before.keys() - after.keys(), after.keys() - before.keys()
    assert [(before[one].kind, before[one].step) for one in gone] == [(QuestionKind.figure, "s107")]
    assert [(after[one].kind, after[one].step) for one in come] == [(QuestionKind.figure, "s107")]


def test_another_seed_turns_the_choices_and_asks_the_same() -> None:
    """A seed changes where choices stand, not which they are."""
    one, other = (questions_of(demo_texts()[TEXT], seed=seed) for seed in (0, 1))
    assert [question.id for question in one] == [question.id for question in other]
    assert [set(question.choices) for question in one] == [set(question.choices) for question in other]
    assert any(first.choices != second.choices for first, second in zip(one, other, strict=True))


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != "en"])
def test_a_question_is_the_same_in_every_language(language: str) -> None:
    """No language asks what English does not, under the same id, and at least 30 questions of 6 kinds."""
    asked = questions_of(demo_texts()[TEXT], language=language)
    assert {one.id for one in asked} <= _ids(demo_texts()[TEXT])
    assert len(asked) >= 30
    assert len({one.kind for one in asked}) >= 6


def test_what_cannot_be_compared_is_never_called_wrong() -> None:
    """A time beside a temperature, and the number that an alternative allows, are no wrong answers."""
    hot = Figure(quantity=FigureQuantity.temperature, value=134.0, unit="°C")
    long = Figure(quantity=FigureQuantity.time, value=4.0, unit="min")
    same = Figure(quantity=FigureQuantity.temperature, value=273.2, unit="°F")
    assert not is_wrong(long, [hot])
    assert not is_wrong(same, [hot])
    assert is_wrong(same, [hot.model_copy(update={"value": 121.0})])
