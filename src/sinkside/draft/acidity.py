"""Readings of pH: values, ranges, and ranges that are told by what lies outside them.

'pH 6 to 9', 'pH above 6 and below 9', 'pH min. 6, max. 9', 'nothing below pH 6 or above pH 9': one range.
"""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.draft.bounds import Bounds
from sinkside.draft.building import figure_from
from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Measure, Pieces, Unit
from sinkside.draft.notfigures import Found

_UNIT = Unit("ph", "pH", None, 0)
_LINKS = {"and", "or", "but", ",", "/"}
_MOST_LINKS = 2


@dataclass(frozen=True, slots=True)
class _End:
    """One number of a pH with what binds it, and from which token the reading goes on."""

    value: float
    code: str | None
    last: int
    opens_range: bool


class Acidity:
    """The production of pH."""

    def __init__(self, reading: Reading, pieces: Pieces, bounds: Bounds) -> None:
        self.reading = reading
        self.pieces = pieces
        self.bounds = bounds

    def read(self, place: int) -> Found | None:
        """The figure that begins at a token with 'pH', or with the words that bind it."""
        end = self._end(place, named=True)
        if end is None:
            return None
        high = self._high(end) or self._other_end(end)
        code, last = (None, high.last) if high else self.bounds.behind(end.last, end.code)
        ends = sorted((end.value, high.value)) if high else [end.value, None]
        measure = Measure(ends[0] or 0.0, ends[1], _UNIT, place, last)
        return Found("acidity", place, last, (figure_from(self.reading, measure, code, (place, last)),))

    def _end(self, place: int, *, named: bool) -> _End | None:
        """A number with the words before it; `named` says that 'pH' must stand among them."""
        before = self.bounds.before(place, linked=not named)
        word = self.reading.at(before.last, "ph")
        if word is None and named:
            return None
        behind = self.bounds.before(word.last, linked=True) if word else before
        amount = self.pieces.amount(behind.last)
        if amount is None:
            return None
        unit = self.pieces.unit(amount[1])
        if unit is not None and unit.unit != _UNIT.unit:
            return None
        last = unit.last if unit else amount[1]
        return _End(amount[0], before.code or behind.code, last, before.open_range or behind.open_range)

    def _high(self, low: _End) -> _End | None:
        """The upper end of 'pH 6 to 9', 'between pH 6 and pH 9'."""
        onward = self.pieces.range_sign(low.last)
        joined = self.reading.at(low.last, "range_and") if low.opens_range else None
        onward = joined.last if joined else onward
        return self._end(onward, named=False) if onward is not None else None

    def _other_end(self, one: _End) -> _End | None:
        """The other end of 'above 6 and below 9'; what is bound the other way round lies outside."""
        if one.code is None:
            return None
        here = one.last
        while here - one.last < _MOST_LINKS and self.pieces.norm(here) in _LINKS:
            here += 1
        sign = self.reading.at(here, "comparison")
        other = self._end(here, named=False) if here > one.last or sign else None
        if other is None or other.code is None or other.value <= one.value:
            return None
        return other if other.code.removeprefix("strict_") != one.code.removeprefix("strict_") else None
