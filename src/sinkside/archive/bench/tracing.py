"""Tracing: from machines, texts, people or sets to the runs that they touched, and from runs to cases."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from operator import itemgetter
from typing import Any, Final

from sqlalchemy import Executable, bindparam, func, literal, select

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
_OF_LOADS: Final = _IN_LOADS.where(_HERE, among(loads.c.id, "wanted"))
_ON_RUNS: Final = select(runs.c.id, runs.c.opened, runs.c.copy, *_NO_LOAD).where(
    runs.c.department == bindparam("here")
)
_OF_TEXT: Final = _ON_RUNS.join(plan_texts, plan_texts.c.plan == runs.c.plan).where(
    plan_texts.c.instruction == bindparam("instruction"), plan_texts.c.revision == bindparam("revision")
)
_OF_COPIES: Final = _ON_RUNS.where(among(runs.c.copy, "wanted"), runs.c.opened >= bindparam("since"))
_TAPPED: Final = select(taps.c.run, taps.c.at, taps.c.copy, *_NO_LOAD).where(
    taps.c.department == bindparam("here"),
    taps.c.outcome == "done",
    taps.c.run != "",
    taps.c.at >= bindparam("since"),
    taps.c.at < bindparam("before"),
)
_BY_PERSON: Final = _TAPPED.where(taps.c.by == bindparam("person"))
_OF_ACT: Final = _TAPPED.where(taps.c.act == bindparam("done"))
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

    def by_text(self, department: str, instruction: str, revision: int) -> list[TracedRun]:
        """The runs that follow a revision of an instruction."""
        found = self._do.tuples(_OF_TEXT, here=department, instruction=instruction, revision=revision)
        return self._traced(found)

    def of_copies(self, department: str, of: Collection[str], since: datetime) -> list[TracedRun]:
        """The runs of some copies since a moment."""
        return self._traced(self._among(_OF_COPIES, of, here=department, since=since))

    def by_person(self, department: str, person: str, since: datetime, before: datetime) -> list[TracedRun]:
        """The runs on which somebody did something in a stretch of time."""
        found = self._do.tuples(_BY_PERSON, here=department, person=person, since=since, before=before)
        return self._traced(found)

    def by_act(self, department: str, act: str, since: datetime, before: datetime) -> list[TracedRun]:
        """The runs on which something was done in a stretch of time."""
        found = self._do.tuples(_OF_ACT, here=department, done=act, since=since, before=before)
        return self._traced(found)

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
