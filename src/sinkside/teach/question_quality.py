"""Whether the questions of a device are any good, by what people answered, and what to do about weak ones.

Only each person's first answer to a question counts: later ones tell what was remembered, not what was known.
Below a number of answers that policy sets nothing is said of a question, because chance would speak.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Final

from pydantic import Field

from sinkside.documents import Value
from sinkside.teach.question import Question

if TYPE_CHECKING:
    from sinkside.science.validity import FloatArray

#: So many standard errors are seldom passed by chance, one-sided, in one of twenty questions (computed: the
#: 0.95 quantile of the normal distribution). What is called turned round or misleading lies beyond them.
_BEYOND_CHANCE: Final = 1.645


class Weakness(StrEnum):
    """What is weak about a question; in this order it is seen to."""

    turned_round = "turned-round"
    strong_misled = "strong-misled"
    too_hard = "too-hard"
    tells_little = "tells-little"
    idle_choice = "idle-choice"
    too_easy = "too-easy"


#: What to do about each, in one sentence.
REMEDIES: Final[Mapping[Weakness, str]] = {
    Weakness.turned_round: "Those who know the device best miss it: check that the right answer is right and "
    "that the wording can be read in one way only; retire it until then.",
    Weakness.strong_misled: "A wrong answer draws those who know the device best: see whether it is right "
    "in some department, and word it so that it is plainly wrong.",
    Weakness.too_hard: "No more are right than by guessing: teach the step again, then see whether the "
    "question asks for what the lesson says.",
    Weakness.tells_little: "It hardly tells those who know from those who do not: make the wrong answers "
    "mistakes that are really made.",
    Weakness.idle_choice: "Hardly anybody takes one of the wrong answers, which only costs reading time: put "
    "a mistake that is really made in its place.",
    Weakness.too_easy: "Nearly everybody knows it: keep it where a mistake would be grave, else ask "
    "something else.",
}


class QualityPolicy(Value):
    """From where on a figure is worth a look, as data.

    Attributes:
        fewest: answers below which nothing is said of a question.
        fewest_others: other questions that make a score, and questions below which agreement is not told.
        fewest_together: people below which nothing is said of how far the questions agree.
        little: a discrimination below this tells little.
        easy: a share right above this is too easy.
        idle: a wrong answer that a smaller share takes is idle.
        confidence: of the bounds that are shown beside a share.
        most: the latest answers that are looked at, at most.
    """

    fewest: int = Field(ge=10)
    fewest_others: int = Field(ge=2)
    fewest_together: int = Field(ge=10)
    little: float
    easy: float = Field(gt=0.5, le=1.0)
    idle: float = Field(ge=0.0, lt=0.5)
    confidence: float = Field(gt=0.5, lt=1.0)
    most: int = Field(ge=100)


@dataclass(frozen=True)
class Given:
    """One answer: whose, to which question, which choice."""

    person: str
    question: str
    choice: int


@dataclass(frozen=True)
class ChoiceUse:
    """Who took a choice: how many, their share, and their score on the other questions; NaN for none."""

    people: int
    share: float
    score: float


@dataclass(frozen=True)
class QuestionQuality:
    """What the answers to one question say.

    Attributes:
        question: the question.
        answered: people who answered it.
        difficulty: the share who were right.
        bounds: between which that share lies for all who might answer, by the policy's confidence.
        discrimination: point-biserial correlation with the score on the other questions; NaN for none.
        upper_lower: share right among the best 27 % less that among the weakest; NaN for none.
        choices: who took each choice.
        scatter: of everybody's scores on the other questions, over n.
        weak: what is weak about it; nothing where there are too few answers.
        is_told: whether there are enough answers to say anything.
    """

    question: Question
    answered: int
    difficulty: float
    bounds: tuple[float, float]
    discrimination: float
    upper_lower: float
    choices: tuple[ChoiceUse, ...]
    scatter: float
    weak: tuple[Weakness, ...]
    is_told: bool


@dataclass(frozen=True)
class Agreement:
    """How far questions agree: KR-20, variances over n, of so many questions that so many people answered."""

    kr20: float
    questions: int
    people: int


@dataclass(frozen=True)
class Quality:
    """The questions of a device, weak ones first, and how far they agree; none where too few answered all."""

    questions: tuple[QuestionQuality, ...]
    agreement: Agreement | None
    people: int
    answers: int


def quality_of(questions: Sequence[Question], given: Iterable[Given], policy: QualityPolicy) -> Quality:
    """What the answers say of the questions of a device.

    Args:
        questions: those in force; answers to others are left out.
        given: answers, oldest first; a person's first to each question counts.
        policy: from where on a figure is worth a look.

    Source: the statistics and their conventions are those of `sinkside.science.item_statistics`.
    """
    first = _first_answers(questions, given)
    table = _table(questions, first)
    found = [_one(question, first, table, number, policy) for number, question in enumerate(questions)]
    return Quality(
        questions=tuple(sorted(found, key=_order)),
        agreement=_agreement(table, policy),
        people=len({person for person, _ in first}),
        answers=len(first),
    )


_First = Mapping[tuple[str, str], int]


def _first_answers(questions: Sequence[Question], given: Iterable[Given]) -> _First:
    choices = {question.id: len(question.choices) for question in questions}
    first: dict[tuple[str, str], int] = {}
    for one in given:
        if 0 <= one.choice < choices.get(one.question, 0):
            first.setdefault((one.person, one.question), one.choice)
    return first


def _table(questions: Sequence[Question], first: _First) -> FloatArray:
    """A row for each person, a column for each question: 1 right, 0 wrong, NaN not asked."""
    import numpy as np

    rows = {person: row for row, person in enumerate(dict.fromkeys(person for person, _ in first))}
    columns = {question.id: column for column, question in enumerate(questions)}
    rights = {question.id: question.right for question in questions}
    table = np.full((len(rows), len(columns)), np.nan)
    for (person, question), choice in first.items():
        table[rows[person], columns[question]] = float(choice == rights[question])
    return table


def _one(
    question: Question, first: _First, table: FloatArray, column: int, policy: QualityPolicy
) -> QuestionQuality:
    import numpy as np

    from sinkside.science.binomial import interval
    from sinkside.science.item_statistics import item_of, scores_without

    item = item_of(table, column, fewest=policy.fewest_others)
    scores = scores_without(table, column, fewest=policy.fewest_others)
    known = scores[~np.isnan(table[:, column]) & ~np.isnan(scores)]
    right = round(item.difficulty * item.answered) if item.answered else 0
    quality = QuestionQuality(
        question=question,
        answered=item.answered,
        difficulty=item.difficulty,
        bounds=interval(right, item.answered, policy.confidence) if item.answered else (0.0, 1.0),
        discrimination=item.discrimination,
        upper_lower=item.upper_lower,
        choices=_uses(question, first, scores),
        scatter=float(known.std()) if known.size else math.nan,
        weak=(),
        is_told=item.answered >= policy.fewest,
    )
    return replace(quality, weak=_weak(quality, policy)) if quality.is_told else quality


def _uses(question: Question, first: _First, scores: FloatArray) -> tuple[ChoiceUse, ...]:
    rows = {person: row for row, person in enumerate(dict.fromkeys(person for person, _ in first))}
    taken: dict[int, list[float]] = defaultdict(list)
    for (person, asked), choice in first.items():
        if asked == question.id:
            taken[choice].append(float(scores[rows[person]]))
    everybody = sum(map(len, taken.values()))
    return tuple(_use(taken[number], everybody) for number in range(len(question.choices)))


def _use(scores: Sequence[float], everybody: int) -> ChoiceUse:
    known = [one for one in scores if not math.isnan(one)]
    mean = math.fsum(known) / len(known) if known else math.nan
    return ChoiceUse(len(scores), len(scores) / everybody if everybody else 0.0, mean)


def _weak(known: QuestionQuality, policy: QualityPolicy) -> tuple[Weakness, ...]:
    wrong = [use for number, use in enumerate(known.choices) if number != known.question.right]
    chance = _BEYOND_CHANCE / math.sqrt(known.answered)
    is_weak = {
        Weakness.turned_round: known.discrimination < -chance,
        Weakness.strong_misled: any(_misleads(use, known) for use in wrong),
        Weakness.too_hard: known.bounds[0] <= 1.0 / len(known.choices),
        Weakness.tells_little: -chance <= known.discrimination < policy.little,
        Weakness.idle_choice: any(use.share < policy.idle for use in wrong)
        and known.difficulty <= policy.easy,
        Weakness.too_easy: known.difficulty > policy.easy,
    }
    return tuple(one for one in Weakness if is_weak[one])


def _misleads(use: ChoiceUse, known: QuestionQuality) -> bool:
    """Whether those who took a wrong answer did better elsewhere than those who were right, beyond chance."""
    right = known.choices[known.question.right]
    if not use.people or not right.people:
        return False
    error = known.scatter * math.sqrt(1.0 / use.people + 1.0 / right.people)
    return use.score - right.score > _BEYOND_CHANCE * error


def _agreement(table: FloatArray, policy: QualityPolicy) -> Agreement | None:
    """KR-20 of as many questions as enough people all answered, the most answered ones first."""
    import numpy as np

    from sinkside.science.item_statistics import kr20

    asked = ~np.isnan(table)
    chosen: list[int] = []
    everybody = np.ones(table.shape[0], dtype=bool)
    for column in np.argsort(-asked.sum(axis=0), kind="stable").tolist():
        both = everybody & asked[:, column]
        if both.sum() >= policy.fewest_together:
            everybody = both
            chosen.append(column)
    if len(chosen) < policy.fewest_others:
        return None
    value = kr20(table[everybody][:, chosen])
    return None if math.isnan(value) else Agreement(value, len(chosen), int(everybody.sum()))


def _order(one: QuestionQuality) -> tuple[int, int, int]:
    worst = list(Weakness).index(one.weak[0]) if one.weak else len(Weakness)
    return worst, 0 if one.is_told else 1, -one.answered
