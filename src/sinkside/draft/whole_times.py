"""Times without a number: 'within the hour', 'am selben Tag'."""

from __future__ import annotations

from sinkside.draft.building import figure_from
from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Measure, Unit
from sinkside.draft.notfigures import Found


def whole_time(reading: Reading, place: int) -> Found | None:
    """One hour or day at most, where a phrase says so from a token on.

    >>> from sinkside.draft.lexicon import read_words
    >>> whole_time(read_words("within the hour"), 0).figures[0].max
    1.0
    """
    phrase = reading.at(place, "whole_time")
    if phrase is None:
        return None
    measure = Measure(1.0, None, Unit("time", phrase.value, None, phrase.last), place, phrase.last)
    figure = figure_from(reading, measure, "max", (place, phrase.last))
    return Found("a whole time", place, phrase.last, (figure,))
