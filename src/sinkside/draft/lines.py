"""The lines of a document as everything behind the reading of files sees them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from enum import StrEnum

_SIGNS = str.maketrans(
    {"ﬁ": "fi", "ﬂ": "fl", "ﬀ": "ff", "ﬃ": "ffi", "ﬄ": "ffl", "\u00a0": " ", "\u2009": " ", "\u202f": " "}
    | {"\u00ad": "", "℃": "°C", "℉": "°F", "\u200b": "", "\ufeff": ""}
    | {sub: str(digit) for digit, sub in enumerate("₀₁₂₃₄₅₆₇₈₉")}
)
#: "**1 min**", "*below 35 °C*", "__never__": signs that only set off the words between them.
_EMPHASIS = re.compile(
    r"(?<![\w*_])(\*\*|__|\*|_)(?=[^\W_]|[<>≤≥±(°])(?P<words>[^*\n]*?[\w.!?%)°:])\1(?![\w*_])"
)


@dataclass(frozen=True, slots=True)
class Seen:
    """That a line was read from a picture: how sure its least sure figure is, and what was put right."""

    sure: float | None = None
    put_right: tuple[str, ...] = ()


class TableStart(StrEnum):
    """What the first row of a table holds."""

    heads = "heads"
    cells = "cells"


@dataclass(frozen=True, slots=True)
class Column:
    """A column beside others: which, from the left; the words at its head; how many signs a line holds."""

    place: int
    head: str
    width: int


@dataclass(frozen=True, slots=True)
class Line:
    """One line: page, number (in the file, or on the page of a PDF), text, and how it is set.

    Attributes:
        page: the page, from 1.
        number: the line, from 1.
        text: its words; a table row has strokes between its cells.
        gap_before: whether white space stands above it.
        prominent: whether it is set larger or bolder than the text.
        column: in which of several columns side by side it stands; none if it runs across.
        opens: with what a table begins here, where the way it is set says so.
        seen: that it was read from a picture.
        label: whether it stands at the side of a chart and says what the lines behind it are about.
        aside: whether it is a note at the foot of the page.
    """

    page: int
    number: int
    text: str
    gap_before: bool = False
    prominent: bool = False
    column: Column | None = None
    opens: TableStart | None = None
    seen: Seen | None = None
    label: bool = False
    aside: bool = False


@dataclass(frozen=True, slots=True)
class Pages:
    """A document as lines in reading order."""

    lines: tuple[Line, ...]
    count: int
    file: str = ""
    digest: str = ""


def clean(text: str) -> str:
    """A text without ligatures, hard spaces and soft hyphens; tabs become spaces."""
    return text.translate(_SIGNS).replace("\t", "    ").rstrip()


def without_emphasis(line: Line) -> Line:
    """A line without the signs that set some of its words off; around a whole line they make it prominent.

    >>> without_emphasis(Line(1, 1, "Rinse **1 min**, *below 35 °C*; 3 * 50 mL")).text
    'Rinse 1 min, below 35 °C; 3 * 50 mL'
    """
    if not any(sign in line.text for sign in "*_"):
        return line
    whole = _EMPHASIS.fullmatch(line.text.strip()) is not None
    text = _EMPHASIS.sub(lambda found: found["words"], line.text)
    return replace(line, text=text, prominent=line.prominent or whole)
