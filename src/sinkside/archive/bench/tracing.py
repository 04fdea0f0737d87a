"""Tracing: from machines, texts, people or sets to the runs that they touched, and from runs to cases."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Executable, bindparam, func, select, union_all

from sinkside.archive.bench.summing import read_sum, sum_of
from sinkside.archive.bench.touching import statements_of
from sinkside.archive.connection import Transaction, among
from sinkside.archive.schema_bench import case_sets, cases, copies, taps
from sinkside.records import Touching, TracedCase, TracedRun, TracedSum

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

    def touched(self, department: str, touchings: Collection[Touching]) -> list[TracedRun]:
        """The runs that are touched in some ways, each once, by the first time that it was.

        A machine of which nothing good is known reaches the runs of years: what is done for each counts.
        """
        made, bound = statements_of(touchings, department)
        if not made:
            return []
        first: dict[str, Sequence[Any]] = {}
        for row in sorted(self._do.tuples(union_all(*made), **bound), key=_first_touch):
            first.setdefault(row[0], row)
        copies_of = {row[0]: row for row in self._among(_SOME_COPIES, {row[2] for row in first.values()})}
        return [_run(one, copies_of[one[2]]) for one in first.values() if one[2] in copies_of]

    def summed(
        self,
        department: str,
        touchings: Collection[Touching],
        *,
        most: int,
        away: str,
        codes: Collection[str] = (),
    ) -> TracedSum:
        """How much is touched in some ways, and the runs that matter first: summed up by the database."""
        made, bound = statements_of(touchings, department)
        if not made:
            return read_sum([])
        named = {**bound, "most": most, "away": away, "codes": sorted(codes)}
        return read_sum(self._do.tuples(sum_of(made), **named))

    def loads_by_person(
        self, department: str, person: str, since: datetime, before: datetime
    ) -> frozenset[str]:
        """The loads that somebody began, started or took out in a stretch of time."""
        bound = {"here": department, "person": person, "since": since, "before": before}
        found = (row[0].get("load") for row in self._do.tuples(_LOADS_OF_PERSON, **bound))
        return frozenset(str(load) for load in found if load)

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

    def _among(self, statement: Executable, wanted: Collection[str], **bound: Any) -> Sequence[Sequence[Any]]:
        """What a statement finds among some ids."""
        return self._do.tuples(statement, wanted=sorted(wanted), **bound) if wanted else []


def _first_touch(touched: Sequence[Any]) -> tuple[Any, ...]:
    """Orders touches: of one moment, in a load before in none."""
    run, at, _, load = touched
    return at, run, not load, load


def _run(touched: Sequence[Any], copy: Sequence[Any]) -> TracedRun:
    run, at, copy_id, load = touched
    _, code, name, state, place, last = copy
    return TracedRun(run, at, copy_id, code, name, state, place, last == run, load)
