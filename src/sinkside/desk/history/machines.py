"""The history of a machine, room or water point: its loads, checks, records, and when it was out of use."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from sinkside.bench.gaps_of_loads import load_gaps
from sinkside.bench.gaps_of_others import CheckAsked, DaysOf, machine_gaps
from sinkside.bench.history import Evidence, Line, LineKind
from sinkside.bench.loads import LoadState
from sinkside.desk.access import Visitor
from sinkside.desk.bench.load_following import ended_at
from sinkside.desk.concerning import concerning
from sinkside.desk.cycle_records import KIND as CYCLE_ROW
from sinkside.desk.evidence.gaps_of_load import known_of
from sinkside.desk.history.gathered import PAGE, Gathered, Page
from sinkside.desk.history.telling import lines_of
from sinkside.desk.machine_days import local_day
from sinkside.desk.machine_rows import CHECK, CYCLE, subject_of
from sinkside.desk.machine_standing import needed_of
from sinkside.desk.machine_things import Thing, thing_in
from sinkside.desk.ports import Unit
from sinkside.journal import Event
from sinkside.records import KeptLoad, Row, Wanted, WantedRows

#: So many loads a page has at most.
_LOADS: Final = 60
_MOST_ROWS: Final = 500
#: The longest interval between two checks that a page looks back for.
_LONGEST: Final = timedelta(days=31)
_STATES: Final = {
    LoadState.building: "it is being loaded",
    LoadState.running: "it runs",
    LoadState.over: "nobody has decided on it yet",
    LoadState.released: "released",
    LoadState.held: "held",
}


@dataclass(frozen=True)
class _Stretch:
    """The loads and entries of a page, and from which moment on it goes; none to the beginning."""

    loads: Sequence[KeptLoad]
    entries: Sequence[Event]
    since: datetime | None


def of_machine(unit: Unit, who: Visitor, machine: str, page: Page) -> Gathered:
    """One page of a machine's history; of a room or a water point too.

    Raises:
        NotThere: if there is none here.
    """
    thing = thing_in(unit, who, machine)
    found = _stretch(unit, who, thing, page)
    tests = _records_alone(unit, who, thing, found, page)
    lines = [*map(_load_line, found.loads), *tests]
    lines += lines_of(unit, who, found.entries, of=subject_of(thing.id))
    gaps = [line for load in found.loads for line in _gaps_of_load(unit, load)]
    gaps += _gaps_of_checks(unit, who, thing, found, page)
    return Gathered(
        title=thing.name,
        about=thing.words,
        gaps=tuple(gaps),
        lines=tuple(lines),
        before=found.since.isoformat() if found.since else "",
    )


def _stretch(unit: Unit, who: Visitor, thing: Thing, page: Page) -> _Stretch:
    """As many loads and entries as a page has, back to the same moment."""
    here = who.department
    before = page.moment if page.before else page.now + timedelta(days=1)
    loads = unit.bench.loads.latest_of_machine(here, thing.id, before=before, most=_LOADS)
    upto = unit.journal.first_since(here, page.moment) if page.before else None
    subjects = (subject_of(thing.id), *concerning(unit, here, thing.id))
    wanted = Wanted(subjects=subjects, before=upto, limit=PAGE)
    entries = unit.journal.events(here, wanted)
    ends = [loads[-1].opened] if len(loads) == _LOADS else []
    if len(entries) == PAGE:
        # Of those at the very moment at which a full page ends there may be more: they stand on the next one.
        ends.append(entries[-1].at + timedelta(microseconds=1))
    since = max(ends, default=None)
    if since is None:
        return _Stretch(loads, entries, None)
    return _Stretch(
        [one for one in loads if one.opened >= since], [one for one in entries if one.at >= since], since
    )


def _load_line(load: KeptLoad) -> Line:
    pieces = int(load.fields.get("pieces") or 0)
    implant = f", with an implant: {load.fields['implant']}" if load.fields.get("implant") else ""
    words = f"{load.program}, {pieces} piece{'' if pieces == 1 else 's'}{implant}"
    records = (Evidence("cycle", load.cycle),) if load.cycle else ()
    return Line(
        at=load.started or load.opened,
        until=ended_at(load),
        words=f"{words}: {_STATES[LoadState(load.state)]}.",
        kind=LineKind.load,
        by=str(load.fields.get("decided_by") or ""),
        shows="what it processed, and who decided" if load.fields.get("decided_by") else "what it processed",
        evidence=(Evidence("load", load.id), *records),
    )


def _records_alone(unit: Unit, who: Visitor, thing: Thing, found: _Stretch, page: Page) -> Iterator[Line]:
    """Records of the machine that belong to no load here: tests of it, and loads from before the bench."""
    wanted = WantedRows(
        states=(thing.id,),
        since=found.since,
        until=page.moment if page.before else None,
        limit=_MOST_ROWS,
    )
    for row in unit.rows.found(CYCLE, [who.department], wanted):
        if unit.bench.loads.of_cycle(who.department, row.id) is None:
            outcome = str(row.fields.get("outcome") or "not judged yet")
            yield Line(
                at=row.updated,
                words=f"Its record of {row.title} was handed in: {outcome}.",
                kind=LineKind.record,
                shows="what the record proves",
                evidence=(Evidence("cycle", row.id),),
            )


def _gaps_of_load(unit: Unit, load: KeptLoad) -> tuple[Line, ...]:
    """Record, verdict and decision; what release asks for stands in the load's own history."""
    row = unit.rows.get(CYCLE_ROW, load.cycle) if load.cycle else None
    return load_gaps(known_of(load, is_judged=row is not None and row.state != "judging"))


def _gaps_of_checks(unit: Unit, who: Visitor, thing: Thing, found: _Stretch, page: Page) -> Iterator[Line]:
    """Days on which it took a load although a check had not passed within its interval."""
    used: dict[date, datetime] = {}
    for load in found.loads:
        if load.started:
            day = local_day(load.started, who.zone)
            used[day] = min(load.started, used.get(day, load.started))
    if not used:
        return
    since = min(used.values()) - _LONGEST
    wanted = WantedRows(
        states=(thing.id,), since=since, until=page.moment if page.before else None, limit=_MOST_ROWS
    )
    done = unit.rows.found(CHECK, [who.department], wanted)
    for one in needed_of(unit, who, thing):
        if one.check.asked == "by-day" and timedelta(days=one.days) <= _LONGEST:
            asked = CheckAsked(one.check.name, one.days, f"{one.often}: {one.source}")
            yield from machine_gaps(thing.id, asked, DaysOf(used, _passed(done, one.id, who.zone)))


def _passed(done: Sequence[Row], check: str, zone: str) -> frozenset[date]:
    return frozenset(
        local_day(row.updated, zone)
        for row in done
        if row.fields.get("check") == check and row.fields.get("passed")
    )
