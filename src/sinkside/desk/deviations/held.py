"""A load that a person holds is a deviation of its machine, unless the reason is reported already."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.bench.noticing import Noticed, found_at, held_by_decision
from sinkside.department import MachineKind, Station
from sinkside.desk.access import Visitor
from sinkside.desk.cycle_documents import CycleRecord, Decision
from sinkside.desk.departments import department_in
from sinkside.desk.deviations.kept import KIND, OpenReport, begin_reports, keep_report
from sinkside.desk.deviations.making import Around, made_of
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import new_id
from sinkside.records import KeptLoad, WantedRows

#: Why a load is held, as it was noticed before: the hold follows from it and is no deviation of its own.
_TOLD_ALREADY: Final = frozenset({"load-stopped", "indicator", "indicator-grew", "wet-pack", "load-held"})


def cycle_held(
    unit: Unit, who: Visitor, cycle: str, record: CycleRecord, decision: Decision, *, now: datetime
) -> None:
    """Report that a cycle was held, at its load or, where it is of none, at its machine."""
    words = f"{record.machine_name}, {record.program.name}: its record {decision.outcome}"
    noticed = held_by_decision(words, decision.reason)
    load = unit.bench.loads.of_cycle(who.department, cycle)
    if load is not None:
        _keep(unit, who, load, noticed, now=now)
        return
    found = found_at(noticed, _station_of(unit, who, record.machine))
    report = made_of(found, "bench", Around(), by=who.person, at=now).model_copy(
        update={"machine": record.machine, "machine_name": record.machine_name}
    )
    begin_reports(unit, who.department, now)
    keep_report(unit, who, OpenReport(new_id("d"), report, 0), report, "deviation-noticed", now=now)


def load_held(unit: Unit, who: Visitor, load: KeptLoad, words: str, reason: str, *, now: datetime) -> None:
    """Report that a load without a record was held; `words` is what was read instead."""
    _keep(unit, who, load, held_by_decision(words, reason), now=now)


def _keep(unit: Unit, who: Visitor, load: KeptLoad, noticed: Noticed, *, now: datetime) -> None:
    told = unit.rows.found(KIND, [who.department], WantedRows(fields={"load": load.id}))
    if any(row.fields["fault"] in _TOLD_ALREADY for row in told):
        return
    around = Around(load=load)
    report = made_of(found_at(noticed, load.station), "bench", around, by=who.person, at=now)
    begin_reports(unit, who.department, now)
    keep_report(unit, who, OpenReport(new_id("d"), report, 0), report, "deviation-noticed", now=now)


def _station_of(unit: Unit, who: Visitor, machine: str) -> str:
    site = department_in(unit, who.department)
    kind = next((one.kind for one in (site.machines if site else ()) if one.id == machine), None)
    return (Station.washer if kind is MachineKind.washer_disinfector else Station.sterilizer).value
