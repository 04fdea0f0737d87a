"""Figures of a maker's text that found no place in a step, and where words of it stand."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sinkside.aids.places import place_words
from sinkside.findings import Place
from sinkside.instruction import Instruction, NotUnderstood, Origin, Step


@dataclass(frozen=True)
class LeftOver:
    """A figure that found no place: its words, the sentence around them, and where they stand."""

    text: str
    sentence: str
    where: str
    number: int


def left_over_figures(instruction: Instruction) -> tuple[LeftOver, ...]:
    """Figures without a place, save those that somebody has placed in a step of the same words since."""
    return tuple(
        LeftOver(one.text, one.origin.text, where(one.origin), number)
        for number, one in enumerate(instruction.not_understood)
        if not any(_holds(step, one) for step in instruction.steps)
    )


def _holds(step: Step, left: NotUnderstood) -> bool:
    """Whether a step of the same words has one of the left-over numbers among its figures."""
    if (step.origin.page, step.origin.line) != (left.origin.page, left.origin.line):
        return False
    numbers = set(re.findall(r"\d+(?:[.,]\d+)?", left.text))
    return any(numbers & set(re.findall(r"\d+(?:[.,]\d+)?", figure.as_written)) for figure in step.figures)


def where(origin: Origin) -> str:
    """Where something stands in the maker's text, in words."""
    place = place_words(Place(page=origin.page, line=origin.line))
    if origin.picture is None:
        return place
    changed = origin.picture.put_right
    put_right = f" ({'; '.join(changed)} put right)" if changed else ""
    return f"{place}, read from a picture{put_right}: compare the figures"
