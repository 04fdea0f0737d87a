"""Everything that is kept of one run, put together; each question is answered by an index."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.exception_form import ExceptionForm
from sinkside.bench.plan import Plan, TextBehind
from sinkside.department import Department
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.approving import APPROVAL, Approval
from sinkside.desk.bench.exceptions import EXCEPTION
from sinkside.desk.bench.plans import KIND as PLAN
from sinkside.desk.bench.runs import OpenRun, copy_of_code, run_by_id
from sinkside.desk.department_route import route_of
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.evidence.beside import cases_around, papers_then, recalls_of, solutions_then
from sinkside.desk.evidence.facts import RunFacts, TaskThen, TextThen
from sinkside.desk.evidence.gaps import gaps_of
from sinkside.desk.evidence.loads_then import loads_then
from sinkside.desk.evidence.signed_then import stood_then
from sinkside.desk.keeping import from_revision, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.sets import KIND as SET
from sinkside.desk.sign_off_records import family_names
from sinkside.errors import NotThere, SinksideError
from sinkside.instruction import Instruction
from sinkside.records import KeptTap, Making, Revision
from sinkside.route import Route

READ: Final = "evidence-read"

#: What is entered from paper afterwards may lie so far before the run was opened.
_ENTERED_BEFORE: Final = timedelta(days=14)


def facts_of_code(archive: Archive, who: Visitor, code: str, *, now: datetime) -> RunFacts:
    """Everything that is kept of the last run of the set that a code belongs to.

    Raises:
        NotAllowed: without the right.
        NotThere: if no set here has the code, or it was never on a run.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return gather(unit, who, run_of_code(unit, who, code), now=now)


