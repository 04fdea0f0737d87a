"""Whether the questions of a device are any good: figures with their formulas, weak questions, what to do."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query

from sinkside.desk import question_quality as desk_quality
from sinkside.desk import shelf as desk_shelf
from sinkside.desk.set_texts import device_name
from sinkside.teach.question_quality import REMEDIES, QualityPolicy, QuestionQuality
from sinkside.web.asked import Asked
from sinkside.web.question_shown import placed
from sinkside.web.screen import DEPARTMENT
from sinkside.web.screens.learning.asking import screen

RIGHT: Final = "lesson-edit"
_PER_CENT: Final = 100

#: The formula behind each figure, with its source.
_FORMULAS: Final = {
    "difficulty": "Right answers divided by answers; high is easy. The bounds hold the share of all who "
    "might answer in {confidence} of cases: exact, Clopper and Pearson 1934 (from memory; computed).",
    "discrimination": "Point-biserial correlation of right or not with the share right of the other "
    "questions, this one left out; none where nobody differs or was asked enough others. Classical test "
    "theory, Crocker and Algina 1986 (from memory; computed).",
    "apart": "Share right among the best 27 % less that among the weakest 27 %, by the other questions; "
    "equal scores at a border count in part. Kelley 1939 (second-hand; computed).",
    "agreement": "k/(k − 1) · (1 − Σp(1 − p)/s²), with all variances over n, of people who answered every "
    "one of k questions. 1 is full agreement; from 0.7 on a test may decide something (rule of thumb). "
    "Kuder and Richardson 1937, formula 20 (from memory; checked on LSAT-6).",
}

Share = Annotated[float, Query(gt=0.0, le=50.0)]
Confidence = Annotated[float, Query(ge=50.0, le=99.9)]


@dataclass(frozen=True)
class FigureShown:
    """One figure: what it is, its number, and the formula behind it with its source."""

    what: str
    figure: str
    formula: str


@dataclass(frozen=True)
class UseShown:
    """One choice: its words, the share who took it, whether it is right."""

    text: str
    share: str
    right: bool


@dataclass(frozen=True)
class QuestionLine:
    """One question: what it asks and shows, answers, figures, who took what, what to do about weak ones."""

    id: str
    prompt: str
    drawing: str
    answered: int
    is_told: bool
    figures: tuple[FigureShown, ...]
    choices: tuple[UseShown, ...]
    weak: tuple[str, ...]


@dataclass(frozen=True)
class NeededShown:
    """How many observations are needed with so many failures among them."""

    failures: int
    observations: int


@dataclass(frozen=True)
class QualityPage:
    """Whether the questions of a device are any good.

    Attributes:
        title: the heading.
        address: of this page.
        back: where the questions are.
        people: how many answered.
        answers: how many first answers count.
        questions: weak ones first.
        agreement: how far they agree; none where too few answered all.
        fewest: answers below which nothing is said.
        fewest_together: people below which nothing is said of agreement.
        share: of failures that is to be excluded, in per cent.
        confidence: how sure, in per cent.
        needed: observations for that.
    """

    title: str
    address: str
    back: str
    people: int
    answers: int
    questions: tuple[QuestionLine, ...]
    agreement: FigureShown | None
    fewest: int
    fewest_together: int
    share: str
    confidence: str
    needed: tuple[NeededShown, ...]


@screen.page(
    f"{DEPARTMENT}/teaching/{{instruction}}/questions/quality", right=RIGHT, template="question_quality.html"
)
def quality(
    asked: Asked, instruction: str, *, share: Share = 5.0, confidence: Confidence = 95.0
) -> QualityPage:
    """The questions of a device by what people answered, and how many observations a confidence needs."""
    row = desk_shelf.instruction_row(asked.archive, asked.visitor, instruction)
    found = desk_quality.quality_here(asked.archive, asked.visitor, instruction)
    known = desk_quality.policy()
    agreement = found.agreement
    return QualityPage(
        title=f"{device_name(row)}: are the questions any good",
        address=asked.at(f"/teaching/{instruction}/questions/quality"),
        back=asked.at(f"/questions/{instruction}"),
        people=found.people,
        answers=found.answers,
        questions=tuple(_line(one, known) for one in found.questions),
        agreement=FigureShown(
            f"How far {agreement.questions} questions agree, by {agreement.people} people who answered all",
            f"KR-20 {_number(agreement.kr20)}",
            _FORMULAS["agreement"],
        )
        if agreement
        else None,
        fewest=known.fewest,
        fewest_together=known.fewest_together,
        share=f"{share:g}",
        confidence=f"{confidence:g}",
        needed=tuple(
            NeededShown(failures, number)
            for failures, number in enumerate(
                desk_quality.observations_for(share / _PER_CENT, confidence / _PER_CENT)
            )
        ),
    )


def _line(one: QuestionQuality, known: QualityPolicy) -> QuestionLine:
    return QuestionLine(
        id=one.question.id,
        prompt=one.question.prompt,
        drawing=placed(one.question.drawing, one.question.id),
        answered=one.answered,
        is_told=one.is_told,
        figures=_figures(one, known) if one.is_told else (),
        choices=tuple(
            UseShown(choice.text, _per_cent(use.share), number == one.question.right)
            for number, (choice, use) in enumerate(zip(one.question.choices, one.choices, strict=True))
        )
        if one.is_told
        else (),
        weak=tuple(REMEDIES[weakness] for weakness in one.weak),
    )


def _figures(one: QuestionQuality, known: QualityPolicy) -> tuple[FigureShown, ...]:
    low, high = (_per_cent(bound) for bound in one.bounds)
    confidence = f"{known.confidence:.0%}".replace("%", " %")
    return (
        FigureShown(
            "Right",
            f"{_per_cent(one.difficulty)} ({low} to {high})",
            _FORMULAS["difficulty"].format(confidence=confidence),
        ),
        FigureShown("Discrimination", _number(one.discrimination), _FORMULAS["discrimination"]),
        FigureShown("Best less weakest", _number(one.upper_lower), _FORMULAS["apart"]),
    )


def _per_cent(share: float) -> str:
    return f"{share * _PER_CENT:.0f} %"


def _number(value: float) -> str:
    return "none" if math.isnan(value) else f"{value:+.2f}".replace("-", "−")
