"""What theatre is asked about one set after a case: its first treatment, and its list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sinkside.bench.plan import Line, Task
from sinkside.bench.run import Run
from sinkside.department import Station
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.copies import copy_in
from sinkside.desk.bench.late_cleaning import thrown_away
from sinkside.desk.bench.plans import plan_for, plan_in
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.bench.theatre import REPORT
from sinkside.desk.ports import Archive
from sinkside.records import KeptCopy


@dataclass(frozen=True)
class UseAsked:
    """A set, what its texts ask for at the point of use, the lines of its list, and what is thrown away."""

    copy: KeptCopy
    tasks: tuple[Task, ...]
    lines: tuple[Line, ...]
    thrown_away: Mapping[str, str]


def use_asked(archive: Archive, who: Visitor, copy: str, *, now: datetime) -> UseAsked:
    """What theatre is asked about a set.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        NotForTheFloor: if a text of a set that never ran here is not approved.
    """
    require(who, REPORT)
    with archive.unit() as unit:
        found = copy_in(unit, who, copy)
        kept = unit.bench.runs.get(found.run) if found.run else None
        if kept is None:
            _, plan = plan_for(unit, who, found.of, now=now)
        else:
            plan = plan_in(unit, Run.model_validate_json(kept.body).plan)
        parts = thrown_away(unit, plan)
    return UseAsked(found, plan.at(Station.theatre), plan.lines, parts)


def scanned(archive: Archive, who: Visitor, code: str) -> str:
    """The id of the copy that a scanned code belongs to.

    Raises:
        NotAllowed: without the right.
        NotThere: if none here has the code.
    """
    require(who, REPORT)
    with archive.unit(writes=False) as unit:
        return copy_of_code(unit, who.department, code).id
