"""Finding the thing whose history is wanted: by a scanned code, a number, an id or words of its name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.aids.labels.scanned import code_of
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.history.reading import OF_PEOPLE, READ
from sinkside.desk.indicators import LOT
from sinkside.desk.machine_things import things_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.solution_log import SOLUTION
from sinkside.records import KeptCopy, WantedCopies, WantedRows

_MOST: Final = 30


@dataclass(frozen=True)
class Found:
    """Something that has a history: what kind of thing, its id, what it is called, and what it is."""

    noun: str
    id: str
    title: str
    about: str


def find(archive: Archive, who: Visitor, text: str, *, now: datetime) -> tuple[Found, ...]:
    """What some words or a scanned code may mean; alone where it can mean nothing else.

    People are found by name only by who may read sign-offs.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    wanted = text.strip()
    if not wanted:
        return ()
    with archive.unit(writes=False) as unit:
        exact = tuple(_exact(unit, who, wanted))
        return exact or tuple(_by_words(unit, who, wanted, now))[:_MOST]


def _exact(unit: Unit, who: Visitor, wanted: str) -> Iterator[Found]:
    copy = unit.bench.copies.by_code(who.department, code_of(wanted))
    if copy is not None:
        yield _copy(copy)
    case = unit.bench.cases.by_number(who.department, wanted)
    if case is not None:
        yield Found("case", case.id, f"Case {case.number}", case.room)
    yield from _lots(unit, who, wanted)
    load = unit.bench.loads.get(wanted)
    if load is not None and load.department == who.department:
        yield Found("load", load.id, f"Load of {load.fields.get('machine_name', load.machine)}", load.program)


def _by_words(unit: Unit, who: Visitor, wanted: str, now: datetime) -> Iterator[Found]:
    copies = unit.bench.copies.found(who.department, WantedCopies(text=wanted, limit=_MOST))
    yield from map(_copy, copies)
    said = wanted.casefold()
    site = department_in(unit, who.department)
    for thing in things_of(site) if site else ():
        if said in thing.name.casefold() or said == thing.id:
            yield Found("machine", thing.id, thing.name, thing.words)
    for row in unit.rows.all(LOT, [who.department], text=wanted, limit=_MOST):
        yield Found("lot", row.id, row.title, f"{row.state} indicators")
    if who.may(OF_PEOPLE):
        names = unit.people.working_in(who.department, now)
        for person, name in sorted(names.items(), key=lambda one: one[1]):
            if said in name.casefold():
                yield Found("person", person, name, "works here")


def _lots(unit: Unit, who: Visitor, wanted: str) -> Iterator[Found]:
    """Lots of indicators and of chemicals by the number on the container."""
    for row in unit.rows.all(LOT, [who.department], text=wanted, limit=_MOST):
        if row.fields.get("lot") == wanted:
            yield Found("lot", row.id, row.title, f"{row.state} indicators")
    made = unit.rows.found(SOLUTION, [who.department], WantedRows(fields={"lot": wanted}, limit=1))
    for row in made:
        yield Found("lot", wanted, f"Lot {wanted}", row.title)


def _copy(copy: KeptCopy) -> Found:
    kind = "marked instrument" if copy.kind == "instrument" else "set"
    return Found("set", copy.id, f"{copy.name}, {copy.code}", f"{kind}, {copy.place}")
