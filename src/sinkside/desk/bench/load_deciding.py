"""Loads and their records: linked, handed in, decided; a washer without a recorder by what was read at it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

from sinkside.bench.loads import LoadState
from sinkside.bench.no_names import reads_like_a_name
from sinkside.department import Station
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.bench.load_following import Decided, follow
from sinkside.desk.bench.loads import subject_of
from sinkside.desk.cycle_handing_in import Ran, hand_in_cycles
from sinkside.desk.cycle_records import cycle_row, opened_cycle
from sinkside.desk.deviations.held import load_held
from sinkside.desk.indicators import keep_load_held
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.records import KeptLoad

DECIDE: Final = "cycle-decide"
HAND_IN: Final = "cycle-upload"
_SHORTEST: Final = 8
_LONGEST: Final = 2000


def plain_words(text: str, field: str) -> str:
    """Words that say something, on one line.

    Raises:
        BadInput: if there are hardly any, or too many, or they read like a patient's name.
    """
    line = " ".join(text.split())
    if not _SHORTEST <= len(line) <= _LONGEST:
        raise BadInput(f"expected {_SHORTEST} to {_LONGEST} characters", resource=field)
    if reads_like_a_name(line):
        raise BadInput("this reads like a name; say it without, a case number is enough", resource=field)
    return line


def load_here(unit: Unit, who: Visitor, load: str) -> KeptLoad:
    """A load of this department.

    Raises:
        NotThere: if there is none here.
    """
    found = unit.bench.loads.get(load)
    if found is None or found.department != who.department:
        raise NotThere("there is no such load here", resource=load)
    return found


def link_cycle(archive: Archive, who: Visitor, load: str, cycle: str, *, now: datetime) -> None:
    """Say which record belongs to a load; a decision that stands on it already reaches the load at once.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such load or cycle here.
        BadInput: if the record is of another machine or program.
        Conflict: if one of them is linked already, or the load has not begun.
    """
    require(who, HAND_IN)
    with archive.unit() as unit:
        _link(unit, who, load_here(unit, who, load), cycle, now=now)


def hand_in_for(
    archive: Archive, who: Visitor, load: str, uploads: Sequence[Upload], *, now: datetime
) -> str:
    """Hand in the recorder's file of a load, have it judged, and say the cycle.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such load here.
        UnreadableFile: if the file is empty or too large.
        BadInput: if there is not exactly one file.
        Conflict: if the load has a record already, or has not begun.
    """
    require(who, HAND_IN)
    if len(uploads) != 1:
        raise BadInput("expected one recorder file", resource="files")
    with archive.unit(writes=False) as unit:
        known = load_here(unit, who, load)
        _refuse_linking(known)
    ran = Ran(known.machine, known.program)
    cycle = hand_in_cycles(archive, who, uploads, ran=ran, now=now).cycles[0]
    link_cycle(archive, who, load, cycle, now=now)
    return cycle


def decide_without_trace(
    archive: Archive,
    who: Visitor,
    load: str,
    decided: Decided,
    *,
    read: str,
    reason: str,
    now: datetime,
) -> None:
    """Decide on a washer's load that has no record, by what was read at the machine; it stays marked so.

    Args:
        archive: where it is kept.
        who: who decides.
        load: the load.
        decided: `released` or `held`.
        read: what was read at the machine, such as the temperature and time of disinfection.
        reason: why there is no record, and why that is enough.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such load here.
        BadInput: if it is a sterilizer's, something is not said, or the machine broke off and it is released.
        Conflict: if it has a record, or has not ended, or is decided.
    """
    require(who, DECIDE)
    with archive.unit() as unit:
        known = load_here(unit, who, load)
        told, why = plain_words(read, "read"), plain_words(reason, "reason")
        if known.station != Station.washer.value:
            raise BadInput("a sterilizer's load is decided on its record; hand that in", resource="decided")
        if known.cycle:
            raise Conflict("it has a record; decide on that", resource=load)
        if known.state != LoadState.over:
            raise Conflict("only a load that is out of its machine is decided", resource=load)
        if decided == "released" and not known.fields.get("complete"):
            raise BadInput(
                "the machine broke off; without a record it cannot be released", resource="decided"
            )
        follow(unit, who, known, decided, reason=why, now=now, no_trace=True, read=told)
        if decided == "held":
            load_held(unit, who, known, f"read at the machine: {told}", why, now=now)


def _refuse_linking(load: KeptLoad) -> None:
    if load.cycle:
        raise Conflict("this load has a record already", resource=load.id)
    if load.state == LoadState.building:
        raise Conflict("this load has not begun", resource=load.id)


def _link(unit: Unit, who: Visitor, load: KeptLoad, cycle: str, *, now: datetime) -> None:
    _refuse_linking(load)
    known = opened_cycle(unit, cycle_row(unit, who, cycle))
    if (known.record.machine, known.record.program.name) != (load.machine, load.program):
        raise BadInput(
            f"this record is of {known.record.machine_name}, {known.record.program.name}; expected "
            f"{load.fields['machine_name']}, {load.program}",
            resource="cycle",
        )
    if unit.bench.loads.of_cycle(who.department, cycle) is not None:
        raise Conflict("this record belongs to another load", resource=cycle)
    linked = replace(load, cycle=cycle)
    if linked.state == LoadState.running:
        linked = replace(linked, state=LoadState.over)
    unit.bench.loads.put(linked)
    record(unit, who, "load-linked", subject_of(load.id), now=now, data={"cycle": cycle})
    implant = str(load.fields.get("implant") or "")
    if implant:
        keep_load_held(unit, who, cycle, implant=True, words=implant, now=now)
    if known.decision is not None:
        follow(unit, who, linked, known.decision.decided, reason=known.decision.reason, now=now)
