"""A maker's own words on paper: when they can stand as a headline, and how they are quoted."""

from __future__ import annotations

import re

from sinkside.plain.voice import Voice

#: A maker's own sentence of at most this many words can stand as a headline.
_WORDS_IN_A_HEADLINE = 12

#: A first clause of fewer words says too little to stand alone.
_WORDS_IN_A_CLAUSE = 3

_CLAUSE_ENDS = re.compile(r"\s*(?:[,;:(–]|\s(?:and|until|while|so that|before|after)\s)", re.IGNORECASE)


def is_short(text: str) -> bool:
    """Whether a maker's sentence can stand as a headline."""
    return len(text.split()) <= _WORDS_IN_A_HEADLINE


def first_clause(text: str) -> str:
    """The first words of a long sentence that stand by themselves.

    >>> first_clause("Tilt the tray toward the drain and let it stand until no more water runs from it.")
    'Tilt the tray toward the drain'
    """
    for end in _CLAUSE_ENDS.finditer(text):
        words = text[: end.start()].split()
        if _WORDS_IN_A_CLAUSE <= len(words) <= _WORDS_IN_A_HEADLINE:
            return capital(" ".join(words))
    return capital(" ".join(text.split()[:_WORDS_IN_A_HEADLINE]) + " …")


def quoted_text(text: str, voice: Voice) -> str:
    """A maker's sentence between quotation marks, in the reader's language where the document has it so.

    >>> quoted_text("Hold it by the ring.", Voice())
    '“Hold it by the ring.”'
    """
    return voice.isolated(f"“{voice.name(text)}”")


def capital(text: str) -> str:
    """A text that starts with a capital."""
    return text[:1].upper() + text[1:]
