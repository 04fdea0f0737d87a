"""What a loan makes of the physical thing: soiled and on a run here, away and on none elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

from sinkside.bench import doing as pure
from sinkside.bench.loans import Loan, Way
from sinkside.bench.run import AWAY, IN_USE, SET_ASIDE, Place
from sinkside.desk import sets
from sinkside.desk.access import Visitor
from sinkside.desk.bench.runs import copy_of_code, keep_run, open_run
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import Conflict, NotForTheFloor
from sinkside.records import KeptCopy

#: What lies in a machine goes nowhere.
_IN_A_MACHINE: Final = {Place.in_washer.value, Place.in_sterilizer.value}

_RECEIVED: Final = "received, soiled"


def came_in(unit: Unit, who: Visitor, loan: Loan, key: str, *, holds: Sequence[str], now: datetime) -> None:
    """Put a thing that came in on a run, soiled; without a route here it is set aside.

    Raises:
        Conflict: if another thing has its code, or it is not away.
    """
    copy = _new(unit, who, loan, key, now) if loan.way is Way.borrowed else _back(unit, who, loan)
    unit.bench.copies.put(copy)
    try:
        opened = open_run(unit, who, copy, at=now, now=now) if _is_a_set(unit, who, copy.of) else None
    except NotForTheFloor:
        opened = None
    if opened is None:
        unit.bench.copies.put(replace(copy, state=SET_ASIDE, place=f"{_RECEIVED}; no route here"))
        return
    run = opened.run
    for why in holds:
        run = pure.held(run, why, at=now, by=who.person)
    keep_run(unit, opened, run, now=now, place=_RECEIVED)


def went_out(unit: Unit, who: Visitor, loan: Loan, *, now: datetime) -> None:
    """Take a thing that goes out off its run; it is away.

    Raises:
        NotThere: if none here has its code.
        Conflict: if it lies in a machine, or is away already.
    """
    copy = copy_of_code(unit, who.department, loan.copy_code)
    if copy.state == AWAY or copy.state in _IN_A_MACHINE:
        raise Conflict(f"{copy.name} cannot go out: {copy.place}", resource=copy.code)
    run = unit.bench.runs.get(copy.run) if copy.run else None
    if run is not None and run.closed is None:
        unit.bench.runs.put(replace(run, version=run.version + 1, closed=now))
    unit.bench.copies.put(replace(copy, state=AWAY, place=loan.other, updated=now, due=None, run=""))


def _new(unit: Unit, who: Visitor, loan: Loan, key: str, now: datetime) -> KeptCopy:
    known = unit.bench.copies.by_code(who.department, loan.copy_code)
    if known is not None and not (known.state == AWAY and known.fields.get("owner") == loan.other):
        raise Conflict(f"{known.name} has the code {loan.copy_code} already", resource="code")
    return KeptCopy(
        id=known.id if known else new_id("c"),
        department=who.department,
        code=loan.copy_code,
        kind="set",
        of=loan.of,
        name=loan.what,
        state=IN_USE,
        place=_RECEIVED,
        updated=now,
        fields={"owner": loan.other, "loan": key},
    )


def _back(unit: Unit, who: Visitor, loan: Loan) -> KeptCopy:
    copy = copy_of_code(unit, who.department, loan.copy_code)
    if copy.state != AWAY:
        raise Conflict(f"{copy.name} is not away: {copy.place}", resource=copy.code)
    return copy


def _is_a_set(unit: Unit, who: Visitor, of: str) -> bool:
    row = unit.rows.get(sets.KIND, of) if of else None
    return row is not None and row.department == who.department
