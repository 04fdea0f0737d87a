"""Questions for a figure of a step, with its bound."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from sinkside.plain import plain_figures
from sinkside.quantities import Figure
from sinkside.route import ChosenFigure
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions import templates
from sinkside.teach.questions.asking import Asked, question_from, sentences
from sinkside.teach.questions.case import Case, ToldStep, ends_mark, one_sentence
from sinkside.teach.questions.slips import Slip, slips

_NUMBER: Final = re.compile(r"\d+(?:[.,]\d+)?")


def figure_questions(case: Case) -> Iterator[Question]:
    """A question for every figure of every step that can be told from all others."""
    for told in case.told:
        where = case.where(case.bath_of(told))
        for figure in told.step.figures:
            ask = asks_for(figure)
            if where and ask and _is_alone(figure, told) and not _is_told(figure, where):
                question = _question(figure, told, sentences(where, case.voice.say(ask)), case)
                if question is not None:
                    yield question


def asks_for(figure: Figure) -> str:
    """The template that asks for a figure: by its role, else by its quantity."""
    return templates.BY_ROLE.get(figure.role or "") or templates.BY_QUANTITY.get(figure.quantity, "")


def allowed(figure: Figure, told: ToldStep, case: Case) -> list[Figure]:
    """Every figure that is right as an answer: the step's own, its sentence's, and those of alternatives."""
    also = [
        one
        for one in case.told
        if one is told
        or one_sentence(one, told)
        or (told.step.alternative and one.step.alternative and one.step.action is told.step.action)
    ]
    return [other for one in also for other in one.step.figures_of(figure.quantity, figure.role)]


def _question(figure: Figure, told: ToldStep, prompt: str, case: Case) -> Question | None:
    asked = Asked(
        kind=QuestionKind.figure,
        told=told,
        mark=(figure.quantity, figure.role or "", ends_mark(figure)),
        prompt=prompt,
        right=Choice(text=_text(figure, told, case)),
    )
    wrong = (
        Choice(text=_text(slip.figure, told, case), why=_why(slip, case))
        for slip in slips(figure, told, case, allowed(figure, told, case))
    )
    return question_from(asked, wrong, case)


def _is_alone(figure: Figure, told: ToldStep) -> bool:
    """Whether the step has no second figure that the same question would ask for."""
    return sum(asks_for(other) == asks_for(figure) for other in told.step.figures) == 1


def _is_told(figure: Figure, where: str) -> bool:
    """Whether the step's own words already hold the number that is asked for."""
    ends = {f"{end:g}" for end in (figure.value, figure.min, figure.max) if end is not None}
    return bool(ends & {found.replace(",", ".") for found in _NUMBER.findall(where)})


def _text(figure: Figure, told: ToldStep, case: Case) -> str:
    shown = plain_figures((ChosenFigure(required=figure),), case.voice, action=told.step.action)
    return shown[0].text


def _why(slip: Slip, case: Case) -> str:
    step = slip.neighbour
    return case.voice.say(slip.why, step=step.words) if step else case.voice.say(slip.why)
