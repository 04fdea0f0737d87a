"""Tracing in memory, the plain way: every table is gone through from end to end."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime

from sinkside.records import KeptTap, TracedCase, TracedRun
from support.memory_bench_tables import BenchTables


class MemoryTracing:
    """What was touched by what, and where it went."""

    def __init__(self, tables: BenchTables) -> None:
        self._tables = tables

    def through_machines(
        self, department: str, machines: Collection[str], since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs in loads that some machines began from a moment on and before another."""
        of_loads = [
            one.id
            for one in self._tables.loads.values()
            if one.department == department
            and one.machine in machines
            and one.started is not None
            and since <= one.started < before
        ]
        return self.through_loads(department, of_loads)

    def through_loads(self, department: str, of_loads: Collection[str]) -> list[TracedRun]:
        """The runs in some loads."""
        touched = []
        for one in self._tables.loaded.values():
            load = self._tables.loads[one.load]
            if one.load in of_loads and load.department == department and one.out is None and load.started:
                where = (load.id, load.machine, load.program)
                touched.append((load.started, one.run, one.copy, where))
        return self._traced(touched)

    def by_text(
        self, department: str, instruction: str, revision: int, since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs, opened in a stretch of time, that follow a revision of an instruction; 0: any of it."""
        plans = {
            one.plan
            for one in self._tables.plan_texts.values()
            if one.instruction == instruction and revision in {0, one.revision}
        }
        return self._traced(
            (one.opened, one.id, one.copy, ("", "", ""))
            for one in self._tables.runs.values()
            if one.department == department and one.plan in plans and since <= one.opened < before
        )

    def of_copies(
        self, department: str, of: Collection[str], since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs that some copies were on at any moment of a stretch of time."""
        return self._traced(
            (one.opened, one.id, one.copy, ("", "", ""))
            for one in self._tables.runs.values()
            if one.department == department
            and one.copy in of
            and one.opened < before
            and (one.closed is None or one.closed > since)
        )

    def by_person(
        self, department: str, person: str, since: datetime, before: datetime, stood: Collection[str] = ()
    ) -> list[TracedRun]:
        """The runs on which somebody did something in a stretch of time; `stood`: how they stood then."""
        done = self._done(department, since, before)
        return self._tapped(one for one in done if one.by == person and (not stood or one.state in stood))

    def loads_by_person(
        self, department: str, person: str, since: datetime, before: datetime
    ) -> frozenset[str]:
        """The loads that somebody began, started or took out in a stretch of time."""
        return frozenset(
            str(one.fields["load"])
            for one in self._tables.taps.values()
            if one.department == department
            and (one.by, one.outcome) == (person, "done")
            and one.act in {"open-load", "start-load", "end-load"}
            and one.fields.get("load")
            and since <= one.at < before
        )

    def standing(
        self, department: str, stood: Collection[str], since: datetime, before: datetime
    ) -> list[TracedRun]:
        """The runs that stood in some way at any moment of a stretch of time."""
        last: dict[str, KeptTap] = {}
        for one in sorted(self._tables.taps.values(), key=lambda one: (one.at, one.taken, one.number)):
            if one.department == department and one.outcome == "done" and one.at < since and one.copy:
                last[one.copy] = one
        found = [one for one in (*last.values(), *self._done(department, since, before)) if one.run]
        return self._tapped(one for one in found if one.state in stood)

    def people(self, department: str) -> list[str]:
        """Whoever ever did something here, by pseudonym."""
        return sorted({one.by for one in self._tables.taps.values() if one.department == department})

    def first_times(self, department: str, act: str, since: datetime, before: datetime) -> list[datetime]:
        """When something was first done on each run on which it was done in a stretch of time, in order."""
        first: dict[str, datetime] = {}
        for one in self._done(department, since, before):
            if one.act == act:
                first[one.run] = min(one.at, first.get(one.run, one.at))
        return sorted(first.values())

    def cases_of(self, of_runs: Collection[str]) -> list[TracedCase]:
        """The cases that got what some runs made ready, by when they began."""
        found = []
        for one in self._tables.case_sets.values():
            case = self._tables.cases[one.case]
            if one.run in of_runs:
                found.append(TracedCase(one.run, case.number, case.room, case.begins, one.state))
        return sorted(found, key=lambda one: (one.begins, one.number, one.run))

    def _done(self, department: str, since: datetime, before: datetime) -> Iterable[KeptTap]:
        for one in self._tables.taps.values():
            if (
                one.department == department
                and one.outcome == "done"
                and one.run
                and since <= one.at < before
            ):
                yield one

    def _tapped(self, taps: Iterable[KeptTap]) -> list[TracedRun]:
        return self._traced((one.at, one.run, one.copy, ("", "", "")) for one in taps)

    def _traced(self, touched: Iterable[tuple[datetime, str, str, tuple[str, str, str]]]) -> list[TracedRun]:
        found: dict[str, TracedRun] = {}
        for at, run, copy_id, (load, machine, program) in sorted(touched):
            copy = self._tables.copies.get(copy_id)
            if copy is None or run in found:
                continue
            found[run] = TracedRun(
                run=run,
                at=at,
                copy=copy_id,
                code=copy.code,
                name=copy.name,
                state=copy.state,
                place=copy.place,
                is_its_last=copy.run == run,
                load=load,
                machine=machine,
                program=program,
            )
        return list(found.values())
