"""Machines' days: what is due today, what was done, and how each machine, room and water point stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final, Literal
from zoneinfo import ZoneInfo

from sinkside.department import Department, Weekday
from sinkside.desk import departments
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import digest_of
from sinkside.desk.machine_findings import told
from sinkside.desk.machine_policy import Needed, needed_by
from sinkside.desk.machine_rows import OUT_OF_USE, last_check, machine_rows, used_at
from sinkside.desk.machine_standing import CHECKS, checks_here
from sinkside.desk.machine_things import Thing, profile_of, things_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.remembered import Remembered
from sinkside.findings import Finding
from sinkside.records import Row

#: How one check of one thing stands today, the worst first.
DueState = Literal["failed", "overdue", "due", "done", "later"]

#: How a thing stands, the worst first.
ThingState = Literal["out-of-use", "failed", "overdue", "due", "done", "nothing"]
THING_STATES: Final[tuple[ThingState, ...]] = ("out-of-use", "failed", "overdue", "due", "done", "nothing")


@dataclass(frozen=True)
class Clock:
    """The moment, the department's zone, and the days of the week on which it is closed."""

    now: datetime
    zone: str
    closed: frozenset[Weekday] = frozenset()

    @property
    def today(self) -> date:
        """The day on the department's clocks."""
        return local_day(self.now, self.zone)

    def open_from(self, day: date) -> date:
        """The first day from one on that the department is open."""
        names = list(Weekday)
        following = (day + timedelta(days=number) for number in range(len(names)))
        return next((one for one in following if names[one.weekday()] not in self.closed), day)


@dataclass(frozen=True)
class Due:
    """One check of one thing: how it stands today, when it was last done, from when on it is due again.

    `without` is the day on which the machine ran although it was due, where there is one.
    """

    needed: Needed
    state: DueState
    last: datetime | None
    passed: bool
    next_day: date
    without: date | None = None


@dataclass(frozen=True)
class ThingToday:
    """A thing and its day: how it stands in one word, since when and why it is out of use, its checks."""

    thing: Thing
    state: ThingState
    why: str
    dues: tuple[Due, ...]
    row: Row | None

    def of(self, *states: DueState) -> tuple[Due, ...]:
        """The checks that stand so."""
        return tuple(due for due in self.dues if due.state in states)


def machines_today(archive: Archive, who: Visitor, *, now: datetime) -> tuple[ThingToday, ...]:
    """Every machine, room and water point that needs checks here, the worst first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "machine-read")
    with archive.unit(writes=False) as unit:
        return today_in(unit, who, now=now)


def today_in(unit: Unit, who: Visitor, *, now: datetime) -> tuple[ThingToday, ...]:
    """The same, for the verbs that have a transaction."""
    site = department_in(unit, who.department)
    if site is None:
        return ()
    rows = machine_rows(unit, who.department)
    clock = Clock(now, who.zone, frozenset(site.closed))
    needs = _needs(unit, who.department, site)
    found = [thing_today(thing, needed, rows.get(thing.id), clock) for thing, needed in needs]
    shown = [one for one in found if one.dues or one.state == "out-of-use"]
    return tuple(
        sorted(shown, key=lambda one: (THING_STATES.index(one.state), -len(one.of("overdue", "due"))))
    )


#: Each thing with the checks that it needs, by the digests of all that says so: every day asks for them.
_NEEDS: Final = Remembered[tuple[str, str], tuple[tuple[Thing, tuple[Needed, ...]], ...]](most=100)


def _needs(unit: Unit, department: str, site: Department) -> tuple[tuple[Thing, tuple[Needed, ...]], ...]:
    key = (digest_of(unit, departments.KIND, department), digest_of(unit, CHECKS, department))

    def work_out() -> tuple[tuple[Thing, tuple[Needed, ...]], ...]:
        here, profile = checks_here(unit, department), profile_of(site)
        return tuple((thing, needed_by(thing.kinds, here, profile)) for thing in things_of(site))

    return _NEEDS.get(key, work_out)


def clock_in(unit: Unit, who: Visitor, *, now: datetime) -> Clock:
    """The moment on the clocks of the visitor's department."""
    site = department_in(unit, who.department)
    return Clock(now, who.zone, frozenset(site.closed) if site else frozenset())


