"""What stands on each paper of a recall, every word of ours in both languages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from sinkside.aids.codes import qr_values
from sinkside.aids.papers.bilingual import Bilingual
from sinkside.aids.papers.setting import Values
from sinkside.aids.recall.request import CalledBack, OtherHouse, RecallPaper, RecallRequest

_BOX: Final[Values] = {"kind": "box"}
_BLANK: Final[Values] = {"kind": "blank"}

_NOT_SHOWN: Final = (
    "We can no longer show that it was processed as it must be. That does not show that harm was done."
)

#: Columns with how wide they are: a number shares what is left, `code` is as wide as a code.
_PICKED: Final = (
    ("Place", 1.4),
    ("Set or device", 1.8),
    ("Code", 1.7),
    ("Found", 0.65),
    ("Opened", 0.65),
    ("Not found", 0.65),
    ("Name, time", 1.3),
)
_CALLED: Final = (
    ("No.", 0.3),
    ("Whom to call", 1.2),
    ("What to say", 2.6),
    ("Time", 0.6),
    ("Who answered", 1.2),
)
_LISTED: Final = (("Set or device", 2.0), ("Code", 1.4), ("Processed", 1.0))
_THEIRS: Final = (("Set or device", 2.0), ("Code", 1.4), ("Where it is; used in which case", 2.0))


def sheets_of(request: RecallRequest, told: Bilingual) -> list[Values]:
    """The sheets of a paper: one list, or one letter for each case or house."""
    maker = _SheetMaker(request, told)
    if request.paper is RecallPaper.pick_list:
        return [maker.pick_list()]
    if request.paper is RecallPaper.calls:
        return [maker.calls()]
    if request.paper is RecallPaper.cases:
        return [maker.about_case(number) for number in request.cases]
    return [maker.to_house(house) for house in dict.fromkeys(one.house for one in request.others)]


class _SheetMaker:
    """Makes the sheets of one recall."""

    def __init__(self, request: RecallRequest, told: Bilingual) -> None:
        self._request, self._told = request, told

    def pick_list(self) -> Values:
        """What to fetch: first what may be opened next, then place by place."""
        fetched = [one for one in self._request.sets if one.fetched]
        ordered = sorted(fetched, key=lambda one: (not one.first, one.place, one.name, one.code))
        notes = (
            "Fetch first what may be opened next, then go place by place.",
            "Tick how you find each. What is not found stays open: write where you looked.",
        )
        rows = [
            [_text(one.place), _text(one.name, strong=True), _code(one.code), _BOX, _BOX, _BOX, _BLANK]
            for one in ordered
        ]
        return self._sheet(self._told.both("Recall: what to fetch"), notes, _PICKED, rows, flipped=True)

    def calls(self) -> Values:
        """Whom to call: whoever may open something next, other houses, infection prevention, the cases."""
        notes = (
            "Call in this order. Where nobody answers, call the next one and come back.",
            "Write the time, and who answered, by function. No name of a patient.",
        )
        rows = [
            [_text(str(number), strong=True), _said(whom), _said(words), _BLANK, _BLANK]
            for number, (whom, words) in enumerate(self._to_call(), start=1)
        ]
        return self._sheet(self._told.both("Recall: whom to call"), notes, _CALLED, rows, flipped=True)

    def about_case(self, number: str) -> Values:
        """The letter to theatre and the surgeon of a case."""
        told = self._told
        used = [one for one in self._request.sets if number in one.cases]
        sheet = self._sheet(
            told.both("Recall: case {case}", case=number),
            ("This was used in the case, and we call it back:",),
            _LISTED,
            [[_text(one.name, strong=True), _text(one.code), _text(one.processed)] for one in used],
        )
        after = (
            _NOT_SHOWN,
            "Infection prevention decides what follows for the case. Ask us for what is known of each set.",
        )
        sheet["to"] = told.both("To theatre and the surgeon of case {case}", case=number)
        return {**sheet, "after": [told.both(one) for one in after], "fields": self._signed()}

    def to_house(self, house: str) -> Values:
        """The letter to another house."""
        told = self._told
        theirs = [one for one in self._request.others if one.house == house]
        sheet = self._sheet(
            told.both("Recall: {house}", house=house),
            ("This is with you or is yours, and we call it back:",),
            _THEIRS,
            [[_text(one.name, strong=True), _text(one.code), _BLANK] for one in theirs],
        )
        after = [
            _NOT_SHOWN,
            "Do not use it. Set it apart, and tell us where it is and in which cases it was used, by number.",
        ]
        sheet["to"] = told.both("To {house}", house=house)
        return {**sheet, "after": [told.both(one) for one in after], "fields": self._signed()}

    def _sheet(
        self,
        title: Values,
        notes: Sequence[str],
        columns: Sequence[tuple[str, float]],
        rows: list[list[Values]],
        *,
        flipped: bool = False,
    ) -> Values:
        told = self._told
        return {
            "title": title,
            "to": None,
            "why": [told.both("Why: {why}", why=self._request.why), *self._in_question()],
            "notes": [told.both(note) for note in notes],
            "columns": [{"name": told.both(name), "width": width} for name, width in columns],
            "rows": rows,
            "after": [],
            "fields": [],
            "flipped": flipped,
        }

    def _in_question(self) -> Iterator[Values]:
        request, told = self._request, self._told
        if request.since:
            said = "In question: what was processed from {since} until {until}."
            yield told.both(said, since=request.since, until=request.until)
        else:
            yield told.both("In question: everything that was processed until {until}.", until=request.until)
        if request.is_prion:
            yield told.both("No cycle is proposed for it. Process nothing before a named person has decided.")

    def _to_call(self) -> Iterator[tuple[Values, Values]]:
        request, told = self._request, self._told
        for one in request.sets:
            if one.first:
                yield told.both("Whoever has it: {place}", place=one.place), self._not_to_open(one)
        for other in request.others:
            yield {"text": told.name(other.house), "beside": ""}, self._not_to_use(other)
        yield told.both("Infection prevention"), self._to_infection_prevention()
        for number in request.cases:
            whom = told.both("Theatre and the surgeon of case {case}", case=number)
            yield whom, self._used_in(number)

    def _not_to_open(self, one: CalledBack) -> Values:
        said = "Do not open {set}, {code}. Set it apart; we fetch it."
        return self._told.both(said, set=one.name, code=one.code)

    def _not_to_use(self, one: OtherHouse) -> Values:
        said = "Do not use {set}, {code}. Set it apart, and tell us where it is."
        return self._told.both(said, set=one.name, code=one.code)

    def _to_infection_prevention(self) -> Values:
        request = self._request
        said = "We call sets back: {why} Sets: {sets}; cases: {cases}. You decide what follows for the cases."
        why = f"{request.why.rstrip('.')}."
        return self._told.both(said, why=why, sets=request.total, cases=len(request.cases))

    def _used_in(self, number: str) -> Values:
        used = "; ".join(f"{one.name}, {one.code}" for one in self._request.sets if number in one.cases)
        said = "In case {case} this was used, and we call it back: {sets}. A letter comes."
        return self._told.both(said, case=number, sets=used)

    def _signed(self) -> list[Values]:
        return [self._told.both(one) for one in ("Name and function", "Signature, day, time")]


def _text(words: str, *, strong: bool = False) -> Values:
    return {"kind": "text", "text": words, "strong": strong}


def _said(words: Values) -> Values:
    return {"kind": "said", "said": words}


def _code(code: str) -> Values:
    return {"kind": "code", "text": code, **qr_values(code, opens=False)}
