"""Roll-outs: planned, closed, and a lesson taken by whoever scans a badge into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from sinkside.desk import departments, lessons, shelf
from sinkside.desk.access import Visitor, record, require, visitor_in
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.machine_days import local_day
from sinkside.desk.observing_kept import READS
from sinkside.desk.paper_making import Ground, ground_of
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.roll_out_documents import RollOut
from sinkside.desk.signing_in import Shown, person_shown
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.plain.names import calm_name
from sinkside.records import Row
from sinkside.route import Station
from sinkside.teach.lesson import lesson_of
from sinkside.teach.observing import stations_of
from sinkside.teach.sign_offs import Level, families_of

ROLL_OUT: Final = "roll-out"
EDITS: Final = "roll-out-edit"
_LONGEST: Final = 500
_MOST: Final = 200


@dataclass(frozen=True)
class Planned:
    """What somebody plans: where people must be able to work, whose people, by when, and how far."""

    stations: tuple[Station, ...]
    shifts: tuple[str, ...]
    first_use: date
    questions: int = 80
    level: Level = Level.supervised


@dataclass(frozen=True)
class Plannable:
    """What a roll-out can be of: the device, its stations here, and the shifts here with their names."""

    instruction: str
    device: str
    revision: int
    stations: tuple[Station, ...]
    shifts: tuple[tuple[str, str], ...]


def devices_for(archive: Archive, who: Visitor) -> tuple[tuple[str, str], ...]:
    """Devices with an approved text, as id and name, by name.

    Raises:
        NotAllowed: without the right.
    """
    require(who, EDITS)
    with archive.unit(writes=False) as unit:
        rows = unit.rows.all(shelf.KIND, [who.department], limit=_MOST)
    approved = ((row.id, calm_name(row.title)) for row in rows if row.fields.get("approved"))
    return tuple(sorted(approved, key=lambda one: one[1]))


def plannable(archive: Archive, who: Visitor, instruction: str) -> Plannable:
    """What a roll-out of a device can be planned with.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        BadInput: if none of its revisions is approved.
    """
    require(who, EDITS)
    with archive.unit(writes=False) as unit:
        ground = _approved(unit, who, instruction)
        site = departments.department_in(unit, who.department)
        shifts = tuple((one.id, one.name) for one in site.shifts) if site else ()
        stations = stations_of(ground.shown.instruction, ground.route)
        number = ground.shown.revision.number
        return Plannable(instruction, ground.device, number, stations, shifts)


def plan(archive: Archive, who: Visitor, instruction: str, planned: Planned, *, now: datetime) -> str:
    """Plan who must be ready before a device is first used, and say the roll-out's id.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        BadInput: if nothing is approved, no station or shift is named, or the day has passed.
    """
    known = plannable(archive, who, instruction)
    _refuse(planned, known, today=local_day(now, who.zone))
    with archive.unit() as unit:
        ground = _approved(unit, who, instruction)
        site = departments.department_in(unit, who.department)
        made = RollOut(
            instruction=instruction,
            revision=ground.shown.revision.number,
            device=ground.device,
            families=families_of(site, ground.shown.instruction, instruction),
            stations=planned.stations,
            shifts=planned.shifts,
            first_use=planned.first_use,
            questions=planned.questions,
            level=planned.level,
            by=who.person,
            at=now,
        )
        roll_out = new_id("r")
        _keep(unit, who, roll_out, made, event="roll-out-planned", now=now)
    return roll_out


def close(archive: Archive, who: Visitor, roll_out: str, *, why: str, now: datetime) -> None:
    """Close a roll-out: the device is in use, or does not come.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such roll-out here.
        Conflict: if it is closed already.
        BadInput: without a reason.
    """
    require(who, EDITS)
    if not 0 < len(why.strip()) <= _LONGEST:
        raise BadInput(f"expected a reason of at most {_LONGEST} characters", resource="why")
    with archive.unit() as unit:
        known = running(unit, who, roll_out)
        update = {"closed": why.strip(), "by": who.person, "at": now}
        _keep(unit, who, roll_out, known.model_copy(update=update), event="roll-out-closed", now=now)


def attend(
    archive: Archive,
    who: Visitor,
    roll_out: str,
    *,
    badge: str,
    badge_key: bytes,
    address: str,
    now: datetime,
) -> str:
    """Whoever scans a badge into a lesson has taken it; says whose badge it was.

    Args:
        archive: where it is kept.
        who: who gives the lesson.
        roll_out: of which roll-out.
        badge: what the scanner read.
        badge_key: the workspace's key for badges.
        address: where the request came from.
        now: the moment.

    Raises:
        NotAllowed: without the right, or if nobody has that badge.
        NotThere: if there is no such roll-out here, or the person has no role here.
        Conflict: if it is closed.
        BadInput: without a badge.
    """
    require(who, EDITS)
    if not badge.strip():
        raise BadInput("scan a badge", resource="badge")
    with archive.unit(writes=False) as unit:
        running(unit, who, roll_out)
    person = person_shown(archive, Shown(badge=badge), badge_key=badge_key, address=address, now=now)
    with archive.unit() as unit:
        known = running(unit, who, roll_out)
        learner = visitor_in(unit, person.id, who.department, now)
        ground = _approved(unit, who, known.instruction)
        for part in lesson_of(ground.shown.instruction, ground.route, revision=known.revision).parts:
            lessons.take(unit, learner, known.instruction, known.revision, part.id, now=now)
        data = {"person": person.id, "instruction": known.instruction, "revision": known.revision}
        record(unit, who, "lesson-attended", f"{ROLL_OUT}:{roll_out}", now=now, data=data)
    return person.id


def roll_out_in(unit: Unit, who: Visitor, roll_out: str) -> RollOut:
    """A roll-out of this department.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(ROLL_OUT, roll_out)
    kept = read_kept(unit, ROLL_OUT, roll_out, RollOut)
    if row is None or kept is None or row.department != who.department:
        raise NotThere("there is no such roll-out here", resource=roll_out)
    return kept


