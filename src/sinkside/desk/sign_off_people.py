"""People as sign-offs look for them: found by name, and the families they can be signed off for."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Archive
from sinkside.desk.set_texts import READ as WITH_A_TEXT
from sinkside.desk.sign_off_policy import READ
from sinkside.plain.names import calm_name

_MOST_DEVICES: Final = 2_000


def people_called(
    archive: Archive, who: Visitor, text: str, *, now: datetime, most: int = 40
) -> tuple[tuple[str, str], ...]:
    """Who works here and has some words in their name, as pseudonym and name, by name.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    wanted = text.strip().casefold()
    with archive.unit(writes=False) as unit:
        names = unit.people.working_in(who.department, now)
    found = [(person, name) for person, name in names.items() if wanted in name.casefold()]
    return tuple(sorted(found, key=lambda one: (one[1].casefold(), one[0]))[:most])


def families_here(archive: Archive, who: Visitor) -> tuple[tuple[str, str], ...]:
    """The device families that somebody can be signed off for, as id and name, and devices by themselves.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        known = department_in(unit, who.department)
        rows = unit.rows.all(shelf.KIND, [who.department], states=WITH_A_TEXT, limit=_MOST_DEVICES)
    families = [(one.id, one.name) for one in (known.families if known else ())]
    devices = sorted(((row.id, calm_name(row.title)) for row in rows), key=lambda one: one[1].casefold())
    return (*families, *devices)
