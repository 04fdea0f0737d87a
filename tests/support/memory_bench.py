"""The tables of the bench in memory: they keep the promises of `sinkside.desk.bench.ports`."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Collection, Sequence
from datetime import UTC, datetime

from sinkside.errors import Conflict
from sinkside.records import (
    CaseSet,
    KeptCase,
    KeptCopy,
    KeptLoad,
    KeptRun,
    KeptTap,
    LoadedCopy,
    PlanText,
    WantedCopies,
)
from support.memory_bench_tables import BenchTables
from support.memory_tracing import MemoryTracing

_LAST = datetime.max.replace(tzinfo=UTC)


class MemoryCopies:
    """What stands where."""

    def __init__(self, tables: BenchTables) -> None:
        self._copies = tables.copies

    def put(self, copy: KeptCopy) -> None:
        """Add a copy, or change it; its code is its own."""
        other = self.by_code(copy.department, copy.code)
        if other is not None and other.id != copy.id:
            raise Conflict("somebody else was quicker: this is taken")
        self._copies[copy.id] = copy

    def get(self, copy: str) -> KeptCopy | None:
        """A copy."""
        return self._copies.get(copy)

    def by_code(self, department: str, code: str) -> KeptCopy | None:
        """The copy that a scanner's code belongs to."""
        found = (one for one in self._copies.values() if (one.department, one.code) == (department, code))
        return next(found, None)

    def found(self, department: str, wanted: WantedCopies) -> list[KeptCopy]:
        """The copies that are wanted: what is due first, then by name."""
        chosen = [
            one
            for one in self._copies.values()
            if one.department == department and _is_wanted_copy(one, wanted)
        ]
        chosen.sort(key=lambda one: (one.due or _LAST, one.name, one.id))
        return chosen[wanted.offset : wanted.offset + wanted.limit]

    def counts(self, department: str) -> dict[str, int]:
        """How many copies stand how."""
        return dict(Counter(one.state for one in self._copies.values() if one.department == department))


class MemoryRuns:
    """Sets on their way along their route."""

    def __init__(self, tables: BenchTables) -> None:
        self._runs, self._plan_texts, self._taps = tables.runs, tables.plan_texts, tables.taps

    def put(self, run: KeptRun) -> None:
        """Add a run with version 1, or change it into its next version."""
        before = self._runs.get(run.id)
        if run.version - 1 != (before.version if before else 0):
            raise Conflict("somebody else did something with this set meanwhile", resource=run.id)
        self._runs[run.id] = run

    def follow(self, text: PlanText) -> None:
        """Keep that a plan follows a revision of an instruction."""
        self._plan_texts[text.instruction, text.revision, text.plan] = text

    def get(self, run: str) -> KeptRun | None:
        """A run."""
        return self._runs.get(run)

    def of_copy(self, department: str, copy: str) -> list[KeptRun]:
        """Every run of a copy, the latest first."""
        own = (one for one in self._runs.values() if (one.department, one.copy) == (department, copy))
        return sorted(sorted(own, key=lambda one: one.id), key=lambda one: one.opened, reverse=True)

    def with_deviations(
        self, department: str, acts: Collection[str], since: datetime, before: datetime
    ) -> list[KeptRun]:
        """The runs with deviations on which some acts were done in a stretch of time, by when they opened."""
        touched = {
            one.run
            for one in self._taps.values()
            if (one.department, one.outcome) == (department, "done")
            and one.act in acts
            and since <= one.at < before
        }
        of_then = (one for one in self._runs.values() if one.id in touched)
        noted = (one for one in of_then if json.loads(one.body).get("deviations"))
        return sorted(noted, key=lambda one: (one.opened, one.id))


class MemoryLoads:
    """What machines process at once."""

    def __init__(self, tables: BenchTables) -> None:
        self._loads, self._loaded = tables.loads, tables.loaded

    def put(self, load: KeptLoad) -> None:
        """Add a load, or change it."""
        self._loads[load.id] = load

    def get(self, load: str) -> KeptLoad | None:
        """A load."""
        return self._loads.get(load)

    def of_cycle(self, department: str, cycle: str) -> KeptLoad | None:
        """The load that a cycle's record belongs to."""
        return next((one for one in self._of(department) if one.cycle == cycle), None)

    def standing(self, department: str, states: Sequence[str], *, most: int = 200) -> list[KeptLoad]:
        """Loads that stand so, the latest first."""
        found = [one for one in self._of(department) if one.state in states]
        return sorted(found, key=lambda one: one.opened, reverse=True)[:most]

    def of_machine(self, department: str, machine: str, *, since: datetime) -> list[KeptLoad]:
        """A machine's loads since a moment, the oldest first."""
        found = [one for one in self._of(department) if one.machine == machine and one.opened >= since]
        return sorted(found, key=lambda one: one.opened)

    def begun(
        self, department: str, machines: Collection[str], since: datetime, before: datetime
    ) -> list[KeptLoad]:
        """The loads that some machines began from a moment on and before another, in their order."""
        found = [
            (one.started, one.id, one)
            for one in self._of(department)
            if one.machine in machines and one.started is not None and since <= one.started < before
        ]
        return [one for _, _, one in sorted(found, key=lambda each: each[:2])]

    def latest_of_machine(
        self, department: str, machine: str, *, before: datetime, most: int
    ) -> list[KeptLoad]:
        """So many of a machine's loads from before a moment, the latest first."""
        found = [one for one in self._of(department) if one.machine == machine and one.opened < before]
        return sorted(found, key=lambda one: one.opened, reverse=True)[:most]

    def keep_in(self, copy: LoadedCopy) -> None:
        """Keep that a copy lies in a load, or was taken out."""
        self._loaded[copy.load, copy.copy] = copy

    def in_load(self, load: str) -> list[LoadedCopy]:
        """What lay in a load, in the order in which it went in."""
        found = [one for one in self._loaded.values() if one.load == load]
        return sorted(found, key=lambda one: (one.at, one.copy))

    def of_run(self, run: str) -> list[LoadedCopy]:
        """The loads of a run, the oldest first."""
        found = [one for one in self._loaded.values() if one.run == run]
        return sorted(found, key=lambda one: (one.at, one.load))

    def of_copy(self, copy: str) -> list[LoadedCopy]:
        """Every load that a copy ever lay in, the oldest first."""
        found = [one for one in self._loaded.values() if one.copy == copy]
        return sorted(found, key=lambda one: (one.at, one.load))

    def _of(self, department: str) -> list[KeptLoad]:
        return sorted(
            (one for one in self._loads.values() if one.department == department), key=lambda one: one.id
        )


