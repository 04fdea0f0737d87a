"""What a text rules out for some things and not for others: tables of yes and no, "S and O only"."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Place
from sinkside.instruction import Action, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.asking import ASKS
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage, words
from sinkside.review.lexicon import says
from sinkside.review.named import all_capitals

_TOPICS = ("immersion", "ultrasonic", "machine-washing", "lubrication", "steaming")
_NO = re.compile(r"^(?:no|never|not allowed|not permitted|prohibited|forbidden)\W*$", re.IGNORECASE)
_ONLY = re.compile(r"^\W*(?P<topic>[^:|]{3,40}):\s*(?P<names>[^.|;:]{1,60}?)\s+only\b", re.IGNORECASE)
_MARKS = "*†‡¹²³ "
_FEWEST_LETTERS = 3


@dataclass(frozen=True)
class Exclusion:
    """Something that is ruled out for a thing, and the words that rule it out."""

    sense: str
    thing: str
    place: Place

    def is_meant_by(self, step: Step) -> bool:
        """Whether a step asks for it, and names the thing."""
        said = words(step)
        if self.thing.isupper():
            return self.thing in all_capitals(said) and _asks(step, self.sense)
        is_named = re.search(rf"(?<!\w){re.escape(self.thing)}(?!\w)", said, re.IGNORECASE)
        return bool(is_named) and _asks(step, self.sense)


def exclusions(case: Case) -> Iterator[Exclusion]:
    """Everything that a table or a short sentence rules out for one thing by name or letter."""
    yield from _of_tables(case)
    letters = {letter for step in case.steps for letter in all_capitals(words(step)) if len(letter) == 1}
    for passage in case.sentences:
        match = _ONLY.match(passage.text)
        allowed = all_capitals(match["names"]) if match else frozenset()
        topics = [topic for topic in _TOPICS if match and says(match["topic"], topic)]
        if topics and allowed:
            for letter in sorted(letters - allowed):
                yield Exclusion(topics[0], letter, passage.place)


def _of_tables(case: Case) -> Iterator[Exclusion]:
    """The cells that say no under a head that names a way of processing."""
    head: list[str] = []
    for passage in case.sentences:
        cells = _cells(passage)
        if not cells:
            continue
        if any(says(cell, topic) for cell in cells[1:] for topic in _TOPICS) and not _has_no(cells):
            head = cells
        elif len(cells) == len(head) and _has_no(cells):
            for title, cell in zip(head[1:], cells[1:], strict=True):
                for topic in _TOPICS:
                    if says(title, topic) and _NO.match(cell):
                        yield Exclusion(topic, cells[0].strip(_MARKS), passage.place)


def _cells(passage: Passage) -> list[str]:
    if not passage.text.lstrip().startswith("|"):
        return []
    return [cell.strip() for cell in passage.text.strip().strip("|").split("|")]


def _has_no(cells: list[str]) -> bool:
    return any(_NO.match(cell) for cell in cells)


def _asks(step: Step, sense: str) -> bool:
    """Whether a step asks for something, by itself, by its heading or by what only it can measure."""
    if ASKS[sense](step):
        return True
    by_heading = says(step.heading or "", sense) and step.action in CLEANING_ACTIONS | {Action.load}
    is_bath = sense == "ultrasonic" and bool(step.figures_of(FigureQuantity.frequency))
    return by_heading or is_bath
