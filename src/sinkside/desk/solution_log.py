"""The log of solutions at the sink: made up, in use, to be discarded; each with product, lot and name."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from sinkside.department import Chemical
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.machine_days import local_day
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.solution_documents import Remark, SinkSolution
from sinkside.desk.solution_making import LONGEST_WITHOUT_WORD, Said, WorkedOut, worked_out
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.records import Row

SOLUTION: Final = "sink-solution"
IN_USE: Final = "in-use"
DISCARDED: Final = "discarded"

_MOST: Final = 200
_LATEST: Final = 40
_LONGEST_LOT: Final = 80
_LONGEST_WHY: Final = 2000
_HOUR_S: Final = 3600

#: Clocks of people and of the house differ by so much at most.
_SLACK: Final = timedelta(minutes=5)
_EARLIEST: Final = timedelta(hours=24)


@dataclass(frozen=True)
class MadeUp:
    """That a solution was made up.

    Attributes:
        lot: on the container.
        lot_until: the last day of the lot; none where nobody said it.
        made: when.
        hours: how long it may be used; the maker's word, where there is one, is never passed.
    """

    lot: str
    made: datetime
    lot_until: date | None = None
    hours: float | None = None


@dataclass(frozen=True)
class SolutionsFound:
    """What must be discarded now, the longest overdue first; what is in use; what was discarded lately.

    `chemicals` are those that can be made up here.
    """

    overdue: tuple[tuple[str, SinkSolution], ...]
    in_use: tuple[tuple[str, SinkSolution], ...]
    discarded: tuple[tuple[str, SinkSolution], ...]
    chemicals: tuple[Chemical, ...]


def find_solutions(archive: Archive, who: Visitor, *, now: datetime) -> SolutionsFound:
    """The solutions of this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "solution-read")
    with archive.unit(writes=False) as unit:
        here = [who.department]
        open_ones = _kept(unit, unit.rows.all(SOLUTION, here, states=[IN_USE], limit=_MOST))
        closed = _kept(unit, unit.rows.all(SOLUTION, here, states=[DISCARDED], limit=_LATEST))
        site = department_in(unit, who.department)
    return SolutionsFound(
        overdue=tuple(one for one in open_ones if one[1].discard_by <= now),
        in_use=tuple(one for one in open_ones if one[1].discard_by > now),
        discarded=closed,
        chemicals=site.chemicals if site else (),
    )


