"""Words that bind a number: before it, with what may stand between, and behind it."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.draft.lexicon import Lexeme, Reading
from sinkside.draft.measures import Pieces
from sinkside.draft.tokens import TokenKind

_BRIDGE_MARKS = {":", "=", "(", ")", "."}
_OPENS = {"(": 1, ")": -1}
_LONGEST_BRIDGE = 7
_LONGEST_LABEL = 8
_FARTHEST_BEHIND = 6
_CLOSES = {".", ";", ","}


@dataclass(frozen=True, slots=True)
class Bound:
    """A bound word, whether a range was opened ('between'), and from which token the reading goes on."""

    code: str | None
    open_range: bool
    last: int


class Bounds:
    """Reads bound words over one sentence."""

    def __init__(self, reading: Reading, pieces: Pieces) -> None:
        self.reading = reading
        self.pieces = pieces

    def before(self, place: int, *, linked: bool = False) -> Bound:
        """Bound words, 'between', 'about' and what may stand between them and the number."""
        code, open_range, here, opened = None, False, place, 0
        while here < len(self.reading.tokens) and here - place <= _LONGEST_BRIDGE:
            bound = self.reading.at(here, "comparison") or self.reading.at(here, "bound_before")
            opening = self.reading.at(here, "range_open")
            counting = self.reading.at(here, "article") is not None and self.pieces.unit(here + 1) is not None
            filler = None if counting else self._filler(here, linked=linked, bound=code is not None)
            if bound and (self._names_a_place(bound) or self._is_unit_of_a_head(bound)):
                break
            if bound and bound.value == "strict_min" and self.reading.at(here - 1, "tested"):
                break
            if bound:
                code, here = self._turned(bound.value, here), self._behind_label(bound)
            elif opening:
                open_range, here = True, opening.last
            elif filler:
                here = filler.last
            elif (code or linked) and self._bridges(here, opened):
                opened += _OPENS.get(self.pieces.norm(here), 0)
                here += 1
            else:
                break
        return Bound(code, open_range, here)

    def _bridges(self, place: int, opened: int) -> bool:
        """Whether a mark may stand between a bound and its number; what closes must have been opened."""
        mark = self.pieces.norm(place)
        return mark in _BRIDGE_MARKS and (mark != ")" or opened > 0)

    def _names_a_place(self, bound: Lexeme) -> bool:
        """'under water for 2 min': only straight before a number do these words bind."""
        if self.pieces.norm(bound.first) not in {"under", "below"} or bound.last > bound.first + 1:
            return False
        near = self.reading.at(bound.last, "approximately")
        return not (
            near
            or self.pieces.starts_amount(bound.last)
            or self.reading.at(bound.last, "article")
            or self.reading.at(bound.last, "ph")
        )

    def _behind_label(self, bound: Lexeme) -> int:
        """'Max. time until start of cleaning: 4 h': the bound of a label holds for the number behind it."""
        if bound.first and self.pieces.norm(bound.first - 1) not in {".", ";", ","}:
            return bound.last
        here = bound.last + (1 if self.pieces.norm(bound.last) == "." else 0)
        for place in range(here, min(here + _LONGEST_LABEL, len(self.reading.tokens))):
            if self.pieces.norm(place) in {":", "="}:
                return place + 1 if self.pieces.starts_amount(place + 1) else bound.last
            if self.reading.tokens[place].kind is not TokenKind.word:
                break
        return bound.last

    def _is_unit_of_a_head(self, bound: Lexeme) -> bool:
        """'Exposure time (min): 4': no bound, but minutes."""
        bracketed = self.pieces.norm(bound.first - 1) == "(" and self.pieces.norm(bound.last) == ")"
        return bracketed and self.reading.at(bound.first, "unit") is not None

    def _filler(self, place: int, *, linked: bool, bound: bool) -> Lexeme | None:
        """What may stand before the number: 'about', 'value of', 'exposure time'."""
        return (
            self.reading.at(place, "approximately")
            or (self.reading.at(place, "value_link") if linked else None)
            or (self.reading.at(place, "quantity_noun") if bound else None)
        )

    def _turned(self, code: str, place: int) -> str:
        """A prohibition turns a strict bound round, and so does what happens past a limit.

        'No chloride above 120 mg/L' and 'discard what is older than 30 days' name what is allowed at most.
        """
        if not code.startswith("strict"):
            return code
        if code == "strict_min" and self.reading.has("past_limit"):
            return "max"
        start = max((x for x in range(place) if self.pieces.norm(x) in {";", "."}), default=0)
        if self.reading.all("negation", first=start, last=place):
            return "max" if code == "strict_min" else "min"
        return code

    def behind(self, last: int, code: str | None) -> tuple[str | None, int]:
        """A bound behind a number, unless it belongs to the next number or one stood before."""
        if code:
            return code, last
        optics = self.reading.at(last, "optics")
        looking = optics.last if optics else last
        place = looking + (1 if self.pieces.norm(looking) in {",", "("} else 0)
        bound = self.reading.at(place, "bound_after")
        if bound is None and place == looking == last:
            return self._at_the_end(last), last
        if bound is None or self.pieces.starts_amount(bound.last) or self.pieces.norm(bound.last) == "than":
            return code, last
        onward = self.before(place).last
        # "120 °C at most for 20 min": behind a preposition another figure begins.
        led = place == looking and self.reading.at(bound.last, "lasting") is not None
        if onward > bound.last and self.pieces.starts_amount(onward) and not led:
            return code, last
        end = bound.last
        if place > looking and self.pieces.norm(end) == "." and self.pieces.norm(end + 1) == ")":
            end += 1
        return bound.value, end + (1 if self.pieces.norm(end) == ")" and place > looking else 0)

    def _at_the_end(self, last: int) -> str | None:
        """'2.5 bar at the port at most.': a bound that closes the clause, with a few words in between."""
        for place in range(last, min(last + _FARTHEST_BEHIND, len(self.reading.tokens))):
            bound = self.reading.at(place, "bound_after")
            if bound and bound.last > bound.first + 1:
                closes = bound.last == len(self.reading.tokens) or self.pieces.norm(bound.last) in _CLOSES
                return bound.value if closes and place > last else None
            if self.reading.tokens[place].kind is not TokenKind.word or self.pieces.starts_amount(place):
                return None
        return None
