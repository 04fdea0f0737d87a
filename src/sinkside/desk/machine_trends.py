"""What moves first at a machine, program by program and figure by figure, from the figures that were kept."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.cycles import TREND_FIGURES, Trend, TrendPoint, trend_limits, trends
from sinkside.desk import departments
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.keeping import from_revision
from sinkside.desk.machine_documents import Standing
from sinkside.desk.machine_rows import JUDGED, MachineCycle, cycles_of, row_id
from sinkside.desk.machine_standing import STANDING
from sinkside.desk.machine_things import Thing, profile_of, thing_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.remembered import Remembered
from sinkside.findings import LEVELS, Finding, Level
from sinkside.records import Row

#: So many cycles of a machine are looked back at.
_LOOKED_BACK: Final = 400

#: After these a machine runs as another one would: its charts start anew.
_CHANGES: Final = frozenset({"installation", "move", "major-repair"})


@dataclass(frozen=True)
class ProgramTrends:
    """The trends of one program of a machine, those that drift first, and the cycles behind them by id."""

    program: str
    trends: tuple[Trend, ...]
    cycles: dict[str, MachineCycle]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What they have to say."""
        return tuple(one.finding for one in self.trends if one.finding)


def machine_trends(archive: Archive, who: Visitor, thing: str) -> tuple[ProgramTrends, ...]:
    """How each figure of each program of a machine went; nothing for what is no machine.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such machine here.
    """
    require(who, "machine-read")
    with archive.unit(writes=False) as unit:
        found = thing_in(unit, who, thing)
        return tuple(trends_in(unit, who, found)) if found.machine else ()


def trends_in(unit: Unit, who: Visitor, thing: Thing) -> Iterator[ProgramTrends]:
    """The same, for the verbs that have a transaction."""
    site = department_in(unit, who.department)
    if site is None or thing.machine is None:
        return
    cycles_by_program = _by_program(unit, who.department, thing.machine.id)
    if not cycles_by_program:
        return
    profile, programs = profile_of(site), {program.name: program for program in thing.machine.programs}
    restarts = _restarts(unit, who.department, thing.id)
    for name, cycles in cycles_by_program.items():
        program = programs.get(name)
        limits = trend_limits(program, profile) if program else {}
        points = tuple(_point(one) for one in cycles)
        found = _drawn(points, tuple(sorted(limits.items())), tuple(restarts))
        if found:
            ordered = tuple(sorted(found, key=_worst_first))
            yield ProgramTrends(name, ordered, {one.id: one for one in cycles})


def _by_program(unit: Unit, department: str, machine: str) -> dict[str, list[MachineCycle]]:
    found: dict[str, list[MachineCycle]] = {}
    for cycle in cycles_of(unit, department, [machine], limit=_LOOKED_BACK):
        found.setdefault(cycle.program, []).append(cycle)
    return found


@dataclass(frozen=True)
class Drifting:
    """A program of which figures drift, and what the figures are called."""

    program: str
    moved: tuple[str, ...]


#: What drifts at a machine, by everything that it depends on; many people open the day.
_DRIFTING: Final = Remembered[tuple[object, ...], tuple[Drifting, ...]](most=500)


def drifting_in(unit: Unit, who: Visitor, thing: Thing, row: Row | None) -> tuple[Drifting, ...]:
    """The programs of a machine of which a figure drifts.

    Args:
        unit: the transaction.
        who: the acting person.
        thing: the machine.
        row: how it stands; without one it never ran.
    """
    site = unit.documents.get(departments.KIND, who.department)
    if row is None or site is None:
        return ()
    # A run, a check or a return to use moves `updated`, a judged cycle `judged`.
    key = (row.id, row.updated, row.fields.get(JUDGED), site.digest)
    return _DRIFTING.get(key, lambda: tuple(_drifting(unit, who, thing)))


def _drifting(unit: Unit, who: Visitor, thing: Thing) -> Iterator[Drifting]:
    for program in trends_in(unit, who, thing):
        moved = [one for one in program.trends if one.finding and one.finding.level is Level.concern]
        if moved:
            yield Drifting(program.program, tuple(one.title.removeprefix("the ") for one in moved))


def _worst_first(one: Trend) -> int:
    return LEVELS.index(one.finding.level) if one.finding else len(LEVELS)


#: One cycle as far as trends see it: its id, when it was handed in, and its figures by name.
_Point = tuple[str, datetime, tuple[tuple[str, float], ...]]


def _point(cycle: MachineCycle) -> _Point:
    figures = tuple((name, cycle.figures[name]) for name in TREND_FIGURES if name in cycle.figures)
    return cycle.id, cycle.at, figures


@functools.lru_cache(maxsize=128)
def _drawn(
    points: tuple[_Point, ...],
    limits: tuple[tuple[str, tuple[float, float]], ...],
    restarts: tuple[datetime, ...],
) -> tuple[Trend, ...]:
    """The trends of one program; what many people look at is worked out once for each new cycle."""
    made = [TrendPoint(cycle, at, dict(figures)) for cycle, at, figures in points]
    return trends(made, limits=dict(limits), restarts=restarts)


def _restarts(unit: Unit, department: str, thing: str) -> Sequence[datetime]:
    """When the machine went back into use after it was installed, moved or repaired."""
    restarts, changed = [], False
    for revision in unit.documents.revisions(STANDING, row_id(department, thing)):
        standing = from_revision(revision, Standing)
        if standing.in_use and changed:
            restarts.append(revision.at)
        changed = not standing.in_use and any(cause.why in _CHANGES for cause in standing.causes)
    return restarts
