"""Histories: the field that finds a thing; one thing's history, what is not recorded of it first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Annotated, Final
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from fastapi import Query
from pydantic import Field

from sinkside.bench.history import MARK_WORDS, Evidence, Line, in_order
from sinkside.desk.history import finding, reading
from sinkside.desk.history.reading import History
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, SIGNED_IN, Done, Form, Nav, Screen
from sinkside.web.screens.today import address_of

PLACE: Final = f"{DEPARTMENT}/history"
ONE: Final = f"{PLACE}/{{noun}}/{{thing}}"

screen = Screen("history")

#: So many gaps are shown at once; the others are behind one summary.
_AT_ONCE: Final = 6

#: What the evidence of a line is called, by its noun.
_CALLED: Final[Mapping[str, str]] = {
    "run": "Evidence file",
    "load": "The load",
    "cycle": "The record",
    "machine": "The machine",
    "set": "The set",
    "case": "The case",
    "exception": "The form",
    "alarm": "What theatre said",
    "recall": "The recall",
    "loan": "The loan",
    "deviation": "The deviation",
    "sink-solution": "The solution",
    "instruction": "The text",
    "lot": "The lot",
    "person": "The person",
}
#: Nouns whose evidence is a history of its own.
_HISTORIES: Final = frozenset({"set", "person", "lot"})
_FOLDERS: Final[Mapping[str, tuple[str, str]]] = {
    "run": ("evidence/run", "evidence-read"),
    "case": ("history/case", reading.READ),
    "recall": ("recalls", "recall-read"),
}
_BOOK: Final = "record-read"


@dataclass(frozen=True)
class LinkShown:
    """Where something is opened, and what it is called."""

    address: str
    words: str


@dataclass(frozen=True)
class FoundShown:
    """Something that has a history: its page, what it is called, and what it is."""

    address: str
    title: str
    about: str


@dataclass(frozen=True)
class HistoryStartPage:
    """The field that finds a thing, and what was found."""

    title: str
    address: str
    text: str
    found: tuple[FoundShown, ...]


@dataclass(frozen=True)
class LineShown:
    """One line of a history.

    Attributes:
        at: the time of day, or the stretch.
        words: what happened.
        by: who did it; empty where nobody in person did.
        shows: what it is evidence of.
        marks: what is out of the ordinary, in words.
        is_gap: whether it says that something is not recorded.
        asked: who asks for what is not recorded; empty where it is no gap.
        links: where its evidence is, the nearest first.
    """

    at: str
    words: str
    by: str
    shows: str
    marks: tuple[str, ...]
    is_gap: bool
    asked: str
    links: tuple[LinkShown, ...]


@dataclass(frozen=True)
class DayShown:
    """A day of a history, with its lines, the latest first."""

    day: str
    lines: tuple[LineShown, ...]


@dataclass(frozen=True)
class HistoryPage:
    """One page of a thing's history.

    Attributes:
        title: what it is called.
        start: where others are found.
        about: what it is, in a line.
        here: where the thing itself is opened; empty where it has no page for whoever reads this.
        gaps: what is not recorded, the latest first.
        more_gaps: those that are behind a summary.
        days: what happened, newest first.
        older: the page below; empty where there is none.
        newest: the newest page; empty where this is it.
    """

    title: str
    start: str
    about: str
    here: str
    gaps: tuple[LineShown, ...]
    more_gaps: tuple[LineShown, ...]
    days: tuple[DayShown, ...]
    older: str
    newest: str


class Wanted(Form):
    """What was scanned or typed."""

    text: str = Field(max_length=200)


@screen.page(PLACE, right=reading.READ, template="history_start.html", nav=Nav("History", 48, "proof"))
def start_page(asked: Asked, *, text: Annotated[str, Query(max_length=200)] = "") -> HistoryStartPage:
    """The field that finds a thing, and what was found."""
    found = finding.find(asked.archive, asked.visitor, text, now=asked.now)
    return HistoryStartPage(
        title="History",
        address=asked.at("/history"),
        text=text,
        found=tuple(FoundShown(_address(asked, one.noun, one.id), one.title, one.about) for one in found),
    )


@screen.act(PLACE, right=reading.READ, form=Wanted, page=start_page)
def find(asked: Asked, form: Wanted) -> Done:
    """Open the history of what was scanned, where it can be one thing only; else show what was found."""
    found = finding.find(asked.archive, asked.visitor, form.text, now=asked.now)
    if len(found) == 1:
        return Done(go=_address(asked, found[0].noun, found[0].id))
    return Done(go=f"{asked.at('/history')}?{urlencode({'text': form.text})}")


@screen.page(ONE, right=reading.READ, template="history.html")
def history_page(
    asked: Asked, noun: str, thing: str, *, before: Annotated[str, Query(max_length=60)] = ""
) -> HistoryPage:
    """One page of a thing's history."""
    return _page(asked, noun, thing, _address(asked, noun, thing), before)


