"""Numbers that are no figures: standards, references, dates, names, counted things."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.draft.known import Known
from sinkside.draft.lexicon import Reading
from sinkside.draft.measures import Pieces
from sinkside.draft.tokens import TokenKind
from sinkside.quantities import Figure

#: Parts, layers and screws are few; a larger number is no count of them without a reason.
_MOST_THINGS = 12
_FIRST_YEAR, _LAST_YEAR = 1900, 2100
#: "2024-03-12", "800-555-0199": two hyphens and the groups before them.
_TWO_HYPHENS = 4
_BEFORE_A_YEAR = {"in", "year", "since", "im", "jahr", "seit", "année", "depuis", "año", "desde"}
_BRACKETS = {("[", "]"), ("<", ">"), ("(", ")")}
_LONGEST_LABEL = 5
_NUMERALS = {TokenKind.number, TokenKind.label}


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


class NotFigures:
    """Productions for numbers that say nothing about processing; the last keeps a bare number for a human."""

    def __init__(self, reading: Reading, pieces: Pieces, known: Known) -> None:
        self.reading = reading
        self.pieces = pieces
        self.known = known

    def standard(self, place: int) -> Found | None:
        """'EN ISO 15883-1:2014'."""
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

    def reference(self, place: int) -> Found | None:
        """'steps 5 to 7', 'section 9', 'Rev. 3'."""
        word = self.reading.at(place, "reference")
        if word is None:
            return None
        last = word.last + (1 if self.pieces.norm(word.last) == "." else 0)
        if not self._is_numeral(last) or self.pieces.unit_or_count(last + 1) or self._is_primed(last):
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

    def callout(self, place: int) -> Found | None:
        """'[13]', '<4>', 'the shaft tube (4)', 'as 3-3': the number of an item or a part of this document."""
        pieces = self.pieces
        around = (pieces.norm(place - 1), pieces.norm(place + 1))
        if pieces.is_digit(place) and around in _BRACKETS:
            called = around != ("(", ")") or pieces.norm(place) in self.known.callouts
            if called and not pieces.unit(place + 2):
                return Found("callout", place, place + 1)
        return self._label(place)

    def _label(self, place: int) -> Found | None:
        """'7.4', '3-3', '3 a': the label of an item, with no unit behind it."""
        tokens, last = self.reading.tokens, place
        while last < min(place + _LONGEST_LABEL, len(tokens)):
            last += 1
            written = self.reading.words(place, last)
            if written in self.known.labels and not self.pieces.unit_or_count(last):
                return Found("label", place, last)
        return None

    def _is_numeral(self, place: int) -> bool:
        if place >= len(self.reading.tokens):
            return False
        return self.reading.tokens[place].kind in {TokenKind.number, TokenKind.label}

    def _is_primed(self, place: int) -> bool:
        """'all parts 1'30"': minutes and seconds, and no number of a part."""
        return self.pieces.norm(place + 1) == "'" and self.pieces.glued(place + 1)

    def date(self, place: int) -> Found | None:
        """'March 2024', '2024-03', '11/2023'; groups with two hyphens are dates or telephone numbers."""
        last = self._groups(place) or self._with_month(place) or self._with_year(place)
        return Found("date", place, last) if last else None

    def _groups(self, place: int) -> int | None:
        last = place
        while (
            self.pieces.is_digit(last) and self.pieces.norm(last + 1) == "-" and self.pieces.glued(last + 2)
        ):
            last += 2
        return last + 1 if last - place >= _TWO_HYPHENS and self.pieces.is_digit(last) else None

    def _with_month(self, place: int) -> int | None:
        pieces = self.pieces
        if pieces.is_digit(place) and self.reading.at(place + 1, "month"):
            return place + 2 + (1 if self._is_year(place + 2) else 0)
        if not self.reading.at(place, "month") or not pieces.is_digit(place + 1):
            return None
        last = place + 2
        if self._is_year(place + 1):
            return last
        last += 1 if pieces.norm(last) == "," and self._is_year(last + 1) else 0
        return last + (1 if self._is_year(last) else 0)

    def _with_year(self, place: int) -> int | None:
        pieces = self.pieces
        if pieces.norm(place + 1) not in {"-", "/"} or not pieces.is_digit(place):
            return None
        if self._is_year(place) and pieces.is_digit(place + 2):
            return place + 3
        followed = pieces.unit(place + 3) is not None
        return place + 3 if self._is_year(place + 2) and not followed else None

    def _is_year(self, place: int) -> bool:
        if not self.pieces.is_digit(place) or self.pieces.unit_or_count(place + 1):
            return False
        token = self.reading.tokens[place]
        return len(token.text) == len("2026") and _FIRST_YEAR <= (token.value or 0) <= _LAST_YEAR

    def name(self, place: int) -> Found | None:
        """'Larkspur 2.5' and 'port 1' are what things are called, 'CaCO3' is a formula."""
        before = place - 1
        called = self.pieces.norm(before) in self.known.names or any(
            self.reading.at(before, kind) for kind in ("feature", "part_noun")
        )
        called = called or (place + 1 == len(self.reading.tokens) and self._counts_phases(place))
        formula = self.pieces.glued(place) and self.reading.tokens[before].kind is TokenKind.word
        named = place > 0 and self.pieces.is_digit(place) and (called or formula)
        return Found("name", place, place + 1) if named else None

    def _counts_phases(self, place: int) -> bool:
        """'Rinse 2' as the whole of a cell is the second of its kind."""
        value = self.reading.tokens[place].value or 0.0
        named = self.reading.all("action", last=place)
        whole = bool(named) and named[0].first <= 1 and named[-1].last == place
        return whole and value <= _MOST_THINGS and value == int(value)

    def things(self, place: int) -> Found | None:
        """'3 parts', '2nd'."""
        if not self.pieces.is_digit(place):
            return None
        if self.pieces.glued(place + 1) and self.reading.at(place + 1, "ordinal"):
            return Found("ordinal", place, place + 2)
        value = self.reading.tokens[place].value or 0.0
        if value > _MOST_THINGS or value != int(value):
            return None
        near = [self.reading.at(place + ahead, kind) for ahead in (1, 2) for kind in ("thing", "part_noun")]
        return Found("things", place, place + 1) if any(near) else None

    def bare(self, place: int) -> Found | None:
        """A number that nothing explains; 'in 2021' says when."""
        if self._is_year(place) and self.pieces.norm(place - 1) in _BEFORE_A_YEAR:
            return Found("year", place, place + 1)
        return Found("bare number", place, place + 1, unread=True) if self.pieces.is_digit(place) else None
