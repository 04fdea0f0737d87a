"""Water events: begun, over, closed by a named person once everything is shown; and what ran meanwhile."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.bench.case_number import case_number
from sinkside.bench.exception_form import SHORTEST_WORDS, ExceptionForm, ExceptionKind, review_until
from sinkside.bench.programmes.water_event import (
    Allowed,
    Ended,
    Touched,
    WaterEvent,
    WaterEventKind,
    refuse_moment,
)
from sinkside.bench.programmes.words import plain
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.exceptions import keep_exception
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.bench.store import EXCEPT
from sinkside.desk.departments import department_in
from sinkside.desk.machine_rows import LastCheck, last_check, machine_rows
from sinkside.desk.machine_standing import needed_of
from sinkside.desk.machine_things import Thing, things_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.policy import READ, RECORD
from sinkside.desk.programmes.water_gate import EVENTS, OPEN, WATER_EVENT, keep_event, water_policy
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict
from sinkside.findings import Level
from sinkside.records import KeptLoad, Row

#: Whoever returns machines to use says that everything may go on.
CLOSE: Final = "machine-return"
_MOST: Final = 200


@dataclass(frozen=True)
class Begun:
    """What somebody says of an event: kind, who told it, since when, which points and further machines."""

    kind: WaterEventKind
    told_by: str
    begin: datetime
    points: Sequence[str]
    machines: Sequence[str] = ()
    words: str = ""


class BegunAlready(Conflict):
    """An open water event says the same; the resource is its key."""


@dataclass(frozen=True)
class ToTest:
    """A check that must pass before things go on: of which thing; when it did since the water is back."""

    thing: str
    thing_name: str
    check: str
    name: str
    shown: datetime | None


@dataclass(frozen=True)
class SeenEvent:
    """An event with what must be tested, the loads since it began, and points for which no check is kept."""

    key: str
    event: WaterEvent
    to_test: tuple[ToTest, ...]
    without_check: tuple[str, ...]
    loads: tuple[KeptLoad, ...]

    @property
    def is_ready(self) -> bool:
        """Whether the water is back and everything was shown."""
        return self.event.over is not None and all(one.shown for one in self.to_test)


def begin_event(archive: Archive, who: Visitor, begun: Begun, *, now: datetime) -> str:
    """Write down a water event; from now on the machines that draw the water stand still.

    Raises:
        NotAllowed: without the right.
        BadInput: if nobody told it, it begins in the future, or there is no such point or machine here.
        BegunAlready: if an open one says all of that.
    """
    require(who, RECORD)
    refuse_moment(begun.begin, after=None, now=now, field="begin")
    with archive.unit() as unit:
        things = _things(unit, who)
        points = [things[key] for key in begun.points if key in things and "water" in things[key].kinds]
        if not points or len(points) != len(begun.points):
            raise BadInput("choose a water point of this department, or more", resource="points")
        chosen = [*(machine for point in points for machine in point.machines), *begun.machines]
        machines = [things[key] for key in dict.fromkeys(chosen) if key in things and things[key].machine]
        event = WaterEvent(
            kind=begun.kind,
            words=plain(begun.words, "words"),
            told_by=plain(begun.told_by, "told_by", needed=True),
            points=tuple(Touched(id=one.id, name=one.name) for one in points),
            machines=tuple(Touched(id=one.id, name=one.name) for one in machines),
            begin=begun.begin,
            by=who.person,
            at=now,
        )
        _refuse_twice(unit, who, event)
        key = new_id("w")
        keep_event(unit, who, key, event, event="water-event-begun", now=now)
        _refuse_twice(unit, who, event, but=key)
        return key


def _refuse_twice(unit: Unit, who: Visitor, event: WaterEvent, *, but: str = "") -> None:
    """Write nothing down that an open event says already.

    Asked once more after it was kept, when nobody else writes here until this is over: of two who press at
    the same moment, the second then sees what the first has done.

    Raises:
        BegunAlready: if one is open that says as much.
    """
    for key, known in EVENTS.all(unit, who, [OPEN]):
        if key != but and known.says_as_much_as(event):
            raise BegunAlready("this is written down already, and open", resource=key)


def water_is_back(
    archive: Archive, who: Visitor, key: str, *, at: datetime, said_by: str, words: str, now: datetime
) -> None:
    """Say that the water is back, since when and by whose word; tests after that count.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if it is back already, before it began, or by nobody's word.
    """
    require(who, RECORD)
    with archive.unit() as unit:
        known = EVENTS.opened(unit, who, key)
        if known.over is not None:
            raise BadInput("it is said already that the water is back", resource="at")
        refuse_moment(at, after=known.begin, now=now, field="at")
        over = Ended(
            said_by=plain(said_by, "said_by", needed=True), words=plain(words, "words"), by=who.person, at=at
        )
        after = known.model_copy(update={"over": over})
        keep_event(unit, who, key, after, event="water-event-over", now=now)


def close_event(archive: Archive, who: Visitor, key: str, *, words: str, now: datetime) -> None:
    """Let everything go on, as the named person who may, once it was shown.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if the water is not back, something is not shown, or without words.
    """
    require(who, CLOSE)
    with archive.unit() as unit:
        seen = _seen(unit, who, key)
        if seen.event.closed is not None:
            raise BadInput("it is closed already", resource="words")
        if seen.event.over is None:
            raise BadInput("say first that the water is back, and by whose word", resource="words")
        missing = [f"{one.name.lower()} of {one.thing_name}" for one in seen.to_test if not one.shown]
        if missing:
            raise BadInput(f"not shown since the water is back: {', '.join(missing)}", resource="words")
        said = plain(words, "words", needed=True)
        closed = Ended(said_by=seen.event.over.said_by, words=said, by=who.person, at=now)
        after = seen.event.model_copy(update={"closed": closed})
        keep_event(unit, who, key, after, event="water-event-closed", now=now)


@dataclass(frozen=True)
class GoOn:
    """The form by which one load goes on: machine, code of the set, case, authority, reason."""

    machine: str
    code: str
    case: str
    authority: str
    reason: str


def go_on(archive: Archive, who: Visitor, key: str, form: GoOn, *, now: datetime) -> str:
    """Let one load of one machine go on in spite of the event, by the form; somebody else reviews it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such event or set here.
        BadInput: if the machine does not stand still by it, or the form is not whole.
    """
    require(who, EXCEPT)
    with archive.unit() as unit:
        known = EVENTS.opened(unit, who, key)
        if known.closed or not any(one.id == form.machine for one in known.machines):
            raise BadInput("this machine does not stand still by it", resource="machine")
        copy = copy_of_code(unit, who.department, form.code)
        exception = ExceptionForm(
            kind=ExceptionKind.water_event,
            copy_code=copy.code,
            run=copy.run,
            case=case_number(form.case),
            authority=_explained(form.authority, "authority"),
            reason=_explained(form.reason, "reason"),
            in_the_way=(f"{known.what}, told by {known.told_by}",),
            by=who.person,
            at=now,
            review_by=review_until(now, who.zone),
        )
        made = keep_exception(unit, who, exception, now=now)
        allowed = (*known.allowed, Allowed(machine=form.machine, exception=made))
        after = known.model_copy(update={"allowed": allowed})
        keep_event(unit, who, key, after, event="water-exception-made", now=now)
        return made


def find_events(archive: Archive, who: Visitor) -> tuple[Row, ...]:
    """The water events of this department, open ones first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        rows = unit.rows.all(WATER_EVENT, [who.department], limit=_MOST)
        return tuple(sorted(rows, key=lambda row: row.state != OPEN))


