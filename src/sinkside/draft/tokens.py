"""Words, numbers and marks of a sentence, each with the place where it stands."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum


class TokenKind(StrEnum):
    """What a token is: a number, a word, a mark, or a label such as '5.1.2' or 'QX-77'."""

    number = "number"
    word = "word"
    label = "label"
    mark = "mark"


@dataclass(frozen=True, slots=True)
class Token:
    """One token: its text, its lower-case form, where it stands, and its value if it is a number."""

    text: str
    norm: str
    kind: TokenKind
    start: int
    end: int
    value: float | None = None


#: 'One-minute' is a number and its unit.
#: Catalogue numbers, document numbers and the like begin with a capital and hold a digit; 'pH7' does not.
_TOKEN = re.compile(
    r"(?P<label>(?<![°\d/])(?<![°\d] )(?:[A-Z]+-)+[A-Z]{0,3}\d[\w-]*"
    r"|[A-Z]\.\d+(?:\.\d+)*|[A-Z]{1,5}\d[\w]*(?:-\w+)*|\d+(?:\.\d+){2,})"
    r"|(?P<number>\d+(?:[.,]\d+)*|[½¼¾])"
    r"|(?P<word>[^\W\d_]+(?:[-'’](?!(?:second|minute|hour|day|week|month)s?\b)[^\W\d_]+)*)"
    r"|(?P<mark>\S)"
)
_KINDS = {kind.value: kind for kind in TokenKind}
_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75}
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?")
_THOUSANDS_WITH_POINTS = re.compile(r"[1-9]\d{0,2}(?:\.\d{3})+(?:,\d+)?")
_MARKS_ALIKE = str.maketrans(
    {"–": "-", "—": "-", "−": "-", "\u2010": "-", "\u2011": "-", "º": "°", "˚": "°", "’": "'", "\u2032": "'"}
)


def number_value(written: str, *, decimal_comma: bool = False) -> float | None:
    """The value of a number as written; three digits after a comma are thousands, or after a point.

    Which of the two, the language tells: where 0,5 is a half, 3.000 is three thousand.

    >>> number_value("0,5"), number_value("3,000"), number_value("12.5"), number_value("1.2.3")
    (0.5, 3000.0, 12.5, None)
    >>> number_value("3.000", decimal_comma=True), number_value("10,8", decimal_comma=True)
    (3000.0, 10.8)
    """
    if written in _FRACTIONS:
        return _FRACTIONS[written]
    if not decimal_comma and _THOUSANDS.fullmatch(written):
        written = written.replace(",", "")
    elif decimal_comma and _THOUSANDS_WITH_POINTS.fullmatch(written):
        written = written.replace(".", "")
    try:
        return float(written.replace(",", "."))
    except ValueError:
        return None


def tokenize(text: str, *, decimal_comma: bool = False) -> tuple[Token, ...]:
    """The tokens of a text, in order.

    >>> [token.text for token in tokenize("Rinse 3x, 5.5-10 min (A0 600)")]
    ['Rinse', '3', 'x', ',', '5.5', '-', '10', 'min', '(', 'A0', '600', ')']
    """
    found = []
    for match in _TOKEN.finditer(text):
        kind = _KINDS[match.lastgroup or "mark"]
        written = match[0]
        value = number_value(written, decimal_comma=decimal_comma) if kind is TokenKind.number else None
        if kind is TokenKind.number and value is None:
            kind = TokenKind.label
        norm = written.translate(_MARKS_ALIKE).lower()
        found.append(Token(written, norm, kind, match.start(), match.end(), value))
    return tuple(found)
