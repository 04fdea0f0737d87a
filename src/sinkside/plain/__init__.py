"""Plain words: every step of a route written from its structure, in the reader's language."""

from sinkside.plain.figures import PlainFigure, figure_words, plain_figures
from sinkside.plain.habits import LANGUAGES, Glossary, Habits, Units
from sinkside.plain.steps import PlainPhase, PlainPosition, PlainStep, plain_step, plain_steps
from sinkside.plain.voice import Template, Voice, used_by, voice_for

__all__ = [
    "LANGUAGES",
    "Glossary",
    "Habits",
    "PlainFigure",
    "PlainPhase",
    "PlainPosition",
    "PlainStep",
    "Template",
    "Units",
    "Voice",
    "figure_words",
    "plain_figures",
    "plain_step",
    "plain_steps",
    "used_by",
    "voice_for",
]