def see_event(archive: Archive, who: Visitor, key: str) -> SeenEvent:
    """One water event with what must be tested and what ran since it began.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _seen(unit, who, key)


def to_choose(archive: Archive, who: Visitor) -> tuple[tuple[Thing, ...], tuple[Thing, ...]]:
    """The water points and the machines of this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        things = _things(unit, who).values()
    points = tuple(one for one in things if "water" in one.kinds)
    return points, tuple(one for one in things if one.machine is not None)


def events_to_see_to(unit: Unit, who: Visitor) -> Iterator[tuple[Level, str, str, datetime | None]]:
    """What Today says of open water events."""
    if not who.may(RECORD):
        return
    for key, known in EVENTS.all(unit, who, [OPEN]):
        names = ", ".join(one.name for one in known.machines) or "no machine"
        what = known.what[0].upper() + known.what[1:]
        if known.over is None:
            yield Level.stop, f"{what}: {names} stand still.", key, None
        else:
            yield Level.concern, f"{what} is over: {names} wait for tests and a decision.", key, None


def _explained(text: str, field: str) -> str:
    words = plain(text, field)
    if len(words) < SHORTEST_WORDS:
        raise BadInput(f"expected {SHORTEST_WORDS} characters or more", resource=field)
    return words


def _things(unit: Unit, who: Visitor) -> dict[str, Thing]:
    site = department_in(unit, who.department)
    return {one.id: one for one in things_of(site)} if site else {}


def _seen(unit: Unit, who: Visitor, key: str) -> SeenEvent:
    known = EVENTS.opened(unit, who, key)
    things, rule = _things(unit, who), water_policy().kinds[known.kind]
    asked = [
        *((one, rule.point_checks) for one in known.points),
        *((one, rule.machine_checks) for one in known.machines),
    ]
    rows = machine_rows(unit, who.department)
    tests, without = list[ToTest](), list[str]()
    for touched, checks in asked:
        thing = things.get(touched.id)
        needed = [one for one in needed_of(unit, who, thing) if one.id in checks] if thing else []
        if checks and not needed:
            without.append(touched.name)
        for one in needed:
            last = last_check(rows.get(touched.id), one.id)
            shown = last.at if _counts(last, known) else None
            tests.append(ToTest(touched.id, touched.name, one.id, one.check.name, shown))
    loads = [
        load
        for machine in known.machines
        for load in unit.bench.loads.of_machine(who.department, machine.id, since=known.begin)
    ]
    return SeenEvent(key, known, tuple(tests), tuple(without), tuple(loads))


def _counts(last: LastCheck, known: WaterEvent) -> bool:
    """Whether a check passed since the water is back."""
    return known.over is not None and last.passed and last.at is not None and last.at >= known.over.at
