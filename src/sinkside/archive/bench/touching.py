"""By what runs may be touched, as statements: each gives run, moment, copy and load, a row for each touch."""

from __future__ import annotations

from collections.abc import Iterable
from functools import singledispatch
from typing import Any, Final, TypeAlias

from sqlalchemy import (
    ColumnElement,
    Select,
    String,
    bindparam,
    func,
    literal,
    literal_column,
    or_,
    select,
    true,
)

from sinkside.archive.connection import among, listed
from sinkside.archive.schema import moment_text
from sinkside.archive.schema_bench import copies, loaded, loads, plan_texts, runs, taps
from sinkside.records import ByCopy, ByLoad, ByMachine, ByPerson, ByStanding, ByText, Touching

#: Statements, and the values of the names that they leave open.
Bound: TypeAlias = tuple[list[Select[Any]], dict[str, Any]]

#: Moments are kept as texts of this length; two of them, one after the other, are a stretch of time.
MOMENT_LENGTH: Final = 27

_NO_LOAD: Final = literal("", String).label("load")
_HERE: Final[ColumnElement[str]] = bindparam("here")
_IN_LOADS: Final = (
    select(loaded.c.run, loads.c.started.label("at"), loaded.c.copy, loads.c.id.label("load"))
    .join_from(loads, loaded, loaded.c.load == loads.c.id)
    .where(loaded.c.out.is_(None), loads.c.department == _HERE)
)
_ON_RUNS: Final = select(runs.c.id.label("run"), runs.c.opened.label("at"), runs.c.copy, _NO_LOAD).where(
    runs.c.department == _HERE
)
_DONE: Final = select(taps.c.run, taps.c.at, taps.c.copy, _NO_LOAD).where(
    taps.c.department == _HERE, taps.c.outcome == "done", taps.c.run != ""
)


def statements_of(touchings: Iterable[Touching], here: str) -> Bound:
    """The statements of some ways of touching in one department, each with names of its own."""
    made: list[Select[Any]] = []
    bound: dict[str, Any] = {"here": here}
    for number, one in enumerate(touchings):
        statements, values = _statements(one, f"_{number}")
        made += statements
        bound |= {f"{name}_{number}": value for name, value in values.items()}
    return made, bound


@singledispatch
def _statements(touching: Touching, _: str) -> Bound:
    raise AssertionError(f"{type(touching).__name__}: nobody taught this table to trace by it")


@_statements.register
def _by_machine(touching: ByMachine, end: str) -> Bound:
    statement = _IN_LOADS.where(
        loads.c.machine.in_(bindparam(f"machines{end}", expanding=True)),
        loads.c.started >= bindparam(f"since{end}"),
        loads.c.started < bindparam(f"before{end}"),
    )
    bound = {"machines": sorted(touching.machines), "since": touching.since, "before": touching.before}
    if not touching.program:
        return [statement], bound
    return [statement.where(loads.c.program == bindparam(f"program{end}"))], {
        **bound,
        "program": touching.program,
    }


@_statements.register
def _by_load(touching: ByLoad, end: str) -> Bound:
    wanted = among(loads.c.id, f"loads{end}")
    return [_IN_LOADS.where(wanted, loads.c.started.is_not(None))], {"loads": sorted(touching.loads)}


@_statements.register
def _by_text(touching: ByText, end: str) -> Bound:
    statement = _ON_RUNS.join(plan_texts, plan_texts.c.plan == runs.c.plan).where(
        plan_texts.c.instruction == bindparam(f"instruction{end}"),
        runs.c.opened >= bindparam(f"since{end}"),
        runs.c.opened < bindparam(f"before{end}"),
    )
    bound = {"instruction": touching.instruction, "since": touching.since, "before": touching.before}
    if not touching.revision:
        return [statement], bound
    of_revision = statement.where(plan_texts.c.revision == bindparam(f"revision{end}"))
    return [of_revision], {**bound, "revision": touching.revision}


@_statements.register
def _by_copy(touching: ByCopy, end: str) -> Bound:
    statement = _ON_RUNS.where(
        among(runs.c.copy, f"copies{end}"),
        runs.c.opened < bindparam(f"before{end}"),
        or_(runs.c.closed.is_(None), runs.c.closed > bindparam(f"since{end}")),
    )
    bound = {"copies": sorted(touching.copies), "since": touching.since, "before": touching.before}
    return [statement], bound


@_statements.register
def _by_person(touching: ByPerson, end: str) -> Bound:
    statement = _DONE.where(
        taps.c.by == bindparam(f"person{end}"),
        taps.c.at >= bindparam(f"since{end}"),
        taps.c.at < bindparam(f"before{end}"),
    )
    bound = {"person": touching.person, "since": touching.since, "before": touching.before}
    if not touching.stood:
        return [statement], bound
    return [statement.where(_stood(end))], {**bound, "stood": sorted(touching.stood)}


@_statements.register
def _by_standing(touching: ByStanding, end: str) -> Bound:
    """Of each copy the last thing done with it before a stretch of time, and everything done within it."""
    if not touching.windows:
        return [], {}
    value = literal_column("value", String)
    windows = (
        select(
            func.substr(value, 1, MOMENT_LENGTH).label("begin"),
            func.substr(value, MOMENT_LENGTH + 1).label("end"),
        )
        .select_from(listed(f"windows{end}"))
        .subquery(f"windows{end}")
    )
    last = (
        select(taps.c.key)
        .where(
            taps.c.department == copies.c.department,
            taps.c.copy == copies.c.id,
            taps.c.outcome == "done",
            taps.c.at < windows.c.begin,
        )
        .order_by(taps.c.at.desc(), taps.c.taken.desc(), taps.c.number.desc())
        .limit(1)
        .correlate(copies, windows)
        .scalar_subquery()
    )
    before = (
        _DONE.join_from(windows, copies, true())
        .join(taps, taps.c.key == last)
        .where(copies.c.department == _HERE, _stood(end))
    )
    within = _DONE.join_from(windows, taps, true()).where(
        taps.c.at >= windows.c.begin, taps.c.at < windows.c.end, _stood(end)
    )
    spans = [f"{moment_text(begin)}{moment_text(until)}" for begin, until in touching.windows]
    return [before, within], {"windows": spans, "stood": sorted(touching.stood)}


def _stood(end: str) -> Any:
    return taps.c.state.in_(bindparam(f"stood{end}", expanding=True))
