"""The list of cycles: what needs somebody's head first, of one machine, program or verdict, page by page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from sinkside.department import Machine
from sinkside.desk.access import Visitor, require
from sinkside.desk.cycle_records import KIND, STATES
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Archive
from sinkside.records import Row, WantedRows

#: Which cycles are shown, by how they were decided.
Shown = Literal["waiting", "decided", "held", "released", "all"]
_WAITING: Final = ("judging", "undecided")
_STATES: Final[Mapping[Shown, tuple[str, ...]]] = {
    "waiting": _WAITING,
    "decided": ("held", "released"),
    "held": ("held",),
    "released": ("released",),
    "all": STATES,
}

#: Undecided before decided, and within each the worst first; what is still being judged says nothing yet.
_WORST_FIRST: Final = {
    "state": {state: int(state not in _WAITING) for state in STATES},
    "verdict": {outcome: rank for rank, outcome in enumerate(("fails", "unread", "unclear", "meets"))},
}


@dataclass(frozen=True)
class CyclesWanted:
    """Which cycles are wanted; what is empty is not asked for.

    `verdict` is fails, unread, unclear or meets; `since` and `until` are of when a cycle was last judged or
    decided.
    """

    shown: Shown = "waiting"
    machine: str = ""
    program: str = ""
    verdict: str = ""
    text: str = ""
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True)
class CyclesFound:
    """One page of cycles, how many there are on all pages, and how many wait for a decision.

    `machines` are those that the department has now.
    """

    rows: tuple[Row, ...]
    total: int
    waiting: int
    machines: tuple[Machine, ...]


def find_cycles(
    archive: Archive, who: Visitor, wanted: CyclesWanted, *, limit: int = 50, offset: int = 0
) -> CyclesFound:
    """The cycles of this department that are wanted: undecided ones first, the worst of them first.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "cycle-read")
    said = {"machine": wanted.machine, "program": wanted.program, "verdict": wanted.verdict}
    rows = WantedRows(
        states=_STATES[wanted.shown],
        text=wanted.text.strip() or None,
        fields={name: value for name, value in said.items() if value},
        since=wanted.since,
        until=wanted.until,
        ranks=_WORST_FIRST,
        limit=limit,
        offset=offset,
    )
    here = [who.department]
    with archive.unit(writes=False) as unit:
        site = department_in(unit, who.department)
        return CyclesFound(
            rows=tuple(unit.rows.found(KIND, here, rows)),
            total=unit.rows.count_found(KIND, here, rows),
            waiting=unit.rows.count(KIND, here, states=_WAITING),
            machines=site.machines if site else (),
        )
