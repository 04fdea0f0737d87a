"""Numbers of several words: 'one hundred and forty-five', 'cent vingt', 'dos mil quinientos'."""

from __future__ import annotations

from sinkside.draft.lexicon import Reading

_HUNDRED, _THOUSAND = 100.0, 1000.0


def spelled(reading: Reading, place: int) -> tuple[float, int] | None:
    """The value of the number words from a token on, and where they end; none if there are none.

    >>> from sinkside.draft.lexicon import read_words
    >>> spelled(read_words("one hundred and forty-five cycles"), 0)
    (145.0, 4)
    >>> spelled(read_words("two two-litre baths"), 0)
    (2.0, 1)
    """
    word = reading.at(place, "number")
    if word is None:
        return None
    value, last = float(word.value), word.last
    while last < len(reading.tokens):
        joined = last + (1 if reading.tokens[last].norm == "and" else 0)
        further = reading.at(joined, "number")
        grown = _with(value, float(further.value), joined=joined > last) if further else None
        if further is None or grown is None:
            break
        value, last = grown, further.last
    return value, last


def _with(value: float, further: float, *, joined: bool) -> float | None:
    """A number with the word behind it: 'two' 'hundred', 'hundred' 'and' 'five'; none if they are two."""
    if not joined and further in {_HUNDRED, _THOUSAND} and 1 < value < further:
        return value * further
    for step in (_THOUSAND, _HUNDRED):
        if value >= step and not value % step and 1 <= further < step:
            return value + further
    return None
