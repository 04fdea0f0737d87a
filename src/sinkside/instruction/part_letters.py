"""Letters that stand for parts, as rows of tables name them."""

from __future__ import annotations

import re

_LETTER = re.compile(r"[A-Z]{1,2}\d?")
#: "K, O, H", "A+B", "S G K": words that are nothing but the letters of parts.
_NOTHING_BUT_LETTERS = re.compile(r"[A-Z]{1,2}\d?(?:(?:\s*[,+/&]\s*|\s+(?:and\s+)?)[A-Z]{1,2}\d?)*")


def letters_alone(text: str) -> tuple[str, ...]:
    """The letters of words that hold nothing else; none for other words.

    >>> letters_alone("K D H"), letters_alone("K D 3")
    (('K', 'D', 'H'), ())
    """
    return tuple(_LETTER.findall(text)) if _NOTHING_BUT_LETTERS.fullmatch(text) else ()
