"""Which papers there are, and on what size of sheet each comes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Kind(StrEnum):
    """What a paper is for."""

    poster = "poster"
    card = "card"
    theatre_card = "theatre-card"
    parts = "parts"
    inspection = "inspection"
    trouble = "trouble"
    protection = "protection"
    lesson = "lesson"


class Size(StrEnum):
    """A sheet of paper: ISO 216 sizes, and the ANSI/ASME Y14.1 sizes A and B under their everyday names."""

    a5 = "a5"
    a4 = "a4"
    a3 = "a3"
    a2 = "a2"
    letter = "letter"
    tabloid = "tabloid"


@dataclass(frozen=True)
class Sheet:
    """A sheet held upright: width and height in mm, and how much larger than the smallest its type is."""

    width_mm: float
    height_mm: float
    type_scale: float = 1.0


#: Millimetres by ISO 216:2007 (from memory); 8.5 × 11 in and 11 × 17 in.
SHEETS: Final[Mapping[Size, Sheet]] = {
    Size.a5: Sheet(148, 210),
    Size.a4: Sheet(210, 297, type_scale=1.2),
    Size.letter: Sheet(215.9, 279.4, type_scale=1.2),
    Size.a3: Sheet(297, 420),
    Size.tabloid: Sheet(279.4, 431.8),
    Size.a2: Sheet(420, 594),
}

_ON_A_WALL: Final = (Size.a3, Size.a2, Size.tabloid)
_IN_THE_HAND: Final = (Size.a5, Size.a4, Size.letter)
_ON_A_BENCH: Final = (Size.a4, Size.a5, Size.letter)

#: The sizes of each paper; the first is used unless another is asked for.
SIZES: Final[Mapping[Kind, tuple[Size, ...]]] = {
    Kind.poster: _ON_A_WALL,
    Kind.card: _IN_THE_HAND,
    Kind.theatre_card: _IN_THE_HAND,
    Kind.parts: _ON_A_BENCH,
    Kind.inspection: _ON_A_BENCH,
    Kind.trouble: _ON_A_BENCH,
    Kind.protection: _ON_A_BENCH,
    Kind.lesson: _ON_A_BENCH,
}

#: What each paper is called on paper and screen.
NAMES: Final[Mapping[Kind, str]] = {
    Kind.poster: "Poster",
    Kind.card: "Card",
    Kind.theatre_card: "Card for the theatre",
    Kind.parts: "Taking apart, putting together",
    Kind.inspection: "Look and test",
    Kind.trouble: "When it will not move",
    Kind.protection: "Sharp, wet, hot: protect yourself",
    Kind.lesson: "Lesson",
}
