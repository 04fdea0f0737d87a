"""Rows of a table that run across it: 'D  HAND CLEANING' over its rows is a heading."""

from __future__ import annotations

import re
from dataclasses import replace

from sinkside.draft.blocks import marker_of
from sinkside.draft.passage import Passage, PassageKind
from sinkside.draft.stages import is_describing, stages_named

_LETTER = re.compile(r"(?P<number>[A-Z])\s+(?P<rest>[A-Z].*)")
_MOST_WORDS = 9
_LEAST_CELLS = 2
_LEAST_LETTERS = 3


def as_heading(row: Passage, language: str) -> Passage | None:
    """The heading that a row is, of which only one cell is filled; none if it is an ordinary row.

    >>> from sinkside.draft.passage import Cell
    >>> cells = (Cell("", "D HAND CLEANING"), Cell("", ""))
    >>> row = Passage(PassageKind.row, "| D HAND CLEANING | |", 1, 1, 1, 1, cells=cells)
    >>> heading = as_heading(row, "en")
    >>> heading.number, heading.text
    ('D', 'HAND CLEANING')
    """
    filled = [cell.text.strip() for cell in row.cells if cell.text.strip()]
    first = filled[0] if len(filled) == 1 else ""
    if len(row.cells) < _LEAST_CELLS or not first or len(first.split()) > _MOST_WORDS:
        return None
    number, words = _parted(first)
    letters = sum(1 for sign in words if sign.isalpha())
    named = stages_named(words, language) or is_describing(words, language)
    if letters < _LEAST_LETTERS or words.endswith((".", ";", ",")) or not (words.isupper() or named):
        return None
    return replace(row, kind=PassageKind.heading, text=words.rstrip(": "), number=number, cells=())


def _parted(text: str) -> tuple[str | None, str]:
    marker = marker_of(text)
    if marker:
        return marker[0], marker[2]
    lettered = _LETTER.match(text)
    return (lettered["number"], lettered["rest"]) if lettered else (None, text)