def thing_today(thing: Thing, needs: Iterable[Needed], row: Row | None, clock: Clock) -> ThingToday:
    """How a thing stands at a moment, in the department's own day."""
    dues = tuple(due_of(needed, row, clock) for needed in needs if needed.check.asked == "by-day")
    if row is not None and row.state == OUT_OF_USE:
        return ThingToday(thing, "out-of-use", str(row.fields.get("why", "")), dues, row)
    states = {due.state for due in dues}
    state: ThingState = next((one for one in ("failed", "overdue", "due") if one in states), "done")
    return ThingToday(thing, state if dues else "nothing", "", dues, row)


def due_of(needed: Needed, row: Row | None, clock: Clock) -> Due:
    """How one check stands at a moment."""
    last, today, zone = last_check(row, needed.id), clock.today, clock.zone
    if last.at is None:
        used = used_at(row)
        without = local_day(used, zone) if used and needed.check.each_day_of_use else None
        return Due(
            needed, "overdue" if without else "due", None, passed=False, next_day=today, without=without
        )
    done = local_day(last.at, zone)
    next_day = clock.open_from(done + timedelta(days=needed.days))
    if not last.passed:
        return Due(needed, "failed", last.at, passed=False, next_day=done)
    if next_day > today:
        state: DueState = "done" if done == today else "later"
        return Due(needed, state, last.at, passed=True, next_day=next_day)
    without = _used_without(row, next_day, zone) if needed.check.each_day_of_use else None
    late = without is not None if needed.check.each_day_of_use else next_day < today
    return Due(needed, "overdue" if late else "due", last.at, passed=True, next_day=next_day, without=without)


def _used_without(row: Row | None, due: date, zone: str) -> date | None:
    used = used_at(row)
    day = local_day(used, zone) if used else None
    return day if day is not None and day >= due else None


def local_day(moment: datetime, zone: str) -> date:
    """The day of a moment on the department's clocks.

    >>> from datetime import UTC
    >>> local_day(datetime(2026, 3, 1, 23, 30, tzinfo=UTC), "Europe/Vienna").isoformat()
    '2026-03-02'
    """
    return moment.astimezone(ZoneInfo(zone)).date()


def findings_of(one: ThingToday, zone: str) -> tuple[Finding, ...]:
    """What a thing's day has to say, the worst first."""
    name, fields = one.thing.name, one.row.fields if one.row else {}
    found = []
    if one.state == "out-of-use":
        found.append(
            told("machine-out-of-use", machine=name, reason=_sentence(str(fields.get("reason", ""))))
        )
        return tuple(found)
    for due in one.of("failed"):
        day = due.next_day.isoformat()
        found.append(told("machine-check-failed", check=due.needed.check.name, machine=name, day=day))
    return (*found, *(_overdue(due, name, zone) for due in one.of("overdue")))


def _overdue(due: Due, machine: str, zone: str) -> Finding:
    last = local_day(due.last, zone).isoformat() if due.last else "never"
    check = due.needed.check.name
    if due.without is not None:
        used = due.without.isoformat()
        return told("machine-used-without-check", check=check.lower(), machine=machine, used=used, last=last)
    day = due.next_day.isoformat()
    return told("machine-check-overdue", check=check, machine=machine, due=day, last=last)


def _sentence(text: str) -> str:
    return text if text[-1:] in ".!?" else f"{text}."


def names_of_checks(dues: Sequence[Due]) -> str:
    """The checks' names in a row, for a sentence."""
    return ", ".join(due.needed.check.name.lower() for due in dues)
