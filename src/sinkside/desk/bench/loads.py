"""Loads built by scanning: begun, filled piece by piece with every piece looked at, started and ended."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.bench import in_loads
from sinkside.bench.gates import in_the_way
from sinkside.bench.load_acts import AddToLoad, EndLoad, MarkImplant, OpenLoad, StartLoad, TakeOutOfLoad
from sinkside.bench.loads import LoadState, Piece, Sum, objections, sum_of
from sinkside.bench.run import HELD, InLoad, Place
from sinkside.department import MachineKind, Station
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.doing import Doing, Handler, Said, in_order
from sinkside.desk.bench.load_pieces import LoadsHere, here_of, loads_here, without_members
from sinkside.desk.bench.on_runs import WORK
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, run_by_id, run_of
from sinkside.desk.indicators import keep_load_held
from sinkside.desk.machine_rows import OUT_OF_USE, row_id
from sinkside.desk.ports import Unit
from sinkside.desk.programmes.water_gate import pass_water
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, Conflict, NotThere
from sinkside.records import KeptCopy, KeptLoad, LoadedCopy

#: A load that is not decided yet: what lies in it lies in no other.
OPEN_STATES: Final = (LoadState.building, LoadState.running, LoadState.over)
_MOST_SAID: Final = 3
_BETWEEN: Final = "\n"
_PLACES: Final = {Station.washer: Place.in_washer, Station.sterilizer: Place.in_sterilizer}


class BroughtWrongly(BadInput):
    """A piece that goes into no load of the program, whatever lies in that: a deviation, not a full rack."""


@dataclass(frozen=True)
class InTheLoad:
    """A copy in a load: as it is kept, and the members of it that went in."""

    loaded: LoadedCopy
    copy: KeptCopy
    members: tuple[str, ...]


def open_load(doing: Doing, act: OpenLoad) -> Said:
    """Begin the load of a machine.

    Raises:
        BadInput: if there is no such machine, program or rack here, or the program takes no ordinary loads.
        Conflict: if a load is built for the machine already, it is out of use, or stands still for its water.
    """
    require(doing.who, WORK)
    unit, who = doing.unit, doing.who
    here = loads_here(unit, who, act.machine, act.program, act.rack)
    if here.chosen.program.use == "immediate-use":
        raise BadInput(
            f"{here.chosen.program.name} is for immediate use, which has a form of its own",
            resource="program",
        )
    refuse_out_of_use(unit, who, here)
    if standing_at(unit, who, act.machine, LoadState.building):
        raise Conflict(f"a load is being built for {here.chosen.machine.name}", resource="machine")
    load = keep_new_load(unit, who, here, at=doing.at)
    pass_water(unit, who, load, at=doing.at, now=doing.now)
    rack = f", {here.chosen.rack.name}" if here.chosen.rack else ""
    return Said(
        f"A load is begun: {here.chosen.words}{rack}. Scan what goes in.", beside=(subject_of(load.id),)
    )


def keep_new_load(
    unit: Unit, who: Visitor, here: LoadsHere, *, at: datetime, exception: str = "", case: str = ""
) -> KeptLoad:
    """A load that begins; `exception` is the form without which it would not, `case` what that is for."""
    chosen = here.chosen
    load = KeptLoad(
        id=new_id("l"),
        department=who.department,
        station=chosen.station.value,
        machine=chosen.machine.id,
        program=chosen.program.name,
        state=LoadState.building,
        opened=at,
        fields={
            "machine_name": chosen.machine.name,
            "kind": chosen.machine.kind.value,
            "rack": chosen.rack.id if chosen.rack else "",
            "rack_name": chosen.rack.name if chosen.rack else "",
            "opened_by": who.person,
            "exception": exception,
            "case": case,
        },
    )
    unit.bench.loads.put(load)
    return load


def add_to_load(doing: Doing, act: AddToLoad) -> Said:
    """Look at a scanned piece and put it into the load, or refuse it and say what would do.

    Raises:
        NotThere: if nothing here has the code, or no load is built for the machine.
        BadInput: if it may not go in: why, and what would do.
    """
    require(doing.who, WORK)
    unit, who = doing.unit, doing.who
    load = load_of(unit, who, act.machine, LoadState.building)
    opened = run_of(unit, copy_of_code(unit, who.department, act.code))
    copy, at = opened.copy, in_order(opened, doing)
    here = here_of(unit, who, load)
    inside = still_in(unit, load)
    if any(one.copy.id == copy.id for one in inside):
        raise BadInput(f"{copy.name} ({copy.code}) lies in this load already", resource="code")
    new = without_members(here.piece(copy, mass_kg=_weighed_kg(opened)), act.without)
    pieces = _pieces(unit, here, inside)
    against = objections(here.chosen, pieces, new, here.site)
    found = [one.sentence for one in against]
    found += _elsewhere(unit, load, copy, new)
    if not found:
        place = _PLACES[here.chosen.station]
        found += [f"{new.name}: {one}." for one in in_the_way(opened.plan, opened.run, place, now=at)]
    if found:
        wrong = any(one.is_wrong for one in against)
        raise (BroughtWrongly if wrong else BadInput)(" ".join(found[:_MOST_SAID]), resource="code")
    kept = _put_in(doing, load, opened, new, at=at)
    total = _with_sums(unit, load, copy, new, [*pieces, new])
    return Said(_added_words(new, total, here), copy.id, kept.copy.state, beside=(subject_of(load.id),))


def take_out_of_load(doing: Doing, act: TakeOutOfLoad) -> Said:
    """Take a piece out of a load that has not begun.

    Raises:
        NotThere: if it does not lie in the load that is built for the machine.
    """
    require(doing.who, WORK)
    unit, who = doing.unit, doing.who
    load = load_of(unit, who, act.machine, LoadState.building)
    opened = run_of(unit, copy_of_code(unit, who.department, act.code))
    copy = opened.copy
    if load.fields.get("exception"):
        raise BadInput("it lies in it by the form; start the load, or say that it broke off", resource="code")
    one = next((one for one in still_in(unit, load) if one.copy.id == copy.id), None)
    if one is None:
        raise NotThere(f"{copy.name} ({copy.code}) does not lie in this load", resource="code")
    unit.bench.loads.keep_in(replace(one.loaded, out=in_order(opened, doing)))
    kept = keep_run(unit, opened, in_loads.taken_out(opened.run, load.id), now=doing.now)
    total = sum_of(_pieces(unit, here_of(unit, who, load), still_in(unit, load)))
    _keep_sums(unit, load, total)
    words = f"{copy.name} is out; {_counted(total.pieces)} in the load."
    return Said(words, copy.id, kept.copy.state, (subject_of(load.id),))


def mark_implant(doing: Doing, act: MarkImplant) -> Said:
    """Say that an implant lies in a load of a sterilizer, and which.

    Raises:
        NotThere: if the machine has no load that is not decided yet.
        BadInput: if it is no sterilizer.
    """
    require(doing.who, WORK)
    load = load_of(doing.unit, doing.who, act.machine, *OPEN_STATES)
    if load.station != Station.sterilizer.value:
        raise BadInput("implants are asked after in loads of sterilizers", resource="machine")
    words = " ".join(act.words.split())
    doing.unit.bench.loads.put(with_fields(load, implant=words))
    if load.cycle:
        keep_load_held(doing.unit, doing.who, load.cycle, implant=True, words=words, now=doing.now)
    return Said(
        f"Marked: an implant is in it ({words}). It waits for its biological result.",
        beside=(subject_of(load.id),),
    )


def start_load(doing: Doing, act: StartLoad) -> Said:
    """Start a machine with its load.

    Raises:
        NotThere: if no load is built for the machine.
        BadInput: if nothing lies in it.
        Conflict: if another load is in the machine, it is out of use, or stands still for its water.
    """
    require(doing.who, WORK)
    unit, who = doing.unit, doing.who
    load = load_of(unit, who, act.machine, LoadState.building)
    here = here_of(unit, who, load)
    refuse_out_of_use(unit, who, here)
    if standing_at(unit, who, act.machine, LoadState.running):
        raise Conflict(f"another load is in {here.chosen.machine.name}; end that first", resource="machine")
    inside = still_in(unit, load)
    if not inside:
        raise BadInput("nothing lies in this load; scan what goes in first", resource="machine")
    held = [f"{one.copy.name} ({one.copy.code})" for one in inside if one.copy.state == HELD]
    if held:
        raise BadInput(f"{', '.join(held)}: held since it was put in; take it out first", resource="machine")
    pass_water(unit, who, load, at=doing.at, now=doing.now)
    unit.bench.loads.put(replace(load, state=LoadState.running, started=doing.at))
    return Said(f"{here.chosen.words} started with {_counted(len(inside))}.", beside=(subject_of(load.id),))


def end_load(doing: Doing, act: EndLoad) -> Said:
    """Say that a machine is done with its load, which then waits for its record and a person's decision.

    Raises:
        NotThere: if no load is in the machine.
    """
    require(doing.who, WORK)
    load = load_of(doing.unit, doing.who, act.machine, LoadState.running)
    told = with_fields(load, complete=act.complete, ended=doing.at.isoformat(), end_note=act.note.strip())
    doing.unit.bench.loads.put(replace(told, state=LoadState.over))
    words = "The load is out; it waits for its record, and for somebody who decides."
    if not act.complete:
        words = "The machine broke off: nothing of this load goes on before somebody decided."
    return Said(words, beside=(subject_of(load.id),))


#: What each act on a load does, by its name.
HANDLERS: Final[Mapping[str, Handler]] = {
    "open-load": open_load,
    "add-to-load": add_to_load,
    "take-out-of-load": take_out_of_load,
    "mark-implant": mark_implant,
    "start-load": start_load,
    "end-load": end_load,
}


def subject_of(load: str) -> str:
    """How a load stands in events."""
    return f"load:{load}"


def with_fields(load: KeptLoad, **fields: str | float | bool | None) -> KeptLoad:
    """A load with some of its fields said anew."""
    return replace(load, fields={**load.fields, **fields})


def load_of(unit: Unit, who: Visitor, machine: str, *states: LoadState) -> KeptLoad:
    """The load of a machine that stands in one of some states, the latest.

    Raises:
        NotThere: if there is none.
    """
    found = standing_at(unit, who, machine, *states)
    if found is None:
        doing = "being built for" if LoadState.building in states else "in"
        raise NotThere(f"no load is {doing} this machine", resource=machine)
    return found


def lying_in(unit: Unit, load: KeptLoad) -> tuple[InTheLoad, ...]:
    """What lies in a load, or lay in it when it ran, in the order in which it went in."""
    found = []
    for one in unit.bench.loads.in_load(load.id):
        copy = unit.bench.copies.get(one.copy)
        if one.out is None and copy is not None:
            members = str(load.fields.get(_of_copy(one.copy)) or "")
            found.append(InTheLoad(one, copy, tuple(filter(None, members.split(_BETWEEN)))))
    return tuple(found)


def still_in(unit: Unit, load: KeptLoad) -> tuple[InTheLoad, ...]:
    """What lay in a load and is still on that run, and in that round of it."""
    found = []
    for one in lying_in(unit, load):
        opened = run_by_id(unit, one.loaded.run)
        if opened.kept.closed is None and any(each.load == load.id for each in opened.run.loads):
            found.append(one)
    return tuple(found)


def members_kept(copy: str, members: Sequence[str]) -> dict[str, str]:
    """Which members of a copy went into a load, as the load keeps it."""
    return {_of_copy(copy): _BETWEEN.join(members)}


def _of_copy(copy: str) -> str:
    return f"of {copy}"


def standing_at(unit: Unit, who: Visitor, machine: str, *states: LoadState) -> KeptLoad | None:
    """The latest load of a machine that stands in one of some states; none if there is none."""
    found = unit.bench.loads.standing(who.department, [one.value for one in states])
    return next((one for one in found if one.machine == machine), None)


def refuse_out_of_use(unit: Unit, who: Visitor, here: LoadsHere) -> None:
    """Refuse a machine that is out of use.

    Raises:
        Conflict: if it is: why.
    """
    row = unit.rows.get("machine", row_id(who.department, here.chosen.machine.id))
    if row is not None and row.state == OUT_OF_USE:
        why = row.fields.get("reason") or "no reason is kept"
        raise Conflict(f"{here.chosen.machine.name} is out of use: {why}", resource="machine")


def _pieces(unit: Unit, here: LoadsHere, inside: Sequence[InTheLoad]) -> list[Piece]:
    """What lies in a load, as pieces; what was left out of it is none of the load's business."""
    found = []
    for one in inside:
        piece = here.piece(one.copy, mass_kg=_weighed_kg(run_by_id(unit, one.loaded.run)))
        found.append(replace(piece, goes=replace(piece.goes, refused=())))
    return found


