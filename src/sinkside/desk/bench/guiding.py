"""What a bench shows: one set on its run with its steps and what is in the way, and what else lies here."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.gates import in_the_way
from sinkside.bench.plan import Plan, Task
from sinkside.bench.run import HELD, STATIONS_AT, Place, Run
from sinkside.department import Station
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.copies import READ, copy_in
from sinkside.desk.bench.on_runs import alone_at
from sinkside.desk.bench.plans import plan_in
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.bench.steps_seen import StepSeen, steps_seen
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.keeping import from_revision
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_layout import layout_of
from sinkside.records import KeptCopy, KeptTap, WantedCopies
from sinkside.sets.layout import Layout

#: Which states of copies are looked after at a station; the others have pages of their own.
STATES_AT: Final[Mapping[Station, tuple[Place, ...]]] = {
    Station.sink: (Place.soiled, Place.at_sink),
    Station.washer: (Place.in_washer,),
    Station.bench: (Place.clean_side,),
    Station.packing: (Place.packing,),
    Station.sterilizer: (Place.packed, Place.in_sterilizer, Place.sterilized),
    Station.store: (Place.in_store,),
}

#: Where a run goes next from each place, as far as people at a bench take it there.
NEXT: Final[Mapping[Place, Place]] = {
    Place.soiled: Place.at_sink,
    Place.at_sink: Place.in_washer,
    Place.in_washer: Place.clean_side,
    Place.clean_side: Place.packing,
    Place.packing: Place.packed,
    Place.packed: Place.in_sterilizer,
    Place.sterilized: Place.in_store,
}

_MOST_HERE: Final = 60


@dataclass(frozen=True)
class OtherHere:
    """A set at a station: how many of its tasks are done there, what runs and until when."""

    copy: KeptCopy
    done: int = 0
    tasks: int = 0
    runs: str = ""
    ready_at: datetime | None = None
    is_held: bool = False


@dataclass(frozen=True)
class Guided:
    """One set as a bench shows it.

    Attributes:
        copy: the set.
        run: its run; none before its first, or where it is no set.
        plan: what it goes through.
        steps: by the ids of the tasks, in plain words and drawn.
        alone: the stations at which whoever looks may work on it without anybody beside.
        obstacles: what is in the way of its next place.
        history: what was done with it, the oldest first.
        names: of those who did it.
        here: the sets of the same station, this one among them.
        layout: its tray; none where nobody laid it out.
    """

    copy: KeptCopy
    run: Run | None = None
    plan: Plan | None = None
    steps: Mapping[str, StepSeen] = field(default_factory=dict)
    alone: frozenset[Station] = frozenset()
    obstacles: tuple[str, ...] = ()
    history: tuple[KeptTap, ...] = ()
    names: Mapping[str, str] = field(default_factory=dict)
    here: tuple[OtherHere, ...] = ()
    layout: Layout | None = None

    @property
    def tasks(self) -> tuple[Task, ...]:
        """What people do where it is, in order; of one that waits, what is done once it is taken up."""
        if self.run is None or self.plan is None:
            return ()
        place = Place.at_sink if self.run.place is Place.soiled else self.run.place
        stations = STATIONS_AT.get(place, ())
        return tuple(task for station in stations for task in self.plan.at(station))


def guide(archive: Archive, who: Visitor, copy: str, station: Station, *, now: datetime) -> Guided:
    """A set as a bench shows it.

    Args:
        archive: where it is kept.
        who: looks.
        copy: its id.
        station: where they stand.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such copy here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        kept = copy_in(unit, who, copy)
        here = _here(unit, who, STATES_AT.get(station, ()), now)
        run = _run_of(unit, kept)
        history = tuple(unit.bench.taps.on_copy(who.department, kept.id)) if run else ()
        names = names_in(unit, {tap.by for tap in history})
        if run is None:
            return Guided(kept, here=here)
        plan = plan_in(unit, run.plan)
        site = unit.documents.get(DEPARTMENT, who.department)
        layout = layout_of(unit, plan.set, plan.set_revision)
        towards = _towards(run.place, station)
        return Guided(
            copy=kept,
            run=run,
            plan=plan,
            steps=steps_seen(unit, plan, site) if site else {},
            alone=alone_at(unit, who, plan, STATIONS_AT.get(run.place, ()), now),
            obstacles=in_the_way(plan, run, towards, now=now) if towards else (),
            history=tuple(tap for tap in history if tap.outcome == "done"),
            names=names,
            here=here,
            layout=from_revision(layout, Layout) if layout else None,
        )


def _towards(place: Place, station: Station) -> Place | None:
    """Where a run is to go: whoever scans it on the clean side wants it there."""
    if station is Station.bench and place in {Place.soiled, Place.at_sink}:
        return Place.clean_side
    return NEXT.get(place)


def at_station(archive: Archive, who: Visitor, station: Station, *, now: datetime) -> tuple[OtherHere, ...]:
    """The sets of a station: what must be dealt with first is first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return _here(unit, who, STATES_AT.get(station, ()), now)


def counts(archive: Archive, who: Visitor) -> dict[Station, int]:
    """How many sets each station has before it.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        found = unit.bench.copies.counts(who.department)
    return {station: sum(found.get(state, 0) for state in states) for station, states in STATES_AT.items()}


def find_copy(archive: Archive, who: Visitor, code: str) -> KeptCopy:
    """The copy that a scanned code belongs to.

    Raises:
        NotAllowed: without the right.
        NotThere: if no copy here has the code.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return copy_of_code(unit, who.department, code)


def _run_of(unit: Unit, copy: KeptCopy) -> Run | None:
    kept = unit.bench.runs.get(copy.run) if copy.run else None
    return Run.model_validate_json(kept.body) if kept else None


def _here(unit: Unit, who: Visitor, states: Collection[Place], now: datetime) -> tuple[OtherHere, ...]:
    """Sets that stand so; one that is held is where its run is."""
    wanted = WantedCopies(states=(*states, HELD), limit=_MOST_HERE)
    found = unit.bench.copies.found(who.department, wanted) if states else []
    runs = ((one, _run_of(unit, one)) for one in found)
    return tuple(_other(unit, one, run, now) for one, run in runs if run is not None and run.place in states)


def _other(unit: Unit, copy: KeptCopy, run: Run, now: datetime) -> OtherHere:
    plan = plan_in(unit, run.plan)
    tasks = [task for station in STATIONS_AT.get(run.place, ()) for task in plan.at(station)]
    running = [
        (run.timers[task.id].at + timedelta(seconds=task.at_least_s), task)
        for task in tasks
        if task.id in run.timers
    ]
    running.sort(key=lambda one: (one[0] <= now, one[0]))
    return OtherHere(
        copy=copy,
        done=sum(run.is_done(task) for task in tasks),
        tasks=len(tasks),
        runs=running[0][1].words if running else "",
        ready_at=running[0][0] if running else None,
        is_held=bool(run.open_holds()),
    )
