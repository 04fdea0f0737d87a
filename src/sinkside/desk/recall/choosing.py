"""What a recall may begin with here: machines with their last good evidence, texts with their revisions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.indicator_reading import BIOLOGICAL
from sinkside.desk.machine_rows import last_check, machine_rows
from sinkside.desk.machine_things import things_of
from sinkside.desk.ports import Archive
from sinkside.desk.recall.recalling import READ

_MOST: Final = 500


@dataclass(frozen=True)
class MachineToRecall:
    """A machine or water point: what it is called, and when its last indicator showed no growth."""

    id: str
    name: str
    last_good: datetime | None


@dataclass(frozen=True)
class Choices:
    """What a recall may begin with: machines, and approved texts by id and name."""

    machines: tuple[MachineToRecall, ...]
    texts: tuple[tuple[str, str], ...]


def choices(archive: Archive, who: Visitor) -> Choices:
    """What a recall may begin with in this department.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        site = department_in(unit, who.department)
        known = machine_rows(unit, who.department)
        things = [one for one in things_of(site) if one.machines] if site else []
        rows = unit.rows.all(shelf.KIND, [who.department], states=("approved",), limit=_MOST)
    machines = tuple(
        MachineToRecall(one.id, one.name, last_check(known.get(one.id), BIOLOGICAL).good) for one in things
    )
    return Choices(machines, tuple((row.id, row.title) for row in rows))