class MemoryCases:
    """Operations, by number."""

    def __init__(self, tables: BenchTables) -> None:
        self._cases, self._sets = tables.cases, tables.case_sets

    def put(self, case: KeptCase) -> None:
        """Add a case, or change it; its number is its own."""
        other = self.by_number(case.department, case.number)
        if other is not None and other.id != case.id:
            raise Conflict("somebody else was quicker: this is taken")
        self._cases[case.id] = case

    def get(self, case: str) -> KeptCase | None:
        """A case."""
        return self._cases.get(case)

    def by_number(self, department: str, number: str) -> KeptCase | None:
        """The case of a number."""
        found = (one for one in self._cases.values() if (one.department, one.number) == (department, number))
        return next(found, None)

    def between(self, department: str, since: datetime, before: datetime) -> list[KeptCase]:
        """Cases that begin from a moment on and before another, in their order."""
        found = (one for one in self._cases.values() if one.department == department)
        return sorted(
            (one for one in found if since <= one.begins < before), key=lambda one: (one.begins, one.number)
        )

    def put_set(self, wanted: CaseSet) -> None:
        """Say that a case needs a set, or which copy it got."""
        self._sets[wanted.case, wanted.set, wanted.turn] = wanted

    def strike_sets(self, case: str) -> None:
        """Forget which sets a case needs; what it got already stays."""
        for key, one in list(self._sets.items()):
            if one.case == case and not one.copy:
                del self._sets[key]

    def sets_of(self, *of_cases: str) -> list[CaseSet]:
        """Which sets some cases need, case by case."""
        found = (one for one in self._sets.values() if one.case in of_cases)
        return sorted(found, key=lambda one: (one.case, one.set, one.turn))

    def of_copy(self, copy: str) -> list[CaseSet]:
        """The cases that a copy was for."""
        found = (one for one in self._sets.values() if one.copy == copy)
        return sorted(found, key=lambda one: (one.case, one.turn))


class MemoryTaps:
    """Every act at a bench."""

    def __init__(self, tables: BenchTables) -> None:
        self._taps = tables.taps

    def keep(self, tap: KeptTap) -> None:
        """Keep a tap, once."""
        if (tap.department, tap.key) in self._taps:
            raise Conflict("somebody else was quicker: this is taken")
        self._taps[tap.department, tap.key] = tap

    def get(self, department: str, key: str) -> KeptTap | None:
        """A tap by its key."""
        return self._taps.get((department, key))

    def last_number(self, department: str, bench: str) -> int:
        """The number of the last tap of a bench's queue; 0 before the first."""
        return max((one.number for one in self._of(department) if one.bench == bench), default=0)

    def on_copy(self, department: str, copy: str) -> list[KeptTap]:
        """What was done with a copy, the oldest first."""
        found = [one for one in self._of(department) if one.copy == copy]
        return sorted(found, key=lambda one: (one.at, one.taken, one.key))

    def on_run(self, department: str, copy: str, run: str, *, since: datetime) -> list[KeptTap]:
        """What was done with a copy on one of its runs, the oldest first; nothing from before a moment."""
        return [one for one in self.on_copy(department, copy) if one.run == run and one.at >= since]

    def refused(self, department: str, *, most: int = 100) -> list[KeptTap]:
        """Taps that were refused, the latest first."""
        found = [one for one in self._of(department) if one.outcome == "refused"]
        return sorted(found, key=lambda one: one.taken, reverse=True)[:most]

    def _of(self, department: str) -> list[KeptTap]:
        return [one for one in self._taps.values() if one.department == department]


class MemoryBench:
    """Everything of the bench."""

    def __init__(self, tables: BenchTables) -> None:
        self.copies = MemoryCopies(tables)
        self.runs = MemoryRuns(tables)
        self.loads = MemoryLoads(tables)
        self.cases = MemoryCases(tables)
        self.taps = MemoryTaps(tables)
        self.tracing = MemoryTracing(tables)


def _is_wanted_copy(copy: KeptCopy, wanted: WantedCopies) -> bool:
    words = f"{copy.name} {copy.code}".casefold()
    return all(
        (
            not wanted.states or copy.state in wanted.states,
            not wanted.of or copy.of == wanted.of,
            not wanted.text or wanted.text.casefold() in words,
            wanted.due_before is None or (copy.due or _LAST) < wanted.due_before,
        )
    )
