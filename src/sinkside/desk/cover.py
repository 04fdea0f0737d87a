"""Cover: whether somebody works alone with a device family at each station, shift by shift, and until when.

A family's cover is kept in its row of a list, anew with every sign-off and every change of the roster, so
that gaps are seen ahead without reading everybody's sign-offs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.sign_off_policy import READ, policy_in
from sinkside.desk.sign_off_records import family_names
from sinkside.records import Cover, Row
from sinkside.route import Station

KIND: Final = "sign-off-family"

#: Sorts before every gap that has a day: here nobody ever did.
_NEVER: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Gap:
    """A shift and a station where nobody works alone with a family: since or from when; none if ever."""

    shift: str
    station: Station
    since: datetime | None

    def is_now(self, now: datetime) -> bool:
        """Whether it has opened already."""
        return self.since is None or self.since <= now


@dataclass(frozen=True)
class FamilyCovered:
    """A family with its gaps, the first to open at the head: those open now and those within the time."""

    family: str
    name: str
    gaps: tuple[Gap, ...]


@dataclass(frozen=True)
class FamilyList:
    """A page of families, what shifts are called, and how many families there are."""

    families: tuple[FamilyCovered, ...]
    shifts: dict[str, str]
    total: int


def families_covered(
    archive: Archive, who: Visitor, *, now: datetime, text: str = "", offset: int = 0, limit: int = 40
) -> FamilyList:
    """The families that somebody is signed off for, what gapes first at the head.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        ahead = now + policy_in(unit, who.department).ahead
        rows = unit.rows.all(KIND, [who.department], text=text or None, limit=limit, offset=offset)
        names = family_names(unit, who.department, [str(row.fields["family"]) for row in rows])
        families = tuple(
            FamilyCovered(str(row.fields["family"]), names[str(row.fields["family"])], _within(row, ahead))
            for row in rows
        )
        return FamilyList(
            families, shift_names(unit, who.department), unit.rows.count(KIND, [who.department])
        )


def gaps_of(unit: Unit, department: str, family: str, *, until: datetime) -> tuple[Gap, ...]:
    """The gaps of one family that are open or open before a moment."""
    row = unit.rows.get(KIND, _row_id(department, family))
    return _within(row, until) if row else ()


def shift_names(unit: Unit, department: str) -> dict[str, str]:
    """What the department's shifts are called, in its order."""
    known = department_in(unit, department)
    return {one.id: one.name for one in known.shifts} if known else {}


def cover_again(unit: Unit, department: str, families: Collection[str] | None, *, now: datetime) -> None:
    """Keep the cover of families anew, of every family if none is named."""
    shifts = sorted(unit.roster.counts(department))
    found: defaultdict[str, dict[tuple[str, str], datetime | None]] = defaultdict(dict)
    for one in unit.standings.cover(department, families):
        found[one.family][one.shift, one.station] = one.until
    stations = _stations(unit, department, families)
    names = family_names(unit, department, stations)
    for family, worked_at in stations.items():
        covers = [
            Cover(family, station, shift, found[family].get((shift, station), _NEVER))
            for shift in shifts
            for station in worked_at
        ]
        unit.rows.put(_row(department, family, names[family], covers, now))


def _stations(unit: Unit, department: str, families: Collection[str] | None) -> dict[str, list[str]]:
    """Where each family is worked on: wherever anybody stands for it."""
    if families is None:
        return {family: sorted(at) for family, at in unit.standings.families(department).items()}
    found: defaultdict[str, set[str]] = defaultdict(set)
    for standing in unit.standings.of_family(department, families):
        found[standing.family].add(standing.station)
    return {family: sorted(stations) for family, stations in found.items()}


def _row(department: str, family: str, name: str, covers: Iterable[Cover], now: datetime) -> Row:
    ends = [one for one in covers if one.until is not None]
    ends.sort(key=lambda one: (one.until or _NEVER, one.shift, one.station))
    lines = (f"{one.shift}\t{one.station}\t{one.until.isoformat()}" for one in ends if one.until)
    return Row(
        kind=KIND,
        id=_row_id(department, family),
        department=department,
        state="kept",
        title=name,
        updated=now,
        due=ends[0].until if ends else None,
        fields={"family": family, "gaps": "\n".join(lines)},
    )


def _within(row: Row, until: datetime) -> tuple[Gap, ...]:
    gaps = []
    for line in str(row.fields["gaps"]).splitlines():
        shift, station, moment = line.split("\t")
        since = datetime.fromisoformat(moment)
        if since <= until:
            gaps.append(Gap(shift, Station(station), None if since == _NEVER else since))
    return tuple(gaps)


def _row_id(department: str, family: str) -> str:
    return f"{department} {family}"
