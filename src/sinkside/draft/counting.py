"""Counts whose sign stands before the number: 'blades opened and shut x 8'."""

from __future__ import annotations

from sinkside.draft.building import figure_from
from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Measure, Pieces, Unit
from sinkside.draft.notfigures import Found

_ENDS = {"", ".", ",", ";", ")", "|"}


def times_before(reading: Reading, pieces: Pieces, place: int) -> Found | None:
    """How often something is done, where nothing is multiplied and no lens is meant.

    >>> from sinkside.draft.lexicon import read_words
    >>> words = read_words("Blades opened and shut x 8, under water.")
    >>> times_before(words, Pieces(words), 4).figures[0].as_written
    'x 8'
    """
    sign = reading.at(place, "multiply")
    amount = pieces.amount(sign.last) if sign else None
    if sign is None or amount is None or not place or pieces.is_digit(place - 1) or reading.has("optics"):
        return None
    if pieces.unit_or_count(amount[1]) or pieces.norm(amount[1]) not in _ENDS:
        return None
    times = Measure(amount[0], None, Unit("count", "1", "repeats", amount[1]), place, amount[1])
    figure = figure_from(reading, times, None, (place, amount[1]))
    return Found("times before", place, amount[1], (figure,))
