"""The small pieces of the figure grammar: amounts, units, ranges, and what can follow them.

Each reader starts at a token and says what it read and where it ended, or that there is nothing of its kind.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sinkside.draft.lexicon import Reading
from sinkside.draft.number_words import spelled
from sinkside.draft.tokens import TokenKind

_WORDS_BEFORE_A_COUNT = 2
_SMALLER_TIME = {"h": ("min", 60.0), "min": ("s", 60.0)}
_FRACTION_PARTS = {2.0, 3.0, 4.0}
_LEAST_DOTS_OF_A_RANGE = 2
_LONGEST_HEAD = 3
_HALF = 0.5
_SIGNED = {"pressure", "temperature"}
_TWO_DIGITS = 2
_THREE_DIGITS, _THOUSAND = 3, 1000


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit or count noun: what it measures, how it is written, the part it plays."""

    quantity: str
    unit: str
    role: str | None
    last: int


@dataclass(frozen=True, slots=True)
class Measure:
    """A number or range with its unit."""

    low: float
    high: float | None
    unit: Unit
    first: int
    last: int

    @property
    def foreign(self) -> bool:
        """Whether no figure can carry the unit."""
        return self.unit.quantity == "foreign"


def _fits(low: Unit, high: Unit) -> bool:
    """Whether both ends of a range are in one unit; '30° to 40 °C' is."""
    return low.unit == high.unit or (low.unit == "deg" and high.quantity == "temperature")


