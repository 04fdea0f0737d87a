"""The loads that a run lay in, each with its record, verdict, indicators and decisions."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor
from sinkside.desk.bench.runs import OpenRun
from sinkside.desk.cycle_records import KIND, opened_cycle
from sinkside.desk.evidence.facts import LoadThen
from sinkside.desk.indicators import indicators_of, load_held
from sinkside.desk.indicators_before_release import NeededThing, before_release, policy
from sinkside.desk.ports import Unit
from sinkside.records import KeptLoad, LoadedCopy

#: What is told of a load by what was recorded for it; whether its machine is in use by now is no such thing.
_RECORDED: Final = frozenset({"load", "check", "chemical", "biological"})


def loads_then(unit: Unit, who: Visitor, opened: OpenRun, *, now: datetime) -> tuple[LoadThen, ...]:
    """Every load of a run, of all its rounds, in the order in which it was put in."""
    return tuple(_loads(unit, who, opened, now))


def load_then(
    unit: Unit, who: Visitor, load: KeptLoad, loaded: LoadedCopy, opened: OpenRun, *, now: datetime
) -> LoadThen:
    """One load of a run, with all that is kept of it."""
    inside = next((one for one in opened.run.loads if one.load == load.id), None)
    row = unit.rows.get(KIND, load.cycle) if load.cycle else None
    if row is None:
        return LoadThen(load, loaded, inside)
    cycle = opened_cycle(unit, row)
    return LoadThen(
        load=load,
        loaded=loaded,
        inside=inside,
        cycle=cycle,
        needed=tuple(one for one in before_release(unit, who, cycle, now=now) if _is_recorded(one)),
        held=load_held(unit, load.cycle),
        indicators=indicators_of(unit, load.cycle),
    )


def _loads(unit: Unit, who: Visitor, opened: OpenRun, now: datetime) -> Iterator[LoadThen]:
    for loaded in unit.bench.loads.of_run(opened.kept.id):
        load = unit.bench.loads.get(loaded.load)
        if load is not None and load.department == who.department:
            yield load_then(unit, who, load, loaded, opened, now=now)


def _is_recorded(one: NeededThing) -> bool:
    need = policy().needs.get(one.id)
    return need is None or need.what in _RECORDED
