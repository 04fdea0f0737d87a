"""Water events: written down, what stands still, what ran since, what is tested before anything goes on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from pydantic import Field

from sinkside.bench.programmes.water_event import Ended, WaterEvent, WaterEventKind
from sinkside.desk.bench.store import EXCEPT
from sinkside.desk.people import names_of
from sinkside.desk.programmes import water_events
from sinkside.desk.programmes.policy import READ, RECORD
from sinkside.desk.programmes.water_events import CLOSE
from sinkside.desk.programmes.water_gate import OPEN, water_policy
from sinkside.desk.recall.rights import OPEN as OPEN_RECALL
from sinkside.records import KeptLoad
from sinkside.sources import WAYS_OF_READING
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.bench.load_shown import STATE_WORDS
from sinkside.web.screens.verification.place import PLACE, screen
from sinkside.web.typed_moments import read_moment, typed

LIST: Final = f"{PLACE}/water"
ONE: Final = f"{LIST}/{{event}}"
_LONGEST: Final = 2000


@dataclass(frozen=True)
class KindShown:
    """A kind of event to choose: its id and name, what is done at once."""

    id: str
    name: str
    first: str


@dataclass(frozen=True)
class WaterEventsPage:
    """The water events: open ones, closed ones, and the form by which one is written down."""

    title: str
    address: str
    back: str
    open: tuple[Option, ...]
    closed: tuple[Option, ...]
    may_begin: bool
    kinds: tuple[KindShown, ...]
    points: tuple[Option, ...]
    machines: tuple[Option, ...]
    now: str


@dataclass(frozen=True)
class TestShown:
    """A check that is to pass: of what, its name, when it did; where it is recorded."""

    __test__ = False

    thing: str
    name: str
    shown: str
    address: str


@dataclass(frozen=True)
class LoadLine:
    """A load since the event began: its page, machine, program, when it was begun, how it stands."""

    address: str
    machine: str
    program: str
    at: str
    words: str


@dataclass(frozen=True)
class WaterEventPage:
    """One water event: what stands still, what is to be done next, what ran since it began.

    Attributes:
        title: what happened and where.
        address: of the page.
        back: the list.
        facts: since when, by whose word, and how it went on.
        machines: what stands still, by name; nothing once it is closed.
        first: what is done at once.
        before: what is done before tests.
        source: who says so.
        is_over: whether the water is back.
        is_closed: whether everything may go on.
        tests: what must pass before.
        without: things for which no check is kept here.
        is_ready: whether all is shown.
        loads: what ran since it began.
        recalls: a recall for each point, with the cause filled in; nothing for who may not.
        allowed: exceptions made: where each is opened, its machine, whether it was used.
        may_record: whether the person may say that the water is back.
        may_close: whether the person may let everything go on.
        may_except: whether the person may let one load go on.
        choices: the machines of the form for that.
        now: the moment, as the form has it.
    """

    title: str
    address: str
    back: str
    facts: tuple[tuple[str, str], ...]
    machines: tuple[str, ...]
    first: str
    before: str
    source: str
    is_over: bool
    is_closed: bool
    tests: tuple[TestShown, ...]
    without: tuple[str, ...]
    is_ready: bool
    loads: tuple[LoadLine, ...]
    recalls: tuple[Option, ...]
    allowed: tuple[tuple[str, str, str], ...]
    may_record: bool
    may_close: bool
    may_except: bool
    choices: tuple[Option, ...]
    now: str


class Beginning(Form):
    """What happened to the water."""

    kind: WaterEventKind = WaterEventKind.outage
    begin: str = Field("", max_length=40)
    told_by: str = Field("", max_length=_LONGEST)
    points: list[str] = Field([], max_length=100)
    machines: list[str] = Field([], max_length=100)
    words: str = Field("", max_length=_LONGEST)


class Back(Form):
    """Since when the water is back, and by whose word."""

    over: str = Field("", max_length=40)
    said_by: str = Field("", max_length=_LONGEST)
    words: str = Field("", max_length=_LONGEST)


class Closing(Form):
    """What was shown."""

    words: str = Field("", max_length=_LONGEST)


class GoingOn(Form):
    """The form of the exception by which one load goes on."""

    machine: str = Field("", max_length=120)
    code: str = Field("", max_length=200)
    case: str = Field("", max_length=40)
    authority: str = Field("", max_length=_LONGEST)
    reason: str = Field("", max_length=_LONGEST)


@screen.page(LIST, right=READ, template="verification_water_events.html")
def water_list(asked: Asked) -> WaterEventsPage:
    """The water events of this department."""
    rows = water_events.find_events(asked.archive, asked.visitor)
    points, machines = water_events.to_choose(asked.archive, asked.visitor)
    address = asked.at("/verification/water")
    return WaterEventsPage(
        title="Water events",
        address=address,
        back=asked.at("/verification"),
        open=tuple(Option(f"{address}/{row.id}", row.title) for row in rows if row.state == OPEN),
        closed=tuple(Option(f"{address}/{row.id}", row.title) for row in rows if row.state != OPEN),
        may_begin=asked.visitor.may(RECORD),
        kinds=tuple(KindShown(kind, one.name, one.first) for kind, one in water_policy().kinds.items()),
        points=tuple(Option(one.id, one.name) for one in points),
        machines=tuple(Option(one.id, one.name) for one in machines),
        now=typed(asked, asked.now),
    )


@screen.act(LIST, right=RECORD, form=Beginning, page=water_list)
def begin_event(asked: Asked, form: Beginning) -> Done:
    """Write a water event down; the machines that draw the water stand still from now on."""
    begun = water_events.Begun(
        kind=form.kind,
        told_by=form.told_by,
        begin=read_moment(asked, form.begin, field="begin"),
        points=form.points,
        machines=form.machines,
        words=form.words,
    )
    try:
        key = water_events.begin_event(asked.archive, asked.visitor, begun, now=asked.now)
    except water_events.BegunAlready as error:
        said = "This is written down already; here it is. Nothing was written twice."
        return Done(go=asked.at(f"/verification/water/{error.resource}"), said=said)
    return Done(
        go=asked.at(f"/verification/water/{key}"), said="Written down. The machines below stand still."
    )


@screen.page(ONE, right=READ, template="verification_water_event.html")
def water_event(asked: Asked, event: str) -> WaterEventPage:
    """One water event."""
    seen = water_events.see_event(asked.archive, asked.visitor, event)
    known, rule = seen.event, water_policy().kinds[seen.event.kind]
    is_closed = known.closed is not None
    return WaterEventPage(
        title=known.what[0].upper() + known.what[1:],
        address=asked.at(f"/verification/water/{event}"),
        back=asked.at("/verification/water"),
        facts=_facts(asked, known),
        machines=() if is_closed else tuple(one.name for one in known.machines),
        first=rule.first,
        before=rule.before,
        source=WAYS_OF_READING[rule.how_read],
        is_over=known.over is not None,
        is_closed=is_closed,
        tests=tuple(_test(asked, one) for one in seen.to_test),
        without=seen.without_check,
        is_ready=seen.is_ready,
        loads=tuple(_load(asked, one) for one in seen.loads),
        recalls=_recalls(asked, known),
        allowed=_allowed(asked, known),
        may_record=not is_closed and known.over is None and asked.visitor.may(RECORD),
        may_close=not is_closed and asked.visitor.may(CLOSE),
        may_except=not is_closed and bool(known.machines) and asked.visitor.may(EXCEPT),
        choices=tuple(Option(one.id, one.name) for one in known.machines),
        now=typed(asked, asked.now),
    )


@screen.act(f"{ONE}/over", right=RECORD, form=Back, page=water_event)
def water_is_back(asked: Asked, form: Back, event: str) -> Done:
    """Say that the water is back."""
    water_events.see_event(asked.archive, asked.visitor, event)
    at = read_moment(asked, form.over, field="over")
    water_events.water_is_back(
        asked.archive, asked.visitor, event, at=at, said_by=form.said_by, words=form.words, now=asked.now
    )
    return Done(go=asked.at(f"/verification/water/{event}"), said="Kept. Tests from now on count.")


@screen.act(f"{ONE}/close", right=CLOSE, form=Closing, page=water_event)
def close_event(asked: Asked, form: Closing, event: str) -> Done:
    """Let everything go on."""
    water_events.close_event(asked.archive, asked.visitor, event, words=form.words, now=asked.now)
    return Done(go=asked.at(f"/verification/water/{event}"), said=f"May go on, by {asked.someone.name}.")


@screen.act(f"{ONE}/go-on", right=EXCEPT, form=GoingOn, page=water_event)
def go_on(asked: Asked, form: GoingOn, event: str) -> Done:
    """Let one load go on by exception."""
    wanted = water_events.GoOn(form.machine, form.code, form.case, form.authority, form.reason)
    water_events.go_on(asked.archive, asked.visitor, event, wanted, now=asked.now)
    said = "One load may be begun there; somebody else reviews this tomorrow."
    return Done(go=asked.at(f"/verification/water/{event}"), said=said)


def _facts(asked: Asked, known: WaterEvent) -> tuple[tuple[str, str], ...]:
    ends = [one for one in (known.over, known.closed) if one]
    names = names_of(asked.archive, {known.by, *(one.by for one in ends)})
    zone = asked.visitor.zone

    def told(one: Ended) -> str:
        words = f" {one.words[0].upper()}{one.words[1:]}." if one.words else ""
        return f"{shown_moment(one.at, zone)}, told by {one.said_by}.{words} ({names.get(one.by, one.by)})"

    facts = [
        ("Since", f"{shown_moment(known.begin, zone)}, told by {known.told_by}"),
        ("Written down", f"{shown_moment(known.at, zone)} by {names.get(known.by, known.by)}"),
        ("What", known.words),
        ("Water is back", told(known.over) if known.over else ""),
        ("Everything may go on", told(known.closed) if known.closed else ""),
    ]
    return tuple((name, words) for name, words in facts if words)


def _test(asked: Asked, one: water_events.ToTest) -> TestShown:
    return TestShown(
        thing=one.thing_name,
        name=one.name,
        shown=shown_moment(one.shown, asked.visitor.zone) if one.shown else "",
        address=asked.at(f"/machines/{one.thing}/checks/{one.check}"),
    )


def _load(asked: Asked, load: KeptLoad) -> LoadLine:
    return LoadLine(
        address=asked.at(f"/bench/loads/{load.id}"),
        machine=str(load.fields["machine_name"]),
        program=load.program,
        at=shown_moment(load.opened, asked.visitor.zone),
        words=STATE_WORDS[load.state][0],
    )


def _recalls(asked: Asked, known: WaterEvent) -> tuple[Option, ...]:
    if not asked.visitor.may(OPEN_RECALL):
        return ()
    found = []
    for point in known.points:
        words = f"{known.what[0].upper()}{known.what[1:]}."
        sent = {"kind": "water", "of": point.id, "since": typed(asked, known.begin), "words": words[:500]}
        found.append(Option(asked.at(f"/recalls/new?{urlencode(sent)}"), point.name))
    return tuple(found)


def _allowed(asked: Asked, known: WaterEvent) -> tuple[tuple[str, str, str], ...]:
    names = {one.id: one.name for one in known.machines}
    return tuple(
        (
            asked.at(f"/bench/exceptions/{one.exception}"),
            names[one.machine],
            "begun" if one.load else "not begun yet",
        )
        for one in known.allowed
    )
