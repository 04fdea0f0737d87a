"""The bank of an instruction's questions: what was reworded, retired and added, and what is in force."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from pydantic import AwareDatetime, Field

from sinkside.documents import Value
from sinkside.errors import BadInput, BadQuantity
from sinkside.instruction import Step
from sinkside.plain.reading_back import ReadFigure, figures_read
from sinkside.quantities import Figure, FigureQuantity
from sinkside.quantities.figure import FigureValue
from sinkside.route import Station
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions.asking import told_apart_by
from sinkside.teach.questions.spans import is_inside, is_wrong

LONGEST: Final = 500
FEWEST, MOST = 2, 6

#: What is counted has no unit: strokes, drops, times.
_COUNTED: Final = frozenset({"×", "strokes", "drops", "pulses", "uses"})


class Wording(Value):
    """What a question says: what is asked, its choices in order, and why the right one is.

    Attributes:
        prompt: what is asked.
        choices: in words; which of them is right stays.
        why: what is told after the answer; empty leaves what the text says.
    """

    prompt: str = Field(max_length=LONGEST)
    choices: tuple[str, ...]
    why: str = Field(default="", max_length=LONGEST)


class Edit(Value):
    """A made question in other words, in one language: by whom, and when."""

    question: str
    language: str
    wording: Wording
    by: str
    at: AwareDatetime


class Retirement(Value):
    """A question that is not asked any more: why, by whose word, and since when."""

    question: str
    reason: str = Field(min_length=1, max_length=LONGEST)
    by: str
    at: AwareDatetime


class OwnQuestion(Value):
    """A question of the department's own; its first choice is right.

    Attributes:
        id: 16 hex digits.
        kind: what it asks for.
        language: that it is worded in.
        mark: what its step asks; the question ends with the step.
        wording: what it says.
        by: who wrote it.
        at: when.
    """

    id: str
    kind: QuestionKind
    language: str
    mark: str
    wording: Wording
    by: str
    at: AwareDatetime


class Bank(Value):
    """What was changed in the questions of an instruction (`sinkside/question-bank-1`)."""

    format: Literal["sinkside/question-bank-1"] = "sinkside/question-bank-1"
    edits: tuple[Edit, ...] = ()
    retired: tuple[Retirement, ...] = ()
    own: tuple[OwnQuestion, ...] = ()


@dataclass(frozen=True)
class BankLine:
    """A question as it is asked here, with how it was made and what was changed.

    Attributes:
        question: as it is asked.
        made: as it was made from the text; none of the department's own.
        edit: how it was reworded.
        retired: why it is not asked.
        own: the department's own.
    """

    question: Question
    made: Question | None = None
    edit: Edit | None = None
    retired: Retirement | None = None
    own: OwnQuestion | None = None


@dataclass(frozen=True)
class AskedStep:
    """A step that a question of the department's own is about."""

    step: Step
    station: Station


def lines_of(
    made: Sequence[Question], bank: Bank, steps: Mapping[str, AskedStep], *, language: str
) -> tuple[BankLine, ...]:
    """Every question, in the order of the text, the department's own after those of their step.

    Args:
        made: from the text.
        bank: what was changed.
        steps: the steps of the text by what each asks; an own question without its step is left out.
        language: of the questions; words of another language are left out.
    """
    edits = {one.question: one for one in bank.edits if one.language == language}
    retired = {one.question: one for one in bank.retired}
    lines = [
        BankLine(
            question=reworded(one, edits[one.id].wording) if one.id in edits else one,
            made=one,
            edit=edits.get(one.id),
            retired=retired.get(one.id),
        )
        for one in made
    ]
    own = [
        BankLine(own_question(one, steps[one.mark]), retired=retired.get(one.id), own=one)
        for one in bank.own
        if one.language == language and one.mark in steps and is_fit(one, steps[one.mark].step)
    ]
    places = {asked.step.id: place for place, asked in enumerate(steps.values())}
    return tuple(sorted([*lines, *own], key=lambda line: places[line.question.step]))


def reworded(made: Question, wording: Wording) -> Question:
    """A made question in other words; a wrong choice without words is left out."""
    kept = [
        (place, one.model_copy(update={"text": text}))
        for place, (one, text) in enumerate(zip(made.choices, wording.choices, strict=True))
        if text
    ]
    return made.model_copy(
        update={
            "prompt": wording.prompt,
            "choices": tuple(choice for _, choice in kept),
            "right": [place for place, _ in kept].index(made.right),
            "why": wording.why or made.why,
        }
    )