@screen.page(f"{PLACE}/mine", right=SIGNED_IN, template="history.html")
def own_page(asked: Asked, *, before: Annotated[str, Query(max_length=60)] = "") -> HistoryPage:
    """One's own history, which everybody may read."""
    return _page(asked, "person", asked.visitor.person, asked.at("/history/mine"), before)


def _page(asked: Asked, noun: str, thing: str, address: str, before: str) -> HistoryPage:
    found = reading.see_history(asked.archive, asked.visitor, noun, thing, now=asked.now, before=before)
    gaps = tuple(_line(asked, found, one, with_day=True) for one in found.gaps)
    return HistoryPage(
        title=found.title,
        start=asked.at("/history") if asked.visitor.may(reading.READ) else "",
        about=found.about,
        here=_opened(asked, noun, thing),
        gaps=gaps[:_AT_ONCE],
        more_gaps=gaps[_AT_ONCE:],
        days=_days(asked, found),
        older=f"{address}?{urlencode({'before': found.before})}" if found.before else "",
        newest=address if before else "",
    )


def _opened(asked: Asked, noun: str, thing: str) -> str:
    """Where the thing itself is opened; nothing for what has no page, or none for whoever reads this."""
    if noun == "person":
        return address_of(asked, "sign-off", thing)
    if noun == "case" and asked.visitor.may("bench-read"):
        return asked.at(f"/bench/cases/{thing}")
    return address_of(asked, "sink-solution" if noun == "solution" else noun, thing)


def _address(asked: Asked, noun: str, thing: str) -> str:
    return asked.at(f"/history/{noun}/{thing}")


def _days(asked: Asked, found: History) -> tuple[DayShown, ...]:
    """What happened and what is not recorded, day by day on the department's clocks."""
    zone = ZoneInfo(asked.visitor.zone)
    lines = in_order((*found.lines, *found.gaps))
    days = groupby(lines, key=lambda one: one.ended.astimezone(zone).date())
    return tuple(
        DayShown(day.isoformat(), tuple(_line(asked, found, one, with_day=False) for one in of_day))
        for day, of_day in days
    )


def _line(asked: Asked, found: History, line: Line, *, with_day: bool) -> LineShown:
    return LineShown(
        at=_time(asked, line, with_day=with_day),
        words=line.words,
        by=found.names.get(line.by, "somebody here") if line.by else "",
        shows=line.shows,
        marks=tuple(MARK_WORDS[mark] for mark in sorted(line.marks)),
        is_gap=line.is_gap,
        asked=line.gap.policy if line.gap else "",
        links=tuple(_links(asked, line)),
    )


def _time(asked: Asked, line: Line, *, with_day: bool) -> str:
    """The time of day, or a stretch of it; with the day where no heading says it."""
    zone = asked.visitor.zone
    begin, end = shown_moment(line.at, zone), shown_moment(line.ended, zone)
    if with_day:
        return begin
    same_day = begin[:10] == end[:10]
    first = begin[-5:] if same_day else begin
    return first if begin == end else f"{first}–{end[-5:]}"


def _links(asked: Asked, line: Line) -> list[LinkShown]:
    links = [link for one in line.evidence if (link := _link(asked, one)) is not None]
    if line.entries and asked.visitor.may(_BOOK):
        number = max(line.entries)
        links.append(LinkShown(asked.at(f"/record?before={number + 1}"), f"Record book {number}"))
    return links


def _link(asked: Asked, one: Evidence) -> LinkShown | None:
    words = _CALLED.get(one.noun)
    if words is None:
        return None
    if one.noun in _HISTORIES:
        return LinkShown(_address(asked, one.noun, one.id), words)
    folder, right = _FOLDERS.get(one.noun, ("", ""))
    if folder:
        return LinkShown(asked.at(f"/{folder}/{one.id}"), words) if asked.visitor.may(right) else None
    address = address_of(asked, one.noun, one.id)
    return LinkShown(address, words) if address else None
