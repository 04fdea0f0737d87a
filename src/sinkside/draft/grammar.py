"""The grammar of figures: ordered productions over tokens, each with a name that explains what it read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Measure, Pieces, Unit
from sinkside.draft.tokens import TokenKind
from sinkside.quantities import Figure

_BRIDGE_MARKS = {":", "=", "(", ")", "."}
_LONGEST_BRIDGE = 7
_WORDS_OF_A_SUBSTANCE = 5
_PER_VOLUME = {
    ("mL", "L"): "mL/L",
    ("g", "L"): "g/L",
    ("mL", "mL"): "mL/mL",
}
#: "Look under 8x magnification": here 'under' is no bound.
_LOOKED_THROUGH = {"magnification", "times", "fold"}
_FIRST_YEAR, _LAST_YEAR = 1900, 2100


@dataclass(frozen=True, slots=True)
class Found:
    """What a production read: its name, from which token to which, and the figures, if any.

    `unread` marks a number that is a figure but cannot be carried: it is kept for a human.
    """

    pattern: str
    first: int
    last: int
    figures: tuple[Figure, ...] = ()
    unread: bool = False


@dataclass(frozen=True, slots=True)
class _Bound:
    """A bound word, and from which token the reading goes on."""

    code: str | None
    open_range: bool
    last: int


class FigureGrammar:
    """Reads every number of a sentence, left to right, by the first production that fits."""

    def __init__(
        self, reading: Reading, *, default_unit: Unit | None = None, names: frozenset[str] = frozenset()
    ) -> None:
        self.reading = reading
        self.pieces = Pieces(reading, default_unit)
        self.names = names
        self._productions: tuple[tuple[str, Callable[[int], Found | None]], ...] = (
            ("standard", self._standard),
            ("reference", self._reference),
            ("date", self._date),
            ("acidity", self._acidity),
            ("lethality", self._lethality),
            ("bounded", self._bounded),
            ("noun first", self._noun_first),
            ("twice", self._twice),
            ("name", self._name),
            ("things", self._things),
            ("bare number", self._bare),
        )

    def read(self) -> list[Found]:
        """Every number of the sentence, as figures, as something that is no figure, or as unread."""
        found, place = [], 0
        while place < len(self.reading.tokens):
            for _, production in self._productions:
                read = production(place)
                if read is not None:
                    found.append(read)
                    place = read.last
                    break
            else:
                place += 1
        return found

    # Numbers that are no figures.

    def _standard(self, place: int) -> Found | None:
        standard = self.reading.at(place, "standard")
        if standard is None:
            return None
        last = standard.last
        if last < len(self.reading.tokens) and self.pieces.norm(last) == ":":
            return None
        while last < len(self.reading.tokens) and (
            self.reading.tokens[last].kind in {TokenKind.number, TokenKind.label}
            or (self.pieces.norm(last) in {"-", ":", "/"} and self.pieces.glued(last))
        ):
            last += 1
        return Found("standard", place, last) if last > standard.last else None

    def _reference(self, place: int) -> Found | None:
        word = self.reading.at(place, "reference")
        if word is None:
            return None
        last = word.last + (1 if self.pieces.norm(word.last) == "." else 0)
        if not self._is_numeral(last) or self.pieces.unit_or_count(last + 1):
            return None
        last += 1
        while True:
            link = self.reading.at(last, "reference_and")
            here = link.last if link else last
            again = self.reading.at(here, "reference")
            here = again.last if again else here
            if not link or not self._is_numeral(here) or self.pieces.unit_or_count(here + 1):
                return Found("reference", place, last)
            last = here + 1

    def _is_numeral(self, place: int) -> bool:
        if place >= len(self.reading.tokens):
            return False
        return self.reading.tokens[place].kind in {TokenKind.number, TokenKind.label}

    def _date(self, place: int) -> Found | None:
        pieces = self.pieces
        if self.reading.at(place, "month") and pieces.is_digit(place + 1):
            last = place + 2
            if pieces.norm(last) == "," and self._is_year(last + 1):
                last += 1
            return Found("date", place, last + (1 if self._is_year(last) else 0))
        if pieces.is_digit(place) and self.reading.at(place + 1, "month"):
            return Found("date", place, place + 2 + (1 if self._is_year(place + 2) else 0))
        if self._is_year(place) and pieces.norm(place + 1) in {"-", "/"} and pieces.is_digit(place + 2):
            last = place + 3
            if pieces.norm(last) in {"-", "/"} and pieces.is_digit(last + 1):
                last += 2
            return Found("date", place, last)
        if pieces.is_digit(place) and pieces.norm(place + 1) in {"/", "-"} and self._is_year(place + 2):
            return None if pieces.unit(place + 3) else Found("date", place, place + 3)
        return None

    def _is_year(self, place: int) -> bool:
        if not self.pieces.is_digit(place) or self.pieces.unit_or_count(place + 1):
            return False
        token = self.reading.tokens[place]
        return len(token.text) == len("2026") and _FIRST_YEAR <= (token.value or 0) <= _LAST_YEAR

    def _name(self, place: int) -> Found | None:
        """'Larkspur 2.5' is what the device is called."""
        named = self.pieces.is_digit(place) and self.pieces.norm(place - 1) in self.names
        return Found("name", place, place + 1) if named else None

    def _things(self, place: int) -> Found | None:
        if not self.pieces.is_digit(place):
            return None
        if self.pieces.glued(place + 1) and self.reading.at(place + 1, "ordinal"):
            return Found("ordinal", place, place + 2)
        near = [self.reading.at(place + ahead, kind) for ahead in (1, 2) for kind in ("thing", "part_noun")]
        if any(near):
            return Found("things", place, place + 1)
        return None

    def _bare(self, place: int) -> Found | None:
        return Found("bare number", place, place + 1, unread=True) if self.pieces.is_digit(place) else None

    # Figures with a name of their own: pH 7 to 9, A0 3000.

    def _acidity(self, place: int) -> Found | None:
        word = self.reading.at(place, "ph")
        return self._named(place, word.last, "acidity", Unit("ph", "pH", None, 0)) if word else None

    def _lethality(self, place: int) -> Found | None:
        word = self.reading.at(place, "lethality")
        if word is None:
            return None
        found = self._named(
            place, word.last, "lethality", Unit("lethality", word.value.split(":")[1], None, 0)
        )
        if found is None:
            return None
        unit = self.pieces.unit(found.last)
        return Found(found.pattern, place, unit.last, found.figures) if unit else found

    def _named(self, first: int, place: int, pattern: str, unit: Unit) -> Found | None:
        prefix = self._prefix(place, linked=True)
        low = self.pieces.amount(prefix.last)
        if low is None:
            return None
        high, last = None, low[1]
        separator = self.reading.at(last, "range") or (
            self.reading.at(last, "range_and") if prefix.open_range else None
        )
        if separator:
            upper = self.pieces.amount(separator.last)
            if upper:
                high, last = upper
        measure = Measure(low[0], high, unit, first, last)
        code, last = self._bound_behind(last, prefix.code)
        return Found(pattern, first, last, (self._figure(measure, code, first, last),))

    # Measures with everything that can stand before and behind them.

    def _bounded(self, place: int) -> Found | None:
        prefix = self._prefix(place)
        if prefix.last > place and not self._starts_amount(prefix.last):
            return self._named_behind(place, prefix) if prefix.code else None
        for core in (self._clock, self._ratio, self._multiple, self._concentration, self._measured):
            found = core(place, prefix)
            if found:
                return found
        return None

    def _named_behind(self, place: int, prefix: _Bound) -> Found | None:
        """'up to pH 12': the bound stands before the name."""
        found = self._acidity(prefix.last) or self._lethality(prefix.last)
        if found is None:
            return None
        written = self.reading.words(place, found.last).rstrip(" .,;")
        figures = tuple(_bound_by(figure, prefix.code or "", written) for figure in found.figures)
        return Found(found.pattern, place, found.last, figures)

    def _noun_first(self, place: int) -> Found | None:
        """'Number of cycles: maximum 150'."""
        noun = self.reading.at(place, "count")
        if noun is None or noun.value in _LOOKED_THROUGH:
            return None
        prefix = self._prefix(noun.last, linked=True)
        amount = self.pieces.amount(prefix.last) if prefix.last > noun.last else None
        if amount is None or self.pieces.unit_or_count(amount[1]) or not self.pieces.is_digit(prefix.last):
            return None
        unit = Unit("count", "1", noun.value, amount[1])
        code, last = self._bound_behind(amount[1], prefix.code)
        figure = self._figure(Measure(amount[0], None, unit, place, last), code, place, last)
        return Found("noun first", place, last, (figure,))

    def _starts_amount(self, place: int) -> bool:
        return self.pieces.is_digit(place) or self.reading.at(place, "number") is not None

    def _prefix(self, place: int, *, linked: bool = False) -> _Bound:
        """Bound words, 'between', 'about' and what may stand between them and the number."""
        code, open_range, here = None, False, place
        while here < len(self.reading.tokens) and here - place <= _LONGEST_BRIDGE:
            comparison = self.reading.at(here, "comparison")
            bound = self._bound_before(here)
            opening = self.reading.at(here, "range_open")
            loose = self.reading.at(here, "approximately")
            link = self.reading.at(here, "value_link") if linked else None
            noun = self.reading.at(here, "quantity_noun") if code else None
            if comparison:
                code, here = self._turned(comparison.value, here), comparison.last
            elif bound:
                code, here = bound
            elif opening:
                open_range, here = True, opening.last
            elif loose or link or noun:
                here = next(x.last for x in (loose, link, noun) if x)
            elif (code or linked) and self.pieces.norm(here) in _BRIDGE_MARKS:
                here += 1
            else:
                break
        return _Bound(code, open_range, here)

    def _bound_before(self, place: int) -> tuple[str, int] | None:
        for code in ("bound_before",):
            lexeme = self.reading.at(place, code)
            if lexeme:
                return self._turned(lexeme.value, place), lexeme.last
        return None

    def _turned(self, code: str, place: int) -> str:
        """'No chloride above 120 mg/L' allows at most 120 mg/L: a prohibition turns a strict bound round."""
        if not code.startswith("strict"):
            return code
        start = max((x for x in range(place) if self.pieces.norm(x) in {";", "."}), default=0)
        if self.reading.all("negation", first=start, last=place):
            return "max" if code == "strict_min" else "min"
        return code

    def _measured(self, place: int, prefix: _Bound) -> Found | None:
        measure = self.pieces.measure(prefix.last, open_range=prefix.open_range)
        if measure is None:
            return self._article(place, prefix)
        return self._finish(place, prefix, measure, "measure")

    def _article(self, place: int, prefix: _Bound) -> Found | None:
        """'within an hour': an article counts only before a unit of time, behind a bound."""
        article = self.reading.at(prefix.last, "article")
        unit = self.pieces.unit(article.last) if article and prefix.code else None
        if article is None or unit is None or unit.quantity != "time":
            return None
        return self._finish(place, prefix, Measure(1.0, None, unit, prefix.last, unit.last), "article")

    def _clock(self, place: int, prefix: _Bound) -> Found | None:
        measure = self.pieces.clock(prefix.last)
        return self._finish(place, prefix, measure, "clock") if measure else None

    def _finish(self, place: int, prefix: _Bound, measure: Measure, pattern: str) -> Found | None:
        """The reading goes on behind the measure: other units, tolerance, bounds."""
        if prefix.code == "strict_max" and measure.unit.role in _LOOKED_THROUGH:
            place, prefix = measure.first, _Bound(None, open_range=False, last=measure.first)
        also, last = self._also(measure)
        measure, last = self._range_of_pairs(measure, also, last)
        reference, last = self._pressure_reference(measure, last)
        code, last = self._bound_behind(last, prefix.code)
        tolerance, last_of_tolerance = self._tolerance(measure, last)
        values = [one for one in (measure, *also) if not one.foreign]
        if not values:
            return Found(f"{pattern}: unit that no figure carries", place, last, unread=True)
        figure = self._figure(values[0], code, place, last, others=values[1:], reference=reference)
        figures = (figure, tolerance) if tolerance else (figure,)
        return Found(pattern, place, last_of_tolerance if tolerance else last, figures)

    def _also(self, measure: Measure) -> tuple[list[Measure], int]:
        """The same value in other units: in brackets, behind a stroke, or behind a comma for temperatures."""
        others: list[Measure] = []
        last = measure.last
        while True:
            mark = self.pieces.norm(last)
            comma = mark == "," and measure.unit.quantity == "temperature"
            if mark not in {"(", "[", "/", "="} and not comma:
                return others, last
            prefix = self._prefix(last + 1)
            start = prefix.last if prefix.last > last + 1 else last + 1
            start += 1 if self.pieces.norm(start) == "=" else 0
            other = self.pieces.measure(start, open_range=prefix.open_range or measure.high is not None)
            if other is None or not self._same_in_other_unit(measure, other):
                return others, last
            others.append(other)
            last = other.last
            if mark in {"(", "["} and self.pieces.norm(last) in {")", "]"}:
                last += 1

    @staticmethod
    def _same_in_other_unit(one: Measure, other: Measure) -> bool:
        if one.unit.unit == other.unit.unit or (one.high is None) != (other.high is None):
            return False
        if other.unit.quantity == "count" or one.unit.quantity == "count":
            return False
        return one.foreign or other.foreign or one.unit.quantity == other.unit.quantity

    def _range_of_pairs(self, low: Measure, also: list[Measure], last: int) -> tuple[Measure, int]:
        """'27 °C (80 °F) to 44 °C (111 °F)' is one range."""
        separator = self.reading.at(last, "range")
        if not also or low.high is not None or separator is None:
            return low, last
        high = self.pieces.measure(separator.last)
        if high is None or high.high is not None or high.unit.unit != low.unit.unit:
            return low, last
        others, last = self._also(high)
        also[:] = [
            Measure(one.low, other.low, one.unit, one.first, other.last)
            for one, other in zip(also, others, strict=False)
            if one.unit.unit == other.unit.unit
        ]
        return Measure(low.low, high.low, low.unit, low.first, high.last), last

    def _pressure_reference(self, measure: Measure, last: int) -> tuple[str | None, int]:
        if measure.unit.quantity != "pressure":
            return None, last
        for place in range(measure.unit.last - 2, min(last + 2, len(self.reading.tokens))):
            word = self.reading.at(place, "pressure_reference")
            if word:
                return word.value, max(last, word.last)
        return "unsaid", last

    def _bound_behind(self, last: int, code: str | None) -> tuple[str | None, int]:
        if code:
            return code, last
        place = last + (1 if self.pieces.norm(last) in {",", "("} else 0)
        bound = self.reading.at(place, "bound_after")
        if bound is None or self._starts_amount(bound.last):
            return code, last
        if self._prefix(place).last > bound.last and self._starts_amount(self._prefix(place).last):
            return code, last
        end = bound.last
        if place > last and self.pieces.norm(end) == "." and self.pieces.norm(end + 1) == ")":
            end += 1
        return bound.value, end + (1 if self.pieces.norm(end) == ")" and place > last else 0)

    def _tolerance(self, measure: Measure, last: int) -> tuple[Figure | None, int]:
        """'134 °C, 0/+3', '(tolerance -0/+3 K)', '± 2 °C'."""
        if measure.foreign:
            return None, last
        pieces, here = self.pieces, last
        while pieces.norm(here) in {",", "(", ":"} or self.reading.at(here, "tolerance"):
            here += 1
        start, ends, signed = here, [], False
        while len(ends) < len("lo"):
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
            if pieces.norm(here) == "/" and len(ends) < len("lo"):
                here += 1
        if not signed:
            return None, last
        ends = [0.0, *ends] if len(ends) == 1 else ends
        figure = self._difference(measure, min(ends), max(ends), self.reading.words(start, here))
        return figure, here + (1 if pieces.norm(here) == ")" else 0)

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

    # Numbers that belong together.

    def _ratio(self, place: int, prefix: _Bound) -> Found | None:
        pieces, here = self.pieces, prefix.last
        if not (pieces.is_digit(here) and pieces.norm(here + 1) == ":" and pieces.is_digit(here + 2)):
            return None
        part, whole = self.reading.tokens[here].value, self.reading.tokens[here + 2].value
        if not part or not whole:
            return None
        written = self.reading.words(place, here + 3)
        figure = Figure(quantity="ratio", value=part / whole, unit="ratio", as_written=written)
        return Found("ratio", place, here + 3, (figure,))

    def _multiple(self, place: int, prefix: _Bound) -> Found | None:
        """'3 x 20 mL = 60 mL': a count, a measure and perhaps a total; two lengths are the sides of one thing."""
        count = self.pieces.amount(prefix.last)
        if count is None:
            return None
        length = self.pieces.unit(count[1])
        sign = self.reading.at(length.last if length else count[1], "multiply")
        if sign is None:
            return None
        measure = self.pieces.measure(sign.last)
        if measure is None or measure.unit.quantity == "count":
            return None
        size = measure.unit.quantity == "length"
        if length and not (size and length.quantity == "length"):
            return None
        written = self.reading.words(place, length.last if length else sign.last)
        first_unit = (length or measure.unit) if size else Unit("count", "1", "repeats", sign.last)
        first = self._figure(
            Measure(count[0], None, first_unit, place, sign.last), prefix.code, place, sign.last
        )
        first = first.model_copy(update={"as_written": written})
        second = self._finish(
            measure.first, _Bound(None, open_range=False, last=measure.first), measure, "multiple"
        )
        if second is None:
            return None
        total, last = self._sum(second.last)
        return Found("multiple", place, last, (first, *second.figures, *total), second.unread)

    def _sum(self, place: int) -> tuple[tuple[Figure, ...], int]:
        if self.pieces.norm(place) != "=":
            return (), place
        measure = self.pieces.measure(place + 1)
        if measure is None or measure.foreign:
            return (), place
        figure = self._figure(measure, None, place + 1, measure.last)
        return (figure.model_copy(update={"role": "total"}),), measure.last

    def _concentration(self, place: int, prefix: _Bound) -> Found | None:
        """'5 mL of cleaner per litre of water'."""
        dose = self.pieces.measure(prefix.last)
        if dose is None or dose.unit.unit not in {"mL", "g"}:
            return None
        for ahead in range(_WORDS_OF_A_SUBSTANCE + 1):
            here = dose.last + ahead
            per = self.reading.at(here, "per")
            if per:
                whole = self.pieces.amount(per.last) or self._single(per.last)
                unit = self.pieces.unit(whole[1])
                pair = _PER_VOLUME.get((dose.unit.unit, unit.unit)) if unit else None
                if unit and pair and whole[0] == 1.0:
                    one = Measure(
                        dose.low, dose.high, Unit("concentration", pair, None, unit.last), place, unit.last
                    )
                    return self._finish(place, prefix, one, "concentration")
            if here >= len(self.reading.tokens) or self.reading.tokens[here].kind is not TokenKind.word:
                return None
        return None

    def _single(self, place: int) -> tuple[float, int]:
        article = self.reading.at(place, "article")
        return 1.0, article.last if article else place

    def _twice(self, place: int) -> Found | None:
        word = self.reading.at(place, "adverb_count") or self.reading.at(place, "number_fold")
        if word is None:
            return None
        unit = Unit("count", "1", "repeats", word.last)
        measure = Measure(float(word.value), None, unit, place, word.last)
        return Found("number word", place, word.last, (self._figure(measure, None, place, word.last),))

    def _figure(  # noqa: PLR0913 # a figure has this many sides; all beyond the first four are by keyword
        self,
        measure: Measure,
        code: str | None,
        first: int,
        last: int,
        *,
        others: list[Measure] | None = None,
        reference: str | None = None,
    ) -> Figure:
        values = _values(measure, code)
        if measure.unit.quantity == "pressure":
            values["reference"] = reference or "unsaid"
        also = []
        for other in others or []:
            same = _values(other, code)
            if other.unit.quantity == "pressure":
                same["reference"] = reference or "unsaid"
            also.append({**same, "as_written": self.reading.words(other.first, other.last)})
        written = self.reading.words(first, last).rstrip(" .,;")
        role = measure.unit.role if measure.unit.role not in {None, "-"} else None
        return Figure.model_validate({**values, "as_written": written, "role": role, "also": also})


def _bound_by(figure: Figure, code: str, written: str) -> Figure:
    """The figure with a bound that stood before its name."""
    update: dict[str, Any] = {"as_written": written}
    if figure.value is not None:
        end = code.removeprefix("strict_")
        update |= {"value": None, end: figure.value, "strict": code.startswith("strict") or None}
    return figure.model_copy(update=update)


def _values(measure: Measure, code: str | None) -> dict[str, Any]:
    values: dict[str, Any] = {"quantity": measure.unit.quantity, "unit": measure.unit.unit}
    if measure.high is not None:
        return {**values, "min": measure.low, "max": measure.high}
    if code is None:
        return {**values, "value": measure.low}
    if code.startswith("strict"):
        values["strict"] = True
    return {**values, code.removeprefix("strict_"): measure.low}
