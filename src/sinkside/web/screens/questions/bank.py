"""Every question of an instruction, one kind at a time, in the order of the steps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Annotated, Final

from fastapi import Query

from sinkside.desk import question_bank
from sinkside.desk.lessons import EDIT
from sinkside.desk.question_bank import SeenBank
from sinkside.plain import plain_steps
from sinkside.plain.names import calm_name
from sinkside.teach.bank import BankLine
from sinkside.teach.question import QuestionKind
from sinkside.web.asked import Asked
from sinkside.web.question_shown import KIND_WORDS, QuestionShown, shown_question
from sinkside.web.screen import DEPARTMENT, Option, Screen

screen = Screen("questions")

PLACE: Final = f"{DEPARTMENT}/questions/{{instruction}}"

#: What is listed beside the kinds.
RETIRED: Final = "retired"

KindAsked = Annotated[str, Query(max_length=40)]


@dataclass(frozen=True)
class KindShown:
    """A kind of question: its page, its words, how many are asked, whether it is the one listed."""

    address: str
    words: str
    count: int
    is_shown: bool


@dataclass(frozen=True)
class LineShown:
    """A question in the list: its page, itself, and what was changed of it, in words."""

    address: str
    question: QuestionShown
    changed: str


@dataclass(frozen=True)
class StepShown:
    """Questions of one step: the step in words, its stage, the questions."""

    stage: str
    words: str
    lines: tuple[LineShown, ...]


@dataclass(frozen=True)
class BankPage:
    """The questions of an instruction.

    Attributes:
        title: the heading.
        address: of the page.
        instruction: the instruction's page.
        lesson: the lesson's page.
        revision: that they are made from.
        asked: how many are asked in all.
        kinds: the kinds, to choose from.
        shown: what is listed, in words.
        steps: the questions, by step.
        gone: how many changes belong to questions that the text no longer makes.
        base: the revision of the bank, which forms carry.
        own_kinds: the kinds that a question of the department's own may be of.
        own_steps: the steps that it may be about.
    """

    title: str
    address: str
    instruction: str
    lesson: str
    revision: int
    asked: int
    kinds: tuple[KindShown, ...]
    shown: str
    steps: tuple[StepShown, ...]
    gone: int
    base: int
    own_kinds: tuple[Option, ...]
    own_steps: tuple[Option, ...]


@screen.page(PLACE, right=EDIT, template="questions.html")
def questions(asked: Asked, instruction: str, *, kind: KindAsked = "") -> BankPage:
    """Every question of an instruction, of one kind at a time."""
    seen = question_bank.see_bank(asked.archive, asked.visitor, instruction)
    text = seen.ground.shown.instruction
    words = {one.steps[0]: one for one in plain_steps(None, text)}
    address = asked.at(f"/questions/{instruction}")
    in_force = [line for line in seen.lines if line.retired is None]
    listed = _listed(seen, kind or _first_kind(in_force))
    chosen = kind or _first_kind(in_force)
    return BankPage(
        title=f"Questions: {calm_name(text.device.name)}",
        address=address,
        instruction=asked.at(f"/instructions/{instruction}"),
        lesson=asked.at(f"/teaching/{instruction}"),
        revision=seen.ground.shown.revision.number,
        asked=len(in_force),
        kinds=_kinds(seen, in_force, address, chosen),
        shown=_words(chosen),
        steps=tuple(
            StepShown(
                stage=words[step].stage_name,
                words=words[step].headline,
                lines=tuple(_line(one, address) for one in lines),
            )
            for step, lines in groupby(listed, key=lambda line: line.question.step)
        ),
        gone=seen.gone,
        base=seen.number,
        own_kinds=tuple(Option(one.value, KIND_WORDS[one]) for one in QuestionKind),
        own_steps=tuple(
            Option(step.id, f"{words[step.id].stage_name}: {words[step.id].headline}") for step in text.steps
        ),
    )


def changed_words(line: BankLine) -> str:
    """What was changed of a question, in words."""
    told = [
        "Retired" if line.retired else "",
        "Our own" if line.own else "",
        "In our words" if line.edit else "",
    ]
    return ", ".join(one for one in told if one)


def _first_kind(lines: Sequence[BankLine]) -> str:
    there = {line.question.kind for line in lines}
    return next((kind.value for kind in KIND_WORDS if kind in there), QuestionKind.figure.value)


def _listed(seen: SeenBank, kind: str) -> list[BankLine]:
    if kind == RETIRED:
        return [line for line in seen.lines if line.retired is not None]
    return [line for line in seen.lines if line.retired is None and line.question.kind.value == kind]


def _words(kind: str) -> str:
    if kind == RETIRED:
        return "Retired"
    return next((words for known, words in KIND_WORDS.items() if known.value == kind), "Figures")


def _kinds(seen: SeenBank, in_force: Sequence[BankLine], address: str, chosen: str) -> tuple[KindShown, ...]:
    counts = Counter(line.question.kind for line in in_force)
    kinds = [
        KindShown(f"{address}?kind={kind.value}", words, counts[kind], chosen == kind.value)
        for kind, words in KIND_WORDS.items()
        if counts[kind]
    ]
    retired = len(seen.lines) - len(in_force)
    if retired:
        kinds.append(KindShown(f"{address}?kind={RETIRED}", "Retired", retired, chosen == RETIRED))
    return tuple(kinds)


def _line(line: BankLine, address: str) -> LineShown:
    return LineShown(
        address=f"{address}/{line.question.id}",
        question=shown_question(line.question),
        changed=changed_words(line),
    )