def facts_of_run(archive: Archive, who: Visitor, run: str, *, now: datetime) -> RunFacts:
    """Everything that is kept of one run.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such run here.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        return gather(unit, who, run, now=now)


def run_of_code(unit: Unit, who: Visitor, code: str) -> str:
    """The last run of the set that a code belongs to.

    Raises:
        NotThere: if no set here has the code, or it was never on a run.
    """
    copy = copy_of_code(unit, who.department, code)
    runs = unit.bench.runs.of_copy(who.department, copy.id)
    if not runs:
        raise NotThere(f"{copy.name} was on no run yet: nothing is recorded of it", resource=copy.code)
    return runs[0].id


def gather(unit: Unit, who: Visitor, run: str, *, now: datetime) -> RunFacts:
    """Everything that is kept of one run, within a transaction.

    Raises:
        NotThere: if there is no such run here.
    """
    opened = run_by_id(unit, run)
    site = unit.sites.get(who.department)
    if opened.kept.department != who.department or site is None:
        raise NotThere("there is no such run here", resource=run)
    planned, had = _planned(unit, who, opened.run.plan)
    taps = _taps_on(unit, opened)
    tasks = tuple(_tasks(opened, taps))
    texts = tuple(_texts(unit, opened.plan, had))
    families = {one.member: one.families for one in opened.plan.texts}
    runs = unit.bench.runs.of_copy(who.department, opened.copy.id)
    before, after = cases_around(unit, opened, runs)
    known = RunFacts(
        site=site,
        department=from_revision(had, Department) if had else None,
        copy=opened.copy,
        kept=opened.kept,
        run=opened.run,
        plan=opened.plan,
        planned=planned,
        texts=texts,
        tasks=tasks,
        stood=stood_then(unit, who, tasks, families),
        taps=taps,
        loads=loads_then(unit, who, opened, now=now),
        before=before,
        after=after,
        papers=tuple(papers_then(unit, who, opened)),
        solutions=tuple(solutions_then(unit, who, [one.route for one in texts], tasks)),
        recalls=tuple(recalls_of(unit, who, opened)),
        exceptions=tuple(_exceptions(unit, opened)),
        pieces={one: piece for one in opened.run.pieces if (piece := unit.bench.copies.get(one))},
        earlier=tuple((one.id, one.opened) for one in runs if one.id != run),
        head=unit.journal.head(who.department),
    )
    return replace(known, gaps=gaps_of(known, family_names(unit, who.department, known.families)))


def _planned(unit: Unit, who: Visitor, plan: str) -> tuple[Making, Revision | None]:
    """How the plan was made, and what the department had then; none where that cannot be told.

    A plan goes by the digest of everything that it was made of: only the department that gives the same id
    is the right one.
    """
    made = unit.documents.get(PLAN, plan)
    if made is None:
        raise SinksideError("the plan of this run is gone", resource=plan)
    kept = from_revision(made, Plan)
    digests = _digests(unit, kept)
    history = [one for one in unit.documents.history(DEPARTMENT, who.department) if one.at <= made.at]
    for site in reversed(history):
        said = "\n".join((kept.set, digests[0], site.digest, *digests[1:]))
        if hashlib.sha256(said.encode()).hexdigest() == plan:
            return _making(made), unit.documents.get(DEPARTMENT, who.department, site.number)
    return _making(made), None


def _digests(unit: Unit, plan: Plan) -> tuple[str, ...]:
    """The digest of the set's list, then those of the members' texts, as the plan was made of them."""
    of_set = unit.documents.get(SET, plan.set, plan.set_revision)
    texts = (unit.documents.get(shelf.KIND, one.instruction, one.revision) for one in plan.texts)
    return tuple(one.digest if one else "" for one in (of_set, *texts))


def _making(made: Revision) -> Making:
    return Making(made.number, made.digest, made.by, made.at, made.note)


def _texts(unit: Unit, plan: Plan, had: Revision | None) -> Iterator[TextThen]:
    """Every text behind a plan, once, with the members that go by it."""
    members: dict[tuple[str, int], list[TextBehind]] = {}
    for one in plan.texts:
        members.setdefault((one.instruction, one.revision), []).append(one)
    for (instruction, number), behind in members.items():
        revision = unit.documents.get(shelf.KIND, instruction, number)
        if revision is None:
            raise SinksideError("a text of this run is gone", resource=f"{instruction} {number}")
        row = unit.rows.get(shelf.KIND, instruction)
        yield TextThen(
            id=instruction,
            members=tuple(one.member for one in behind),
            instruction=from_revision(revision, Instruction),
            made=_making(revision),
            approval=_approval(unit, instruction, number),
            route=_route(revision, had),
            now=int(row.fields.get("approved") or 0) if row else 0,
        )


def _approval(unit: Unit, instruction: str, number: int) -> Approval | None:
    approvals = (from_revision(one, Approval) for one in unit.documents.revisions(APPROVAL, instruction))
    return next((one for one in approvals if one.revision == number), None)


def _route(text: Revision, had: Revision | None) -> Route | None:
    route = route_of(text, had) if had else None
    return route if route is not None and route.resolved else None


def _taps_on(unit: Unit, opened: OpenRun) -> tuple[KeptTap, ...]:
    """Everything that was done on a run; what was refused was not done."""
    since = opened.kept.opened - _ENTERED_BEFORE
    found = unit.bench.taps.on_run(opened.kept.department, opened.copy.id, opened.kept.id, since=since)
    return tuple(one for one in found if one.outcome == "done")


def _tasks(opened: OpenRun, taps: tuple[KeptTap, ...]) -> Iterator[TaskThen]:
    run = opened.run
    entered = frozenset((one.by, one.at) for one in taps if one.entered)
    in_loads = _done_in_loads(opened)
    for task in opened.plan.tasks:
        done = run.done.get(task.id)
        yield TaskThen(
            task=task,
            done=done,
            load=in_loads.get(task.id, ""),
            entered=done is not None and (done.by, done.at) in entered,
        )


def _done_in_loads(opened: OpenRun) -> Mapping[str, str]:
    """The load that did each task of a machine's, by the task's id: the last that took that member."""
    return {
        task.id: load.load
        for task in opened.plan.tasks
        if task.whose == "machine"
        for load in opened.run.loads
        if load.station is task.station and task.member in load.members
    }


def _exceptions(unit: Unit, opened: OpenRun) -> Iterator[tuple[str, ExceptionForm]]:
    for one in opened.run.exceptions:
        form = read_kept(unit, EXCEPTION, one, ExceptionForm)
        if form is not None:
            yield one, form