class Pieces:
    """Readers of amounts, units and measures over one sentence."""

    def __init__(self, reading: Reading, default_unit: Unit | None = None) -> None:
        self.reading = reading
        self.tokens = reading.tokens
        self.default_unit = default_unit

    def norm(self, place: int) -> str:
        """The lower-case text of a token, empty behind the end."""
        return self.tokens[place].norm if 0 <= place < len(self.tokens) else ""

    def glued(self, place: int) -> bool:
        """Whether a token touches the one before."""
        return 0 < place < len(self.tokens) and self.tokens[place].start == self.tokens[place - 1].end

    def is_digit(self, place: int) -> bool:
        """Whether a number in digits stands here."""
        return 0 <= place < len(self.tokens) and self.tokens[place].kind is TokenKind.number

    def amount(self, place: int) -> tuple[float, int] | None:
        """A number in digits or words."""
        if self.is_digit(place):
            value = self.tokens[place].value
            if value is None or (self.glued(place + 1) and self.reading.at(place + 1, "ordinal")):
                return None
            thousands = self._thousands(value, place)
            value, last = thousands or self._with_fraction(value, place + 1)
            bracketed = self.norm(place - 1) == "(" and self.norm(last) == ")" and self.unit(last + 1)
            return value, last + 1 if bracketed else self._behind_the_same_again(last)
        if self.is_sign(place):
            return -(self.tokens[place + 1].value or 0.0), place + 2
        word = spelled(self.reading, place)
        if word:
            return word[0], self._behind_the_same_again(word[1])
        return self._in_brackets(place)

    def _thousands(self, value: float, place: int) -> tuple[float, int] | None:
        """'2 300 mbar': a space before three digits and a unit parts thousands."""
        first, behind = self.tokens[place], place + 1
        if not self.is_digit(behind) or not (first.text.isdigit() and 1 <= value < _THOUSAND):
            return None
        hundreds = self.tokens[behind]
        parted = (
            hundreds.start - first.end == 1
            and hundreds.text.isdigit()
            and len(hundreds.text) == _THREE_DIGITS
        )
        whole = value * _THOUSAND + (hundreds.value or 0.0)
        return (whole, behind + 1) if parted and self.reading.at(behind + 1, "unit") else None

    def is_sign(self, place: int) -> bool:
        """Whether the minus of a pressure or temperature stands here: 'at -0.8 bar', '-20 to 40 °C'."""
        minus = self.norm(place) == "-" and self.glued(place + 1) and not self.glued(place)
        if not minus or not self.is_digit(place + 1) or self.is_digit(place - 1) or self._ends_unit(place):
            return False
        unit, onward = self._bare_unit(place + 2), self.range_sign(place + 2)
        sign = self.reading.at(onward, "sign") if onward is not None else None
        high = (sign.last if sign else onward) if onward is not None else None
        if unit is None and high is not None and self.is_digit(high):
            unit = self._bare_unit(high + 1)
        return unit in _SIGNED

    def _bare_unit(self, place: int) -> str | None:
        lexeme = self.reading.at(place, "unit")
        return lexeme.value.partition(":")[0] if lexeme else None

    def _ends_unit(self, place: int) -> bool:
        """Whether a unit ends before a token: '134 °C -0/+3' has no negative number."""
        return any(x.last == place for x in self.reading.all("unit", last=place))

    def _in_brackets(self, place: int) -> tuple[float, int] | None:
        """'at least (5) minutes'."""
        alone = self.norm(place) == "(" and self.is_digit(place + 1) and self.norm(place + 2) == ")"
        value = self.tokens[place + 1].value if alone and self.unit(place + 3) else None
        return (value, place + 3) if value is not None else None

    def _behind_the_same_again(self, place: int) -> int:
        """'four (4) minutes', '4 (four) minutes': the second only says the first again."""
        if self.norm(place) != "(":
            return place
        word = self.reading.at(place + 1, "number")
        last = word.last if word else place + 2 if self.is_digit(place + 1) else place
        return last + 1 if last > place and self.norm(last) == ")" else place

    def range_sign(self, place: int) -> int | None:
        """Behind 'to', '-', '…' or '...' between two numbers; none if none stands here."""
        sign = self.reading.at(place, "range")
        if sign:
            return sign.last
        last = place
        while self.norm(last) in {"…", "."}:
            last += 1
        dots = self.norm(place) == "…" or last - place >= _LEAST_DOTS_OF_A_RANGE
        return last if dots and self.is_digit(last) else None

    def starts_amount(self, place: int) -> bool:
        """Whether a number begins here."""
        return self.is_digit(place) or self.is_sign(place) or self.reading.at(place, "number") is not None

    def _with_fraction(self, value: float, place: int) -> tuple[float, int]:
        simple = self._fraction(value, place - 1)
        if simple:
            return simple, place + 2
        mixed = self._fraction(self.tokens[place].value or 0.0, place) if self.is_digit(place) else None
        if mixed:
            return value + mixed, place + 3
        if self.norm(place) in {"½", "¼", "¾"} and self.tokens[place].value:
            return value + (self.tokens[place].value or 0.0), place + 1
        return value, place

    def _fraction(self, value: float, place: int) -> float | None:
        """'1/2' before a unit."""
        glued = self.norm(place + 1) == "/" and self.glued(place + 1) and self.glued(place + 2)
        if not glued or not self.is_digit(place + 2) or not self.unit(place + 3):
            return None
        divisor = self.tokens[place + 2].value or 0.0
        return value / divisor if value < divisor and divisor in _FRACTION_PARTS else None

    def unit(self, place: int) -> Unit | None:
        """A unit of measurement, perhaps behind a hyphen ('360-degree')."""
        if self.norm(place) == "-" and self.glued(place) and self.glued(place + 1):
            place += 1
        lexeme = self.reading.at(place, "unit")
        if lexeme is None:
            return self._prime(place)
        quantity, unit = lexeme.value.split(":")
        if self.reading.at(place, "bound_after") and self._is_bound_not_unit(place, lexeme.last):
            return None
        if self.reading.at(place, "unit_or_word") and self._is_word_not_unit(place, lexeme.last):
            return None
        last = lexeme.last
        if self.norm(last) == "." and self.glued(last) and last + 1 < len(self.tokens):
            last += 1
        return Unit(quantity, unit, None, last)

    def _prime(self, place: int) -> Unit | None:
        """A prime behind a number is minutes; two are seconds where the sentence writes minutes so."""
        if not (self.glued(place) and self.is_digit(place - 1)) or self.is_digit(place + 1):
            return None
        if self.norm(place) == "'" and self.norm(place + 1) != "'":
            return Unit("time", "min", None, place + 1)
        minutes = any(
            token.norm == "'" and self.is_digit(x - 1) and self.glued(x)
            for x, token in enumerate(self.tokens[:place])
        )
        return Unit("time", "s", None, place + 1) if self.norm(place) == '"' and minutes else None

    def _is_bound_not_unit(self, place: int, last: int) -> bool:
        """'3 times min.' and '5 min' share a word: only straight behind a number is it a unit."""
        return not (self.is_digit(place - 1) or self.reading.at(place - 1, "number")) and last > place

    def _is_word_not_unit(self, place: int, last: int) -> bool:
        """'6.3 in long' is a length, '10.5 in use' none: a word behind 'in' must be a dimension."""
        behind = last < len(self.tokens) and self.tokens[last].kind in {TokenKind.word, TokenKind.number}
        named = self.reading.at(last, "dimension") or self.reading.at(last, "range")
        return last == place + 1 and (behind or not self.is_digit(place - 1)) and not named

    def count_noun(self, place: int) -> Unit | None:
        """A noun that makes the number a count, perhaps behind one or two other words."""
        if self.norm(place) == "-" and self.glued(place):
            place += 1
        for ahead in range(_WORDS_BEFORE_A_COUNT + 1):
            here = place + ahead
            lexeme = self.reading.at(here, "count")
            if lexeme and not (lexeme.value == "times" and ahead):
                return Unit("count", "1", lexeme.value, lexeme.last)
            if here >= len(self.tokens) or self.tokens[here].kind is not TokenKind.word:
                return None
            if self.reading.at(here, "unit") or self.reading.at(here, "reference_and"):
                return None
        return None

    def unit_or_count(self, place: int) -> Unit | None:
        """A unit, else a count noun."""
        return self.unit(place) or self.count_noun(place)

    def measure(self, place: int, *, open_range: bool = False) -> Measure | None:
        """A number or a range with its unit."""
        low = self.amount(place)
        if low is None:
            return None
        unit = self.unit_or_count(low[1])
        ranged = self._range(place, low, unit, open_range=open_range)
        if ranged:
            return ranged
        unit = unit or self._unit_behind_tolerance(low[1]) or self._unit_behind_bound(low[1])
        default = self.default_unit or self._unit_in_front(place)
        unit = unit or (replace(default, last=low[1]) if default else None)
        if unit is None or (unit.role == "magnification" and low[0] == 1.0 and not self.is_digit(place)):
            return None  # "un grossissement" is a magnification, and no figure of one
        return self.compound(Measure(low[0], None, unit, place, unit.last))

    def _unit_in_front(self, place: int) -> Unit | None:
        """'Exposure time (min): 4', 'Temperature in °C: 134'."""
        here = place - 1
        while here > 0 and place - here <= _LONGEST_HEAD and self.norm(here) in {":", "=", ")", "]"}:
            here -= 1
        if here == place - 1 or here < 1:
            return None
        for first in (here, here - 1):
            lexeme = self.reading.at(first, "unit")
            led = self.norm(first - 1) in {"(", "[", "in"}
            if lexeme and led and lexeme.last == here + 1 and not lexeme.value.startswith("foreign"):
                quantity, unit = lexeme.value.split(":")
                return Unit(quantity, unit, None, here + 1)
        return None

    def _unit_behind_tolerance(self, place: int) -> Unit | None:
        """'121 ± 2 °C': the unit stands behind the tolerance, and the measure ends before it."""
        sign = self.reading.at(place, "sign")
        amount = self.amount(sign.last) if sign and sign.value == "both" else None
        unit = self.unit(amount[1]) if amount else None
        return replace(unit, last=place) if unit else None

    def _range(
        self, first: int, low: tuple[float, int], low_unit: Unit | None, *, open_range: bool
    ) -> Measure | None:
        behind = low_unit.last if low_unit else low[1]
        onward = self.range_sign(behind)
        if onward is None and open_range:
            joined = self.reading.at(behind, "range_and")
            onward = joined.last if joined else None
        sign = self.reading.at(onward, "sign") if onward is not None else None
        onward = sign.last if sign and sign.value == "plus" else onward
        high = self.amount(onward) if onward is not None else None
        if high is None:
            return None
        unit = self.unit_or_count(high[1]) or self._unit_behind_bracket(first, high[1])
        if unit is None and self.default_unit:
            unit = replace(self.default_unit, last=high[1])
        if unit is None or (low_unit and not _fits(low_unit, unit)):
            return None
        return Measure(low[0], high[0], unit, first, unit.last)

    def _unit_behind_bracket(self, first: int, place: int) -> Unit | None:
        """'(35 - 40) °C': the unit stands behind the bracket that holds the range."""
        return self.unit(place + 1) if self.norm(first - 1) == "(" and self.norm(place) == ")" else None

    def _unit_behind_bound(self, place: int) -> Unit | None:
        """'five or more strokes': the bound stands between the number and what is counted."""
        bound = self.reading.at(place, "bound_after")
        return self.unit_or_count(bound.last) if bound and self.norm(place) in {"or", "and"} else None

    def compound(self, measure: Measure) -> Measure:
        """'1 h 30 min' is one figure, in the smaller unit."""
        smaller = _SMALLER_TIME.get(measure.unit.unit)
        if smaller is None or measure.unit.quantity != "time":
            return measure
        place = measure.last + (1 if self.norm(measure.last) == "and" else 0)
        rest = self.amount(place)
        unit = self.unit(rest[1]) if rest else None
        if rest and place > measure.last and rest[0] == _HALF and unit is None:
            return replace(measure, low=measure.low + _HALF, last=rest[1])
        if rest and unit is None and self.is_digit(measure.last) and self._goes_with(measure.last):
            unit = Unit("time", smaller[0], None, rest[1])
        if rest is None or unit is None or unit.unit != smaller[0] or rest[0] >= smaller[1]:
            return measure
        return Measure(measure.low * smaller[1] + rest[0], None, unit, measure.first, unit.last)

    def _goes_with(self, place: int) -> bool:
        """'1h30' and '1 min 30': the smaller unit is left out, and two digits end the time."""
        ends = self.norm(place + 1) in {"", ".", ",", ";", ")"}
        return self.glued(place) or (ends and len(self.tokens[place].text) == _TWO_DIGITS)

    def clock(self, place: int) -> Measure | None:
        """'0:45 h', or minutes and seconds with their marks."""
        if not (self.is_digit(place) and self.is_digit(place + 2) and self.glued(place + 1)):
            return None
        large, small = self.tokens[place].value or 0.0, self.tokens[place + 2].value or 0.0
        if self.norm(place + 1) == "'" and small < _SMALLER_TIME["min"][1]:
            last = place + 3
            while self.norm(last) in {'"', "'"}:
                last += 1
            return Measure(large * 60 + small, None, Unit("time", "s", None, last), place, last)
        unit = self.unit(place + 3) or (
            replace(self.default_unit, last=place + 3) if self.default_unit else None
        )
        if self.norm(place + 1) != ":" or unit is None or unit.unit not in _SMALLER_TIME:
            return None
        smaller, many = _SMALLER_TIME[unit.unit]
        return Measure(large * many + small, None, Unit("time", smaller, None, unit.last), place, unit.last)