def own_question(own: OwnQuestion, asked: AskedStep) -> Question:
    """A question of the department's own as it is asked; its choices are turned, so that no place tells."""
    texts = own.wording.choices
    turn = int(own.id[:8], 16) % len(texts)
    turned = texts[turn:] + texts[:turn]
    return Question(
        id=own.id,
        kind=own.kind,
        step=asked.step.id,
        stage=asked.step.stage,
        station=asked.station,
        prompt=own.wording.prompt,
        choices=tuple(Choice(text=text) for text in turned),
        right=turned.index(texts[0]),
        why=own.wording.why or asked.step.origin.text,
    )


@dataclass(frozen=True)
class About:
    """What a wording is about: the kind, the step, which choice is right, and the language.

    `made` is the right answer as it was made from the text, which tells one figure of a step from another.
    """

    kind: QuestionKind
    step: Step
    right: int = 0
    made: str = ""
    language: str = "en"


def refuse_unfit(wording: Wording, about: About) -> None:
    """Refuse words that make two answers right, or the right one wrong by the instruction's figures.

    Raises:
        BadInput: saying which choice, and what the text has.

    >>> soak = Step(id="s1", stage="cleaning", action="soak",
    ...     figures=(Figure(quantity="time", min=4, unit="min", as_written="at least 4 min"),))
    >>> asked = Wording(prompt="How long?", choices=("at least 4 min", "at least 5 min"))
    >>> refuse_unfit(asked, About(QuestionKind.figure, soak))
    Traceback (most recent call last):
    sinkside.errors.BadInput: choices: “at least 5 min” may be right as well: the text has at least 4 min
    """
    if not wording.prompt:
        raise BadInput("nothing is asked", resource="prompt")
    texts = [text for text in wording.choices if text]
    if not FEWEST <= len(texts) <= MOST:
        raise BadInput(f"{len(texts)} choices; expected {FEWEST} to {MOST}", resource="choices")
    if not wording.choices[about.right]:
        raise BadInput("the right answer has no words", resource="choices")
    seen: set[str] = set()
    for text in texts:
        if (key := told_apart_by(Choice(text=text))) in seen:
            raise BadInput(f"two choices say the same: “{text}”", resource="choices")
        seen.add(key)
    if about.kind is QuestionKind.figure:
        _refuse_contradicting(wording, about)


def is_fit(own: OwnQuestion, step: Step) -> bool:
    """Whether a question of the department's own still fits the figures of its step."""
    try:
        refuse_unfit(own.wording, About(own.kind, step, language=own.language))
    except BadInput:
        return False
    return True


def _refuse_contradicting(wording: Wording, about: About) -> None:
    """Each choice is one figure: the right one inside what the text allows, each other one outside."""
    said = wording.choices[about.right]
    asked = _figures_like(about.made or said, about)
    read = _one_figure(said, about.language)
    values = [(_as(read, one), one) for one in asked]
    fitting = [one for value, one in values if value is not None and is_inside(value, one)]
    if not fitting:
        raise BadInput(
            f"“{said}” is not what the text allows; it has {_told(asked or about.step.figures)}",
            resource="choices",
        )
    for place, text in enumerate(wording.choices):
        if place == about.right or not text:
            continue
        value = _as(_one_figure(text, about.language), fitting[0])
        if value is None or not is_wrong(value, fitting):
            raise BadInput(
                f"“{text}” may be right as well: the text has {_told(fitting)}", resource="choices"
            )


def _figures_like(text: str, about: About) -> list[Figure]:
    """The figures of a step that a text can be held against; those that it says, where it says any."""
    read = _one_figure(text, about.language)
    values = [(_as(read, one), one) for one in about.step.figures]
    alike = [(value, one) for value, one in values if value is not None]
    said = [one for value, one in alike if is_inside(value, one)]
    return said or [one for _, one in alike]


def _one_figure(text: str, language: str) -> ReadFigure:
    found = figures_read(text, language)
    if len(found) != 1:
        raise BadInput(
            f"“{text}” holds {len(found)} figures; expected one with its unit, such as at least 4 min",
            resource="choices",
        )
    return found[0]


def _as(read: ReadFigure, figure: Figure) -> FigureValue | None:
    """What was read as a figure of the same quantity; none where it cannot be one."""
    unit = "1" if read.unit in _COUNTED else read.unit
    if figure.quantity is FigureQuantity.lethality:
        unit = figure.unit if read.dose else ""
    if not unit or (unit == "1") != (figure.unit == "1"):
        return None
    ends = {"min": read.low, "max": read.high} if read.low != read.high else {"value": read.low}
    told = {name: end for name, end in ends.items() if math.isfinite(end)}
    value = FigureValue.model_validate({"quantity": figure.quantity, "unit": unit, **told})
    try:
        value.ends(figure.unit)
    except BadQuantity:
        return None
    return value


def _told(figures: Iterable[Figure]) -> str:
    return ", ".join(one.as_written or f"{one.number():g} {one.unit}" for one in figures) or "no figure"
