"""What pages and Today show of programmes: what is due first, one programme, one result."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from sinkside.bench.programmes.due import Due, Piece, next_pieces
from sinkside.bench.programmes.programme import Method, Programme, TestResult
from sinkside.bench.programmes.proof import Shown, shown
from sinkside.department import Department
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.kept import (
    ENDED,
    PROGRAMME,
    PROGRAMMES,
    RESULTS,
    RUNNING,
    Asked,
    asked_of,
    today_of,
)
from sinkside.desk.programmes.planning import devices_to_choose
from sinkside.desk.programmes.policy import READ, RECORD, method_of
from sinkside.desk.set_touched import sets_with
from sinkside.findings import Level
from sinkside.records import Row, WantedCopies

_MOST: Final = 200
_PIECES: Final = 12
_NEXT: Final = 2
_A_WEEK: Final = timedelta(days=7)

#: A day on which clocks are set back has 25 hours.
_A_DAY: Final = timedelta(hours=25)


@dataclass(frozen=True)
class SeenProgramme:
    """A programme: what it asks for, what its tests show device by device, and which texts may be added."""

    key: str
    programme: Programme
    method: Method
    asked: Asked
    shown: dict[str, Shown]
    day: date
    to_add: tuple[Row, ...] = ()


@dataclass(frozen=True)
class SeenTest:
    """The form of one test: which device of which programme, which pieces come next, the last kit used."""

    seen: SeenProgramme
    due: Due
    pieces: tuple[Piece, ...]
    lot: str
    expires: str


def find_programmes(archive: Archive, who: Visitor, *, now: datetime) -> tuple[SeenProgramme, ...]:
    """The programmes of this department that run, with what each asks for; what is due first at the head.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return tuple(
            _seen(unit, who, key, known, now=now) for key, known in PROGRAMMES.all(unit, who, [RUNNING])
        )


def ended_programmes(archive: Archive, who: Visitor) -> tuple[Row, ...]:
    """The programmes that ended.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return tuple(unit.rows.all(PROGRAMME, [who.department], states=[ENDED], limit=_MOST))


def to_choose(archive: Archive, who: Visitor) -> tuple[tuple[Row, ...], Department | None]:
    """The texts whose devices may be tested, and the department with its limits.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return devices_to_choose(unit, who), department_in(unit, who.department)


def see_programme(archive: Archive, who: Visitor, key: str, *, now: datetime) -> SeenProgramme:
    """One programme.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = PROGRAMMES.opened(unit, who, key)
        return _seen(unit, who, key, known, now=now, to_add=devices_to_choose(unit, who, known.devices))


def see_test(archive: Archive, who: Visitor, key: str, device: str, *, now: datetime) -> SeenTest:
    """The form of one test.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such programme here.
        BadInput: if it has no such device.
    """
    require(who, RECORD)
    with archive.unit(writes=False) as unit:
        programme = PROGRAMMES.opened(unit, who, key)
        tested = programme.device(device)
        seen = _seen(unit, who, key, programme, now=now)
        due = next((one for one in seen.asked.dues if one.device.id == device), Due(tested, seen.day, None))
        last = next(iter(seen.asked.rows), None)
        lot = str(last.fields.get("lot") or "") if last else ""
        expires = str(last.fields.get("expires") or "") if last else ""
        fresh = expires >= seen.day.isoformat()
        pieces = next_pieces(_pieces(unit, who, tested.instruction, seen.asked))[:_PIECES]
        return SeenTest(seen, due, pieces, lot if fresh else "", expires if fresh else "")


@dataclass(frozen=True)
class ToTake:
    """One test of the week: of which programme, when it is due, and which pieces come next."""

    seen: SeenProgramme
    due: Due
    pieces: tuple[Piece, ...]


def tests_of_week(archive: Archive, who: Visitor, *, now: datetime) -> tuple[ToTake, ...]:
    """The cleaning tests that are due within seven days, overdue ones among them; the earliest first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        found = []
        for key, known in PROGRAMMES.all(unit, who, [RUNNING]):
            seen = _seen(unit, who, key, known, now=now)
            for due in seen.asked.dues:
                if due.day < seen.day + _A_WEEK:
                    pieces = next_pieces(_pieces(unit, who, due.device.instruction, seen.asked))
                    found.append(ToTake(seen, due, pieces[:_NEXT]))
    return tuple(sorted(found, key=lambda one: one.due.day))


def see_result(archive: Archive, who: Visitor, key: str, result: str) -> TestResult:
    """One result of a programme.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        PROGRAMMES.opened(unit, who, key)
        return RESULTS.opened(unit, who, result)


def programmes_to_see_to(
    unit: Unit, who: Visitor, *, now: datetime
) -> Iterator[tuple[Level, str, str, datetime | None]]:
    """What Today says of programmes: work stopped, tests overdue, tests due today."""
    if not who.may(RECORD):
        return
    day = today_of(who, now)
    for row in unit.rows.all(PROGRAMME, [who.department], states=[RUNNING], limit=_MOST):
        if not row.fields.get("stopped") and (row.due is None or row.due > now + _A_DAY):
            continue
        known = PROGRAMMES.opened(unit, who, row.id)
        asked = asked_of(unit, who, row.id, known)
        names = {one.id: one.name for one in known.devices}
        for key in asked.stopped:
            yield Level.stop, f"{names[key]}: work is stopped, cleaning tests failed.", row.id, None
        late = [one.device.name for one in asked.dues if one.is_overdue(day)]
        due = [one.device.name for one in asked.dues if one.day == day]
        if late:
            yield Level.concern, f"{row.title}, overdue: {', '.join(late)}.", row.id, row.due
        if due:
            yield Level.note, f"{row.title}, to be tested today: {', '.join(due)}.", row.id, None


def _seen(
    unit: Unit, who: Visitor, key: str, known: Programme, *, now: datetime, to_add: tuple[Row, ...] = ()
) -> SeenProgramme:
    asked = asked_of(unit, who, key, known)
    counts = {one.id: [row for row in asked.rows if row.fields["device"] == one.id] for one in known.devices}
    proofs = {
        device: shown(len(rows), sum(not row.fields["passed"] for row in rows))
        for device, rows in counts.items()
    }
    return SeenProgramme(key, known, method_of(known.method), asked, proofs, today_of(who, now), to_add)


def _pieces(unit: Unit, who: Visitor, instruction: str, asked: Asked) -> Iterator[Piece]:
    """The marked instruments of a text, and the copies of sets that have its device."""
    text = unit.rows.get(shelf.KIND, instruction) if instruction else None
    of = [text.id, *(row.id for row in sets_with(unit, who, text))] if text else []
    tested = {str(row.fields["code"]): row.updated for row in reversed(asked.rows) if row.fields["code"]}
    for thing in of:
        for copy in unit.bench.copies.found(who.department, WantedCopies(of=thing, limit=_MOST)):
            yield Piece(copy.code, copy.place, tested.get(copy.code))
