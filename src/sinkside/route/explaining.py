"""Why an operation is as it is, in one sentence; where it is done; and which letter it has."""

from __future__ import annotations

import string
from collections.abc import Sequence

from sinkside.department import Station
from sinkside.instruction import Stage
from sinkside.route.appraisal import Candidate
from sinkside.route.document import ResourceKind
from sinkside.route.needs import BathNeed, Task, WasherNeed
from sinkside.route.phrases import Phrase, Together

#: I and O are left out, because at two metres they are a stroke and a nought.
_LETTERS = "".join(letter for letter in string.ascii_uppercase if letter not in "IO")

_STATIONS = {
    Stage.point_of_use: Station.theatre,
    Stage.transport: Station.transport,
    Stage.preparation: Station.sink,
    Stage.cleaning: Station.sink,
    Stage.disinfection: Station.sink,
    Stage.drying: Station.bench,
    Stage.inspection: Station.bench,
    Stage.maintenance: Station.bench,
    Stage.packaging: Station.packing,
    Stage.sterilization: Station.sterilizer,
    Stage.storage: Station.store,
}


def letter_of(number: int) -> str:
    """The letter of an operation, counted from 0: A to Z without I and O, then AA, AB.

    >>> letter_of(0), letter_of(8), letter_of(23), letter_of(24)
    ('A', 'J', 'Z', 'AA')
    """
    rounds, place = divmod(number, len(_LETTERS))
    return (letter_of(rounds - 1) if rounds else "") + _LETTERS[place]


def station_of(task: Task) -> Station:
    """Where a task is done: from its machine, else from its stage."""
    if any(isinstance(need, BathNeed) for need in task.needs):
        return Station.ultrasonic
    if any(isinstance(need, WasherNeed) for need in task.needs):
        return Station.washer
    return _STATIONS[task.stage]


def why(chosen: Sequence[Candidate], *, alternatives: int, equals: int, language: str) -> str:
    """One sentence: what was chosen and why it may be.

    Args:
        chosen: What was chosen for each need of the operation.
        alternatives: How many ways the instruction names.
        equals: How many things of the department would do, for the need with the most.
        language: The language of the sentence.

    Raises:
        BadInput: if the language is unknown.
    """
    bound = [candidate for candidate in chosen if candidate.bindings]
    sentence = _why(bound, alternatives=alternatives, equals=equals).text(language)
    return sentence[:1].upper() + sentence[1:]


def _why(chosen: Sequence[Candidate], *, alternatives: int, equals: int) -> Phrase:
    if not chosen:
        return Phrase("Done by hand as the instruction says; it needs nothing of the department.")
    reasons = Together(tuple(_reason(candidate) for candidate in chosen))
    if alternatives > 1:
        return Phrase(
            "Of {ways} ways that the instruction names, this one has the fewest concerns, then the least "
            "work and machine time: {reasons}.",
            {"ways": alternatives, "reasons": reasons},
        )
    if equals > 1:
        return Phrase("{reasons}; {equals} here would do.", {"reasons": reasons, "equals": equals})
    return Phrase("{reasons}.", {"reasons": reasons})


def _reason(candidate: Candidate) -> Phrase:
    words = candidate.why
    return words if isinstance(words, Phrase) else Phrase("{words}", {"words": words})


def is_by_machine(chosen: Sequence[Candidate]) -> bool:
    """Whether a machine does the work of an operation: what runs a program is bound to it first."""
    for candidate in chosen:
        if candidate.bindings and candidate.bindings[0].kind is ResourceKind.program:
            return True
    return False
