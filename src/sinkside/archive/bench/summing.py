"""The sum of what was touched: how much it is, and what matters first, counted by the database.

The runs of years are many thousands, and most of them are over: their copies went on. Nobody needs these one
by one to see how far something reaches, so that they are counted where they are kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, Final

from sqlalchemy import (
    CTE,
    ColumnElement,
    CompoundSelect,
    Integer,
    Select,
    String,
    bindparam,
    case,
    cast,
    func,
    literal,
    null,
    or_,
    select,
    type_coerce,
    union_all,
)

from sinkside.archive.bench.touching import MOMENT_LENGTH
from sinkside.archive.connection import among
from sinkside.archive.schema_bench import case_sets, cases, copies
from sinkside.records import TracedRun, TracedSum

_USED: Final = "used"


def sum_of(touched: Sequence[Select[Any]]) -> CompoundSelect[Any]:
    """One statement for the sum: a row for each run that is shown, and one for each number.

    It leaves `most`, `codes` and `away` open beside what the statements of the touches do.
    """
    runs = _runs(_first_touches(touched))
    stays = or_(runs.c.own, runs.c.state == bindparam("away"))
    passed = (
        _shown(runs, "passed")
        .where(~stays)
        .order_by(_at(runs), runs.c.code, runs.c.run)
        .limit(bindparam("most"))
        .subquery()
    )
    return union_all(
        _shown(runs, "standing").where(stays),
        select(*passed.c),
        _shown(runs, "of code").where(among(runs.c.code, "codes")),
        _counted("runs", select(runs.c.run)),
        _counted("copies", select(runs.c.copy).distinct()),
        _counted("loads", select(_load(runs)).where(_load(runs) != "").distinct()),
        _counted("cases", _cases(runs)),
    )


def read_sum(rows: Iterable[Sequence[Any]]) -> TracedSum:
    """The sum, out of the rows of its statement."""
    numbers: dict[str, int] = {}
    shown: dict[str, list[TracedRun]] = {"standing": [], "passed": [], "of code": []}
    for what, number, *run in rows:
        if number is not None:
            numbers[what] = number
        else:
            shown[what].append(_traced(*run))
    return TracedSum(
        runs=numbers.get("runs", 0),
        copies=numbers.get("copies", 0),
        loads=numbers.get("loads", 0),
        cases=numbers.get("cases", 0),
        standing=_in_order(shown["standing"]),
        passed=_in_order(shown["passed"]),
        of_codes=_in_order(shown["of code"]),
    )


def _in_order(runs: list[TracedRun]) -> tuple[TracedRun, ...]:
    return tuple(sorted(runs, key=lambda one: (one.at, one.code, one.run)))


def _first_touches(touched: Sequence[Select[Any]]) -> CTE:
    """Each run once, by the first time that it was touched: of one moment, in a load before in none."""
    every = union_all(*touched).subquery("touched")
    no_load = case((every.c.load == "", "1"), else_="0")
    first = func.min(type_coerce(every.c.at, String).concat(no_load).concat(every.c.load))
    return (
        select(every.c.run, func.min(every.c.copy).label("copy"), first.label("first"))
        .group_by(every.c.run)
        .cte("firsts")
        .prefix_with("MATERIALIZED")
    )


def _runs(firsts: CTE) -> CTE:
    """The same with where its copy is now, and whether that is still on it."""
    of_copies = (copies.c.code, copies.c.name, copies.c.state, copies.c.place)
    return (
        select(*firsts.c, *of_copies, (copies.c.run == firsts.c.run).label("own"))
        .join_from(firsts, copies, copies.c.id == firsts.c.copy)
        .cte("reached")
        .prefix_with("MATERIALIZED")
    )


def _shown(runs: CTE, what: str) -> Select[Any]:
    return select(literal(what).label("what"), cast(null(), Integer).label("number"), *runs.c)


def _counted(what: str, those: Select[Any]) -> Select[Any]:
    nothing: list[ColumnElement[Any]] = [null() for _ in range(8)]
    return select(literal(what), func.count(), *nothing).select_from(those.subquery())


def _cases(runs: CTE) -> Select[Any]:
    # As a join SQLite would read every set of every case of years, for a filter that saves a few look-ups.
    of_runs = select(case_sets.c.case).where(
        case_sets.c.run.in_(select(runs.c.run)), case_sets.c.state == _USED
    )
    return select(cases.c.number).where(cases.c.id.in_(of_runs)).distinct()


def _at(runs: CTE) -> ColumnElement[str]:
    return func.substr(runs.c.first, 1, MOMENT_LENGTH)


def _load(runs: CTE) -> ColumnElement[str]:
    return func.substr(runs.c.first, MOMENT_LENGTH + 2)


def _traced(
    run: str, copy: str, first: str, code: str, name: str, state: str, place: str, own: bool
) -> TracedRun:
    at, load = datetime.fromisoformat(first[:MOMENT_LENGTH]), first[MOMENT_LENGTH + 1 :]
    return TracedRun(run, at, copy, code, name, state, place, bool(own), load)
