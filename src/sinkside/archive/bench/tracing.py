"""Tracing: from machines, texts, people or sets to the runs that they touched, and from runs to cases."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Executable, RowMapping, bindparam, func, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema_bench import case_sets, cases, copies, loaded, loads, plan_texts, runs, taps
from sinkside.records import TracedCase, TracedRun

#: So many are asked for at once; both databases bound how many values one statement takes.
_PORTION: Final = 500

_HERE: Final = loads.c.department == bindparam("here")
_IN_LOADS: Final = (
    select(
        loaded.c.run,
        loads.c.id.label("load"),
        loads.c.machine,
        loads.c.program,
        loads.c.started.label("at"),
        loaded.c.copy,
    )
    .join_from(loads, loaded, loaded.c.load == loads.c.id)
    .where(loaded.c.out.is_(None))
)
_OF_MACHINES: Final = _IN_LOADS.where(
    _HERE,
    loads.c.machine.in_(bindparam("machines", expanding=True)),
    loads.c.started >= bindparam("since"),
    loads.c.started < bindparam("before"),
)
_OF_LOADS: Final = _IN_LOADS.where(_HERE, loads.c.id.in_(bindparam("wanted", expanding=True)))
_ON_RUNS: Final = select(runs.c.id.label("run"), runs.c.opened.label("at"), runs.c.copy).where(
    runs.c.department == bindparam("here")
)
_OF_TEXT: Final = _ON_RUNS.join(plan_texts, plan_texts.c.plan == runs.c.plan).where(
    plan_texts.c.instruction == bindparam("instruction"), plan_texts.c.revision == bindparam("revision")
)
_OF_COPIES: Final = _ON_RUNS.where(
    runs.c.copy.in_(bindparam("wanted", expanding=True)), runs.c.opened >= bindparam("since")
)
_TAPPED: Final = select(taps.c.run, taps.c.copy, taps.c.at).where(
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
_SOME_COPIES: Final = select(*_SHOWN).where(copies.c.id.in_(bindparam("wanted", expanding=True)))
_CASES: Final = (
    select(case_sets.c.run, cases.c.number, cases.c.room, cases.c.begins, case_sets.c.state)
    .join_from(case_sets, cases, cases.c.id == case_sets.c.case)
    .where(case_sets.c.run.in_(bindparam("wanted", expanding=True)))
)


class TracingTable:
    """What was touched by what, and where it went."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def through_machines(
        self, department: str, machines: Collection[str], since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs in loads that machines began from a moment on and before another, in their order."""
        found = self._do.all(
            _OF_MACHINES, here=department, machines=tuple(sorted(machines)), since=since, before=before
        )
        return self._traced(found)

    def through_loads(self, department: str, of_loads: Collection[str]) -> list[TracedRun]:
        """The runs in some loads."""
        return self._traced(self._portions(_OF_LOADS, of_loads, here=department))

    def by_text(self, department: str, instruction: str, revision: int) -> list[TracedRun]:
        """The runs that follow a revision of an instruction."""
        found = self._do.all(_OF_TEXT, here=department, instruction=instruction, revision=revision)
        return self._traced(found)

    def of_copies(self, department: str, of: Collection[str], since: datetime) -> list[TracedRun]:
        """The runs of some copies since a moment."""
        return self._traced(self._portions(_OF_COPIES, of, here=department, since=since))

    def by_person(self, department: str, person: str, since: datetime, before: datetime) -> list[TracedRun]:
        """The runs on which somebody did something in a stretch of time."""
        found = self._do.all(_BY_PERSON, here=department, person=person, since=since, before=before)
        return self._traced(found)

    def by_act(self, department: str, act: str, since: datetime, before: datetime) -> list[TracedRun]:
        """The runs on which something was done in a stretch of time."""
        found = self._do.all(_OF_ACT, here=department, done=act, since=since, before=before)
        return self._traced(found)

    def first_times(self, department: str, act: str, since: datetime, before: datetime) -> list[datetime]:
        """When something was first done on each run on which it was done in a stretch of time, in order."""
        found = self._do.all(_FIRST_TIMES, here=department, done=act, since=since, before=before)
        return sorted(row["at"] for row in found)

    def cases_of(self, of_runs: Collection[str]) -> list[TracedCase]:
        """The cases that got what some runs made ready, by when they began."""
        found = [TracedCase(**row) for row in self._portions(_CASES, of_runs)]
        return sorted(found, key=lambda one: (one.begins, one.number, one.run))

    def _traced(self, found: Iterable[RowMapping]) -> list[TracedRun]:
        """Each run once, by the first time that it was touched, with where its copy is now."""
        rows = sorted((dict(row) for row in found), key=lambda row: (row["at"], row["run"]))
        first = {row["run"]: row for row in reversed(rows)}
        known = {row["id"]: row for row in self._portions(_SOME_COPIES, {row["copy"] for row in rows})}
        return sorted(
            (_run(row, known[row["copy"]]) for row in first.values() if row["copy"] in known),
            key=lambda one: (one.at, one.run),
        )

    def _portions(self, statement: Executable, wanted: Collection[str], **bound: Any) -> Iterator[RowMapping]:
        ordered = sorted(wanted)
        for begin in range(0, len(ordered), _PORTION):
            portion = tuple(ordered[begin : begin + _PORTION])
            yield from self._do.all(statement, wanted=portion, **bound)


def _run(touched: Mapping[str, Any], copy: RowMapping) -> TracedRun:
    return TracedRun(
        run=touched["run"],
        at=touched["at"],
        copy=touched["copy"],
        code=copy["code"],
        name=copy["name"],
        state=copy["state"],
        place=copy["place"],
        is_its_last=copy["run"] == touched["run"],
        load=touched.get("load", ""),
        machine=touched.get("machine", ""),
        program=touched.get("program", ""),
    )