def open_solution(archive: Archive, who: Visitor, solution: str) -> SinkSolution:
    """One solution as it stands.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, "solution-read")
    with archive.unit(writes=False) as unit:
        return _solution_in(unit, who, solution)[1]


def last_made(archive: Archive, who: Visitor, chemical: str) -> SinkSolution | None:
    """The solution of a chemical that was made up last, so that nobody says again what stays the same."""
    require(who, "solution-read")
    with archive.unit(writes=False) as unit:
        rows = unit.rows.all(SOLUTION, [who.department], limit=_MOST)
        same = [row for row in rows if row.fields.get("chemical") == chemical]
        last = max(same, key=lambda row: str(row.fields.get("made")), default=None)
        return read_kept(unit, SOLUTION, last.id, SinkSolution) if last else None


def log_solution(archive: Archive, who: Visitor, said: Said, made_up: MadeUp, *, now: datetime) -> str:
    """Keep that a solution was made up, and say its id.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such chemical here.
        BadInput: if the dose or the temperature does not fit, the lot is missing or over, or the solution is
            older than it may be.
    """
    require(who, "solution-make")
    lot = " ".join(made_up.lot.split())
    if not 0 < len(lot) <= _LONGEST_LOT:
        raise BadInput(f"expected the lot on the container, 1 to {_LONGEST_LOT} signs", resource="lot")
    _refuse_old_lot(made_up, who, now)
    if not now - _EARLIEST <= made_up.made <= now + _SLACK:
        raise BadInput("expected a moment within the last 24 hours", resource="made")
    with archive.unit() as unit:
        known = worked_out(unit, who, said)
        discard_by = _discard_by(known, made_up, now)
        kept = _document(known, made_up, lot, discard_by=discard_by, by=who.person)
        solution = new_id("u")
        _keep(unit, who, solution, kept, "solution-made", now=now)
    return solution


def discard(archive: Archive, who: Visitor, solution: str, *, why: str = "", now: datetime) -> SinkSolution:
    """Keep that a solution was discarded.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        Conflict: if it is discarded already.
    """
    require(who, "solution-make")
    if len(why) > _LONGEST_WHY:
        raise BadInput(f"it has {len(why)} characters; expected at most {_LONGEST_WHY}", resource="why")
    with archive.unit() as unit:
        _, known = _solution_in(unit, who, solution)
        if known.discarded is not None:
            raise Conflict("it is discarded already", resource=solution)
        done = {"discarded": now, "discarded_by": who.person, "why": why.strip()}
        kept = known.model_copy(update=done)
        _keep(unit, who, solution, kept, "solution-discarded", now=now)
    return kept


def _refuse_old_lot(made_up: MadeUp, who: Visitor, now: datetime) -> None:
    if made_up.lot_until is not None and made_up.lot_until < local_day(now, who.zone):
        raise BadInput(
            f"this lot was to be used until {made_up.lot_until.isoformat()}; take one that is not over",
            resource="lot_until",
        )


def _discard_by(known: WorkedOut, made_up: MadeUp, now: datetime) -> datetime:
    """Until when it may be used: as the maker says, or as a person says where no maker does."""
    name = known.chemical.name
    longest = known.use_within or LONGEST_WITHOUT_WORD
    if made_up.hours is None and known.use_within is None:
        raise BadInput(
            f"how long may {name} be used? Its maker's word is not kept here; expected hours",
            resource="hours",
        )
    most = longest.total_seconds() / _HOUR_S
    hours = most if made_up.hours is None else made_up.hours
    if not 0 < hours <= most:
        word = known.chemical.use_within
        by = f"{name} may be used {word}" if word else "Without a maker's word"
        raise BadInput(f"{by}: expected more than 0 and at most {most:g} h", resource="hours")
    discard_by = made_up.made + timedelta(hours=hours)
    if discard_by <= now:
        raise BadInput(
            f"{name} may be used {hours:g} h and is older than that; discard it and make a new one",
            resource="made",
        )
    return discard_by


def _document(known: WorkedOut, made_up: MadeUp, lot: str, *, discard_by: datetime, by: str) -> SinkSolution:
    solution = known.solution
    return SinkSolution(
        chemical=known.chemical.id,
        name=known.chemical.name,
        lot=lot,
        lot_until=made_up.lot_until.isoformat() if made_up.lot_until else "",
        water=solution.water,
        dose=solution.dose,
        amount=solution.amount,
        temperature=known.temperature,
        point=known.point.id if known.point else "",
        point_name=known.point.name if known.point else "",
        hardness=known.hardness,
        remarks=tuple(Remark(level=one.level, message=one.message) for one in solution.findings),
        made=made_up.made,
        discard_by=discard_by,
        by=by,
    )


def _keep(unit: Unit, who: Visitor, solution: str, kept: SinkSolution, event: str, *, now: datetime) -> None:
    """Keep a solution as it stands now, with its line in the list and its event."""
    revision = keep_next(unit, SOLUTION, solution, kept, by=who.person, now=now)
    row = Row(
        SOLUTION,
        solution,
        who.department,
        DISCARDED if kept.discarded else IN_USE,
        f"{kept.name}, {kept.water}",
        now,
        due=None if kept.discarded else kept.discard_by,
        fields={"chemical": kept.chemical, "lot": kept.lot, "made": kept.made.isoformat()},
    )
    unit.rows.put(row)
    late = kept.discarded is not None and kept.discarded > kept.discard_by
    data = {"chemical": kept.chemical, "lot": kept.lot, "late": late, "digest": revision.digest}
    record(unit, who, event, f"{SOLUTION}:{solution}", now=now, data=data)


def _kept(unit: Unit, rows: list[Row]) -> tuple[tuple[str, SinkSolution], ...]:
    found = ((row.id, read_kept(unit, SOLUTION, row.id, SinkSolution)) for row in rows)
    return tuple((row_id, kept) for row_id, kept in found if kept is not None)


def _solution_in(unit: Unit, who: Visitor, solution: str) -> tuple[Row, SinkSolution]:
    row = unit.rows.get(SOLUTION, solution)
    kept = read_kept(unit, SOLUTION, solution, SinkSolution)
    if row is None or kept is None or row.department != who.department:
        raise NotThere("there is no such solution here", resource=solution)
    return row, kept
