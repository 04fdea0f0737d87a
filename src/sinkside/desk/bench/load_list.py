"""Loads as people look for them: built, running, waiting for a decision, held; and one with all of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.load_fit import STATION_OF
from sinkside.bench.loads import LoadState
from sinkside.department import Machine
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.load_deciding import load_here
from sinkside.desk.bench.load_trouble import KnownTrouble, investigations, of_load
from sinkside.desk.bench.loads import InTheLoad, lying_in, still_in
from sinkside.desk.cycle_records import KIND as CYCLE
from sinkside.desk.cycle_records import STATES as CYCLE_STATES
from sinkside.desk.departments import department_in
from sinkside.desk.machine_rows import OUT_OF_USE, row_id
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.programmes.water_gate import water_stop
from sinkside.errors import NotThere
from sinkside.records import KeptLoad, Row, WantedRows

READ: Final = "bench-read"
CYCLES: Final = "cycle-read"
_LATELY: Final = timedelta(days=2)
_MOST: Final = 100
_MOST_CYCLES: Final = 12


@dataclass(frozen=True)
class MachineHere:
    """A machine that takes loads: what is built for it, what runs in it, why it is out of use if it is.

    `water` says why it stands still for its water; empty where it does not, or one load may go on.
    """

    machine: Machine
    building: KeptLoad | None
    running: KeptLoad | None
    out_of_use: str
    water: str = ""


@dataclass(frozen=True)
class LoadsFound:
    """Every machine with its loads; what waits for a decision, what is held, what was released lately."""

    machines: tuple[MachineHere, ...]
    waiting: tuple[KeptLoad, ...]
    held: tuple[KeptLoad, ...]
    released: tuple[KeptLoad, ...]
    troubles: tuple[KnownTrouble, ...]


@dataclass(frozen=True)
class Lying:
    """A piece of a load as it stands now; whether it is still on that run, and what of it went in."""

    inside: InTheLoad
    is_here: bool


@dataclass(frozen=True)
class SeenLoad:
    """One load with everything around it.

    Attributes:
        load: as it is kept.
        pieces: what lies or lay in it.
        cycle: the row of its record; none while there is none.
        fitting: records of the same machine and program that belong to no load and nobody decided on.
        troubles: what was found in it, closed ones too.
        machine: the machine as the department has it now; none where that is gone.
    """

    load: KeptLoad
    pieces: tuple[Lying, ...]
    cycle: Row | None
    fitting: tuple[Row, ...]
    troubles: tuple[KnownTrouble, ...]
    machine: MachineHere | None


def find_loads(archive: Archive, who: Visitor, *, now: datetime) -> LoadsFound:
    """The loads of this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        released = unit.bench.loads.standing(who.department, [LoadState.released], most=_MOST)
        return LoadsFound(
            machines=_machines(unit, who),
            waiting=tuple(unit.bench.loads.standing(who.department, [LoadState.over], most=_MOST)),
            held=tuple(unit.bench.loads.standing(who.department, [LoadState.held], most=_MOST)),
            released=tuple(one for one in released if one.opened >= now - _LATELY),
            troubles=investigations(unit, who),
        )


@dataclass(frozen=True)
class SeenMachine:
    """A machine that takes loads, what lies in the load that is built for it, and in the running one."""

    here: MachineHere
    in_building: tuple[Lying, ...]
    in_running: tuple[Lying, ...]


def see_machine(archive: Archive, who: Visitor, machine: str) -> SeenMachine:
    """One machine that takes loads, with what lies in its loads.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such machine here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        found = next((one for one in _machines(unit, who) if one.machine.id == machine), None)
        if found is None:
            raise NotThere("there is no machine here that takes loads and is called so", resource=machine)
        return SeenMachine(
            here=found,
            in_building=_pieces(unit, found.building) if found.building else (),
            in_running=_pieces(unit, found.running) if found.running else (),
        )


def see_load(archive: Archive, who: Visitor, load: str) -> SeenLoad:
    """One load with what lay in it, its record, and what was found in it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = load_here(unit, who, load)
        machines = {one.machine.id: one for one in _machines(unit, who)}
        return SeenLoad(
            load=known,
            pieces=_pieces(unit, known),
            cycle=unit.rows.get(CYCLE, known.cycle) if known.cycle else None,
            fitting=() if known.cycle else _fitting(unit, who, known),
            troubles=of_load(unit, who, load),
            machine=machines.get(known.machine),
        )


def quick_machines(archive: Archive, who: Visitor) -> tuple[Machine, ...]:
    """The machines here that have programs for immediate use, with those programs alone.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        site = department_in(unit, who.department)
    found = []
    for one in site.machines if site else ():
        quick = tuple(program for program in one.programs if program.use == "immediate-use")
        if quick and one.kind in STATION_OF:
            found.append(one.model_copy(update={"programs": quick}))
    return tuple(found)


def load_of_cycle(archive: Archive, who: Visitor, cycle: str) -> KeptLoad | None:
    """The load that a record belongs to; none while nobody said so.

    Raises:
        NotAllowed: without the right.
    """
    require(who, CYCLES)
    with archive.unit(writes=False) as unit:
        return unit.bench.loads.of_cycle(who.department, cycle)


def load_words(load: KeptLoad) -> str:
    """What lies or lay in a load, in a few words."""
    pieces = int(load.fields.get("pieces") or 0)
    implant = f", an implant: {load.fields['implant']}" if load.fields.get("implant") else ""
    return f"{pieces} piece{'' if pieces == 1 else 's'}{implant}"


def _machines(unit: Unit, who: Visitor) -> tuple[MachineHere, ...]:
    site = department_in(unit, who.department)
    under_way = unit.bench.loads.standing(who.department, [LoadState.building, LoadState.running])
    by_state: Mapping[tuple[str, str], KeptLoad] = {(one.machine, one.state): one for one in under_way}
    return tuple(
        MachineHere(
            machine=one,
            building=by_state.get((one.id, LoadState.building)),
            running=by_state.get((one.id, LoadState.running)),
            out_of_use=_out_of_use(unit, who, one.id),
            water=water_stop(unit, who, one.id),
        )
        for one in (site.machines if site else ())
        if one.kind in STATION_OF
    )


def _out_of_use(unit: Unit, who: Visitor, machine: str) -> str:
    row = unit.rows.get("machine", row_id(who.department, machine))
    if row is None or row.state != OUT_OF_USE:
        return ""
    return str(row.fields.get("reason") or "no reason is kept")


def _pieces(unit: Unit, load: KeptLoad) -> tuple[Lying, ...]:
    here = {one.copy.id for one in still_in(unit, load)}
    return tuple(Lying(one, one.copy.id in here) for one in lying_in(unit, load))


def _fitting(unit: Unit, who: Visitor, load: KeptLoad) -> tuple[Row, ...]:
    wanted = WantedRows(
        states=CYCLE_STATES,
        fields={"machine": load.machine, "program": load.program},
        since=load.opened,
        limit=_MOST_CYCLES,
    )
    rows = unit.rows.found(CYCLE, [who.department], wanted)
    return tuple(row for row in rows if unit.bench.loads.of_cycle(who.department, row.id) is None)
