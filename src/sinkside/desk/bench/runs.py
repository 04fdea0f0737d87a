"""Runs as they are kept: opened, read with their plan, and put back together with their copy."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.aids.labels.scanned import code_of
from sinkside.bench.doing import held
from sinkside.bench.plan import Plan
from sinkside.bench.run import HELD, Place, Run
from sinkside.desk.access import Visitor
from sinkside.desk.bench.plans import plan_for, plan_in
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, NotForTheFloor, NotThere
from sinkside.records import KeptCopy, KeptRun

#: Where a copy is, in words, when its run is there and nobody said more.
PLACES: Final = {
    Place.soiled: "soiled side",
    Place.at_sink: "sink",
    Place.in_washer: "washer",
    Place.clean_side: "clean side",
    Place.packing: "packing",
    Place.packed: "packing",
    Place.in_sterilizer: "sterilizer",
    Place.sterilized: "sterilizer, out",
    Place.in_store: "store",
    Place.issued: "theatre",
}

#: Before the id of a line: how often it was processed, among a copy's fields.
USES: Final = "uses:"


@dataclass(frozen=True)
class OpenRun:
    """A copy with its run, as both are kept, and what the run has to go through."""

    copy: KeptCopy
    kept: KeptRun
    run: Run
    plan: Plan


def copy_of_code(unit: Unit, department: str, code: str) -> KeptCopy:
    """The copy that a scanned code belongs to.

    Raises:
        NotThere: if none here has it.
    """
    plain = code_of(code)
    found = unit.bench.copies.by_code(department, plain)
    if found is None:
        raise NotThere(f"no set here has the code {plain}", resource="code")
    return found


def run_of(unit: Unit, copy: KeptCopy) -> OpenRun:
    """The run that a copy is on.

    Raises:
        BadInput: if it is on none: nobody reported it as used.
    """
    kept = unit.bench.runs.get(copy.run) if copy.run else None
    if kept is None or kept.closed is not None:
        raise BadInput(f"{copy.name} is on no run: scan it as arrived first", resource=copy.code)
    run = Run.model_validate_json(kept.body)
    return OpenRun(copy, kept, run, plan_in(unit, run.plan))


def run_by_id(unit: Unit, run: str) -> OpenRun:
    """A run by its own id, closed or not.

    Raises:
        NotThere: if there is none.
    """
    kept = unit.bench.runs.get(run)
    copy = unit.bench.copies.get(kept.copy) if kept else None
    if kept is None or copy is None:
        raise NotThere("there is no such run", resource=run)
    read = Run.model_validate_json(kept.body)
    return OpenRun(copy, kept, read, plan_in(unit, read.plan))


def open_run(
    unit: Unit,
    who: Visitor,
    copy: KeptCopy,
    *,
    at: datetime,
    now: datetime,
    last_used: datetime | None = None,
    clean_by: datetime | None = None,
) -> OpenRun:
    """Open the next run of a copy, soiled, and close the one before.

    Args:
        unit: the transaction.
        who: the acting person.
        copy: whose run.
        at: when it was reported or came.
        now: the moment.
        last_used: when it was last used, where that is known.
        clean_by: when cleaning must have begun; at once unless told.

    What was used must come back, whatever became of its texts meanwhile: where they are not approved, or a
    device cannot be processed here any more, it goes by the plan of its last run and is held.

    Raises:
        NotForTheFloor: if that is so and it never ran here.
    """
    before = unit.bench.runs.get(copy.run) if copy.run else None
    if before is not None and before.closed is None:
        unit.bench.runs.put(replace(before, version=before.version + 1, closed=at))
    plan_id, plan, why = _plan_of(unit, who, copy, before, now=now)
    run = Run(
        id=new_id("r"),
        copy_id=copy.id,
        plan=plan_id,
        last_used=last_used,
        clean_by=clean_by or at,
        last_at=at,
        uses={line.id: int(copy.fields.get(f"{USES}{line.id}") or 0) for line in plan.lines},
    )
    if why:
        run = held(run, why, at=at, by=who.person)
    kept = KeptRun(run.id, copy.department, copy.id, at, run.place, 1, run.model_dump_json(), plan=plan_id)
    unit.bench.runs.put(kept)
    return _with_copy(unit, OpenRun(replace(copy, run=run.id), kept, run, plan), now=now)


def _plan_of(
    unit: Unit, who: Visitor, copy: KeptCopy, before: KeptRun | None, *, now: datetime
) -> tuple[str, Plan, str]:
    """The plan that a run goes by, with its id, and why the run is held; mostly it is not."""
    try:
        return (*plan_for(unit, who, copy.of, now=now), "")
    except NotForTheFloor as error:
        if before is None:
            raise
        last = Run.model_validate_json(before.body).plan
        return last, plan_in(unit, last), error.message


def keep_run(
    unit: Unit, opened: OpenRun, run: Run, *, now: datetime, at: datetime | None = None, place: str = ""
) -> OpenRun:
    """Keep what was made of a run, and how its copy stands by that.

    Args:
        unit: the transaction.
        opened: as it was read.
        run: what was made of it.
        now: the moment.
        at: when it was done with the set; what is done next may not lie before it. None where nobody had it.
        place: where the copy is now; by how far the run is unless told.

    Raises:
        Conflict: if somebody else did something with it meanwhile.
    """
    if at is not None and at > run.last_at:
        run = run.model_copy(update={"last_at": at})
    kept = replace(opened.kept, state=run.place, version=opened.kept.version + 1, body=run.model_dump_json())
    unit.bench.runs.put(kept)
    return _with_copy(unit, OpenRun(opened.copy, kept, run, opened.plan), now=now, place=place)


def _with_copy(unit: Unit, opened: OpenRun, *, now: datetime, place: str = "") -> OpenRun:
    run, copy = opened.run, opened.copy
    due = run.clean_by if run.place is Place.soiled else None
    standing = replace(
        copy,
        state=HELD if run.is_held else run.place.value,
        place=place or PLACES[run.place],
        updated=now,
        due=due,
    )
    unit.bench.copies.put(standing)
    return replace(opened, copy=standing)
