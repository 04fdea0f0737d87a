"""What a team is likely to remember, device by device and step by step; nobody is named, nobody is ranked.

Of few people nothing is shown: numbers of three would tell who it is.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.keeping import from_revision
from sinkside.desk.memories import LEARN, bank_in_force
from sinkside.desk.memory_policy import policy
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.set_texts import approved_of, device_name
from sinkside.instruction import Instruction, Step
from sinkside.records import MemoryShare, Row

_MOST_ROWS = 5_000


@dataclass(frozen=True)
class TeamDevice:
    """A device: how many people were asked of it, how many answers are kept, how many of these are fresh."""

    instruction: str
    device: str
    people: int
    kept: int
    fresh: int


@dataclass(frozen=True)
class TeamStep:
    """A step of a device: how many answers to its questions are kept, and how many of them are fresh."""

    step: Step
    kept: int
    fresh: int


@dataclass(frozen=True)
class Team:
    """The devices that enough people were asked of, most to refresh first, and how many were left out."""

    devices: tuple[TeamDevice, ...]
    too_few: int


def team_devices(archive: Archive, who: Visitor, *, now: datetime) -> Team:
    """What the department has fresh, device by device.

    Raises:
        NotAllowed: without the right.
    """
    require(who, LEARN)
    with archive.unit(writes=False) as unit:
        rows = {row.id: row for row in unit.rows.all(shelf.KIND, [who.department], limit=_MOST_ROWS)}
        shares = [one for one in unit.memories.by_device(who.department, now) if one.of in rows]
    shown = [one for one in shares if _is_shown(one)]
    devices = [
        TeamDevice(one.of, device_name(rows[one.of]), one.people, one.kept, one.fresh) for one in shown
    ]
    return Team(
        tuple(sorted(devices, key=lambda one: (one.fresh / one.kept, one.device))), len(shares) - len(shown)
    )


def team_steps(
    archive: Archive, who: Visitor, instruction: str, *, now: datetime
) -> tuple[str, tuple[TeamStep, ...]]:
    """What the department has fresh of a device, step by step in its order, with the device's name.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
    """
    require(who, LEARN)
    with archive.unit(writes=False) as unit:
        row = shelf.row_of(unit, who, instruction)
        shares = [one for one in unit.memories.by_question(who.department, row.id, now) if _is_shown(one)]
        steps = _steps(unit, row)
        step_of = {one.id: one.step for one in bank_in_force(unit, who, row.id)} if steps else {}
    counted: dict[str, list[MemoryShare]] = defaultdict(list)
    for one in shares:
        counted[step_of.get(one.of, "")].append(one)
    found = (
        TeamStep(step, sum(one.kept for one in counted[step.id]), sum(one.fresh for one in counted[step.id]))
        for step in steps
        if step.id in counted
    )
    return device_name(row), tuple(found)


def _steps(unit: Unit, row: Row) -> tuple[Step, ...]:
    kept = unit.documents.get(shelf.KIND, row.id, approved_of(row)) if approved_of(row) else None
    return from_revision(kept, Instruction).steps if kept else ()


def _is_shown(share: MemoryShare) -> bool:
    return share.people >= policy().fewest_shown
