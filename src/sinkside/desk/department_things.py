"""Single things of a department: added, changed and struck, each change a revision; and how they were."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.department import Department
from sinkside.department.comparing import compare_things
from sinkside.department.filling import Cell, added, corrected, struck, thing_at
from sinkside.department.spreadsheet import Place, RowThing, Sheet, names_in, sheets, things
from sinkside.desk import departments
from sinkside.desk.access import Visitor, require
from sinkside.desk.ports import Archive, Unit
from sinkside.documents import to_values
from sinkside.errors import BadInput, NotThere
from sinkside.records import Making

#: How many revisions are looked through for how a thing was.
_MOST_REVISIONS: Final = 60
_LONGEST_REASON: Final = 2000


@dataclass(frozen=True)
class Add:
    """One more thing, under the machine, and then the program, that it belongs to."""

    cells: Mapping[str, Cell]
    under: Place = ()


@dataclass(frozen=True)
class Correct:
    """A thing as its columns say it now."""

    place: Place
    cells: Mapping[str, Cell]


@dataclass(frozen=True)
class Strike:
    """A thing that is here no longer."""

    place: Place


@dataclass(frozen=True)
class ThingChanged:
    """When a thing was changed, in which revision, by whom, and what of it."""

    made: Making
    sentences: tuple[str, ...]


def sheet_called(name: str) -> Sheet:
    """The kind of thing that an address names.

    Raises:
        NotThere: if there is no such kind.
    """
    if name not in sheets():
        raise NotThere("there is no such kind of thing", resource=name)
    return sheets()[name]


def change_thing(
    archive: Archive,
    who: Visitor,
    sheet: Sheet,
    change: Add | Correct | Strike,
    *,
    base: int,
    reason: str = "",
    now: datetime,
) -> int:
    """Add, change or strike one thing, and say which revision that made.

    Args:
        archive: where it is kept.
        who: who says so.
        sheet: what kind of thing.
        change: what to add, change or strike.
        base: the revision that the person had before them.
        reason: why; it may be left open.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such thing.
        Conflict: if there is a later revision already.
        BadInput: if nothing would change, or it does not fit; every fault by heading.
    """
    require(who, "department-edit")
    if len(reason) > _LONGEST_REASON:
        raise BadInput(
            f"it has {len(reason)} characters; expected at most {_LONGEST_REASON}", resource="reason"
        )
    opened = departments.open_latest(archive, who)
    with archive.unit(writes=False) as unit:
        departments.refuse_outdated(unit, who, base)
    made = _made(opened.department, sheet, change)
    if made == opened.department and opened.made is not None:
        raise BadInput("nothing was changed; change a field first")
    note = reason.strip()
    return departments.keep_department(archive, who, made, now=now, base=base, note=note)


def how_it_was(archive: Archive, who: Visitor, sheet: Sheet, thing: RowThing) -> tuple[ThingChanged, ...]:
    """When a thing was changed, and what of it, the latest first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "department-read")
    with archive.unit(writes=False) as unit:
        return tuple(reversed(list(_changes(unit, who, sheet, thing))))


def _made(before: Department, sheet: Sheet, change: Add | Correct | Strike) -> Department:
    if isinstance(change, Add):
        return added(before, sheet, change.cells, under=change.under)
    if isinstance(change, Correct):
        return corrected(before, sheet, change.place, change.cells)
    thing_at(before, sheet, change.place)
    return struck(before, sheet, change.place)


def _changes(unit: Unit, who: Visitor, sheet: Sheet, thing: RowThing) -> Iterator[ThingChanged]:
    last: RowThing | None = None
    makings = unit.documents.history(departments.KIND, who.department)
    for making in makings[-_MOST_REVISIONS:]:
        known = departments.department_in(unit, who.department, making.number)
        values = to_values(known) if known else {}
        found = next((one for one in things(sheet, values) if _is_same(sheet, one, thing)), None)
        if found is not None and last is None:
            words = (
                "here already" if making.number > 1 and making is makings[-_MOST_REVISIONS:][0] else "added"
            )
            yield ThingChanged(making, (words,))
        elif found is not None and last is not None and found.values != last.values:
            told = tuple(
                one.sentence.removeprefix(f"{one.thing}: ")
                for one in compare_things(sheet, last, found, names_in(values))
            )
            if told:
                yield ThingChanged(making, told)
        last = found


def _is_same(sheet: Sheet, one: RowThing, other: RowThing) -> bool:
    return one.owner_keys == other.owner_keys and (
        not sheet.field or one.values.get(sheet.key) == other.values.get(sheet.key)
    )
