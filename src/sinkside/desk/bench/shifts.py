"""Handing over from one shift to the next: what soaks, is open, held and due, a note, and who took over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.handover import LONGEST_NOTE, Handed, Handover, taken_over
from sinkside.bench.run import HELD, Place
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.kept_lists import KeptList, Line
from sinkside.desk.bench.runs import OpenRun, run_of
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput
from sinkside.findings import Level
from sinkside.records import KeptCopy, Row, WantedCopies

HANDOVER: Final = "handover"
READ: Final = "bench-read"
WORK: Final = "bench-work"

_OPEN: Final = "open"
_TAKEN: Final = "taken"
_LIST: Final = KeptList(HANDOVER, Handover, "handover")
_LATEST: Final = 20
_MOST: Final = 500

#: What falls due in so many hours is told to the next shift: a shift is as long (common practice, no source).
AHEAD: Final = timedelta(hours=8)

#: Where work is under way.
_IN_WORK: Final = (
    Place.at_sink,
    Place.in_washer,
    Place.clean_side,
    Place.packing,
    Place.packed,
    Place.in_sterilizer,
    Place.sterilized,
)


@dataclass(frozen=True)
class ShiftsFound:
    """What stands open now, handovers that nobody took over yet, and those taken over lately.

    `shifts` are the names of the department's shifts.
    """

    now: tuple[Handed, ...]
    open: tuple[tuple[str, Handover], ...]
    taken: tuple[tuple[str, Handover], ...]
    shifts: tuple[str, ...]


def find_shifts(archive: Archive, who: Visitor, *, now: datetime) -> ShiftsFound:
    """What would be handed over now, and the handovers of this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        site = department_in(unit, who.department)
        return ShiftsFound(
            now=tuple(stands_open(unit, who, now=now)),
            open=_LIST.all(unit, who, [_OPEN]),
            taken=_LIST.all(unit, who, [_TAKEN], most=_LATEST),
            shifts=tuple(one.name for one in site.shifts) if site else (),
        )


def open_handover(archive: Archive, who: Visitor, handover: str) -> Handover:
    """One handover as it stands.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _LIST.opened(unit, who, handover)


def hand_over(archive: Archive, who: Visitor, shift: str, *, note: str = "", now: datetime) -> str:
    """Hand over what stands open now, with a note, and say the handover's id.

    Raises:
        NotAllowed: without the right.
        BadInput: if no shift was said, or the note is too long.
    """
    require(who, WORK)
    name = " ".join(shift.split())
    if not name:
        raise BadInput("expected the shift that hands over", resource="shift")
    if len(note) > LONGEST_NOTE:
        raise BadInput(f"{len(note)} signs; expected at most {LONGEST_NOTE}", resource="note")
    with archive.unit() as unit:
        handed = tuple(stands_open(unit, who, now=now))
        kept = Handover(shift=name, at=now, by=who.person, handed=handed, note=note.strip())
        key = new_id("h")
        _keep(unit, who, key, kept, event="shift-handed-over", now=now)
    return key


def take_over(archive: Archive, who: Visitor, handover: str, *, answer: str = "", now: datetime) -> None:
    """Take over what another shift handed over.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such handover here.
        Conflict: if somebody took it over already.
        BadInput: if it is who handed over, or the answer is too long.
    """
    require(who, WORK)
    with archive.unit() as unit:
        after = taken_over(_LIST.opened(unit, who, handover), by=who.person, at=now, answer=answer)
        _keep(unit, who, handover, after, event="shift-taken-over", now=now)


def stands_open(unit: Unit, who: Visitor, *, now: datetime) -> Iterator[Handed]:
    """What the next shift has to know of: soaks with their ends, work under way, holds, and what is due."""
    states = (*(place.value for place in _IN_WORK), HELD, Place.soiled.value)
    for copy in unit.bench.copies.found(who.department, WantedCopies(states=states, limit=_MOST)):
        if copy.state == Place.soiled.value:
            if copy.due is not None and copy.due <= now + AHEAD:
                yield _handed("due", copy, until=copy.due, words="begin to clean it")
            continue
        opened = run_of(unit, copy)
        if copy.state == HELD:
            words = "; ".join(one.why for one in opened.run.open_holds())
            yield _handed("held", copy, words=words)
            continue
        soaks = tuple(_soaks(opened))
        yield from soaks
        if not soaks:
            yield _handed("open", copy, words=opened.run.paused)


def not_taken_over(unit: Unit, who: Visitor) -> Iterator[tuple[Level, str, Row]]:
    """What Today says to whoever works at the bench: that a shift handed over and nobody took over."""
    if not who.may(WORK):
        return
    for row in unit.rows.all(HANDOVER, [who.department], states=[_OPEN]):
        if row.fields.get("by") != who.person:
            yield Level.concern, f"{row.title}: handed over, and nobody took over yet.", row


def _soaks(opened: OpenRun) -> Iterator[Handed]:
    """Each timer that runs, with when it is over."""
    for task in opened.plan.tasks:
        timer = opened.run.timers.get(task.id)
        if timer is not None:
            until = timer.at + timedelta(seconds=task.at_least_s)
            yield _handed("soaks", opened.copy, until=until, words=f"{task.letter}: {task.words}")


def _handed(kind: str, copy: KeptCopy, *, until: datetime | None = None, words: str = "") -> Handed:
    return Handed.model_validate(
        {
            "kind": kind,
            "code": copy.code,
            "name": copy.name,
            "state": copy.state,
            "place": copy.place,
            "until": until,
            "words": words,
        }
    )


def _keep(unit: Unit, who: Visitor, key: str, kept: Handover, *, event: str, now: datetime) -> None:
    state = _TAKEN if kept.is_taken else _OPEN
    line = Line(state, kept.shift, fields={"by": kept.by, "shift": kept.shift})
    data = {"shift": kept.shift, "handed": len(kept.handed)}
    _LIST.keep(unit, who, key, kept, line, event=event, now=now, data=data)