def running(unit: Unit, who: Visitor, roll_out: str) -> RollOut:
    """A roll-out that is not closed.

    Raises:
        NotThere: if there is none here.
        Conflict: if it is closed.
    """
    known = roll_out_in(unit, who, roll_out)
    if known.closed:
        raise Conflict("this roll-out is closed", resource=roll_out)
    return known


def roll_out_rows(archive: Archive, who: Visitor) -> Sequence[Row]:
    """Every roll-out here, those that run first, by their day.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READS)
    with archive.unit(writes=False) as unit:
        rows = unit.rows.all(ROLL_OUT, [who.department], limit=_MOST)
    return sorted(rows, key=lambda row: (row.state != "running", str(row.fields["first_use"]), row.title))


def _approved(unit: Unit, who: Visitor, instruction: str) -> Ground:
    row = shelf.row_of(unit, who, instruction)
    if not row.fields.get("approved"):
        raise BadInput("no revision of this text is approved yet", resource="instruction")
    return ground_of(unit, who, instruction)


def _refuse(planned: Planned, known: Plannable, *, today: date) -> None:
    if not planned.stations or not set(planned.stations) <= set(known.stations):
        raise BadInput("choose stations at which there is work with this device", resource="stations")
    if not planned.shifts or not set(planned.shifts) <= {one for one, _ in known.shifts}:
        raise BadInput("choose at least one of the shifts", resource="shifts")
    if planned.first_use < today:
        raise BadInput("expected a day that is still to come", resource="first_use")
    if planned.level is Level.not_yet:
        raise BadInput("expected supervised or independent work", resource="level")


def _keep(unit: Unit, who: Visitor, roll_out: str, made: RollOut, *, event: str, now: datetime) -> None:
    kept = keep_next(unit, ROLL_OUT, roll_out, made, by=who.person, now=now)
    data = {
        "instruction": made.instruction,
        "revision": made.revision,
        "first_use": made.first_use.isoformat(),
        "digest": kept.digest,
    }
    record(unit, who, event, f"{ROLL_OUT}:{roll_out}", now=now, data=data)
    state = "closed" if made.closed else "running"
    fields = {"first_use": made.first_use.isoformat(), "instruction": made.instruction}
    unit.rows.put(Row(ROLL_OUT, roll_out, who.department, state, made.device, now, fields=fields))
