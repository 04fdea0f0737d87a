"""What a decision on a load means for everything that lay in it: it goes on, or it is held."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final, Literal

from sinkside.bench import in_loads
from sinkside.bench.loads import LoadState
from sinkside.bench.run import Place, Run
from sinkside.department import MachineKind
from sinkside.desk.access import Visitor, record
from sinkside.desk.bench.loads import still_in, subject_of, with_fields
from sinkside.desk.bench.runs import OpenRun, keep_run, run_by_id
from sinkside.desk.bench.store_cases import given_to
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Unit
from sinkside.limits import published
from sinkside.records import KeptLoad

Decided = Literal["released", "held"]

#: How long a pack from steam is left alone before it is handled, where no other figure is in force.
_COOLING: Final = "steam-cooling-minimum"


def follow_cycle(
    unit: Unit, who: Visitor, cycle: str, decided: Decided, *, reason: str, now: datetime
) -> None:
    """Carry a decision on a cycle over to the load that it belongs to; nothing where it belongs to none."""
    load = unit.bench.loads.of_cycle(who.department, cycle)
    if load is not None:
        follow(unit, who, load, decided, reason=reason, now=now)


def follow(
    unit: Unit,
    who: Visitor,
    load: KeptLoad,
    decided: Decided,
    *,
    reason: str,
    now: datetime,
    but: Sequence[str] = (),
    **told: str | float | bool | None,
) -> KeptLoad:
    """Keep a decision on a load, and what it means for each run that lay in it.

    A load in which a pack was wet is released by no decision on its record: only its dry packs are let go.

    Args:
        unit: the transaction.
        who: who decided.
        load: the load.
        decided: `released` or `held`.
        reason: why.
        now: the moment.
        but: copies that the decision does not reach, such as the wet one of a load whose others are let go.
        told: what else is kept of the load.
    """
    if decided == "released" and load.fields.get("wet") and not told.get("let_go"):
        return load
    ended = ended_at(load) or now
    cooled = ended + timedelta(minutes=cooling_min(unit, load))
    fields = {
        "ended": ended.isoformat(),
        "cooled": cooled.isoformat() if decided == "released" else None,
        "decided_by": who.person,
        "decided_at": now.isoformat(),
        "reason": reason,
        **told,
    }
    kept = replace(with_fields(load, **fields), state=LoadState(decided))
    unit.bench.loads.put(kept)
    for one in still_in(unit, load):
        if one.copy.id in but:
            continue
        opened = run_by_id(unit, one.loaded.run)
        after = in_loads.decided(
            opened.run, load.id, decided, at=ended, cooled=cooled if decided == "released" else None
        )
        if decided == "released" and load.fields.get("exception"):
            after, opened = _to_its_case(unit, who, opened, after, load=load, at=now)
        keep_run(unit, opened, after, now=now)
    data = {"decided": decided, "machine": load.machine, "trace": bool(load.cycle)}
    record(unit, who, "load-decided", subject_of(load.id), now=now, data=data)
    return kept


def _to_its_case(
    unit: Unit, who: Visitor, opened: OpenRun, run: Run, *, load: KeptLoad, at: datetime
) -> tuple[Run, OpenRun]:
    """A set that was processed for immediate use goes to its case and into no store."""
    case = str(load.fields["case"])
    given_to(unit, who, opened.copy, case, at=at)
    told = {**opened.copy.fields, "case": case, "exception": load.fields["exception"]}
    issued = run.model_copy(update={"place": Place.issued})
    return issued, replace(opened, copy=replace(opened.copy, fields=told))


def ended_at(load: KeptLoad) -> datetime | None:
    """When a load came out of its machine; none while it did not."""
    told = load.fields.get("ended")
    return datetime.fromisoformat(str(told)) if told else None


def cooling_min(unit: Unit, load: KeptLoad) -> float:
    """For how many minutes packs of a load are left alone: those from steam, by the published least.

    A department may put its own in the place of the figure (ANSI/AAMI ST79, cooling, second-hand).
    """
    if load.fields.get("kind") != MachineKind.steam_sterilizer.value:
        return 0.0
    site = department_in(unit, load.department)
    own = next((one for one in (site.overrides if site else ()) if one.limit == _COOLING), None)
    return own.value.to("min") if own else published(_COOLING).ends("min")[0]