def _weighed_kg(opened: OpenRun) -> float | None:
    """What it weighed when it was packed; none where nobody weighed it."""
    return opened.run.packed.mass_kg if opened.run.packed else None


def _elsewhere(unit: Unit, load: KeptLoad, copy: KeptCopy, new: Piece) -> Iterator[str]:
    """Where it, or the same members of it, lie in another load that is not decided yet."""
    for one in unit.bench.loads.of_run(copy.run):
        other = unit.bench.loads.get(one.load)
        if one.out is not None or other is None or other.station != load.station:
            continue
        there = str(other.fields.get(_of_copy(copy.id)) or "").split(_BETWEEN)
        if other.state in OPEN_STATES and set(there) & set(new.goes.members):
            yield f"{new.name} lies in a load of {other.fields['machine_name']}. Take it out there first."


def _put_in(doing: Doing, load: KeptLoad, opened: OpenRun, new: Piece, *, at: datetime) -> OpenRun:
    inside = InLoad(
        load=load.id,
        station=Station(load.station),
        machine=load.machine,
        program=load.program,
        members=new.goes.members,
        at=at,
    )
    run = in_loads.put_in(opened.plan, opened.run, inside)
    doing.unit.bench.loads.keep_in(LoadedCopy(load.id, opened.copy.id, run.id, at))
    place = str(load.fields["machine_name"])
    return keep_run(doing.unit, opened, run, now=doing.now, at=at, place=place)


