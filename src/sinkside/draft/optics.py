"""Magnifications whose sign stands before the number: 'under the lens (x 10)'."""

from __future__ import annotations

from sinkside.draft.building import figure_from
from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Measure, Pieces, Unit
from sinkside.draft.notfigures import Found


def magnified(reading: Reading, pieces: Pieces, place: int) -> Found | None:
    """A number behind a sign of multiplication, in a sentence with a lens.

    >>> from sinkside.draft.lexicon import read_words
    >>> words = read_words("Regarder à la loupe (x 10).", "fr")
    >>> magnified(words, Pieces(words), 6).figures[0].role
    'magnification'
    """
    sign = reading.at(place - 1, "multiply")
    amount = pieces.amount(place)
    if sign is None or amount is None or pieces.is_digit(place - 2) or not reading.has("optics"):
        return None
    measure = Measure(amount[0], None, Unit("count", "1", "magnification", amount[1]), place, amount[1])
    figure = figure_from(reading, measure, None, (place - 1, amount[1]))
    return Found("a magnification", place, amount[1], (figure,))
