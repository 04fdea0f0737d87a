"""What a department has, as the archive keeps it: machines and programs, revision by revision."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.department import Department, DepartmentChange, compare_departments
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import from_revision, keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import Conflict, NotThere
from sinkside.records import Making

KIND: Final = "department"


@dataclass(frozen=True)
class OpenDepartment:
    """What a department has now, how that revision was made, and all of them, oldest first.

    Before anybody said what it has there is no making, and the document has its name and zone alone.
    """

    department: Department
    made: Making | None
    history: tuple[Making, ...]

    @property
    def number(self) -> int:
        """The revision's number; 0 before the first."""
        return self.made.number if self.made else 0


@dataclass(frozen=True)
class ComparedDepartment:
    """Two revisions side by side: how each was made, and what changed; nothing stood before the first."""

    before: Making | None
    after: Making
    changes: tuple[DepartmentChange, ...]


def keep_department(
    archive: Archive,
    who: Visitor,
    department: Department,
    *,
    now: datetime,
    base: int | None = None,
    note: str = "",
) -> int:
    """Keep what this department has as its next revision, and say which.

    Args:
        archive: where it is kept.
        who: who says so.
        department: what it has.
        now: the moment.
        base: the revision that the person had before them; the latest unless told.
        note: why, or where it comes from.

    Raises:
        NotAllowed: without the right.
        Conflict: if there is a later revision already.
    """
    require(who, "department-edit")
    with archive.unit() as unit:
        before = read_kept(unit, KIND, who.department, Department)
        if base is not None:
            refuse_outdated(unit, who, base)
        revision = keep_next(unit, KIND, who.department, department, by=who.person, now=now, note=note)
        site = unit.sites.get(who.department)
        if site is not None and site.name != department.name:
            unit.sites.rename(who.department, department.name)
        changes = len(compare_departments(before, department))
        data = {"revision": revision.number, "digest": revision.digest, "changes": changes}
        record(unit, who, "department-changed", f"department:{who.department}", now=now, data=data)
        return revision.number


def refuse_outdated(unit: Unit, who: Visitor, base: int) -> None:
    """Refuse a change of what is no longer the latest revision.

    Raises:
        Conflict: if somebody else was quicker.
    """
    latest = unit.documents.get(KIND, who.department)
    number = latest.number if latest else 0
    if number != base:
        raise Conflict(
            f"somebody else made revision {number} meanwhile; look at it and change that",
            resource=who.department,
        )


def named_only(unit: Unit, who: Visitor) -> Department:
    """The department as it stands before anybody said what it has: its name and zone alone."""
    site = unit.sites.get(who.department)
    return Department(name=site.name if site else who.department, zone=who.zone)


def open_department(archive: Archive, who: Visitor) -> Department | None:
    """What this department has; none if nobody said so yet.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "department-read")
    with archive.unit(writes=False) as unit:
        return department_in(unit, who.department)


def open_latest(archive: Archive, who: Visitor) -> OpenDepartment:
    """What this department has now, with its history.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "department-read")
    with archive.unit(writes=False) as unit:
        history = tuple(unit.documents.history(KIND, who.department))
        known = department_in(unit, who.department)
        return OpenDepartment(known or named_only(unit, who), history[-1] if history else None, history)


def compare_revisions(
    archive: Archive, who: Visitor, *, before: int | None = None, after: int | None = None
) -> ComparedDepartment:
    """What changed between two revisions: the latest and the one before it unless told.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such revision.
    """
    require(who, "department-read")
    with archive.unit(writes=False) as unit:
        makings = {one.number: one for one in unit.documents.history(KIND, who.department)}
        new = after or max(makings, default=0)
        old = before or new - 1
        if new not in makings or (old not in makings and old != 0):
            raise NotThere("there is no such revision of what this department has", resource=who.department)
        is_now = _revision(unit, who, new)
        was = _revision(unit, who, old) if old else None
        return ComparedDepartment(makings.get(old), makings[new], compare_departments(was, is_now))


def department_in(unit: Unit, department: str, number: int | None = None) -> Department | None:
    """What a department has, or had, for the verbs that need it."""
    return read_kept(unit, KIND, department, Department, number)


def _revision(unit: Unit, who: Visitor, number: int) -> Department:
    kept = unit.documents.get(KIND, who.department, number)
    if kept is None:
        raise NotThere("there is no such revision of what this department has", resource=who.department)
    return from_revision(kept, Department)
