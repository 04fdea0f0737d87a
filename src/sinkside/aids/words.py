"""Plain words of an operation as screens and reports show them: a headline, and lines below it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sinkside.instruction import Instruction, Step
from sinkside.plain.habits import Habits
from sinkside.plain.voice import Voice
from sinkside.plain.wording import phase_name as phase_named
from sinkside.plain.wording import position_words as held_words
from sinkside.plain.wording import program_of, steps_of, worded
from sinkside.plain.wording import thing_name as thing_named
from sinkside.route import Operation

__all__ = [
    "PlainWords",
    "phase_name",
    "plain_words",
    "position_words",
    "program_of",
    "steps_of",
    "thing_name",
]


@dataclass(frozen=True)
class PlainWords:
    """An operation in plain words: one short sentence, what belongs to it, and what to take care of."""

    headline: str
    details: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def plain_words(operation: Operation, instruction: Instruction, language: str = "en") -> PlainWords:
    """An operation in plain words, from its structure; the maker's own words where there is none.

    Raises:
        BadInput: if the language is unknown.

    >>> from sinkside.instruction import Device
    >>> from sinkside.route import Station
    >>> flush = Operation(letter="A", stage="cleaning", station=Station.sink, steps=(), action="flush",
    ...     on=("port",), positions={"jaw": "open"}, until="the water is clear")
    >>> words = plain_words(flush, Instruction(device=Device(name="Forceps")))
    >>> words.headline, words.details
    ('Flush the port', ('jaw open', 'until the water is clear'))
    """
    voice = Voice(Habits(language=language))
    words = worded(operation, instruction, voice)
    held = (held_words(feature, position, voice) for feature, position in words.held)
    details = (words.names, *words.with_what, *held, words.until, words.condition, words.quoted)
    return PlainWords(words.headline, tuple(dict.fromkeys(filter(None, details))), words.cautions)


def thing_name(thing: str, instruction: Instruction, language: str = "en") -> str:
    """What a part or feature is called, without an article."""
    return thing_named(thing, instruction, Voice(Habits(language=language)))


def position_words(positions: Mapping[str, str], language: str = "en") -> tuple[str, ...]:
    """Positions as people say them: jaw open, ratchet released."""
    voice = Voice(Habits(language=language))
    return tuple(held_words(feature, position, voice) for feature, position in sorted(positions.items()))


def phase_name(step: Step, language: str = "en") -> str:
    """What a step that a machine carries out is called: Pre-rinse, Wash, Rinse, Disinfect, Dry."""
    return phase_named(step, Voice(Habits(language=language)))
