"""How a pack in store stands: released by whom, in what packed, whether it keeps, for which case."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sinkside.bench.run import Run
from sinkside.bench.shelf_life import Mishap, ShelfLife, shelf_life
from sinkside.bench.storing import sterilized_on, sterilizer_load
from sinkside.department import PackagingKind
from sinkside.desk.access import Visitor
from sinkside.desk.bench.runs import OpenRun
from sinkside.desk.bench.store_policy import packaging_kind, policy_here
from sinkside.desk.cycle_records import cycle_row, opened_cycle
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Unit
from sinkside.errors import NotThere


@dataclass(frozen=True)
class ReleasedBy:
    """Who released the load that a pack was in, and when; the pseudonym is empty where nobody did."""

    person: str = ""
    at: datetime | None = None


def kept_of(unit: Unit, who: Visitor, opened: OpenRun, *mishaps: Mishap, now: datetime) -> ShelfLife:
    """Whether a pack still counts as sterile today."""
    return shelf_life(
        policy_here(unit, who.department),
        packaging_of(unit, who, opened.run),
        sterilized=sterilized_on(opened.run, who.zone),
        mishaps=mishaps,
        today=now.astimezone(ZoneInfo(who.zone)).date(),
    )


def packaging_of(unit: Unit, who: Visitor, run: Run) -> PackagingKind | None:
    """In what kind of packaging a set was packed; none where nobody said it."""
    if run.packed is None:
        return None
    return packaging_kind(department_in(unit, who.department), run.packed.packaging)


def released_by(unit: Unit, who: Visitor, run: Run) -> ReleasedBy:
    """Who released the sterilizer load that a pack was in last."""
    last = sterilizer_load(run)
    load = unit.bench.loads.get(last.load) if last and last.end == "released" else None
    if load is None or not load.cycle:
        return ReleasedBy()
    try:
        decision = opened_cycle(unit, cycle_row(unit, who, load.cycle)).decision
    except NotThere:
        return ReleasedBy()
    return (
        ReleasedBy(decision.by, decision.at) if decision and decision.decided == "released" else ReleasedBy()
    )
