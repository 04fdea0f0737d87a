"""First steps: what a new house still lacks for its first poster, in the order in which it goes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import departments, sets, shelf
from sinkside.desk.access import Visitor, current, policy
from sinkside.desk.paper_register import PAPER
from sinkside.desk.ports import Archive, Unit

_APPROVE: Final = "revision-approve"


@dataclass(frozen=True)
class FirstStep:
    """A step on the way to the first poster: what is done, whether it is, and the right that it takes."""

    id: str
    sentence: str
    done: bool
    right: str


def first_steps(archive: Archive, who: Visitor, *, now: datetime) -> tuple[FirstStep, ...]:
    """The way to a house's first poster; nothing once there is a paper or a set, or for who has no part."""
    with archive.unit(writes=False) as unit:
        if any(unit.rows.all(kind, [who.department], limit=1) for kind in (PAPER, sets.KIND)):
            return ()
        steps = _steps(unit, who, now)
    return steps if any(who.may(step.right) for step in steps if not step.done) else ()


def _steps(unit: Unit, who: Visitor, now: datetime) -> tuple[FirstStep, ...]:
    here = [who.department]
    approving = {
        grant.person
        for grant in current(unit.people.grants_in(who.department), now)
        if _APPROVE in policy().roles[grant.role].rights
    }
    return (
        FirstStep(
            "department",
            "Say what the department has: machines with their programs, water, chemistry, brushes",
            unit.documents.get(departments.KIND, who.department) is not None,
            "department-edit",
        ),
        FirstStep(
            "people",
            "Add a second person who approves: whoever drafts a text does not approve it",
            len(approving) > 1,
            "people-manage",
        ),
        FirstStep(
            "instruction",
            "Hand in a maker’s document",
            bool(unit.rows.all(shelf.KIND, here, limit=1)),
            "instruction-upload",
        ),
        FirstStep(
            "approval",
            "Compare its steps with the maker’s words, answer what was found, and have it approved",
            bool(unit.rows.all(shelf.KIND, here, states=("approved",), limit=1)),
            _APPROVE,
        ),
        FirstStep("poster", "Print its poster", False, _APPROVE),
    )
