"""Which pattern made a reading: every number of a sentence with the production that read it."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.draft.clauses import Clause, clauses_of
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.stages import stages_named
from sinkside.draft.staging import WorkAsked, cues_of, evidence_for, spoken_of, stage_of
from sinkside.instruction import Stage


@dataclass(frozen=True, slots=True)
class Explained:
    """Words of a sentence and the pattern that read them."""

    words: str
    pattern: str


def explain(sentence: str, *, language: str = "en", heading: str = "") -> tuple[Explained, ...]:
    """How the grammar reads a sentence: its numbers, the things it asks for, and why they belong to a stage.

    Args:
        sentence: as it stands.
        language: of its words.
        heading: what stands above it; without one no stage is told.

    >>> [(one.words, one.pattern) for one in explain("Soak for at least 5 min (see step 4).")]
    [('at least 5 min', 'measure'), ('step 4', 'reference'), ('Soak', 'imperative: soak')]
    >>> explain("Wipe it.", heading="Cleaning")[-1].pattern
    "stage cleaning: the heading names it (3), 'wipe' belongs there (2), nothing else is known (0.1)"
    """
    reading = read_words(sentence, language)
    numbers = [
        Explained(reading.words(one.first, one.last), one.pattern) for one in FigureGrammar(reading).read()
    ]
    clauses = clauses_of(reading)
    asked = [
        Explained(reading.words(one.verb, one.verb + 1), f"{one.pattern}: {one.action.value}")
        for one in clauses
    ]
    named = stages_named(heading, language) if heading else ()
    staged = [_staged(reading, clause, named) for clause in clauses] if named else []
    return (*numbers, *asked, *staged)


def _staged(reading: Reading, clause: Clause, named: tuple[Stage, ...]) -> Explained:
    """The stage of a thing to do with everything that speaks for it."""
    asked = WorkAsked(
        clause.action,
        named,
        cues=cues_of(reading, clause),
        spoken=spoken_of(reading, clause),
        outright=clause.outright,
    )
    stage = stage_of(asked)
    reasons = [f"{one.reason} ({one.weight:g})" for one in evidence_for(asked) if one.stage is stage]
    return Explained(reading.words(clause.verb, clause.verb + 1), f"stage {stage}: {', '.join(reasons)}")
