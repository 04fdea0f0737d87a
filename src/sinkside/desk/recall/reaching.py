"""What a cause reaches: from loads, texts, people or sets to runs, and on to cases."""

from __future__ import annotations

import functools
import tomllib
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from importlib import resources

from sinkside.bench.recall import CauseKind, Reach, Reaching, Touched, grouped, in_order_of_need
from sinkside.desk.access import Visitor
from sinkside.desk.machine_things import thing_in
from sinkside.desk.ports import Unit
from sinkside.desk.recall.documents import Cause
from sinkside.documents import Value
from sinkside.errors import BadInput
from sinkside.records import TracedRun

#: What comes before any event that is kept.
_EVER = datetime.fromisoformat("1970-01-01T00:00:00+00:00")

_BY_MACHINE = frozenset({CauseKind.indicator, CauseKind.cycle, CauseKind.machine, CauseKind.water})


class RecallPolicy(Value):
    """Every way of reaching, by its id; the first is what a recall begins with."""

    reaches: dict[str, Reaching]


@functools.cache
def policy() -> RecallPolicy:
    """The policy that comes with the program."""
    file = resources.files("sinkside.desk").joinpath("policies", "recall.toml")
    return RecallPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def reach_of(
    unit: Unit, who: Visitor, cause: Cause, *, reach: str, since: datetime | None, until: datetime
) -> Reach:
    """Everything that a cause reaches in a stretch of time.

    Args:
        unit: the transaction.
        who: the acting person.
        cause: what it began with.
        reach: how far it goes, by its id in the policy; of machines only.
        since: the last good evidence; none where there never was one: then from the beginning.
        until: the end, not included.

    Raises:
        NotThere: if there is no such machine here.
        BadInput: if the policy has no such way of reaching.
    """
    wanted = policy().reaches.get(reach)
    if wanted is None:
        raise BadInput(f"expected one of {', '.join(policy().reaches)}", resource="reach")
    begin = since or _EVER
    if cause.kind in _BY_MACHINE:
        runs = _of_machines(unit, who, cause, wanted, begin, until)
    else:
        runs = _of_others(unit, who, cause, begin, until)
    return Reach(tuple(dict.fromkeys(one.load for one in runs if one.load)), _touched(unit, runs))


def _of_machines(
    unit: Unit, who: Visitor, cause: Cause, reach: Reaching, since: datetime, until: datetime
) -> list[TracedRun]:
    machines = thing_in(unit, who, cause.of).machines
    found = unit.bench.tracing.through_machines(who.department, machines, since, until)
    if reach.whole_machine:
        return found
    ids = dict.fromkeys(one.load for one in found)
    known = [(one, _has_implant(unit, one)) for one in ids]
    taken = set(grouped(known, reach, own=cause.load))
    return [one for one in found if one.load in taken]


def _has_implant(unit: Unit, load: str) -> bool:
    known = unit.bench.loads.get(load)
    return known is not None and bool(known.fields.get("implant"))


def _of_others(unit: Unit, who: Visitor, cause: Cause, since: datetime, until: datetime) -> list[TracedRun]:
    tracing, here = unit.bench.tracing, who.department
    if cause.kind is CauseKind.text:
        found = tracing.by_text(here, cause.of, cause.revision)
    elif cause.kind is CauseKind.person:
        found = tracing.by_person(here, cause.of, since, until)
    elif cause.kind is CauseKind.chemical:
        found = tracing.by_act(here, "take-up", since, until)
    else:
        found = tracing.of_copies(here, [cause.of], since)
    return [one for one in found if since <= one.at < until]


def _touched(unit: Unit, runs: Sequence[TracedRun]) -> tuple[Touched, ...]:
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
            is_its_last=one.is_its_last,
            cases=tuple(cases[one.run]),
        )
        for one in runs
    )
