"""What stood beside a run: cases, papers that hung, solutions in use, recalls that reached it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import timedelta
from typing import Final

from sinkside.desk.access import Visitor
from sinkside.desk.bench.runs import OpenRun
from sinkside.desk.evidence.facts import CaseThen, PaperThen, RecallThen, TaskThen
from sinkside.desk.keeping import read_kept
from sinkside.desk.paper_documents import PaperPlace, PaperPrinted
from sinkside.desk.paper_register import PAPER, PLACE
from sinkside.desk.ports import Unit
from sinkside.desk.recall.documents import Recall
from sinkside.desk.recall.rights import KIND as RECALL
from sinkside.desk.shelf import KIND as INSTRUCTION
from sinkside.desk.solution_documents import SinkSolution
from sinkside.desk.solution_log import SOLUTION
from sinkside.records import CaseSet, KeptRun, Row, WantedRows
from sinkside.route import ResourceKind, Route, Station

_MOST: Final = 500

#: Nobody uses a solution longer; its line was changed for the last time after so long at most.
_LONGEST_IN_USE: Final = timedelta(days=35)

_AT_THE_SINK: Final = frozenset({Station.sink, Station.ultrasonic})


def cases_around(
    unit: Unit, opened: OpenRun, runs: Sequence[KeptRun]
) -> tuple[CaseThen | None, tuple[CaseThen, ...]]:
    """The case in which the set was used before this run, and those that got what this run made ready.

    Args:
        unit: the transaction.
        opened: the run.
        runs: every run of the set, the latest first.
    """
    ids = [one.id for one in runs]
    earlier = ids[ids.index(opened.kept.id) + 1 :]
    last = earlier[0] if earlier else ""
    before, after = [], []
    for one in unit.bench.cases.of_copy(opened.copy.id):
        if one.run == opened.kept.id:
            after.append(_case(unit, one, is_before=False))
        elif one.run == last and one.state == "used":
            before.append(_case(unit, one, is_before=True))
    known = [one for one in before if one is not None and one.case.begins <= opened.kept.opened]
    return (
        max(known, key=lambda one: one.case.begins, default=None),
        tuple(sorted((one for one in after if one is not None), key=lambda one: one.case.begins)),
    )


def papers_then(unit: Unit, who: Visitor, opened: OpenRun) -> Iterator[PaperThen]:
    """The papers of the run's texts and of its set that hung somewhere between its first and its last act."""
    plan = opened.plan
    wanted = {f"{INSTRUCTION}:{one.instruction}": one.revision for one in plan.texts}
    wanted[f"set:{plan.set}"] = plan.set_revision
    for of, revision in wanted.items():
        rows = unit.rows.found(PAPER, [who.department], WantedRows(fields={"of": of}, limit=_MOST))
        for row in sorted(rows, key=lambda one: one.id):
            paper = read_kept(unit, PAPER, row.id, PaperPrinted)
            for place in _places(unit, who, row):
                if paper is not None and _overlaps(place, opened):
                    yield PaperThen(row.id, paper, place, paper.of.revision == revision)


def solutions_then(
    unit: Unit, who: Visitor, routes: Iterable[Route | None], tasks: Iterable[TaskThen]
) -> Iterator[tuple[str, SinkSolution]]:
    """What was made up of the chemicals of some routes and stood in use while the set was at the sink.

    Where none was within its time, the last one that nobody discarded: it may have been used too long.
    """
    times = [one.done.at for one in tasks if one.done and one.task.station in _AT_THE_SINK]
    if not times:
        return
    first, last = min(times), max(times)
    for chemical in sorted(_chemicals(routes)):
        wanted = WantedRows(fields={"chemical": chemical}, since=first - _LONGEST_IN_USE, limit=_MOST)
        rows = unit.rows.found(SOLUTION, [who.department], wanted)
        kept = ((row.id, read_kept(unit, SOLUTION, row.id, SinkSolution)) for row in rows)
        made = sorted(
            ((key, one) for key, one in kept if one and one.made <= last), key=lambda one: one[1].made
        )
        in_use = [one for one in made if (one[1].discarded or one[1].discard_by) >= first]
        yield from in_use or [one for one in made[-1:] if one[1].discarded is None]


def recalls_of(unit: Unit, who: Visitor, opened: OpenRun) -> Iterator[RecallThen]:
    """The recalls that reached a run; none was opened before the run was."""
    wanted = WantedRows(since=opened.kept.opened, limit=_MOST)
    rows = unit.rows.found(RECALL, [who.department], wanted)
    found = []
    for row in rows:
        recall = read_kept(unit, RECALL, row.id, Recall)
        of_run = [one for one in (recall.reached if recall else ()) if one.run == opened.kept.id]
        if recall is not None and of_run:
            found.append(RecallThen(row.id, recall, of_run[0]))
    yield from sorted(found, key=lambda one: (one.recall.at, one.id))


def chemicals_at_the_sink(route: Route) -> dict[str, str]:
    """The chemicals that a route has people use at the sink, by id with their names."""
    return {
        bound.id: bound.name
        for operation in route.operations
        if operation.station in _AT_THE_SINK
        for bound in operation.bindings
        if bound.kind is ResourceKind.chemical
    }


def _chemicals(routes: Iterable[Route | None]) -> set[str]:
    return {chemical for route in routes if route for chemical in chemicals_at_the_sink(route)}


def _case(unit: Unit, one: CaseSet, *, is_before: bool) -> CaseThen | None:
    case = unit.bench.cases.get(one.case)
    return CaseThen(case, one.state, is_before) if case else None


def _places(unit: Unit, who: Visitor, row: Row) -> Iterator[PaperPlace]:
    wanted = WantedRows(fields={"paper": row.id}, limit=_MOST)
    for one in sorted(unit.rows.found(PLACE, [who.department], wanted), key=lambda found: found.id):
        place = read_kept(unit, PLACE, one.id, PaperPlace)
        if place is not None:
            yield place


def _overlaps(place: PaperPlace, opened: OpenRun) -> bool:
    """Whether a paper hung while a run was under way: from its opening until its last act."""
    return place.at <= opened.run.last_at and (place.ended_at is None or place.ended_at >= opened.kept.opened)
