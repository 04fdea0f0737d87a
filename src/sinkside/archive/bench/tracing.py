"""Tracing: from machines, texts, people or sets to the runs that they touched, and from runs to cases."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from operator import itemgetter
from typing import Any, Final

from sqlalchemy import Executable, and_, bindparam, func, literal, or_, select

from sinkside.archive.connection import Transaction, among
from sinkside.archive.schema_bench import case_sets, cases, copies, loaded, loads, plan_texts, runs, taps
from sinkside.records import TracedCase, TracedRun

#: Everything that was touched is asked for in this order: run, when, copy, load, machine, program.
_NO_LOAD: Final = (literal("").label("load"), literal("").label("machine"), literal("").label("program"))
_WHEN: Final = itemgetter(1, 0)

_HERE: Final = loads.c.department == bindparam("here")
_IN_LOADS: Final = (
    select(loaded.c.run, loads.c.started, loaded.c.copy, loads.c.id, loads.c.machine, loads.c.program)
    .join_from(loads, loaded, loaded.c.load == loads.c.id)
    .where(loaded.c.out.is_(None))
)
_OF_MACHINES: Final = _IN_LOADS.where(
    _HERE,
    loads.c.machine.in_(bindparam("machines", expanding=True)),
    loads.c.started >= bindparam("since"),
    loads.c.started < bindparam("before"),
)
_OF_LOADS: Final = _IN_LOADS.where(_HERE, among(loads.c.id, "wanted"), loads.c.started.is_not(None))
_ON_RUNS: Final = select(runs.c.id, runs.c.opened, runs.c.copy, *_NO_LOAD).where(
    runs.c.department == bindparam("here")
)
_OF_DEVICE: Final = _ON_RUNS.join(plan_texts, plan_texts.c.plan == runs.c.plan).where(
    plan_texts.c.instruction == bindparam("instruction"),
    runs.c.opened >= bindparam("since"),
    runs.c.opened < bindparam("before"),
)
_OF_TEXT: Final = _OF_DEVICE.where(plan_texts.c.revision == bindparam("revision"))
_OF_COPIES: Final = _ON_RUNS.where(
    among(runs.c.copy, "wanted"),
    runs.c.opened < bindparam("before"),
    or_(runs.c.closed.is_(None), runs.c.closed > bindparam("since")),
)
_TAPPED: Final = select(taps.c.run, taps.c.at, taps.c.copy, *_NO_LOAD).where(
    taps.c.department == bindparam("here"),
    taps.c.outcome == "done",
    taps.c.run != "",
    taps.c.at >= bindparam("since"),
    taps.c.at < bindparam("before"),
)
_BY_PERSON: Final = _TAPPED.where(taps.c.by == bindparam("person"))
#: What whoever answers for a load does with it.
_ON_LOADS: Final = ("open-load", "start-load", "end-load")
_LOADS_OF_PERSON: Final = select(taps.c.fields).where(
    taps.c.department == bindparam("here"),
    taps.c.by == bindparam("person"),
    taps.c.act.in_(_ON_LOADS),
    taps.c.outcome == "done",
    taps.c.at >= bindparam("since"),
    taps.c.at < bindparam("before"),
)
_STOOD: Final = taps.c.state.in_(bindparam("stood", expanding=True))

#: Of each copy the last thing that was done with it before a moment: how it stood when that came.
_LAST: Final = (
    select(taps.c.key)
    .where(
        taps.c.department == copies.c.department,
        taps.c.copy == copies.c.id,
        taps.c.outcome == "done",
        taps.c.at < bindparam("since"),
    )
    .order_by(taps.c.at.desc(), taps.c.taken.desc(), taps.c.number.desc())
    .limit(1)
    .correlate(copies)
    .scalar_subquery()
)
_STANDING: Final = (
    select(taps.c.run, taps.c.at, taps.c.copy, *_NO_LOAD)
    .join_from(copies, taps, and_(taps.c.department == copies.c.department, taps.c.key == _LAST))
    .where(copies.c.department == bindparam("here"), taps.c.run != "", _STOOD)
)
#: One seek for each person: the next pseudonym after the one before, through the index of who did what.
_FIRST: Final = (
    select(func.min(taps.c.by).label("by")).where(taps.c.department == bindparam("here")).cte(recursive=True)
)
_NEXT: Final = (
    select(func.min(taps.c.by))
    .where(taps.c.department == bindparam("here"), taps.c.by > _FIRST.c.by)
    .scalar_subquery()
)
_ALL: Final = _FIRST.union_all(select(_NEXT).where(_FIRST.c.by.is_not(None)))
_PEOPLE: Final = select(_ALL.c.by).where(_ALL.c.by.is_not(None))
_FIRST_TIMES: Final = (
    select(func.min(taps.c.at).label("at"))
    .where(
        taps.c.department == bindparam("here"),
        taps.c.act == bindparam("done"),
        taps.c.outcome == "done",
        taps.c.run != "",
        taps.c.at >= bindparam("since"),
        taps.c.at < bindparam("before"),
    )
    .group_by(taps.c.run)
)
_SHOWN: Final = [copies.c[name] for name in ("id", "code", "name", "state", "place", "run")]
_SOME_COPIES: Final = select(*_SHOWN).where(among(copies.c.id, "wanted"))
_CASES: Final = (
    select(case_sets.c.run, cases.c.number, cases.c.room, cases.c.begins, case_sets.c.state)
    .join_from(case_sets, cases, cases.c.id == case_sets.c.case)
    .where(among(case_sets.c.run, "wanted"))
)


class TracingTable:
    """What was touched by what, and where it went."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def through_machines(
        self, department: str, machines: Collection[str], since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs in loads that machines began from a moment on and before another, in their order."""
        found = self._do.tuples(
            _OF_MACHINES, here=department, machines=tuple(sorted(machines)), since=since, before=before
        )
        return self._traced(found)

    def through_loads(self, department: str, of_loads: Collection[str]) -> list[TracedRun]:
        """The runs in some loads."""
        return self._traced(self._among(_OF_LOADS, of_loads, here=department))

    def by_text(
        self, department: str, instruction: str, revision: int, since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs, opened in a stretch of time, that follow a revision of an instruction; 0: any of it."""
        bound = {"here": department, "instruction": instruction, "since": since, "before": before}
        if not revision:
            return self._traced(self._do.tuples(_OF_DEVICE, **bound))
        return self._traced(self._do.tuples(_OF_TEXT, revision=revision, **bound))

    def of_copies(
        self, department: str, of: Collection[str], since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs that some copies were on at any moment of a stretch of time."""
        return self._traced(self._among(_OF_COPIES, of, here=department, since=since, before=before))

    def by_person(
        self, department: str, person: str, since: datetime, before: datetime, stood: Collection[str] = ()
    ) -> list[TracedRun]:
        """The runs on which somebody did something in a stretch of time; `stood`: how they stood then."""
        bound = {"here": department, "person": person, "since": since, "before": before}
        if not stood:
            return self._traced(self._do.tuples(_BY_PERSON, **bound))
        return self._traced(self._do.tuples(_BY_PERSON.where(_STOOD), stood=tuple(sorted(stood)), **bound))

    def loads_by_person(
        self, department: str, person: str, since: datetime, before: datetime
    ) -> frozenset[str]:
        """The loads that somebody began, started or took out in a stretch of time."""
        bound = {"here": department, "person": person, "since": since, "before": before}
        found = (row[0].get("load") for row in self._do.tuples(_LOADS_OF_PERSON, **bound))
        return frozenset(str(load) for load in found if load)

    def standing(
        self, department: str, stood: Collection[str], since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs that stood in some way at any moment of a stretch of time."""
        bound = {"here": department, "stood": tuple(sorted(stood)), "since": since}
        within = self._do.tuples(_TAPPED.where(_STOOD), before=before, **bound)
        return self._traced([*self._do.tuples(_STANDING, **bound), *within])

    def people(self, department: str) -> list[str]:
        """Whoever ever did something here, by pseudonym."""
        return [row[0] for row in self._do.tuples(_PEOPLE, here=department)]

    def first_times(self, department: str, act: str, since: datetime, before: datetime) -> list[datetime]:
        """When something was first done on each run on which it was done in a stretch of time, in order."""
        found = self._do.all(_FIRST_TIMES, here=department, done=act, since=since, before=before)
        return sorted(row["at"] for row in found)

    def cases_of(self, of_runs: Collection[str]) -> list[TracedCase]:
        """The cases that got what some runs made ready, by when they began."""
        found = [TracedCase(*row) for row in self._among(_CASES, of_runs)]
        return sorted(found, key=lambda one: (one.begins, one.number, one.run))

    def _traced(self, found: Iterable[Sequence[Any]]) -> list[TracedRun]:
        """Each run once, by the first time that it was touched, with where its copy is now.

        A machine of which nothing good is known reaches the runs of years: what is done for each counts.
        """
        first: dict[str, Sequence[Any]] = {}
        for row in sorted(found, key=_WHEN):
            first.setdefault(row[0], row)
        copies_of = {row[0]: row for row in self._among(_SOME_COPIES, {row[2] for row in first.values()})}
        return [_run(touched, copies_of[touched[2]]) for touched in first.values() if touched[2] in copies_of]

    def _among(self, statement: Executable, wanted: Collection[str], **bound: Any) -> Sequence[Sequence[Any]]:
        """What a statement finds among some ids."""
        return self._do.tuples(statement, wanted=sorted(wanted), **bound) if wanted else []


def _run(touched: Sequence[Any], copy: Sequence[Any]) -> TracedRun:
    run, at, copy_id, load, machine, program = touched
    _, code, name, state, place, last = copy
    return TracedRun(run, at, copy_id, code, name, state, place, last == run, load, machine, program)
