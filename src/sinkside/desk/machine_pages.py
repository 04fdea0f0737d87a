"""One machine, room or water point for those who look at it: its day, its days, its checks, its loads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final, Literal

from sinkside.desk import cycle_records
from sinkside.desk.access import Visitor, require
from sinkside.desk.machine_days import ThingToday, clock_in, local_day, thing_today
from sinkside.desk.machine_documents import Cause, Standing
from sinkside.desk.machine_policy import Needed, policy
from sinkside.desk.machine_rows import CHECK, MachineCycle, cycles_of, machine_rows
from sinkside.desk.machine_standing import ToShow, loads_since, needed_of, standing_of, way_back
from sinkside.desk.machine_things import Thing, thing_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.water_gate import water_at
from sinkside.records import Row, WantedRows

DAYS_SHOWN: Final = 28
_MOST_CHECKS: Final = 400

#: What a day was like: a check failed, the machine ran unchecked, all that was done passed, it stood still.
DayState = Literal["failed", "unchecked", "passed", "still"]


@dataclass(frozen=True)
class MachineDay:
    """One day of a thing: what it was like, how many cycles it ran, and which checks were done, in words."""

    day: date
    state: DayState
    cycles: int
    checks: tuple[str, ...]


@dataclass(frozen=True)
class Load:
    """A load that is asked after: the cycle, and how it was decided; empty while nobody has."""

    cycle: MachineCycle
    decided: str


@dataclass(frozen=True)
class LoadsAsked:
    """The loads since the last good check of a kind: why they are asked after, since when, and which."""

    cause: Cause
    loads: tuple[Load, ...]


@dataclass(frozen=True)
class OpenThing:
    """A thing with everything about its days; `water` names open water events, with what each says."""

    thing: Thing
    today: ThingToday
    standing: Standing
    to_show: tuple[ToShow, ...]
    asked: tuple[LoadsAsked, ...]
    days: tuple[MachineDay, ...]
    checks: tuple[Row, ...]
    needed: tuple[Needed, ...]
    water: tuple[tuple[str, str], ...] = ()


def open_thing(archive: Archive, who: Visitor, thing: str, *, now: datetime) -> OpenThing:
    """A thing with its day, its last days and checks, and the loads that are asked after.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, "machine-read")
    with archive.unit(writes=False) as unit:
        found = thing_in(unit, who, thing)
        needed = needed_of(unit, who, found)
        row = machine_rows(unit, who.department).get(thing)
        standing = standing_of(unit, who.department, thing)
        checks = unit.rows.found(CHECK, [who.department], WantedRows(states=[thing], limit=_MOST_CHECKS))
        return OpenThing(
            thing=found,
            today=thing_today(found, needed, row, clock_in(unit, who, now=now)),
            standing=standing,
            to_show=() if standing.in_use else way_back(unit, who, found, standing),
            asked=_asked(unit, who, found, standing),
            days=_days(unit, who, found, checks, now=now),
            checks=tuple(checks),
            needed=needed,
            water=water_at(unit, who, thing),
        )


def cycles_behind(
    unit: Unit, who: Visitor, thing: Thing, needed: Needed, *, now: datetime
) -> list[MachineCycle]:
    """The judged cycles of a machine that may stand behind a check today, the latest first."""
    if thing.machine is None:
        return []
    known = cycles_of(unit, who.department, [thing.machine.id], since=now - timedelta(days=2))
    if needed.check.record == "must":
        return [one for one in known if one.is_load and one.outcome]
    return [one for one in known if one.kind in needed.check.programs and one.outcome]


def _asked(unit: Unit, who: Visitor, thing: Thing, standing: Standing) -> tuple[LoadsAsked, ...]:
    """For each cause that asks after loads, those since its last good one, up to now."""
    asks = {check_id for check_id, check in policy().checks.items() if check.loads}
    first: dict[str, Cause] = {}
    for cause in standing.causes:
        if cause.check in asks:
            first.setdefault(cause.check, cause)
    return tuple(
        LoadsAsked(
            cause,
            tuple(_load(unit, one) for one in loads_since(unit, who.department, thing.machines, cause.since)),
        )
        for cause in first.values()
    )


def _load(unit: Unit, cycle: MachineCycle) -> Load:
    row = unit.rows.get(cycle_records.KIND, cycle.id)
    decided = row.state if row and row.state in {"held", "released"} else ""
    return Load(cycle, decided)


def _days(
    unit: Unit, who: Visitor, thing: Thing, checks: Sequence[Row], *, now: datetime
) -> tuple[MachineDay, ...]:
    today = local_day(now, who.zone)
    first = today - timedelta(days=DAYS_SHOWN - 1)
    since = now - timedelta(days=DAYS_SHOWN + 1)
    own = [thing.machine.id] if thing.machine else []
    ran = _by_day(cycles_of(unit, who.department, own, since=since), who.zone)
    done: dict[date, list[Row]] = {}
    for row in checks:
        done.setdefault(local_day(row.updated, who.zone), []).append(row)
    days = [first + timedelta(days=number) for number in range(DAYS_SHOWN)]
    return tuple(_day(day, done.get(day, []), ran.get(day, 0)) for day in days)


def _by_day(cycles: Sequence[MachineCycle], zone: str) -> Mapping[date, int]:
    counted: dict[date, int] = {}
    for one in cycles:
        day = local_day(one.at, zone)
        counted[day] = counted.get(day, 0) + int(one.is_load)
    return counted


def _day(day: date, done: Sequence[Row], cycles: int) -> MachineDay:
    state: DayState = "still"
    if any(not row.fields.get("passed") for row in done):
        state = "failed"
    elif done:
        state = "passed"
    elif cycles:
        state = "unchecked"
    words = tuple(
        f"{row.title}: {'passed' if row.fields.get('passed') else 'not passed'}" for row in reversed(done)
    )
    return MachineDay(day, state, cycles, words)