def _with_sums(unit: Unit, load: KeptLoad, copy: KeptCopy, new: Piece, pieces: Sequence[Piece]) -> KeptLoad:
    named = with_fields(load, **members_kept(copy.id, new.goes.members))
    return _keep_sums(unit, named, sum_of(pieces))


def _keep_sums(unit: Unit, load: KeptLoad, total: Sum) -> KeptLoad:
    kept = with_fields(
        load, pieces=total.pieces, connections=total.connections, mass_kg=round(total.mass_kg, 3)
    )
    unit.bench.loads.put(kept)
    return kept


def _added_words(new: Piece, load: KeptLoad, here: LoadsHere) -> str:
    said = [f"{new.name} is in; {_counted(int(load.fields['pieces'] or 0))} in the load"]
    rack = here.chosen.rack
    if rack is not None and rack.lumen_connections:
        said.append(f"{load.fields['connections']} of {rack.lumen_connections} connections taken")
    if new.mass_kg is None and here.chosen.machine.kind is not MachineKind.washer_disinfector:
        said.append("nobody knows what it weighs")
    if new.goes.elsewhere:
        said.append(f"not in here by its text: {', '.join(new.goes.elsewhere)}")
    return "; ".join(said) + "."


def _counted(pieces: int) -> str:
    return "1 piece" if pieces == 1 else f"{pieces} pieces"
