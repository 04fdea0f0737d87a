"""One recall: what is to be done next at the head, then what was done; and what is said of each thing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from pydantic import Field

from sinkside.bench.recall import CauseKind, Found
from sinkside.desk.people import names_of
from sinkside.desk.recall import recalling as desk
from sinkside.desk.recall import working
from sinkside.desk.recall.documents import Call, Dealt, Recall
from sinkside.desk.recall.reaching import policy
from sinkside.desk.recall.rights import NARROW, OPEN, READ, WORK
from sinkside.plain import LANGUAGES
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.recalls.place import (
    LONGEST,
    ONE,
    SetReached,
    counts_words,
    other_words,
    reached,
    screen,
    window_words,
)
from sinkside.web.typed_moments import read_moment, typed

#: How a set was found, as the form offers it.
FOUND: Final = (
    Option(Found.found, "Found, unopened"),
    Option(Found.opened, "Found opened or used"),
    Option(Found.not_found, "Not found: it stays open"),
)
_FOUND_WORDS: Final[Mapping[Found, str]] = {
    Found.found: "found, unopened",
    Found.opened: "found opened or used",
    Found.not_found: "not found",
}


@dataclass(frozen=True)
class ToTell:
    """A case, or another house, that is to be told: its key, what it is, the calls made, and who was told.

    `told` is empty while nobody was.
    """

    key: str
    words: str
    calls: tuple[str, ...]
    told: str


@dataclass(frozen=True)
class HeldSet:
    """A set that is still held, and where that is lifted."""

    words: str
    address: str


@dataclass(frozen=True)
class RecallPage:
    """One recall.

    Attributes:
        title: why.
        address: of the page.
        recalls: where the list is.
        opened: by whom and when.
        window: from when until when it reaches.
        counts: how much it reaches.
        reach: how far, where it was narrowed, with the reason; empty where it was not.
        left: how much is to go.
        to_do: the sets that are open, what is to be done first at the head; the first of very many.
        done: those that were dealt with, likewise.
        cases: the cases that something was used in.
        others: the other houses that it concerns.
        found: how a set may have been found.
        now: this moment, as a form takes it.
        closed: how it ended, a line each; empty while it is open.
        held: what is still held.
        languages: in which papers are printed.
        may_work: whether whoever reads this may say what was done.
        may_close: whether they may close it.
        closes: what closing it asks for, where that is more than a right to close.
    """

    title: str
    address: str
    recalls: str
    opened: str
    window: str
    counts: str
    reach: str
    left: str
    to_do: tuple[SetReached, ...]
    done: tuple[SetReached, ...]
    cases: tuple[ToTell, ...]
    others: tuple[ToTell, ...]
    found: tuple[Option, ...]
    now: str
    closed: tuple[str, ...]
    held: tuple[HeldSet, ...]
    languages: tuple[Option, ...]
    may_work: bool
    may_close: bool
    closes: str


class Looked(Form):
    """How a set was found, and what was done with it."""

    found: Found
    words: str = Field("", max_length=LONGEST)


class Told(Form):
    """A call: when, who answered by function – nobody, where that stays empty –, and what was said."""

    at: str = Field("", max_length=40)
    answered: str = Field("", max_length=LONGEST)
    words: str = Field("", max_length=LONGEST)


class Ending(Form):
    """What was found, what lay at the root, and what was put right."""

    words: str = Field("", max_length=LONGEST)
    root: str = Field("", max_length=LONGEST)
    correction: str = Field("", max_length=LONGEST)


@screen.page(ONE, right=READ, template="recall.html")
def recall_page(asked: Asked, recall: str) -> RecallPage:
    """One recall: what is to be done next at the head, then what was done."""
    seen = desk.see_recall(asked.archive, asked.visitor, recall)
    known = seen.recall
    names = names_of(asked.archive, _people(known))
    sets = _sets(asked, seen, names)
    may_close = not known.closed and asked.visitor.may(OPEN)
    is_prion = known.cause.kind is CauseKind.prion
    return RecallPage(
        title=known.cause.words,
        address=asked.at(f"/recalls/{recall}"),
        recalls=asked.at("/recalls"),
        opened=f"{names.get(known.by, known.by)}, {shown_moment(known.at, asked.visitor.zone)}",
        window=window_words(asked, known.since, known.until, why=""),
        counts=counts_words(
            len(known.loads), len({one.copy_id for one in known.reached}), len(known.numbers)
        ),
        reach=f"{policy().reaches[known.reach].name}: {known.reason}" if known.reason else "",
        left=_left(known),
        to_do=tuple(one for is_open, one in sets if is_open)[: desk.MOST_SHOWN],
        done=tuple(one for is_open, one in sets if not is_open)[: desk.MOST_SHOWN],
        cases=tuple(_case(asked, known, number, names) for number in known.numbers),
        others=_others(asked, known, names),
        found=FOUND,
        now=typed(asked, asked.now),
        closed=_closed(asked, known, names),
        held=tuple(
            HeldSet(f"{one.name}, {one.code}: {one.place}", asked.at(f"/bench/at/store/{one.id}"))
            for one in seen.held
        ),
        languages=tuple(Option(code, name) for code, name in LANGUAGES.items()),
        may_work=not known.closed and asked.visitor.may(WORK),
        may_close=may_close and (not is_prion or asked.visitor.may(NARROW)),
        closes="Infection prevention closes it: a named person decides." if may_close and is_prion else "",
    )


def _sets(asked: Asked, seen: desk.SeenRecall, names: Mapping[str, str]) -> list[tuple[bool, SetReached]]:
    """Every set that it reached, each with whether it is open."""
    known = seen.recall
    open_runs = {one.run for one in known.open_sets}
    return [
        (
            one.run in open_runs,
            reached(
                asked,
                known.cause.kind,
                one,
                now=seen.now.get(one.run),
                dealt=_dealt(asked, known.sets.get(one.run), names),
            ),
        )
        for one in known.reached
    ]


@screen.act(f"{ONE}/sets/{{run}}", right=WORK, form=Looked, page=recall_page)
def deal_with_set(asked: Asked, form: Looked, recall: str, run: str) -> Done:
    """Keep how a set was found, and what was done with it."""
    working.deal_with_set(
        asked.archive, asked.visitor, recall, run, found=form.found, words=form.words, now=asked.now
    )
    said = "Kept; it stays open." if form.found is Found.not_found else "Kept."
    return Done(go=asked.at(f"/recalls/{recall}"), said=said)


@screen.act(f"{ONE}/cases/{{case}}", right=WORK, form=Told, page=recall_page)
def tell_case(asked: Asked, form: Told, recall: str, case: str) -> Done:
    """Keep who was called about a case."""
    working.tell_case(asked.archive, asked.visitor, recall, case, _called(asked, form), now=asked.now)
    return Done(go=asked.at(f"/recalls/{recall}"), said=_said(form))


@screen.act(f"{ONE}/others/{{loan}}", right=WORK, form=Told, page=recall_page)
def tell_other(asked: Asked, form: Told, recall: str, loan: str) -> Done:
    """Keep who of another house was told."""
    working.tell_other(asked.archive, asked.visitor, recall, loan, _called(asked, form), now=asked.now)
    return Done(go=asked.at(f"/recalls/{recall}"), said=_said(form))


@screen.act(f"{ONE}/close", right=OPEN, form=Ending, page=recall_page)
def close_recall(asked: Asked, form: Ending, recall: str) -> Done:
    """Close it, once everything is dealt with."""
    ended = working.Ended(form.words, form.root, form.correction)
    working.close_recall(asked.archive, asked.visitor, recall, ended, now=asked.now)
    return Done(go=asked.at(f"/recalls/{recall}"), said="Closed.")


def _called(asked: Asked, form: Told) -> working.Called:
    at = read_moment(asked, form.at, field="at") if form.at.strip() else asked.now
    return working.Called(at, form.answered, form.words)


def _said(form: Told) -> str:
    return "Kept." if form.answered.strip() else "Kept that nobody answered; it stays open."


def _people(known: Recall) -> set[str]:
    dealt = [*known.sets.values(), *known.cases.values(), *known.others.values()]
    ended = [known.closed] if known.closed else []
    return {known.by, *(one.by for one in (*dealt, *ended)), *(one.by for one in known.calls)}


def _left(known: Recall) -> str:
    numbers = ((known.open_sets, "set"), (known.open_cases, "case"), (known.open_others, "letter"))
    left = [desk.counted(len(those), one) for those, one in numbers if those]
    return f"{', '.join(left)} to go" if left else "Everything is dealt with"


def _dealt(asked: Asked, dealt: Dealt | None, names: Mapping[str, str]) -> str:
    if dealt is None:
        return ""
    how = f"{_FOUND_WORDS[dealt.found].capitalize()}: " if dealt.found else ""
    return f"{how}{dealt.words} ({_by(asked, dealt, names)})"


def _by(asked: Asked, one: Dealt | Call, names: Mapping[str, str]) -> str:
    return f"{names.get(one.by, one.by)}, {shown_moment(one.at, asked.visitor.zone)}"


def _calls(asked: Asked, known: Recall, of: str, names: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(
        f"{shown_moment(one.at, asked.visitor.zone)}: {one.answered or 'nobody answered'}"
        f"{f', {one.words}' if one.words else ''} ({names.get(one.by, one.by)})"
        for one in known.calls_about(of)
    )


def _case(asked: Asked, known: Recall, number: str, names: Mapping[str, str]) -> ToTell:
    sets = dict.fromkeys(f"{one.name} {one.code}" for one in known.reached if number in one.told_cases)
    told = _dealt(asked, known.cases.get(number), names)
    return ToTell(number, ", ".join(sets), _calls(asked, known, number, names), told)


def _others(asked: Asked, known: Recall, names: Mapping[str, str]) -> tuple[ToTell, ...]:
    return tuple(
        ToTell(
            one.loan,
            f"{one.other}: {other_words(asked, one)}",
            _calls(asked, known, one.loan, names),
            _dealt(asked, known.others.get(one.loan), names),
        )
        for one in known.concerned
    )


def _closed(asked: Asked, known: Recall, names: Mapping[str, str]) -> tuple[str, ...]:
    closed = known.closed
    if closed is None:
        return ()
    told = (("Found", closed.words), ("At the root", closed.root), ("Put right", closed.correction))
    return (
        f"Closed by {_by(asked, closed, names)}.",
        *(f"{name}: {words}" for name, words in told if words),
    )
