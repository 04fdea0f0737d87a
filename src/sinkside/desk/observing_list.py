"""Observations as lists: what is being watched, what waits for a signature, what was signed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.observing_kept import OBSERVATION, RIGHT
from sinkside.desk.people import names_in
from sinkside.desk.ports import Archive, Unit
from sinkside.plain.names import calm_name
from sinkside.records import Row, WantedRows

_MOST: Final = 200
_LATELY: Final = 20


@dataclass(frozen=True)
class ObservationLine:
    """One observation of a list: id, device, station, who was watched, by whom, how it stands.

    `level` is how far it leads, empty while nobody judged; `said` what was seen, in a sentence.
    """

    id: str
    device: str
    station: str
    manner: str
    trainee: str
    trainee_name: str
    observer: str
    observer_name: str
    state: str
    level: str
    said: str
    at: datetime


@dataclass(frozen=True)
class Observations:
    """Own observations that are to be gone on with, what was signed here lately, and what can be watched.

    `devices` are approved texts as id and name.
    """

    to_do: tuple[ObservationLine, ...]
    lately: tuple[ObservationLine, ...]
    devices: tuple[tuple[str, str], ...]


def find_observations(archive: Archive, who: Visitor) -> Observations:
    """What somebody watches or watched, and which devices can be watched.

    Raises:
        NotAllowed: without the right.
    """
    require(who, RIGHT)
    own = {"observer": who.person}
    wanted = WantedRows(states=["open", "judged"], fields=own, limit=_MOST)
    signed = WantedRows(states=["signed"], fields=own, limit=_LATELY)
    with archive.unit(writes=False) as unit:
        here = [who.department]
        to_do = unit.rows.found(OBSERVATION, here, wanted)
        lately = unit.rows.found(OBSERVATION, here, signed)
        names = names_in(unit, people_in([*to_do, *lately]))
        devices = [row for row in unit.rows.all(shelf.KIND, here, limit=_MOST) if row.fields.get("approved")]
    return Observations(
        tuple(line_of(row, names) for row in to_do),
        tuple(line_of(row, names) for row in lately),
        tuple(sorted(((row.id, calm_name(row.title)) for row in devices), key=lambda one: one[1])),
    )


def signed_of(unit: Unit, department: str, person: str) -> tuple[ObservationLine, ...]:
    """Every observation of somebody that both signed, the latest first."""
    wanted = WantedRows(states=["signed"], fields={"trainee": person}, limit=_MOST)
    rows = unit.rows.found(OBSERVATION, [department], wanted)
    names = names_in(unit, people_in(rows))
    return tuple(line_of(row, names) for row in rows)


def people_in(rows: Iterable[Row]) -> set[str]:
    """The pseudonyms that some observations name."""
    return {str(row.fields[role]) for row in rows for role in ("trainee", "observer")}


def line_of(row: Row, names: Mapping[str, str]) -> ObservationLine:
    """One observation as lists show it."""
    fields = {name: str(value or "") for name, value in row.fields.items()}
    return ObservationLine(
        id=row.id,
        device=row.title,
        station=fields["station"],
        manner=fields["manner"],
        trainee=fields["trainee"],
        trainee_name=names[fields["trainee"]],
        observer=fields["observer"],
        observer_name=names[fields["observer"]],
        state=row.state,
        level=fields["level"],
        said=fields["said"],
        at=row.updated,
    )
