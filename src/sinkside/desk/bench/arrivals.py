"""The arrival list: what is soiled, in process or held, where, by when it is needed, when it may be ready.

Nothing on it proposes a shorter way: where time will not do, people decide, and theatre is told.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from sinkside.bench.plan import Plan
from sinkside.bench.ready_time import LeftOver, ReadyTime, ready_time
from sinkside.bench.run import AWAY, HELD, IN_USE, SET_ASIDE, Place, Run
from sinkside.department import Department
from sinkside.desk import sets
from sinkside.desk.access import Visitor, require
from sinkside.desk.bench.alarms import Alarm, alarms_in
from sinkside.desk.bench.copies import OUT_OF_USE, READ
from sinkside.desk.bench.late_cleaning import QUESTION
from sinkside.desk.bench.plans import plan_in
from sinkside.desk.bench.theatre import PLANNED, UNDER_WAY, USED
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Archive, Unit
from sinkside.records import CaseSet, KeptCase, KeptCopy, WantedCopies

#: How far ahead cases are looked at unless told: tomorrow's, from this morning on.
AHEAD: Final = timedelta(hours=48)

#: What stands on the list for its own sake; what is in store or in use, only where a case needs it.
ON_THE_LIST: Final = (
    *(one.value for one in Place if one not in {Place.in_store, Place.issued}),
    HELD,
    SET_ASIDE,
)
#: What serves no case, however long it has.
_SERVES_NONE: Final = frozenset({AWAY, OUT_OF_USE, Place.issued.value})
_BEHIND: Final = timedelta(hours=12)
_MOST: Final = 500
_MOST_OF_A_SET: Final = 500
_MACHINES: Final = frozenset({Place.in_washer.value, Place.in_sterilizer.value})


@dataclass(frozen=True)
class Need:
    """A case that needs a set, and when it begins."""

    number: str
    room: str
    begins: datetime


@dataclass(frozen=True)
class Arrival:
    """One line of the list.

    Attributes:
        copy: which set, how and where it stands.
        begin_by: by when cleaning must have begun, while it is soiled.
        late_s: by how many seconds that has passed.
        holds: why it is held.
        need: the case that needs it next.
        left_s: seconds until that case begins; negative once it has.
        ready: how long the rest of its route takes, as a range; None where nobody can say.
        outlook: `in-time`, `tight`, `not-in-time` or `unknown`; empty where no case needs it.
    """

    copy: KeptCopy
    begin_by: datetime | None = None
    late_s: float = 0.0
    holds: tuple[str, ...] = ()
    need: Need | None = None
    left_s: float | None = None
    ready: ReadyTime | None = None
    outlook: str = ""


@dataclass(frozen=True)
class Unserved:
    """A set that a case needs and for which there is no copy."""

    need: Need
    set_name: str


@dataclass(frozen=True)
class Arrivals:
    """The list, cases without a set, missing fragments, and questions to makers about late devices."""

    lines: tuple[Arrival, ...]
    unserved: tuple[Unserved, ...]
    alarms: tuple[Alarm, ...]
    questions: tuple[str, ...]
    counts: Mapping[str, int]


def arrivals(archive: Archive, who: Visitor, *, now: datetime, ahead: timedelta = AHEAD) -> Arrivals:
    """What stands where and by when it is needed: what a case needs first comes first, then what is due.

    Args:
        archive: where everything is kept.
        who: who looks.
        now: the moment.
        ahead: how far ahead cases are looked at.

    Raises:
        NotAllowed: without the right.
    """
    require(who, READ)
    with archive.unit(writes=False) as unit:
        read = _Reading(unit, who, now)
        on_list = unit.bench.copies.found(who.department, WantedCopies(states=ON_THE_LIST, limit=_MOST))
        lines = {copy.id: read.line(copy) for copy in on_list}
        cases = unit.bench.cases.between(who.department, now - _BEHIND, now + ahead)
        unserved = _serve(read, lines, [one for one in cases if one.state in {PLANNED, UNDER_WAY}])
        questions = unit.rows.all(QUESTION, [who.department], states=["open"])
        return Arrivals(
            lines=tuple(sorted(lines.values(), key=_order)),
            unserved=tuple(unserved),
            alarms=alarms_in(unit, who),
            questions=tuple(str(row.fields["question"]) for row in questions),
            counts=unit.bench.copies.counts(who.department),
        )


@dataclass
class _Reading:
    """What is read of runs, plans and the department, each once."""

    unit: Unit
    who: Visitor
    now: datetime

    @functools.cached_property
    def _department(self) -> Department | None:
        site = self.unit.documents.get(DEPARTMENT, self.who.department)
        return from_revision(site, Department) if site else None

    @functools.cached_property
    def _of_sets(self) -> dict[str, list[KeptCopy]]:
        return {}

    @functools.cached_property
    def _lines(self) -> dict[str, Arrival]:
        return {}

    @functools.cached_property
    def _plans(self) -> dict[str, Plan]:
        return {}

    def line(self, copy: KeptCopy) -> Arrival:
        """A copy as it stands, with how long the rest of its route takes."""
        if copy.id not in self._lines:
            self._lines[copy.id] = self._line(copy)
        return self._lines[copy.id]

    def _line(self, copy: KeptCopy) -> Arrival:
        run = self._run(copy)
        if run is None:
            return Arrival(copy, ready=self._first_ready(copy))
        begin_by = run.clean_by if run.place == Place.soiled else None
        late_s = max(0.0, (self.now - begin_by).total_seconds()) if begin_by else 0.0
        return Arrival(
            copy=copy,
            begin_by=begin_by,
            late_s=late_s,
            holds=tuple(one.why for one in run.open_holds()),
            ready=self._ready(copy, run),
        )

    def of_set(self, key: str) -> list[KeptCopy]:
        """The copies of a set that may serve a case, read once however many cases need one."""
        if key not in self._of_sets:
            wanted = WantedCopies(of=key, limit=_MOST_OF_A_SET)
            found = self.unit.bench.copies.found(self.who.department, wanted)
            self._of_sets[key] = [one for one in found if one.state not in _SERVES_NONE]
        return self._of_sets[key]

    def _run(self, copy: KeptCopy) -> Run | None:
        kept = self.unit.bench.runs.get(copy.run) if copy.run else None
        return Run.model_validate_json(kept.body) if kept else None

    def _ready(self, copy: KeptCopy, run: Run) -> ReadyTime | None:
        if self._department is None:
            return None
        plan = self._plans.get(run.plan) or self._plans.setdefault(run.plan, plan_in(self.unit, run.plan))
        # What is in use begins again: nothing of its last run counts.
        done = frozenset() if copy.state == IN_USE else _done(plan, run)
        left = LeftOver(
            state=copy.state,
            done=done,
            counts=_counts(plan),
            running_s=self._running_s(copy, run),
            cooling_s=self._cooling_s(copy, run),
        )
        return ready_time(plan.tasks, self._department, left)

    def _first_ready(self, copy: KeptCopy) -> ReadyTime | None:
        """Of a copy that never ran here, by the plan of another of its set; None where none of them did."""
        same = (plan for plan in self._plans.values() if plan.set == copy.of)
        plan = next(same, None)
        if plan is None or self._department is None:
            return None
        return ready_time(plan.tasks, self._department, LeftOver(state=copy.state, counts=_counts(plan)))

    def _running_s(self, copy: KeptCopy, run: Run) -> float:
        if copy.state not in _MACHINES or not run.loads:
            return 0.0
        load = self.unit.bench.loads.get(run.loads[-1].load)
        started = load.started if load else None
        return max(0.0, (self.now - started).total_seconds()) if started else 0.0

    def _cooling_s(self, copy: KeptCopy, run: Run) -> tuple[float, float] | None:
        cooled = run.loads[-1].cooled if copy.state == Place.sterilized and run.loads else None
        if cooled is None:
            return None
        left = max(0.0, (cooled - self.now).total_seconds())
        return left, left


def _counts(plan: Plan) -> dict[str, int]:
    return {line.member: line.expected for line in plan.lines if not line.part}


def _done(plan: Plan, run: Run) -> frozenset[str]:
    return frozenset(one.id for one in plan.tasks if run.is_done(one))


def _serve(read: _Reading, lines: dict[str, Arrival], cases: list[KeptCase]) -> list[Unserved]:
    """Give each case, the earliest first, the copy that is for it or else the one that is ready first."""
    wanted: dict[str, list[CaseSet]] = {}
    for one in read.unit.bench.cases.sets_of(*(case.id for case in cases)):
        if one.state != USED:
            wanted.setdefault(one.case, []).append(one)
    taken = {one.copy for known in wanted.values() for one in known if one.copy}
    unserved = []
    for case in sorted(cases, key=lambda one: (one.begins, one.number)):
        need = Need(case.number, case.room, case.begins)
        for one in wanted.get(case.id, ()):
            copy = _copy_for(read, lines, one, taken)
            if copy is None:
                title = read.unit.rows.titles(sets.KIND, [one.set]).get(one.set, one.set)
                unserved.append(Unserved(need, title))
                continue
            taken.add(copy.id)
            known = lines.get(copy.id) or read.line(copy)
            if known.need is None:
                lines[copy.id] = _needed(known, need, read.now)
    return unserved


def _copy_for(
    read: _Reading, lines: Mapping[str, Arrival], wanted: CaseSet, taken: Iterable[str]
) -> KeptCopy | None:
    if wanted.copy:
        return read.unit.bench.copies.get(wanted.copy)
    free = [one for one in read.of_set(wanted.set) if one.id not in taken]
    known = [lines.get(one.id) or read.line(one) for one in free]
    return min(known, key=_soonest).copy if known else None


def _soonest(line: Arrival) -> tuple[float, float, str]:
    ready = line.ready
    if ready is None:
        return math.inf, math.inf, line.copy.code
    return ready.high_s, ready.low_s, line.copy.code


def _needed(line: Arrival, need: Need, now: datetime) -> Arrival:
    left_s = (need.begins - now).total_seconds()
    outlook = line.ready.outlook(left_s) if line.ready else "unknown"
    if line.copy.state == Place.issued:
        outlook = "in-time"
    return replace(line, need=need, left_s=left_s, outlook=outlook)


def _order(line: Arrival) -> tuple[bool, float, float, str]:
    """What a case needs first; then what must be cleaned first; then by name."""
    needed = line.need.begins.timestamp() if line.need else 0.0
    due = line.begin_by.timestamp() if line.begin_by else math.inf
    return line.need is None, needed, due, line.copy.name
