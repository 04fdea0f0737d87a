"""Passages: headings, sentences, bullets and table rows as they stand, each with its place."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class PassageKind(StrEnum):
    """What a passage is."""

    front = "front"
    heading = "heading"
    sentence = "sentence"
    row = "row"
    caption = "caption"


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table row, under the words at the head of its column."""

    head: str
    text: str


@dataclass(frozen=True, slots=True)
class Passage:
    """A heading, a sentence, a bullet or a table row as it stands, white space folded.

    A remark `refers` to the step with a number; its `label` says so in front of its text.
    """

    kind: PassageKind
    text: str
    page: int
    line: int
    line_end: int
    item: int
    number: str | None = None
    lead: str = ""
    bullet: bool = False
    forbidden: bool = False
    cells: tuple[Cell, ...] = ()
    label: str = ""
    refers: str = ""
