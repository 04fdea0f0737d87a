"""What is counted or measured in words: each stands in a catalogue once for every plural of its language."""

from __future__ import annotations

from collections.abc import Mapping

from sinkside.instruction import FigureRole

#: What a bare number counts.
COUNTED: Mapping[str, str] = {
    FigureRole.strokes: "strokes",
    FigureRole.drops: "drops",
    FigureRole.pulses: "pulses",
    FigureRole.life: "uses",
}

#: What a set, a label and a count sheet count.
PIECES = "pieces"

#: How often a thing is done or enlarged; a sign that every language reads.
TIMES: frozenset[str] = frozenset({FigureRole.repeats, FigureRole.actuations, FigureRole.magnification})

#: Units of time that a language may write as words.
UNITS_IN_WORDS: Mapping[str, str] = {
    "s": "s",
    "min": "min",
    "h": "h",
    "d": "days",
    "week": "weeks",
    "month": "months",
    "year": "years",
}

#: English has two plurals: this is the one for one.
ENGLISH_ONE: Mapping[str, str] = {
    "strokes": "stroke",
    "drops": "drop",
    "pulses": "pulse",
    "uses": "use",
    PIECES: "piece",
    "days": "day",
    "weeks": "week",
    "months": "month",
    "years": "year",
}
