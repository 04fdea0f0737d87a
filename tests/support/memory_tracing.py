"""Tracing in memory, the plain way: every table is gone through from end to end."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from datetime import datetime
from typing import TypeAlias

from sinkside.records import (
    ByCopy,
    ByLoad,
    ByMachine,
    ByPerson,
    ByStanding,
    ByText,
    KeptLoad,
    KeptRun,
    KeptTap,
    Touching,
    TracedCase,
    TracedRun,
    TracedSum,
)
from support.memory_bench_tables import BenchTables

#: When a run was touched, which, whether in no load, in which, and its copy.
_Touch: TypeAlias = tuple[datetime, str, bool, str, str]


class MemoryTracing:
    """What was touched by what, and where it went."""

    def __init__(self, tables: BenchTables) -> None:
        self._tables = tables

    def touched(self, department: str, touchings: Collection[Touching]) -> list[TracedRun]:
        """The runs that are touched in some ways, each once, by the first time that it was."""
        return self._traced(touch for one in touchings for touch in self._touches(department, one))

    def summed(
        self,
        department: str,
        touchings: Collection[Touching],
        *,
        most: int,
        away: str,
        codes: Collection[str] = (),
    ) -> TracedSum:
        """How much is touched in some ways, and the runs that matter first: counted one by one."""
        runs = self.touched(department, touchings)
        standing = [one for one in runs if one.is_its_last or one.state == away]
        passed = sorted(
            (one for one in runs if one not in standing), key=lambda one: (one.at, one.code, one.run)
        )
        of_runs = self.cases_of({one.run for one in runs})
        return TracedSum(
            runs=len(runs),
            copies=len({one.copy for one in runs}),
            loads=len({one.load for one in runs if one.load}),
            cases=len({one.number for one in of_runs if one.state == "used"}),
            standing=tuple(standing),
            passed=tuple(passed[:most]),
            of_codes=tuple(one for one in runs if one.code in codes),
        )

    def _touches(self, department: str, by: Touching) -> Iterable[_Touch]:
        match by:
            case ByMachine():
                return self._in_loads(department, lambda load: _began(load, by))
            case ByLoad():
                return self._in_loads(department, lambda load: load.id in by.loads)
            case ByText():
                return self._on_runs(department, lambda run: self._follows(run, by))
            case ByCopy():
                return self._on_runs(department, lambda run: _was_on(run, by))
            case ByPerson():
                done = self._done(department, by.since, by.before)
                return _tapped(
                    one for one in done if one.by == by.person and (not by.stood or one.state in by.stood)
                )
            case ByStanding():
                return _tapped(
                    one for window in by.windows for one in self._stood(department, by.stood, window)
                )

    def _in_loads(self, department: str, is_wanted: Callable[[KeptLoad], bool]) -> Iterable[_Touch]:
        for one in self._tables.loaded.values():
            load = self._tables.loads[one.load]
            if load.department == department and load.started and one.out is None and is_wanted(load):
                yield load.started, one.run, False, load.id, one.copy

    def _on_runs(self, department: str, is_wanted: Callable[[KeptRun], bool]) -> Iterable[_Touch]:
        for one in self._tables.runs.values():
            if one.department == department and is_wanted(one):
                yield one.opened, one.id, True, "", one.copy

    def _follows(self, run: KeptRun, by: ByText) -> bool:
        return by.since <= run.opened < by.before and any(
            one.plan == run.plan and one.instruction == by.instruction and by.revision in {0, one.revision}
            for one in self._tables.plan_texts.values()
        )

    def _stood(
        self, department: str, stood: Collection[str], window: tuple[datetime, datetime]
    ) -> Iterable[KeptTap]:
        last: dict[str, KeptTap] = {}
        for one in sorted(self._tables.taps.values(), key=lambda one: (one.at, one.taken, one.number)):
            if one.department == department and one.outcome == "done" and one.at < window[0] and one.copy:
                last[one.copy] = one
        found = [one for one in (*last.values(), *self._done(department, *window)) if one.run]
        return (one for one in found if one.state in stood)

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

    def _traced(self, touches: Iterable[_Touch]) -> list[TracedRun]:
        found: dict[str, TracedRun] = {}
        for at, run, _, load, copy_id in sorted(touches):
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
            )
        return list(found.values())


def _began(load: KeptLoad, by: ByMachine) -> bool:
    is_then = load.started is not None and by.since <= load.started < by.before
    return is_then and load.machine in by.machines and by.program in {"", load.program}


def _was_on(run: KeptRun, by: ByCopy) -> bool:
    return run.copy in by.copies and run.opened < by.before and (run.closed is None or run.closed > by.since)


def _tapped(taps: Iterable[KeptTap]) -> Iterable[_Touch]:
    return ((one.at, one.run, True, "", one.copy) for one in taps)
