"""Numbers of uses whose noun was said before, or goes without saying: 'scrap at 150'."""

from __future__ import annotations

from sinkside.draft.building import figure_from
from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Measure, Pieces, Unit
from sinkside.draft.notfigures import Found

_ENDS = {"", ".", ",", ";", ")", "and", "or"}


def life_again(reading: Reading, pieces: Pieces, place: int) -> Found | None:
    """'tested through 150 cycles and a head through 60', 'scrap at 150': what is counted is not said.

    >>> from sinkside.draft.lexicon import read_words
    >>> words = read_words("Scrap it at 150.")
    >>> life_again(words, Pieces(words), 3).figures[0].role
    'life'
    """
    amount = pieces.amount(place)
    if amount is None or pieces.norm(amount[1]) not in _ENDS or not _is_led(reading, place):
        return None
    measure = Measure(amount[0], None, Unit("count", "1", "life", amount[1]), place, amount[1])
    return Found("life again", place, amount[1], (figure_from(reading, measure, None, (place, amount[1])),))


def _is_led(reading: Reading, place: int) -> bool:
    """Whether a life was told before, or the end of one is, by the words before the number."""
    if any(x.value == "life" for x in reading.all("count", last=place)):
        return reading.at(place - 1, "lasting") is not None
    ends = any(x.value == "retire" for x in reading.all("action", last=place))
    return ends and reading.at(place - 1, "life_at") is not None
