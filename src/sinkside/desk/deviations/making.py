"""Reports made of what was noticed: with the set, the load and the machine that it happened to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from sinkside.bench.deviations import DeviationReport, Told, delay_of
from sinkside.bench.faults import Fault, fault
from sinkside.bench.noticing import Noticed
from sinkside.bench.run import Run
from sinkside.desk.ports import Unit
from sinkside.records import KeptCopy, KeptLoad

#: Acts by which a set is given out to a case.
GIVEN_OUT: Final = frozenset({"issue", "issue-under-exception", "early-implant"})


@dataclass(frozen=True)
class Around:
    """What something happened to: the set, its run, the load; empty where there is none."""

    copy: KeptCopy | None = None
    run: str = ""
    load: KeptLoad | None = None


def made_of(
    noticed: Noticed,
    source: Literal["bench", "run"],
    around: Around,
    *,
    by: str,
    at: datetime,
) -> DeviationReport:
    """A new report of something that was noticed."""
    kind = fault(noticed.fault)
    copy, load = around.copy, around.load
    return DeviationReport(
        fault=noticed.fault,
        words=noticed.words,
        source=source,
        found=noticed.found,
        began=noticed.began or kind.began_at,
        by=by,
        at=at,
        code=copy.code if copy else "",
        copy_id=copy.id if copy else "",
        name=copy.name if copy else "",
        device=noticed.device,
        run=around.run,
        line=noticed.line,
        load=load.id if load else "",
        machine=load.machine if load else "",
        machine_name=str(load.fields.get("machine_name") or load.machine) if load else "",
        case=noticed.case,
        delay_min=noticed.delay_min,
        asks=kind.asks,
        measures=(Told(words=noticed.measures, by=by, at=at),) if noticed.measures else (),
    )


def load_for(unit: Unit, kind: Fault, run: Run) -> KeptLoad | None:
    """The load of a run at which a kind of deviation is counted: the last one of that station."""
    inside = [one.load for one in run.loads if one.station.value == kind.machine]
    return unit.bench.loads.get(inside[-1]) if inside else None


def delay_for(unit: Unit, department: str, number: str, copy: str) -> int | None:
    """For how many minutes a case waited for a set; none where its giving out is not known."""
    case = unit.bench.cases.by_number(department, number)
    runs = [one.run for one in unit.bench.cases.sets_of(case.id) if one.copy == copy] if case else []
    if case is None or not runs or not runs[-1]:
        return None
    given = [
        one.at
        for one in unit.bench.taps.on_copy(department, copy)
        if one.run == runs[-1] and one.act in GIVEN_OUT and one.outcome == "done"
    ]
    return delay_of(case.begins, given[-1]) if given else None
