"""Recalls: what a failure reaches, looked at before it is opened; then dealt with set by set until closed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final

from fastapi import Query
from pydantic import Field

from sinkside.bench.recall import TO_DO, CauseKind, Fate, Reaching, Touched
from sinkside.desk.people import names_of
from sinkside.desk.recall import recalling as desk
from sinkside.desk.recall.choosing import Choices, choices
from sinkside.desk.recall.documents import Cause, Recall, Recalled
from sinkside.desk.recall.reaching import policy
from sinkside.desk.recall.recalling import Scope
from sinkside.errors import BadInput
from sinkside.sources import WAYS_OF_READING, source
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Nav, Option, Screen
from sinkside.web.typed_moments import read_moment, typed

LIST: Final = f"{DEPARTMENT}/recalls"
NEW: Final = f"{LIST}/new"
ONE: Final = f"{LIST}/{{recall}}"

screen = Screen("recalls")

_LONGEST: Final = 500

#: What may begin a recall of a machine, in words.
_OF_A_MACHINE: Final = (
    Option(CauseKind.indicator, "An indicator grew or failed"),
    Option(CauseKind.cycle, "A cycle failed, or its record was misread"),
    Option(CauseKind.machine, "The machine broke"),
    Option(CauseKind.water, "A result of the water was bad"),
)

FATE_WORDS: Final[Mapping[Fate, str]] = {
    Fate.here: "in the house",
    Fate.issued: "issued, unopened as far as is known",
    Fate.away: "away: lent or in repair",
    Fate.used: "used",
    Fate.came_back: "came back since, on its next run",
}


@dataclass(frozen=True)
class RecallLine:
    """One recall of the list: what it began with, how much it reached, and how much of that is open."""

    address: str
    words: str
    sets: int
    cases: int
    open_sets: int
    open_cases: int
    at: str


@dataclass(frozen=True)
class RecallsPage:
    """Open recalls, closed ones, and what a new one may begin with."""

    title: str
    new: str
    open: tuple[RecallLine, ...]
    closed: tuple[RecallLine, ...]
    may_open: bool
    machines: tuple[Option, ...]
    kinds: tuple[Option, ...]
    texts: tuple[Option, ...]


@dataclass(frozen=True)
class SetReached:
    """A set that a recall reaches: where it is, what is to be done, the cases it was used in, what was done.

    `run` names it in the recall; `dealt` is empty while nobody did anything.
    """

    run: str
    code: str
    name: str
    place: str
    fate: str
    to_do: str
    load: str
    at: str
    used_in: tuple[str, ...]
    dealt: str


@dataclass(frozen=True)
class ReachPage:
    """What a recall would reach, before anybody opens it.

    Attributes:
        title: the heading.
        recalls: where the list is.
        counts: loads, sets and cases in one sentence.
        window: from when until when, in words.
        sets: what it reaches, what is to be done first at the head.
        cases: the cases that something was used in.
        sent: what the form that opens it carries, by field.
        reaches: how far it may go.
        reach: the one that is shown.
        what: what that takes in, in a sentence.
        source: who says so.
        may_narrow: whether whoever reads this may let it reach less far.
        may_open: whether they may open it.
    """

    title: str
    recalls: str
    counts: str
    window: str
    sets: tuple[SetReached, ...]
    cases: tuple[str, ...]
    sent: tuple[Option, ...]
    reaches: tuple[Option, ...]
    reach: str
    what: str
    source: str
    may_narrow: bool
    may_open: bool


@dataclass(frozen=True)
class CaseToTell:
    """A case in which something was used, and who was told; empty while nobody was."""

    number: str
    told: str


@dataclass(frozen=True)
class RecallPage:
    """One recall: how far it went, what is open, what was done, and who closed it."""

    title: str
    address: str
    recalls: str
    opened: str
    window: str
    counts: str
    left: str
    to_do: tuple[SetReached, ...]
    done: tuple[SetReached, ...]
    cases: tuple[CaseToTell, ...]
    closed: str
    may_work: bool
    may_close: bool


class Begun(Form):
    """What a recall begins with, and how far it goes; an empty begin is the last good evidence."""

    kind: CauseKind
    of: str = Field(min_length=1, max_length=200)
    words: str = Field(min_length=1, max_length=_LONGEST)
    since: str = Field("", max_length=40)
    until: str = Field("", max_length=40)
    reach: str = Field("", max_length=40)
    reason: str = Field("", max_length=_LONGEST)
    revision: int = Field(0, ge=0, le=100_000)


class Words(Form):
    """What was done, or who was told."""

    words: str = Field("", max_length=_LONGEST)


@screen.page(LIST, right=desk.READ, template="recalls.html", nav=Nav("Recalls", 45, "proof"))
def recalls_page(asked: Asked) -> RecallsPage:
    """Every recall, open ones first, and the forms that look at a new one."""
    rows = desk.find_recalls(asked.archive, asked.visitor)
    lines = [
        (
            row.state,
            RecallLine(
                address=asked.at(f"/recalls/{row.id}"),
                words=row.title,
                sets=int(row.fields["sets"] or 0),
                cases=int(row.fields["cases"] or 0),
                open_sets=int(row.fields["open_sets"] or 0),
                open_cases=int(row.fields["open_cases"] or 0),
                at=shown_moment(row.updated, asked.visitor.zone),
            ),
        )
        for row in rows
    ]
    known = choices(asked.archive, asked.visitor)
    return RecallsPage(
        title="Recalls",
        new=asked.at("/recalls/new"),
        open=tuple(line for state, line in lines if state == desk.OPENED),
        closed=tuple(line for state, line in lines if state == desk.CLOSED),
        may_open=asked.visitor.may(desk.OPEN),
        machines=tuple(Option(one.id, one.name) for one in known.machines),
        kinds=_OF_A_MACHINE,
        texts=tuple(Option(key, name) for key, name in known.texts),
    )


@screen.page(NEW, right=desk.READ, template="recall_new.html")
def reach_page(
    asked: Asked,
    *,
    kind: CauseKind = CauseKind.machine,
    of: Annotated[str, Query(max_length=200)] = "",
    words: Annotated[str, Query(max_length=_LONGEST)] = "",
    since: Annotated[str, Query(max_length=40)] = "",
    reach: Annotated[str, Query(max_length=40)] = "",
    reason: Annotated[str, Query(max_length=_LONGEST)] = "",
    revision: Annotated[int, Query(ge=0, le=100_000)] = 0,
) -> ReachPage:
    """What a recall would reach: nothing is held or told yet."""
    given = {"kind": kind, "of": of or "-", "words": words or _words_of(kind), "since": since}
    form = Begun.model_validate({**given, "reach": reach, "reason": reason, "revision": revision})
    cause, scope = _read(asked, form)
    found = desk.see_reach(asked.archive, asked.visitor, cause, scope, now=asked.now)
    chosen = reach or next(iter(policy().reaches))
    wanted = policy().reaches[chosen]
    sent = {**given, "reach": chosen, "reason": reason, "revision": str(revision)}
    sent["since"] = typed(asked, scope.since) if scope.since else ""
    return ReachPage(
        title=cause.words,
        recalls=asked.at("/recalls"),
        counts=_counted(len(found.loads), found.sets, len(found.cases)),
        window=_window(asked, scope.since, scope.until or asked.now),
        sets=tuple(_touched(asked, one) for one in found.touched),
        cases=found.cases,
        sent=tuple(Option(name, str(value)) for name, value in sent.items()),
        reaches=tuple(Option(key, one.name) for key, one in policy().reaches.items()),
        reach=chosen,
        what=wanted.what,
        source=_source_words(wanted),
        may_narrow=asked.visitor.may(desk.NARROW),
        may_open=asked.visitor.may(desk.OPEN),
    )


@screen.act(LIST, right=desk.OPEN, form=Begun, page=recalls_page)
def open_recall(asked: Asked, form: Begun) -> Done:
    """Open a recall: every set of it that is in the house is held."""
    cause, scope = _read(asked, form)
    recall = desk.open_recall(asked.archive, asked.visitor, cause, scope, now=asked.now)
    return Done(go=asked.at(f"/recalls/{recall}"), said="Opened; what is in the house is held.")


@screen.page(ONE, right=desk.READ, template="recall.html")
def recall_page(asked: Asked, recall: str) -> RecallPage:
    """One recall: what is to be done next at the head, then what was done."""
    seen = desk.see_recall(asked.archive, asked.visitor, recall)
    known = seen.recall
    dealt = [*known.sets.values(), *known.cases.values(), *([known.closed] if known.closed else [])]
    names = names_of(asked.archive, {known.by, *(one.by for one in dealt)})
    open_runs = {one.run for one in known.open_sets}
    sets = [(one.run in open_runs, _recalled(asked, seen, one, names)) for one in known.reached]
    zone = asked.visitor.zone
    closed = known.closed
    return RecallPage(
        title=known.cause.words,
        address=asked.at(f"/recalls/{recall}"),
        recalls=asked.at("/recalls"),
        opened=f"{names.get(known.by, known.by)}, {shown_moment(known.at, zone)}",
        window=_window(asked, known.since, known.until),
        counts=_counted(len(known.loads), len({one.copy_id for one in known.reached}), len(known.numbers)),
        left=f"{_number(len(known.open_sets), 'set')} and {_number(len(known.open_cases), 'case')} to go",
        to_do=tuple(one for is_open, one in sets if is_open),
        done=tuple(one for is_open, one in sets if not is_open),
        cases=tuple(CaseToTell(number, _told(known, number, names, zone)) for number in known.numbers),
        closed=f"{closed.words} {names.get(closed.by, closed.by)}, {shown_moment(closed.at, zone)}"
        if closed
        else "",
        may_work=not closed and asked.visitor.may(desk.WORK),
        may_close=not closed and asked.visitor.may(desk.OPEN),
    )


@screen.act(f"{ONE}/sets/{{run}}", right=desk.WORK, form=Words, page=recall_page)
def deal_with_set(asked: Asked, form: Words, recall: str, run: str) -> Done:
    """Keep what was done about a set."""
    desk.deal_with_set(asked.archive, asked.visitor, recall, run, words=form.words, now=asked.now)
    return Done(go=asked.at(f"/recalls/{recall}"), said="Kept.")


@screen.act(f"{ONE}/cases/{{case}}", right=desk.WORK, form=Words, page=recall_page)
def tell_case(asked: Asked, form: Words, recall: str, case: str) -> Done:
    """Keep who was told of a case."""
    desk.tell_case(asked.archive, asked.visitor, recall, case, words=form.words, now=asked.now)
    return Done(go=asked.at(f"/recalls/{recall}"), said="Kept.")


@screen.act(f"{ONE}/close", right=desk.OPEN, form=Words, page=recall_page)
def close_recall(asked: Asked, form: Words, recall: str) -> Done:
    """Close it, once everything is dealt with."""
    desk.close_recall(asked.archive, asked.visitor, recall, words=form.words, now=asked.now)
    return Done(go=asked.at("/recalls"), said="Closed.")


def _words_of(kind: CauseKind) -> str:
    return next((one.words for one in _OF_A_MACHINE if one.id == kind), str(kind).capitalize())


def _source_words(reach: Reaching) -> str:
    """Who says so, and how we came by it."""
    if not reach.source:
        return WAYS_OF_READING[reach.how_read]
    return f"{source(reach.source, reach.clause)} ({WAYS_OF_READING[reach.how_read]})"


def _read(asked: Asked, form: Begun) -> tuple[Cause, Scope]:
    """The cause and how far it goes; of a machine from its last good evidence on, unless told."""
    known = choices(asked.archive, asked.visitor)
    of = form.of
    if form.kind in {CauseKind.product, CauseKind.prion}:
        of = desk.copy_for(asked.archive, asked.visitor, form.of)
    since = read_moment(asked, form.since, field="since") if form.since.strip() else _last_good(known, of)
    until = read_moment(asked, form.until, field="until") if form.until.strip() else asked.now
    cause = Cause(kind=form.kind, of=of, words=form.words, revision=form.revision)
    if form.kind is CauseKind.text and not form.revision:
        raise BadInput("say which revision, such as 2", resource="revision")
    return cause, Scope(form.reach, form.reason, since, until)


def _last_good(known: Choices, of: str) -> datetime | None:
    return next((one.last_good for one in known.machines if one.id == of), None)


def _window(asked: Asked, since: datetime | None, until: datetime) -> str:
    begin = shown_moment(since, asked.visitor.zone) if since else "the beginning, as no good evidence is kept"
    return f"from {begin} until {shown_moment(until, asked.visitor.zone)}"


def _counted(loads: int, sets: int, cases: int) -> str:
    return f"{_number(loads, 'load')}, {_number(sets, 'set')}, {_number(cases, 'case')}"


def _number(number: int, one: str) -> str:
    return f"{number} {one}{'' if number == 1 else 's'}"


def _touched(asked: Asked, one: Touched) -> SetReached:
    return _reached(asked, one, one.fate, one.used_in, "")


def _recalled(asked: Asked, seen: desk.SeenRecall, one: Recalled, names: Mapping[str, str]) -> SetReached:
    dealt = seen.recall.sets.get(one.run)
    said = ""
    if dealt:
        who = names.get(dealt.by, dealt.by)
        said = f"{dealt.words} ({who}, {shown_moment(dealt.at, asked.visitor.zone)})"
    now = seen.now.get(one.run)
    if now is not None:
        return _reached(asked, now, now.fate, one.used_in, said)
    return _reached(asked, one, one.fate, one.used_in, said)


def _reached(
    asked: Asked, one: Touched | Recalled, fate: Fate, used_in: tuple[str, ...], dealt: str
) -> SetReached:
    return SetReached(
        run=one.run,
        code=one.code,
        name=one.name,
        place=one.place,
        fate=FATE_WORDS[fate],
        to_do=TO_DO[fate],
        load=one.load,
        at=shown_moment(one.at, asked.visitor.zone),
        used_in=used_in,
        dealt=dealt,
    )


def _told(known: Recall, number: str, names: Mapping[str, str], zone: str) -> str:
    dealt = known.cases.get(number)
    if dealt is None:
        return ""
    return f"{dealt.words} ({names.get(dealt.by, dealt.by)}, {shown_moment(dealt.at, zone)})"
