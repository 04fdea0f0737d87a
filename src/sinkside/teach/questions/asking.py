"""A question put together: choices that differ, exactly one of them right, in an order that stays."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from sinkside.teach.question import Choice, Question, QuestionKind, id_of
from sinkside.teach.questions.case import Case, ToldStep

#: So many wrong answers stand beside the right one, and fewer than the least make no question.
MOST_WRONG: Final = 3
FEWEST_WRONG: Final = 2


@dataclass(frozen=True)
class Asked:
    """What is asked, before its choices are chosen.

    Attributes:
        kind: what it asks for.
        told: the step that it points back to.
        mark: what tells it from others of its kind about that step; part of its id.
        prompt: what is asked.
        right: the right answer.
        drawing: what is asked about.
    """

    kind: QuestionKind
    told: ToldStep
    mark: tuple[str, ...]
    prompt: str
    right: Choice
    drawing: str = ""


def question_from(asked: Asked, wrong: Iterable[Choice], case: Case) -> Question | None:
    """The question, or none where too few wrong answers differ from the right one and from each other.

    Args:
        asked: what is asked.
        wrong: answers that are wrong by the instruction's own data, the most telling first.
        case: what it is made from.
    """
    key = id_of(asked.kind, asked.told.mark, *asked.mark)
    kept: list[Choice] = []
    taken = {told_apart_by(asked.right), seen_of(asked.right.drawing)}
    for choice in wrong:
        looks = {told_apart_by(choice), seen_of(choice.drawing)} - {""}
        if not looks & taken:
            taken |= looks
            kept.append(choice)
        if len(kept) == MOST_WRONG:
            break
    if len(kept) < FEWEST_WRONG:
        return None
    choices = sorted((asked.right, *kept), key=lambda one: _turn(key, case.seed, one))
    return Question(
        id=key,
        kind=asked.kind,
        step=asked.told.step.id,
        stage=asked.told.step.stage,
        station=asked.told.station,
        prompt=asked.prompt,
        drawing=asked.drawing,
        choices=tuple(choices),
        right=choices.index(asked.right),
        why=case.says(asked.told),
    )


def told_apart_by(choice: Choice) -> str:
    """What a reader tells a choice from others by: its words, whatever their case, spaces and last stop.

    >>> told_apart_by(Choice(text="Rinse it. ")) == told_apart_by(Choice(text="rinse  it"))
    True
    """
    return re.sub(r"[\s\u00a0\u202f]+", " ", choice.text).strip().rstrip(".").casefold()


def seen_of(drawing: str) -> str:
    """What of a drawing is seen, without the words that are only read out."""
    return drawing.partition("</desc>")[2]


def sentences(*parts: str) -> str:
    """Sentences one after the other, empty ones left out."""
    return " ".join(part for part in parts if part)


def _turn(key: str, seed: int, choice: Choice) -> str:
    return sha256(f"{key}{seed}{told_apart_by(choice)}".encode()).hexdigest()
