"""How a paper stands now: current, or replaced, since when and by what change."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from sinkside.department import Department
from sinkside.desk import approving, sets, shelf
from sinkside.desk.access import Visitor
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import from_revision, read_kept
from sinkside.desk.paper_documents import PaperPrinted, PaperSource
from sinkside.desk.ports import Unit
from sinkside.desk.remembered import Remembered
from sinkside.desk.set_layout import layout_of
from sinkside.desk.set_texts import READ as READ_STATES
from sinkside.desk.set_texts import in_force
from sinkside.documents import to_json
from sinkside.instruction import Instruction
from sinkside.instruction.comparison import compare
from sinkside.records import Revision
from sinkside.route import Route, resolve
from sinkside.sets import compare_sets

PaperState = Literal["current", "replaced", "withdrawn"]

_NOT_TOLD: Final = "What changed is not kept any more."
_LAID_OUT: Final = "The tray was laid out anew, so that things lie elsewhere."
_DEPARTMENT: Final = "The department changed what it works with, so that the route is another one."


@dataclass(frozen=True)
class PaperStanding:
    """How a paper stands: since when it is replaced, by which revision, and what changed, in sentences."""

    state: PaperState
    since: datetime | None = None
    revision: int = 0
    changes: tuple[str, ...] = ()

    @property
    def is_current(self) -> bool:
        """Whether people may work by it."""
        return self.state == "current"


_CURRENT: Final = PaperStanding("current")

#: By the digests of the text and of the department.
_ROUTES: Final = Remembered[tuple[str, str], str](most=2_000)


def standing_of(unit: Unit, who: Visitor, paper: PaperPrinted) -> PaperStanding:
    """How a paper stands now, by the first of its sources that is no longer in force."""
    for source in paper.sources:
        found = (
            _of_instruction(unit, who, source) if source.noun == "instruction" else _of_set(unit, who, source)
        )
        if not found.is_current:
            return found
    return _of_layout(unit, paper) or _of_route(unit, who, paper)


def route_digest(route: Route) -> str:
    """What tells one route from another: all that it says."""
    return hashlib.sha256(to_json(route, compact=True).encode()).hexdigest()


def _of_instruction(unit: Unit, who: Visitor, source: PaperSource) -> PaperStanding:
    row = unit.rows.get(shelf.KIND, source.id)
    if row is None or row.department != who.department or row.state not in READ_STATES:
        return PaperStanding("withdrawn", row.updated if row else None)
    number = in_force(row)
    if number == source.revision:
        return _CURRENT
    texts = [read_kept(unit, shelf.KIND, source.id, Instruction, one) for one in (source.revision, number)]
    old, new = texts
    changes = tuple(one.sentence for one in compare(old, new).changes) if old and new else (_NOT_TOLD,)
    return PaperStanding("replaced", _in_force_since(unit, source.id, number), number, changes)


def _in_force_since(unit: Unit, instruction: str, revision: int) -> datetime | None:
    """When a revision was approved; one that nobody approved counts since it was made."""
    for kept in reversed(unit.documents.revisions(approving.APPROVAL, instruction)):
        approval = from_revision(kept, approving.Approval)
        if approval.revision == revision:
            return approval.at
    made = unit.documents.get(shelf.KIND, instruction, revision)
    return made.at if made else None


def _of_set(unit: Unit, who: Visitor, source: PaperSource) -> PaperStanding:
    row = unit.rows.get(sets.KIND, source.id)
    if row is None or row.department != who.department or row.state != sets.IN_USE:
        return PaperStanding("withdrawn", row.updated if row else None)
    latest = sets.set_in(unit, who, source.id)
    if latest.revision.number == source.revision:
        return _CURRENT
    was = sets.set_in(unit, who, source.id, source.revision).document
    changes = tuple(one.sentence for one in compare_sets(was, latest.document, names={}))
    return PaperStanding("replaced", latest.revision.at, latest.revision.number, changes)


def _of_layout(unit: Unit, paper: PaperPrinted) -> PaperStanding | None:
    """What became of the tray that a count sheet shows, or not yet; none where all lies as it shows."""
    if paper.of.noun != "set":
        return None
    laid = layout_of(unit, paper.of.id, paper.of.revision)
    if (laid.digest if laid else "") == paper.layout:
        return None
    return PaperStanding("replaced", laid.at if laid else None, paper.of.revision, (_LAID_OUT,))


def _of_route(unit: Unit, who: Visitor, paper: PaperPrinted) -> PaperStanding:
    """Whether the department would still print the same route; its text is in force."""
    kept = unit.documents.get(DEPARTMENT, who.department)
    text = unit.documents.get(shelf.KIND, paper.of.id, paper.of.revision)
    if not paper.route or kept is None or text is None or _digest(unit, who, text, kept) == paper.route:
        return _CURRENT
    return PaperStanding("replaced", kept.at, paper.of.revision, (_DEPARTMENT,))


def _digest(unit: Unit, who: Visitor, text: Revision, site: Revision) -> str:
    def work_out() -> str:
        known = department_in(unit, who.department) or from_revision(site, Department)
        return route_digest(resolve(from_revision(text, Instruction), known))

    return _ROUTES.get((text.digest, site.digest), work_out)
