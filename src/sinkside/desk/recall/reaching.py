"""What a cause reaches by policy: from machines and everything else to runs, and on to cases."""

from __future__ import annotations

import functools
import tomllib
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from importlib import resources

from sinkside.bench.recall import Reach, Reaching, ReachSum, Touched, grouped, in_order_of_need
from sinkside.bench.run import AWAY
from sinkside.desk.access import Visitor
from sinkside.desk.bench.theatre import USED
from sinkside.desk.machine_things import thing_in
from sinkside.desk.ports import Unit
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.evidence import BY_MACHINE
from sinkside.desk.recall.tracing import EVER, by_others
from sinkside.documents import Value
from sinkside.errors import BadInput
from sinkside.records import ByLoad, ByMachine, Touching, TracedRun


class RecallPolicy(Value):
    """Every way of reaching, by its id; the first is what a recall begins with."""

    reaches: dict[str, Reaching]


@functools.cache
def policy() -> RecallPolicy:
    """The policy that comes with the program."""
    file = resources.files("sinkside.desk").joinpath("policies", "recall.toml")
    return RecallPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def touchings_of(
    unit: Unit, who: Visitor, cause: Cause, *, reach: str, since: datetime | None, until: datetime
) -> tuple[Touching, ...]:
    """In which ways a cause touches runs in a stretch of time.

    Args:
        unit: the transaction.
        who: the acting person.
        cause: what it began with.
        reach: how far it goes, by its id in the policy; of machines only.
        since: the last good evidence; none where there never was one: then from the beginning.
        until: the end, not included.

    Raises:
        NotThere: if there is no such machine here.
        BadInput: if the policy has no such way of reaching, or the cause leaves open what it means.
    """
    wanted = policy().reaches.get(reach)
    if wanted is None:
        raise BadInput(f"expected one of {', '.join(policy().reaches)}", resource="reach")
    if cause.kind not in BY_MACHINE:
        return by_others(unit, who, cause, since=since, until=until)
    machines = thing_in(unit, who, cause.of).machines
    begin = since or EVER
    if wanted.whole_machine:
        return (ByMachine(frozenset(machines), begin, until),)
    begun = unit.bench.loads.begun(who.department, machines, begin, until)
    known = [(one.id, bool(one.fields.get("implant"))) for one in begun]
    return (ByLoad(frozenset(grouped(known, wanted, own=cause.load))),)


def reach_of(
    unit: Unit,
    who: Visitor,
    cause: Cause,
    touchings: Collection[Touching],
    *,
    since: datetime | None,
    until: datetime,
) -> Reach:
    """Everything that a cause reaches in some ways."""
    runs = unit.bench.tracing.touched(who.department, touchings)
    loads = tuple(dict.fromkeys(one.load for one in runs if one.load))
    earlier = _before_any_run(unit, runs, since or EVER, until) if cause.sets else {}
    return Reach(loads, _touched(unit, runs, earlier))


def sum_of_reach(
    unit: Unit, who: Visitor, touchings: Collection[Touching], *, most: int, codes: Collection[str]
) -> tuple[ReachSum, tuple[Touched, ...]]:
    """How far something reaches in some ways, with so many runs; and every run of copies with some codes."""
    tracing = unit.bench.tracing
    summed = tracing.summed(who.department, touchings, most=most, away=AWAY, codes=codes)
    shown = _touched(unit, [*summed.standing, *summed.passed], {})[:most]
    counts = {"runs": summed.runs, "sets": summed.copies, "loads": summed.loads, "cases": summed.cases}
    return ReachSum(touched=shown, **counts), _touched(unit, summed.of_codes, {})


def is_last_run(unit: Unit, copy: str, run: str) -> bool:
    """Whether a copy that is away, and so on no run, had none after this one."""
    known = unit.bench.runs.get(run)
    return known is not None and unit.bench.runs.of_copy(known.department, copy)[0].id == run


def _before_any_run(
    unit: Unit, runs: Sequence[TracedRun], since: datetime, until: datetime
) -> dict[str, tuple[str, ...]]:
    """By the earliest run of each copy: the cases that it was used in when no run was kept yet."""
    first: dict[str, TracedRun] = {}
    for one in sorted(runs, key=lambda one: (one.at, one.run)):
        first.setdefault(one.copy, one)
    found = {}
    for copy, run in first.items():
        own = [one.case for one in unit.bench.cases.of_copy(copy) if one.state == USED and not one.run]
        cases = sorted(filter(None, map(unit.bench.cases.get, own)), key=lambda one: (one.begins, one.number))
        found[run.run] = tuple(one.number for one in cases if since <= one.begins < until)
    return found


def _touched(
    unit: Unit, runs: Sequence[TracedRun], earlier: Mapping[str, tuple[str, ...]]
) -> tuple[Touched, ...]:
    cases: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for case in unit.bench.tracing.cases_of({one.run for one in runs}):
        cases[case.run].append((case.number, case.state))
    return in_order_of_need(
        Touched(
            run=one.run,
            copy=one.copy,
            code=one.code,
            name=one.name,
            at=one.at,
            load=one.load,
            state=one.state,
            place=one.place,
            is_its_last=one.is_its_last or (one.state == AWAY and is_last_run(unit, one.copy, one.run)),
            cases=tuple(cases[one.run]),
            earlier=earlier.get(one.run, ()),
        )
        for one in runs
    )
