"""Which pack a case gets: reserved or given out, and wanted again when it comes back."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput
from sinkside.records import CaseSet, KeptCase, KeptCopy

PLANNED: Final = "planned"
WANTED: Final = "wanted"
RESERVED: Final = "reserved"
ISSUED: Final = "issued"


def reserved_for(unit: Unit, who: Visitor, copy: KeptCopy, number: str) -> None:
    """Keep a pack for a case that is known here.

    Raises:
        BadInput: if no case has that number, or it has all that it needs of this set.
    """
    case = unit.bench.cases.by_number(who.department, number)
    if case is None:
        raise BadInput(f"no case {number} is known here; plan it first", resource="case")
    free = _free(unit, case.id, copy)
    if free is None:
        raise BadInput(f"case {number} needs no more of {copy.name}", resource="case")
    unit.bench.cases.put_set(replace(free, copy=copy.id, state=RESERVED))


def given_to(unit: Unit, who: Visitor, copy: KeptCopy, number: str, *, at: datetime) -> None:
    """Say of a case that it got a pack; a case that nobody planned is kept as it is told.

    One more than it needed stands beside the others.
    """
    case = unit.bench.cases.by_number(who.department, number)
    if case is None:
        case = KeptCase(new_id("case"), who.department, number, "", at, PLANNED)
        unit.bench.cases.put(case)
    wanted = _free(unit, case.id, copy)
    if wanted is None:
        turns = [one.turn for one in unit.bench.cases.sets_of(case.id) if one.set == copy.of]
        wanted = CaseSet(case.id, copy.of, turn=max(turns, default=0) + 1)
    unit.bench.cases.put_set(replace(wanted, copy=copy.id, run=copy.run, state=ISSUED))


def given_back(unit: Unit, who: Visitor, copy: KeptCopy, number: str) -> None:
    """Say of a case that is known here that a pack is not for it any more: it wants one of that set again."""
    case = unit.bench.cases.by_number(who.department, number) if number else None
    for one in unit.bench.cases.sets_of(case.id) if case else ():
        if one.copy == copy.id and one.state in {RESERVED, ISSUED}:
            unit.bench.cases.put_set(replace(one, copy="", run="", state=WANTED))


def freed(unit: Unit, case: KeptCase, *, now: datetime) -> None:
    """Let go of packs that are kept for a case which will not be; what was given out comes back by hand."""
    for one in unit.bench.cases.sets_of(case.id):
        if one.state != RESERVED:
            continue
        copy = unit.bench.copies.get(one.copy)
        if copy is not None and copy.fields.get("reserved") == case.number:
            unit.bench.copies.put(replace(copy, updated=now, fields={**copy.fields, "reserved": ""}))
        unit.bench.cases.put_set(replace(one, copy="", run="", state=WANTED))


def _free(unit: Unit, case: str, copy: KeptCopy) -> CaseSet | None:
    """What a case wants of a pack's set: what this very pack is reserved for, else what has none yet."""
    those = [one for one in unit.bench.cases.sets_of(case) if one.set == copy.of]
    own = next((one for one in those if one.copy == copy.id and one.state == RESERVED), None)
    return own or next((one for one in those if not one.copy and one.state == WANTED), None)
