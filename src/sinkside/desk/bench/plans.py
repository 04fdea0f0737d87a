"""Plans: what a set goes through here, made from its approved texts and kept once for all its runs."""

from __future__ import annotations

import hashlib
from datetime import datetime
from typing import Final

from sinkside.bench.plan import MemberRoute, Plan, TextBehind, lines_of, tasks_of
from sinkside.department import Department
from sinkside.desk.access import Visitor
from sinkside.desk.department_route import route_of
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.keeping import from_revision, keep_next, read_kept
from sinkside.desk.ports import Unit
from sinkside.desk.set_texts import TextFound, approved_of, texts_of
from sinkside.desk.sets import OpenSet, set_in
from sinkside.errors import NotForTheFloor, SinksideError
from sinkside.records import PlanText, Revision, Row
from sinkside.sets import contents_of
from sinkside.teach.sign_offs import families_of

KIND: Final = "plan"


def plan_in(unit: Unit, plan: str) -> Plan:
    """A plan that is kept."""
    kept = read_kept(unit, KIND, plan, Plan)
    if kept is None:
        raise SinksideError("the plan of this run is gone", resource=plan)
    return kept


def plan_for(unit: Unit, who: Visitor, key: str, *, now: datetime) -> tuple[str, Plan]:
    """The plan of a set as everything stands now, by its id; kept the first time that it is asked for.

    Raises:
        NotThere: if there is no such set here.
        NotForTheFloor: if a text is not approved, or a device cannot be processed here: which, and why.
    """
    opened = set_in(unit, who, key)
    site = unit.documents.get(DEPARTMENT, who.department)
    if site is None:
        raise NotForTheFloor("nobody said yet what this department has", resource=opened.document.name)
    texts = texts_of(unit, who, opened.document)
    for called, found in texts.items():
        _refuse_unapproved(called, found)
    digests = (opened.revision.digest, site.digest, *(_digest(one) for one in texts.values()))
    plan_id = hashlib.sha256("\n".join((key, *digests)).encode()).hexdigest()
    kept = read_kept(unit, KIND, plan_id, Plan)
    if kept is None:
        kept = _made(key, opened, texts, site)
        keep_next(unit, KIND, plan_id, kept, by=who.person, now=now)
        for text in kept.texts:
            unit.bench.runs.follow(PlanText(plan_id, text.instruction, text.revision))
    return plan_id, kept


def _digest(found: TextFound) -> str:
    return found.revision.digest if found.revision else ""


def _made(key: str, opened: OpenSet, texts: dict[str, TextFound], site: Revision) -> Plan:
    document = opened.document
    members = [_member(called, found, site) for called, found in texts.items()]
    instructions = {one.called: one.instruction for one in members}
    return Plan(
        set=key,
        name=document.name,
        set_revision=opened.revision.number,
        texts=tuple(one.text for one in members),
        tasks=tasks_of(members),
        lines=lines_of(contents_of(document, instructions), instructions),
        packaging=document.packaging or "",
        mass_kg=document.mass.to("kg") if document.mass else None,
    )


def _refuse_unapproved(called: str, found: TextFound) -> tuple[Row, Revision]:
    """The row and the approved text of a member; asked each time, as an approval can be taken back."""
    if found.row is None or found.revision is None:
        raise NotForTheFloor(f"{called} has no instruction here", resource=called)
    if found.revision.number != approved_of(found.row):
        raise NotForTheFloor(f"the instruction of {called} is not approved", resource=called)
    return found.row, found.revision


def _member(called: str, found: TextFound, site: Revision) -> MemberRoute:
    row, revision = _refuse_unapproved(called, found)
    instruction, route = found.instruction, route_of(revision, site)
    if instruction is None or not route.resolved:
        why = route.stops[0].message if route.stops else "its route has a gap"
        raise NotForTheFloor(f"{called} cannot be processed here: {why}", resource=called)
    families = families_of(from_revision(site, Department), instruction, row.id)
    behind = TextBehind(member=called, instruction=row.id, revision=revision.number, families=families)
    return MemberRoute(called, behind, instruction, route)
