"""What can stand behind a measure: the same value in other units, a tolerance, the kind of pressure."""

from __future__ import annotations

from typing import Any

from sinkside.draft.bounds import Bounds
from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Measure, Pieces
from sinkside.draft.notfigures import Found
from sinkside.quantities import Figure

_TWO_ENDS = 2
_LONGEST_REFERENCE = 4
_WORDS_OF_A_SUBSTANCE = 5


#: How much of the whole one of each unit of a dose is: 0.5 % and 5 mL/L are the same.
_SHARES = {"%": 0.01, "mL/L": 0.001, "ratio": 1.0}
_SAME = 0.02
#: "1 in 5 devices" is no dilution.
_LEAST_SHARE = 10


def _says_the_same_dose(one: Measure, other: Measure) -> bool:
    """Whether two doses agree; where they do not, both stay figures of their own, for the review to see."""
    first, second = _SHARES.get(one.unit.unit), _SHARES.get(other.unit.unit)
    if first is None or second is None:
        return False
    pairs = [(one.low, other.low), (one.high or 0.0, other.high or 0.0)]
    return all(abs(x * first - y * second) <= _SAME * abs(x * first) for x, y in pairs)


class Tails:
    """Reads on behind a measure."""

    def __init__(self, reading: Reading, pieces: Pieces, bounds: Bounds) -> None:
        self.reading = reading
        self.pieces = pieces
        self.bounds = bounds

    def also(self, measure: Measure) -> tuple[list[Measure], int]:
        """The same value in other units: in brackets, behind a stroke, or behind a comma for temperatures."""
        others: list[Measure] = []
        last, inside = measure.last, False
        while True:
            mark = self.pieces.norm(last)
            comma = mark in {",", ";"} and (inside or measure.unit.quantity == "temperature")
            if mark not in {"(", "[", "/", "="} and not comma:
                return others, last
            prefix = self.bounds.before(last + 1)
            start = max(last + 1, prefix.last)
            start += 1 if self.pieces.norm(start) == "=" else 0
            other = self.pieces.measure(start, open_range=prefix.open_range or measure.high is not None)
            if other is None or not self._same_in_other_unit(measure, other):
                return others, last
            others.append(other)
            last = other.last
            inside = inside or mark in {"(", "["}
            if inside and self.pieces.norm(last) in {")", "]"}:
                last, inside = last + 1, False

    @staticmethod
    def _same_in_other_unit(one: Measure, other: Measure) -> bool:
        if one.unit.unit == other.unit.unit or (one.high is None) != (other.high is None):
            return False
        if other.unit.quantity == "count" or one.unit.quantity == "count":
            return False
        if one.foreign or other.foreign or one.unit.quantity == other.unit.quantity:
            return True
        return _says_the_same_dose(one, other)

    def range_of_pairs(self, low: Measure, also: list[Measure], last: int) -> tuple[Measure, int]:
        """'27 °C (80 °F) to 44 °C (111 °F)' is one range."""
        onward = self.pieces.range_sign(last)
        if not also or low.high is not None or onward is None:
            return low, last
        high = self.pieces.measure(onward)
        if high is None or high.high is not None or high.unit.unit != low.unit.unit:
            return low, last
        others, last = self.also(high)
        also[:] = [
            Measure(one.low, other.low, one.unit, one.first, other.last)
            for one, other in zip(also, others, strict=False)
            if one.unit.unit == other.unit.unit
        ]
        return Measure(low.low, high.low, low.unit, low.first, high.last), last

    def pressure_reference(self, measure: Measure, last: int) -> tuple[str | None, int]:
        """Whether a pressure is absolute or gauge, as far as the text says."""
        if measure.unit.quantity != "pressure":
            return None, last
        if measure.low < 0:
            return "gauge", last  # what lies below zero can only count from the air around
        for place in range(
            max(measure.first, measure.unit.last - _LONGEST_REFERENCE),
            min(last + 2, len(self.reading.tokens)),
        ):
            word = self.reading.at(place, "pressure_reference")
            if word:
                return word.value, max(last, word.last)
        # "an absolute pressure of 205 kPa", "gauge pressure: 2 bar".
        for place in range(max(0, measure.first - _LONGEST_REFERENCE), measure.first):
            word = self.reading.at(place, "pressure_reference")
            if word and self.reading.at(word.last, "pressure_noun"):
                return word.value, last
        return "unsaid", last

    def tolerance(self, measure: Measure, last: int) -> tuple[Figure | None, int]:
        """'134 °C, 0/+3', '(tolerance -0/+3 K)', '± 2 °C'."""
        if measure.foreign:
            return None, last
        pieces, here = self.pieces, last
        while pieces.norm(here) in {",", "(", ":"} or self.reading.at(here, "tolerance"):
            here += 1
        start, signed = here, False
        ends: list[float] = []
        while len(ends) < _TWO_ENDS:
            sign = self.reading.at(here, "sign")
            if sign and pieces.norm(here + 1) == "/" and pieces.norm(here + 2) == "-":
                return self._symmetric(measure, here, here + 3)
            if sign and sign.value == "both":
                return self._symmetric(measure, here, sign.last)
            amount = pieces.amount(sign.last if sign else here)
            if amount is None:
                break
            signed = signed or (sign is not None and sign.value == "plus")
            ends.append(-amount[0] if sign and sign.value == "minus" else amount[0])
            unit = pieces.unit(amount[1])
            here = unit.last if unit and unit.quantity != "time" else amount[1]
            onward = pieces.range_sign(here) if self._signed_behind(here) else None
            if len(ends) < _TWO_ENDS and (pieces.norm(here) == "/" or onward):
                here = onward or here + 1
        if not signed:
            return None, last
        ends = [0.0, *ends] if len(ends) == 1 else ends
        figure = self._difference(measure, min(ends), max(ends), self.reading.words(start, here))
        return figure, here + (1 if pieces.norm(here) == ")" else 0)

    def _signed_behind(self, place: int) -> bool:
        """'0 to +3 K': only a sign tells that a range is one of tolerance."""
        onward = self.pieces.range_sign(place)
        sign = self.reading.at(onward, "sign") if onward is not None else None
        return sign is not None and self.pieces.starts_amount(sign.last)

    def _symmetric(self, measure: Measure, start: int, place: int) -> tuple[Figure | None, int]:
        amount = self.pieces.amount(place)
        if amount is None:
            return None, start
        unit = self.pieces.unit(amount[1])
        last = unit.last if unit else amount[1]
        return self._difference(measure, -amount[0], amount[0], self.reading.words(start, last)), last

    @staticmethod
    def _difference(measure: Measure, low: float, high: float, written: str) -> Figure:
        values: dict[str, Any] = {"quantity": measure.unit.quantity, "unit": measure.unit.unit}
        if measure.unit.quantity == "temperature":
            values = {"quantity": "temperature-difference", "unit": "K"}
        return Figure(min=low, max=high, as_written=written, **values)

    def up_to_as_well(self, measure: Measure, code: str | None, last: int) -> Measure | None:
        """'not less than 3 minutes nor more than 18 minutes' is one range."""
        if (
            code != "min"
            or measure.high is not None
            or self.pieces.norm(last) not in {"nor", "and", "but", ","}
        ):
            return None
        here = last + (
            2 if self.pieces.norm(last) == "," and self.pieces.norm(last + 1) in {"and", "but"} else 1
        )
        prefix = self.bounds.before(here)
        upper = self.pieces.measure(prefix.last)
        if (
            upper is None
            or prefix.code != "max"
            or upper.high is not None
            or upper.unit.unit != measure.unit.unit
        ):
            return None
        if upper.low <= measure.low:
            return None
        return Measure(measure.low, upper.low, measure.unit, measure.first, upper.last)

    def bound_inside(self, measure: Measure) -> str | None:
        """'five or more strokes': the bound before the noun that is counted."""
        inside = self.reading.all("bound_after", first=measure.first + 1, last=measure.unit.last)
        return next((x.value for x in inside if self.pieces.norm(x.first) in {"or", "and"}), None)

    def lone_tolerance(self, place: int) -> Found | None:
        """'0/+3' in a column of kelvins."""
        pieces, default = self.pieces, self.pieces.default_unit
        if (
            default is None
            or default.unit != "K"
            or pieces.norm(place + 1) != "/"
            or pieces.norm(place + 2) != "+"
        ):
            return None
        low, high = pieces.amount(place), pieces.amount(place + 3)
        if low is None or high is None:
            return None
        written = self.reading.words(place, high[1])
        values: dict[str, Any] = {"quantity": default.quantity, "unit": "K"}
        figure = Figure(min=-low[0] + 0.0, max=high[0], as_written=written, **values)
        return Found("a tolerance alone", place, high[1], (figure,))

    def shares(self, place: int) -> Found | None:
        """'1 part of cleaner to 200 parts of water'."""
        one = self.pieces.amount(place)
        share = self.reading.at(one[1], "share") if one else None
        if one is None:
            return None
        if share is None:
            return self._one_in(place, *one)
        for here in range(share.last, min(share.last + _WORDS_OF_A_SUBSTANCE, len(self.reading.tokens))):
            other = self.pieces.amount(here)
            whole = self.reading.at(other[1], "share") if other else None
            if other and whole and other[0]:
                written = self.reading.words(place, whole.last)
                figure = Figure(quantity="ratio", value=one[0] / other[0], unit="ratio", as_written=written)
                return Found("shares", place, whole.last, (figure,))
        return None

    def _one_in(self, place: int, part: float, last: int) -> Found | None:
        """'a dilution of 1 in 100', '1+99': one part of a solution in so many."""
        diluted = self.reading.has("dilution") or any(
            x.value not in {"water", "air", "steam"} for x in self.reading.all("substance")
        )
        link = self.pieces.norm(last)
        other = self.pieces.amount(last + 1) if diluted and part == 1.0 and link in {"in", "+"} else None
        if other is None or other[0] < _LEAST_SHARE or self.pieces.unit_or_count(other[1]):
            return None
        whole = other[0] + (part if link == "+" else 0.0)
        written = self.reading.words(place, other[1])
        figure = Figure(quantity="ratio", value=part / whole, unit="ratio", as_written=written)
        return Found("one in so many", place, other[1], (figure,))
