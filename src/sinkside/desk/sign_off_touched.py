"""Whose sign-offs a new revision touches: told before it is approved, opened again when it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.department import Department
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, record
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import read_kept
from sinkside.desk.people import names_in
from sinkside.desk.ports import Unit
from sinkside.desk.sign_off_policy import READ
from sinkside.desk.sign_off_records import family_names, sign_off_of
from sinkside.desk.sign_offs import reopen
from sinkside.errors import BadQuantity
from sinkside.instruction import Instruction
from sinkside.plain.names import calm_name
from sinkside.records import Row
from sinkside.route import Route, Station, resolve
from sinkside.teach.sign_offs import Level, SignOff, families_of
from sinkside.teach.touching import what_is_touched

#: So many people are told on the page of an approval; the list of sign-offs has them all.
_MOST: Final = 60


@dataclass(frozen=True)
class PersonTouched:
    """One person, one family, the stations that a change touches for them, and what changed, in sentences."""

    person: str
    name: str
    family: str
    stations: tuple[Station, ...]
    changes: tuple[str, ...]


@dataclass(frozen=True)
class PeopleTouched:
    """Whose sign-offs a revision touches: the first of them by name, and how many people there are."""

    lines: tuple[PersonTouched, ...] = ()
    people: int = 0


@dataclass(frozen=True)
class _Change:
    families: tuple[str, ...]
    changes: Mapping[Station, tuple[str, ...]]


def reopen_touched(unit: Unit, who: Visitor, row: Row, after: Instruction, *, now: datetime) -> None:
    """Open again what the approval of a text touches; `row` still names the revision approved before."""
    change = _change(unit, who, row, after)
    if change is None:
        return
    revision = int(row.fields.get("revision") or 0)
    cause = cause_of(row.id, revision)
    opened = reopen(unit, who.department, change.families, change.changes, cause=cause, now=now)
    if opened:
        data = {
            "revision": revision,
            "people": len({one.who for one in opened}),
            "sign_offs": len(opened),
            "stations": ", ".join(sorted({one.station.value for one in opened})),
        }
        record(unit, who, "sign-offs-reopened", shelf.subject_of(row.id), now=now, data=data)


def people_touched(unit: Unit, who: Visitor, latest: shelf.OpenInstruction) -> PeopleTouched:
    """Whose sign-offs the latest revision would open again, or, once it is approved, has opened."""
    if not who.may(READ) or not latest.latest:
        return PeopleTouched()
    row = latest.row
    if row.fields.get("approved") == latest.revision.number:
        return _told(unit, who, _still_open(unit, who, row, latest))
    change = _change(unit, who, row, latest.instruction)
    if change is None:
        return PeopleTouched()
    found = (
        (one, change.changes[one.station])
        for one in _of_families(unit, who, change.families)
        if one.level is not Level.not_yet and one.station in change.changes
    )
    return _told(unit, who, found)


def cause_of(instruction: str, revision: int) -> str:
    """How a revision stands as the cause of what it opened again."""
    return f"{instruction} {revision}"


def _still_open(
    unit: Unit, who: Visitor, row: Row, latest: shelf.OpenInstruction
) -> Iterator[tuple[SignOff, tuple[str, ...]]]:
    """What the approved revision opened and nobody has given anew."""
    cause = cause_of(row.id, latest.revision.number)
    families = families_of(department_in(unit, who.department), latest.instruction, row.id)
    for one in _of_families(unit, who, families):
        if one.reopened is not None and one.cause == cause:
            yield one, one.changes


def _of_families(unit: Unit, who: Visitor, families: Iterable[str]) -> list[SignOff]:
    found = unit.standings.of_family(who.department, list(families))
    return [sign_off_of(one) for one in found if one.state != "closed"]


def _change(unit: Unit, who: Visitor, row: Row, after: Instruction) -> _Change | None:
    """What changed at which stations since the approved revision; none where nobody stands for the device."""
    approved = int(row.fields.get("approved") or 0)
    before = read_kept(unit, shelf.KIND, row.id, Instruction, approved) if approved else None
    if before is None:
        return None
    known = department_in(unit, who.department)
    families = tuple(
        dict.fromkeys(family for text in (before, after) for family in families_of(known, text, row.id))
    )
    if not unit.standings.of_family(who.department, families):
        return None
    routes = [_route(text, known) for text in (before, after)]
    device = calm_name(after.device.name)
    changes = {
        one.station: tuple(f"{device}: {sentence}" for sentence in one.changes)
        for one in what_is_touched(before, after, *routes)
    }
    return _Change(families, changes) if changes else None


def _route(text: Instruction, known: Department | None) -> Route | None:
    """How a text goes here, which says where each step is done; none where it cannot be told."""
    if known is None:
        return None
    try:
        return resolve(text, known)
    except BadQuantity:
        return None


def _told(unit: Unit, who: Visitor, found: Iterable[tuple[SignOff, tuple[str, ...]]]) -> PeopleTouched:
    touched: dict[tuple[str, str], list[tuple[SignOff, tuple[str, ...]]]] = {}
    for one, changes in found:
        touched.setdefault((one.who, one.family), []).append((one, changes))
    people = {person for person, _ in touched}
    names = names_in(unit, people)
    families = family_names(unit, who.department, {family for _, family in touched})
    order = sorted(touched, key=lambda key: (names[key[0]].casefold(), families[key[1]]))
    lines = tuple(
        PersonTouched(
            person=person,
            name=names[person],
            family=families[family],
            stations=tuple(one.station for one, _ in touched[person, family]),
            changes=tuple(dict.fromkeys(said for _, some in touched[person, family] for said in some)),
        )
        for person, family in order[:_MOST]
    )
    return PeopleTouched(lines, len(people))
