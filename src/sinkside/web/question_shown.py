"""A question as pages show it: with drawings whose ids stand once on the page."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.teach.question import Question, QuestionKind

#: What each kind of question is called.
KIND_WORDS: Final[dict[QuestionKind, str]] = {
    QuestionKind.figure: "Figures",
    QuestionKind.order: "Order",
    QuestionKind.next: "What comes next",
    QuestionKind.position: "Positions",
    QuestionKind.missing_part: "Missing part",
    QuestionKind.tray_fault: "Fault in a tray",
    QuestionKind.cycle_plot: "Record of a cycle",
    QuestionKind.reason: "True reason",
    QuestionKind.trouble: "Never, until, with care",
}

_ID: Final = re.compile(r'\bid="([\w.-]+)"')
_LABELLED: Final = re.compile(r'\baria-labelledby="([^"]*)"')


@dataclass(frozen=True)
class ChoiceAsked:
    """One answer to choose: what a form sends for it, its words, its drawing."""

    value: int
    text: str
    drawing: str


@dataclass(frozen=True)
class QuestionAsked:
    """A question before it is answered: nothing in it, nor in its data for programs, tells what is right.

    Attributes:
        id: what it is known by.
        kind: what it asks for, in words.
        prompt: what is asked.
        drawing: what is asked about, as SVG, or nothing.
        choices: in the order shown; each carries its place in the question.
        is_drawn: whether the choices are drawings.
    """

    id: str
    kind: str
    prompt: str
    drawing: str
    choices: tuple[ChoiceAsked, ...]
    is_drawn: bool


@dataclass(frozen=True)
class ChoiceShown:
    """One answer: what a form sends for it, its words, its drawing, whether it is right, and why not."""

    value: int
    text: str
    drawing: str
    is_right: bool
    why: str


@dataclass(frozen=True)
class QuestionShown:
    """A question with its answers.

    Attributes:
        id: what it is known by.
        kind: what it asks for, in words.
        step: the step that it points back to.
        prompt: what is asked.
        drawing: what is asked about, as SVG, or nothing.
        choices: in the order shown; each carries its place in the question.
        is_drawn: whether the choices are drawings.
        why: what the text says.
    """

    id: str
    kind: str
    step: str
    prompt: str
    drawing: str
    choices: tuple[ChoiceShown, ...]
    is_drawn: bool
    why: str


def asked_question(question: Question, *, order: Sequence[int] | None = None) -> QuestionAsked:
    """A question to be answered, for the macro `ask` of `parts/question.html`.

    Args:
        question: as it is asked.
        order: the places of its choices in the order in which they are shown; their own unless told.
    """
    shown = shown_question(question, order=order)
    return QuestionAsked(
        id=shown.id,
        kind=shown.kind,
        prompt=shown.prompt,
        drawing=shown.drawing,
        choices=tuple(ChoiceAsked(one.value, one.text, one.drawing) for one in shown.choices),
        is_drawn=shown.is_drawn,
    )


def shown_question(question: Question, *, order: Sequence[int] | None = None) -> QuestionShown:
    """A question with its answers, for the macro `answered` of `parts/question.html`.

    Args:
        question: as it is asked.
        order: the places of its choices in the order in which they are shown; their own unless told.
    """
    places = range(len(question.choices)) if order is None else order
    return QuestionShown(
        id=question.id,
        kind=KIND_WORDS[question.kind],
        step=question.step,
        prompt=question.prompt,
        drawing=placed(question.drawing, f"q{question.id}"),
        choices=tuple(
            ChoiceShown(
                value=place,
                text=question.choices[place].text,
                drawing=placed(question.choices[place].drawing, f"q{question.id}-{place}"),
                is_right=place == question.right,
                why=question.choices[place].why,
            )
            for place in places
        ),
        is_drawn=all(choice.drawing for choice in question.choices),
        why=question.why,
    )


def placed(drawing: str, key: str) -> str:
    """A drawing whose ids begin with a key, so that several of the same stand on one page.

    >>> placed('<svg aria-labelledby="a-title"><title id="a-title">Hook</title></svg>', "q1")
    '<svg aria-labelledby="q1-a-title"><title id="q1-a-title">Hook</title></svg>'
    """
    named = _ID.sub(lambda found: f'id="{key}-{found[1]}"', drawing)
    return _LABELLED.sub(
        lambda found: f'aria-labelledby="{" ".join(f"{key}-{one}" for one in found[1].split())}"', named
    )
