"""By what runs may be touched, as statements: each gives run, moment, copy and load, a row for each touch."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from functools import singledispatch
from typing import Any, Final, TypeAlias

from sqlalchemy import (
    ColumnElement,
    Select,
    String,
    and_,
    bindparam,
    func,
    literal,
    literal_column,
    or_,
    select,
    true,
    tuple_,
)

from sinkside.archive.connection import among, listed
from sinkside.archive.schema import Moment, moment_text
from sinkside.archive.schema_bench import copies, loaded, loads, plan_texts, runs, taps
from sinkside.records import ByCopy, ByLoad, ByMachine, ByPerson, ByStanding, ByText, Touching

#: Statements, and the values of the names that they leave open.
Bound: TypeAlias = tuple[list[Select[Any]], dict[str, Any]]

#: Moments are kept as texts of this length.
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
    """The statements of some ways of touching in one department, each with names of its own.

    What a way leaves open is called as its fields are; a field that a statement does not ask for is let pass.
    """
    made: list[Select[Any]] = []
    bound: dict[str, Any] = {"here": here}
    for number, one in enumerate(touchings):
        made += _statements(one, f"_{number}")
        bound |= {f"{name}_{number}": _value(value) for name, value in vars(one).items()}
    return made, bound


def _value(value: object) -> object:
    """The value of a field as it is bound: sets and stretches of time as lists of texts."""
    if isinstance(value, frozenset):
        return sorted(value)
    return list(_stretches(value)) if isinstance(value, tuple) else value


def _stretches(windows: Iterable[tuple[datetime, datetime]]) -> Iterator[str]:
    """Each stretch of time with the end of those before it: what came between may have stood until then."""
    since: datetime | None = None
    for begin, until in sorted(windows):
        yield "".join(map(moment_text, (since or begin, begin, until)))
        since = max(since or until, until)


def _within(moment: ColumnElement[Any], end: str) -> ColumnElement[bool]:
    return and_(moment >= bindparam(f"since{end}"), moment < bindparam(f"before{end}"))


@singledispatch
def _statements(touching: Touching, _: str) -> list[Select[Any]]:
    raise AssertionError(f"{type(touching).__name__}: nobody taught this table to trace by it")


@_statements.register
def _by_machine(touching: ByMachine, end: str) -> list[Select[Any]]:
    of_machines = loads.c.machine.in_(bindparam(f"machines{end}", expanding=True))
    statement = _IN_LOADS.where(of_machines, _within(loads.c.started, end))
    if touching.program:
        statement = statement.where(loads.c.program == bindparam(f"program{end}"))
    return [statement]


@_statements.register
def _by_load(_: ByLoad, end: str) -> list[Select[Any]]:
    return [_IN_LOADS.where(among(loads.c.id, f"loads{end}"), loads.c.started.is_not(None))]


@_statements.register
def _by_text(touching: ByText, end: str) -> list[Select[Any]]:
    statement = _ON_RUNS.join(plan_texts, plan_texts.c.plan == runs.c.plan).where(
        plan_texts.c.instruction == bindparam(f"instruction{end}"), _within(runs.c.opened, end)
    )
    if touching.revision:
        statement = statement.where(plan_texts.c.revision == bindparam(f"revision{end}"))
    return [statement]


@_statements.register
def _by_copy(_: ByCopy, end: str) -> list[Select[Any]]:
    return [
        _ON_RUNS.where(
            among(runs.c.copy, f"copies{end}"),
            runs.c.opened < bindparam(f"before{end}"),
            or_(runs.c.closed.is_(None), runs.c.closed > bindparam(f"since{end}")),
        )
    ]


@_statements.register
def _by_person(touching: ByPerson, end: str) -> list[Select[Any]]:
    statement = _DONE.where(taps.c.by == bindparam(f"person{end}"), _within(taps.c.at, end))
    return [statement.where(_stood(end)) if touching.stood else statement]


@_statements.register
def _by_standing(touching: ByStanding, end: str) -> list[Select[Any]]:
    """What was done last with each copy before the first stretch of time, and what stood so in any of them.

    A lot that lasts for months has hundreds of stretches. Looking up every copy at the begin of each took
    minutes on years of work: a tap before a stretch stood there if the next one on its copy came later.
    """
    if not touching.windows:
        return []
    value = literal_column("value", String)
    windows = (
        select(
            func.substr(value, 1, MOMENT_LENGTH).label("since"),
            func.substr(value, MOMENT_LENGTH + 1, MOMENT_LENGTH).label("begin"),
            func.substr(value, 2 * MOMENT_LENGTH + 1).label("end"),
        )
        .select_from(listed(f"windows{end}"))
        .subquery(f"windows{end}")
    )
    left = _left(f"later{end}")
    first = bindparam(f"first{end}", min(begin for begin, _ in touching.windows), Moment())
    within = _DONE.join_from(windows, taps, true()).where(
        taps.c.at >= windows.c.since,
        taps.c.at < windows.c.end,
        _stood(end),
        or_(taps.c.at >= windows.c.begin, left.is_(None), left >= windows.c.begin),
    )
    return [_standing_at(first, end), within]


def _standing_at(moment: ColumnElement[Any], end: str) -> Select[Any]:
    """What was done last with each copy before a moment, where it then stood so."""
    last = (
        select(taps.c.key)
        .where(
            taps.c.department == copies.c.department,
            taps.c.copy == copies.c.id,
            taps.c.outcome == "done",
            taps.c.at < moment,
        )
        .order_by(taps.c.at.desc(), taps.c.taken.desc(), taps.c.number.desc())
        .limit(1)
        .correlate(copies)
        .scalar_subquery()
    )
    return _DONE.join_from(copies, taps, taps.c.key == last).where(copies.c.department == _HERE, _stood(end))


def _left(name: str) -> ColumnElement[Any]:
    """When something was done next with the copy of a tap; nothing where that was the last."""
    later = taps.alias(name)
    return (
        select(later.c.at)
        .where(
            later.c.department == taps.c.department,
            later.c.copy == taps.c.copy,
            later.c.outcome == "done",
            later.c.at >= taps.c.at,
            tuple_(later.c.at, later.c.taken, later.c.number)
            > tuple_(taps.c.at, taps.c.taken, taps.c.number),
        )
        .order_by(later.c.at)
        .limit(1)
        .correlate(taps)
        .scalar_subquery()
    )


def _stood(end: str) -> ColumnElement[bool]:
    return taps.c.state.in_(bindparam(f"stood{end}", expanding=True))
