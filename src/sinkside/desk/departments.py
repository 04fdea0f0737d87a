"""What a department has, as the archive keeps it: machines and programs, revision by revision."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.department import Department
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Archive, Unit

KIND: Final = "department"


def keep_department(archive: Archive, who: Visitor, department: Department, *, now: datetime) -> int:
    """Keep what this department has as its next revision, and say which.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "department-edit")
    with archive.unit() as unit:
        revision = keep_next(unit, KIND, who.department, department, by=who.person, now=now)
        data = {"revision": revision.number, "digest": revision.digest}
        record(unit, who, "department-changed", f"department:{who.department}", now=now, data=data)
        return revision.number


def open_department(archive: Archive, who: Visitor) -> Department | None:
    """What this department has; none if nobody said so yet.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "department-read")
    with archive.unit(writes=False) as unit:
        return department_in(unit, who.department)


def department_in(unit: Unit, department: str) -> Department | None:
    """What a department has, for the verbs that need it."""
    return read_kept(unit, KIND, department, Department)
