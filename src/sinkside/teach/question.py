"""One question with its choices, as it is asked, answered and kept."""

from __future__ import annotations

from enum import StrEnum
from hashlib import sha256

from pydantic import model_validator

from sinkside.documents import Value
from sinkside.instruction import Stage
from sinkside.route import Station

#: Signs of a question's id: 16 hex digits.
SIGNS_OF_AN_ID = 16

_FEWEST_CHOICES = 2


class QuestionKind(StrEnum):
    """What a question asks for; which part of an instruction it is made from."""

    figure = "figure"
    order = "order"
    position = "position"
    missing_part = "missing-part"
    next = "next"
    tray_fault = "tray-fault"
    cycle_plot = "cycle-plot"
    reason = "reason"
    trouble = "trouble"


class Choice(Value):
    """One answer that can be chosen.

    Attributes:
        text: the answer in words; with a drawing, what the drawing shows, for who cannot see it.
        drawing: the answer as SVG, or nothing.
        why: why it is right, or what is wrong with it; shown after answering.
    """

    text: str
    drawing: str = ""
    why: str = ""


class Question(Value):
    """One question from an instruction, with exactly one right choice.

    Attributes:
        id: 16 hex digits, the same while what it asks is unchanged.
        kind: what it asks for.
        step: id of the step that it points back to.
        stage: the stage of that step.
        station: where that step is done.
        prompt: what is asked.
        drawing: what is asked about, as SVG, or nothing.
        choices: what can be answered, in the order shown.
        right: which of them is right, counted from 0.
        why: what the instruction says; shown after answering.
    """

    id: str
    kind: QuestionKind
    step: str
    stage: Stage
    station: Station
    prompt: str
    drawing: str = ""
    choices: tuple[Choice, ...]
    right: int
    why: str = ""

    @model_validator(mode="after")
    def _can_be_answered(self) -> Question:
        if len(self.choices) < _FEWEST_CHOICES:
            raise ValueError(f"{len(self.choices)} choices are too few; expected at least {_FEWEST_CHOICES}")
        if not 0 <= self.right < len(self.choices):
            raise ValueError(f"there is no choice {self.right} to be right among {len(self.choices)}")
        return self


def id_of(kind: QuestionKind, step: str, *asked: str) -> str:
    """The id of a question: of its kind, its step, and what it asks, never of how that is worded.

    >>> id_of(QuestionKind.figure, "s1", "time", "at least 240 s")
    '951072a35dd3a457'
    """
    return sha256("\0".join((kind, step, *asked)).encode()).hexdigest()[:SIGNS_OF_AN_ID]
