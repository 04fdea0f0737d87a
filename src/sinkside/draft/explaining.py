"""Which pattern made a reading: every number of a sentence with the production that read it."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.draft.clauses import clauses_of
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.lexicon import read_words


@dataclass(frozen=True, slots=True)
class Explained:
    """Words of a sentence and the pattern that read them."""

    words: str
    pattern: str


def explain(sentence: str, *, language: str = "en") -> tuple[Explained, ...]:
    """How the grammar reads a sentence: its numbers, then the things it asks for.

    >>> [(one.words, one.pattern) for one in explain("Soak for at least 5 min (see step 4).")]
    [('at least 5 min', 'measure'), ('step 4', 'reference'), ('Soak', 'imperative: soak')]
    """
    reading = read_words(sentence, language)
    numbers = [
        Explained(reading.words(one.first, one.last), one.pattern) for one in FigureGrammar(reading).read()
    ]
    asked = [
        Explained(reading.words(one.verb, one.verb + 1), f"{one.pattern}: {one.action.value}")
        for one in clauses_of(reading)
    ]
    return (*numbers, *asked)
