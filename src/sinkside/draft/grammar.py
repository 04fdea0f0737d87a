"""The grammar of figures: ordered productions over tokens, each with a name that explains what it read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from sinkside.draft.acidity import Acidity
from sinkside.draft.bounds import Bound, Bounds
from sinkside.draft.building import bound_by, figure_from, with_others
from sinkside.draft.clocks import Clock, elapsed
from sinkside.draft.counting import times_before
from sinkside.draft.known import Known
from sinkside.draft.lexicon import Reading
from sinkside.draft.lives import life_again
from sinkside.draft.measures import Measure, Pieces, Unit
from sinkside.draft.notfigures import Found, NotFigures
from sinkside.draft.optics import magnified
from sinkside.draft.tails import Tails
from sinkside.draft.tokens import TokenKind
from sinkside.draft.whole_times import whole_time
from sinkside.quantities import Figure

#: The phrases with which a production can begin, besides a number in digits.
_BEGINNINGS = {
    *("standard", "reference", "month", "ph", "lethality", "number", "adverb_count", "number_fold", "count"),
    *("bound_before", "comparison", "range_open", "approximately", "article"),
    "whole_time",
}
_WORDS_OF_A_SUBSTANCE = 5
_SET_SIDE_BY_SIDE = {"length", "temperature", "time", "volume", "count"}
#: These are no share of anything: "demineralised water, 1:30" is a time.
_UNDILUTED = {"water", "air", "steam"}
_PER_VOLUME = {
    ("mL", "L"): ("concentration", "mL/L"),
    ("g", "L"): ("concentration", "g/L"),
    ("mL", "mL"): ("concentration", "mL/mL"),
    ("L", "L"): ("concentration", "mL/mL"),
    ("fl oz", "gallon"): ("foreign", "ounce-per-gallon"),
}

#: Words for degrees that say not of what.
_DEGREES = {"grad", "degré", "degrés", "grado", "grados"}
#: "Look under 8x magnification": here 'under' is no bound.
_LOOKED_THROUGH = {"magnification", "times", "fold"}
#: Counts that a noun before the number can name: "magnification of at least 5".
_NEVER_NAMED_FIRST = {"times", "fold"}


def _is_imperial(measure: Measure) -> bool:
    """Inches and fluid ounces lead a figure only where the text gives nothing metric beside them."""
    return measure.unit.unit in {"in", "fl oz"}


class FigureGrammar:
    """Reads every number of a sentence, left to right, by the first production that fits."""

    def __init__(
        self, reading: Reading, *, default_unit: Unit | None = None, known: Known | None = None
    ) -> None:
        self.reading = reading
        self.known = known or Known()
        self.pieces = Pieces(reading, default_unit)
        self.bounds = Bounds(reading, self.pieces)
        self.tails = Tails(reading, self.pieces, self.bounds)
        others = NotFigures(reading, self.pieces, self.known)
        self._productions: tuple[Callable[[int], Found | None], ...] = (
            self.tails.lone_tolerance,
            others.standard,
            others.reference,
            others.callout,
            others.date,
            Acidity(reading, self.pieces, self.bounds).read,
            self._lethality,
            partial(whole_time, reading),
            self._either,
            self._bounded,
            self.tails.shares,
            self._noun_first,
            self._twice,
            partial(times_before, reading, self.pieces),
            others.name,
            others.things,
            partial(life_again, reading, self.pieces),
            partial(magnified, reading, self.pieces),
            others.bare,
        )

    def read(self) -> list[Found]:
        """Every number of the sentence, as figures, as something that is no figure, or as unread."""
        found, place = [], 0
        beginnings = {x.first for x in self.reading.lexemes if x.category in _BEGINNINGS}
        while place < len(self.reading.tokens):
            begins = place in beginnings or self.pieces.is_digit(place) or self.pieces.is_sign(place)
            if not begins:
                place += 1
                continue
            read = next((one for one in (make(place) for make in self._productions) if one), None)
            if read:
                found.append(read)
            place = read.last if read else place + 1
        return found

    # Figures with a name of their own: A0 3000.

    def _lethality(self, place: int) -> Found | None:
        word = self.reading.at(place, "lethality")
        if word is None:
            return None
        return self._named(
            place, word.last, "lethality", Unit("lethality", word.value.split(":")[1], None, 0)
        )

    def _named(self, first: int, place: int, pattern: str, unit: Unit) -> Found | None:
        prefix = self.bounds.before(place, linked=True)
        low = self.pieces.amount(prefix.last)
        if low is None:
            return None
        high, last = None, low[1]
        onward = self.pieces.range_sign(last)
        if onward is None and prefix.open_range:
            joined = self.reading.at(last, "range_and")
            onward = joined.last if joined else None
        upper = self.pieces.amount(onward) if onward is not None else None
        if upper:
            high, last = upper
        own = self.pieces.unit(last)
        last = own.last if own and own.unit == unit.unit else last
        measure = Measure(low[0], high, unit, first, last)
        code, last = self.bounds.behind(last, prefix.code)
        return Found(pattern, first, last, (figure_from(self.reading, measure, code, (first, last)),))

    # Measures with everything that can stand before and behind them.

    def _bounded(self, place: int) -> Found | None:
        prefix = self.bounds.before(place)
        if not self.pieces.starts_amount(prefix.last) and not self.pieces.amount(prefix.last):
            bound = self._named_behind(place, prefix) if prefix.code else None
            return bound or self._article(place, prefix)
        for core in (
            self._clock,
            self._ratio,
            self._multiple,
            self._times_behind,
            self._concentration,
            self._measured,
            self._lethality_behind,
        ):
            found = core(place, prefix)
            if found:
                return found
        return None

    def _named_behind(self, place: int, prefix: Bound) -> Found | None:
        """'up to A0 3000', 'at least fourfold': the bound stands before the name or the word."""
        found = self._lethality(prefix.last) or self._twice(prefix.last)
        if found is None:
            return None
        written = self.reading.words(place, found.last).rstrip(" .,;")
        figures = tuple(bound_by(figure, prefix.code or "", written) for figure in found.figures)
        return Found(found.pattern, place, found.last, figures)

    def _noun_first(self, place: int) -> Found | None:
        """'Number of cycles: maximum 150'."""
        noun = self.reading.at(place, "count")
        if noun is None or noun.value in _NEVER_NAMED_FIRST:
            return None
        prefix = self.bounds.before(noun.last, linked=True)
        amount = self.pieces.amount(prefix.last) if prefix.last > noun.last else None
        if amount is None or self.pieces.unit_or_count(amount[1]) or not self.pieces.is_digit(prefix.last):
            return None
        unit = Unit("count", "1", noun.value, amount[1])
        code, last = self.bounds.behind(amount[1], prefix.code)
        figure = figure_from(self.reading, Measure(amount[0], None, unit, place, last), code, (place, last))
        return Found("noun first", place, last, (figure,))

    def _measured(self, place: int, prefix: Bound) -> Found | None:
        measure = self.pieces.measure(prefix.last, open_range=prefix.open_range)
        if measure is None:
            return None
        return self._finish(place, prefix, measure, "measure")

    def _lethality_behind(self, place: int, prefix: Bound) -> Found | None:
        """'≥ 600 A0', '3000 (A0)': the name stands behind the number."""
        amount = self.pieces.amount(prefix.last)
        bracket = 1 if amount and self.pieces.norm(amount[1]) == "(" else 0
        name = self.reading.at(amount[1] + bracket, "lethality") if amount else None
        if amount is None or name is None or (bracket and self.pieces.norm(name.last) != ")"):
            return None
        if self.pieces.starts_amount(self.bounds.before(name.last, linked=True).last):
            return None
        unit = Unit("lethality", name.value.split(":")[1], None, name.last + bracket)
        measure = Measure(amount[0], None, unit, place, name.last + bracket)
        return self._finish(place, prefix, measure, "lethality behind")

    def _article(self, place: int, prefix: Bound) -> Found | None:
        """'within an hour', 'for a minute', 'a drop of oil': an article counts before few units."""
        article = self.reading.at(prefix.last, "article")
        if article is None:
            return None
        unit = self.pieces.unit(article.last)
        lasting = unit is not None and unit.quantity == "time"
        led = prefix.code is not None or self.reading.at(place - 1, "lasting") is not None
        led = led and not (unit is not None and self._is_ordinal(unit))
        if not (lasting and led):
            unit = self._single_drop(article.last)
        if unit is None:
            return None
        measure = self.pieces.compound(Measure(1.0, None, unit, prefix.last, unit.last))
        return self._finish(place, prefix, measure, "article")

    def _is_ordinal(self, unit: Unit) -> bool:
        """'for a second sheath' counts sheaths."""
        behind = self.reading.tokens[unit.last] if unit.last < len(self.reading.tokens) else None
        word = behind is not None and behind.kind is TokenKind.word
        small = any(self.reading.at(unit.last, kind) for kind in ("determiner", "adverb", "opener"))
        return self.pieces.norm(unit.last - 1) == "second" and word and not small

    def _single_drop(self, place: int) -> Unit | None:
        noun = self.reading.at(place, "count")
        return Unit("count", "1", noun.value, noun.last) if noun and noun.value == "drops" else None

    def _clock(self, place: int, prefix: Bound) -> Found | None:
        measure = self.pieces.clock(prefix.last) or elapsed(self.pieces, prefix.last, self._dial(prefix.last))
        return self._finish(place, prefix, measure, "clock") if measure else None

    def _dial(self, place: int) -> Clock | None:
        """What a clock counts here; '1:20' of a cleaner is a share of it, whatever the clocks count."""
        short = not self.reading.tokens[place].text.startswith("0")
        short = short and any(x.value not in _UNDILUTED for x in self.reading.all("substance"))
        whole = self.pieces.norm(place + 2) == "00"
        return None if (short and not whole) or self.reading.has("dilution") else self.known.clock

    def _finish(self, place: int, prefix: Bound, measure: Measure, pattern: str) -> Found | None:
        """The reading goes on behind the measure: other units, tolerance, bounds."""
        if prefix.code == "strict_max" and measure.unit.role in _LOOKED_THROUGH:
            place, prefix = measure.first, Bound(None, open_range=False, last=measure.first)
        measure = self._heat(measure)
        also, last = self.tails.also(measure)
        measure, last = self.tails.range_of_pairs(measure, also, last)
        reference, last = self.tails.pressure_reference(measure, last)
        if not self.reading.at(measure.first - 1, "interval"):
            code, last = self.bounds.behind(last, prefix.code or self.tails.bound_inside(measure))
        else:
            code = prefix.code
        tolerance, last_of_tolerance = self.tails.tolerance(measure, last)
        values = sorted((one for one in (measure, *also) if not one.foreign), key=_is_imperial)
        if not values:
            return Found(f"{pattern}: unit that no figure carries", place, last, unread=True)
        upper = self.tails.up_to_as_well(values[0], code, last)
        if upper:
            values, code, last = [upper], None, upper.last
        figure = figure_from(self.reading, values[0], code, (place, last))
        figure = with_others(self.reading, figure, values[1:], code=code, reference=reference)
        figures = (figure, tolerance) if tolerance else (figure,)
        return Found(pattern, place, last_of_tolerance if tolerance else last, figures)

    def _heat(self, measure: Measure) -> Measure:
        """'Hot water of about sixty degrees' is a temperature, where the document has one unit of it."""
        spelled = self.pieces.norm(measure.unit.last - 1).startswith("degree")
        warm = self.reading.has("substance") or self.reading.has("about", "temperature")
        turned = self.reading.has("turning")
        if measure.unit.unit == "°C" and turned and self._says_only_degrees(measure):
            return replace(measure, unit=replace(measure.unit, quantity="angle", unit="deg"))
        if measure.unit.unit != "deg" or not spelled or self.known.heat is None or not warm or turned:
            return measure
        return replace(measure, unit=replace(measure.unit, quantity="temperature", unit=self.known.heat))

    def _says_only_degrees(self, measure: Measure) -> bool:
        """'um 90 Grad drehen', 'fléchir à 45 degrés': bare degrees, with nothing warm beside them."""
        last = self.pieces.norm(measure.unit.last - 1)
        warm = self.reading.has("substance") or self.reading.has("about", "temperature")
        return last in _DEGREES and not warm

    # Numbers that belong together.

    def _ratio(self, place: int, prefix: Bound) -> Found | None:
        pieces, here = self.pieces, prefix.last
        if not (pieces.is_digit(here) and pieces.norm(here + 1) == ":" and pieces.is_digit(here + 2)):
            return None
        part, whole = self.reading.tokens[here].value, self.reading.tokens[here + 2].value
        if not part or not whole:
            return None
        ratio = Measure(part / whole, None, Unit("ratio", "ratio", None, here + 3), place, here + 3)
        return self._finish(place, prefix, ratio, "ratio")

    def _multiple(self, place: int, prefix: Bound) -> Found | None:
        """'3 x 20 mL = 60 mL': a count, a measure, perhaps a total; two lengths are two sizes."""
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
        one = Measure(count[0], None, first_unit, place, sign.last)
        first = figure_from(self.reading, one, prefix.code, (place, sign.last))
        first = first.model_copy(update={"as_written": written})
        second = self._finish(
            measure.first, Bound(None, open_range=False, last=measure.first), measure, "multiple"
        )
        if second is None:
            return None
        total, last = self._sum(second.last)
        return Found("multiple", place, last, (first, *second.figures, *total), second.unread)

    def _either(self, place: int) -> Found | None:
        """'3 or 4 minutes', '2.5 / 3.0 mm': two figures in one unit."""
        prefix = self.bounds.before(place)
        one = self.pieces.amount(prefix.last)
        joined = self.reading.at(one[1], "range_and") if one and not prefix.open_range else None
        link = (self.reading.at(one[1], "either") or joined) if one else None
        if one is None or link is None or self.pieces.unit_or_count(one[1]):
            return None
        other = self.pieces.measure(link.last)
        if link is joined and (other is None or other.unit.quantity != "length"):
            return None
        sizes = self.pieces.norm(one[1]) == "/"
        if other is None or (sizes and other.unit.quantity not in _SET_SIDE_BY_SIDE):
            return None
        rest = self._finish(other.first, Bound(None, open_range=False, last=other.first), other, "either")
        if rest is None or rest.unread:
            return None
        first = Measure(one[0], None, other.unit, place, one[1])
        figure = figure_from(self.reading, first, prefix.code, (place, one[1]))
        return Found("either", place, rest.last, (figure, *rest.figures))

    def _times_behind(self, place: int, prefix: Bound) -> Found | None:
        """'60 mL x 3': the count stands behind the measure."""
        measure = self.pieces.measure(prefix.last)
        if measure is None or measure.unit.quantity not in {"volume", "time"}:
            return None
        sign = self.reading.at(measure.last, "multiply")
        times = self.pieces.amount(sign.last) if sign else None
        if sign is None or times is None or self.pieces.unit(times[1]):
            return None
        first = self._finish(place, prefix, measure, "times behind")
        count = Measure(times[0], None, Unit("count", "1", "repeats", times[1]), sign.first, times[1])
        if first is None or first.last > sign.first:
            return None
        repeats = figure_from(self.reading, count, None, (sign.first, times[1]))
        return Found("times behind", place, times[1], (*first.figures, repeats), first.unread)

    def _sum(self, place: int) -> tuple[tuple[Figure, ...], int]:
        if self.pieces.norm(place) != "=":
            return (), place
        measure = self.pieces.measure(place + 1)
        if measure is None or measure.foreign:
            return (), place
        figure = figure_from(self.reading, measure, None, (place + 1, measure.last))
        return (figure.model_copy(update={"role": "total"}),), measure.last

    def _concentration(self, place: int, prefix: Bound) -> Found | None:
        """'5 mL of cleaner per litre of water'."""
        dose = self.pieces.measure(prefix.last)
        if dose is None or dose.unit.unit not in {"mL", "L", "g", "fl oz"}:
            return None
        for ahead in range(_WORDS_OF_A_SUBSTANCE + 1):
            here = dose.last + ahead
            per = self.reading.at(here, "per")
            if per:
                whole = self.pieces.amount(per.last) or self._single(per.last)
                unit = self.pieces.unit(whole[1])
                pair = _PER_VOLUME.get((dose.unit.unit, unit.unit)) if unit else None
                if unit and pair and (whole[0] == 1.0 or whole[0] > (dose.high or dose.low) > 0):
                    whole_unit = Unit(*pair, None, unit.last)
                    high = dose.high / whole[0] if dose.high else None
                    one = Measure(dose.low / whole[0], high, whole_unit, place, unit.last)
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
        if self.pieces.norm(word.last) in {"as", "so"}:
            return Found("comparison", place, word.last)
        unit = Unit("count", "1", "repeats", word.last)
        measure = Measure(float(word.value), None, unit, place, word.last)
        return Found(
            "number word", place, word.last, (figure_from(self.reading, measure, None, (place, word.last)),)
        )
