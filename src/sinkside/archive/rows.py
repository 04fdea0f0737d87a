"""Lists that people look at, kept so that the first page of any of them is quick."""

from __future__ import annotations

import functools
from collections.abc import Collection, Sequence
from dataclasses import dataclass, fields
from typing import Final

from sqlalchemy import (
    JSON,
    BindParameter,
    ColumnElement,
    Executable,
    RowMapping,
    Text,
    bindparam,
    case,
    cast,
    func,
    select,
    type_coerce,
)

from sinkside.archive.connection import ESCAPE, Transaction, holding, unindexed
from sinkside.archive.schema import NEVER, Words, moment_text, rows
from sinkside.records import Row, WantedRows

#: Lists whose rows hold answers as JSON, which nobody looks for by typing words.
_NEVER_SEARCHED: Final = frozenset({"fit"})

#: In the order in which a row is made of them.
_KEPT = [rows.c[field.name] for field in fields(Row)]

_ROW = select(*_KEPT).where(rows.c.kind == bindparam("of_kind"), rows.c.id == bindparam("wanted"))

_TITLES = select(rows.c.id, rows.c.title).where(
    rows.c.kind == bindparam("of_kind"), rows.c.id.in_(bindparam("wanted", expanding=True))
)


class RowTable:
    """Lists that people look at."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, row: Row) -> None:
        """Add or change a row."""
        order = moment_text(row.due) if row.due else NEVER
        values = {**vars(row), "due_order": order, "words": _searched_words(row)}
        self._do.put(rows, values, key=("kind", "id"))

    def get(self, kind: str, row_id: str) -> Row | None:
        """One row."""
        found = self._do.first(_ROW, of_kind=kind, wanted=row_id)
        return _row(found) if found else None

    def titles(self, kind: str, ids: Collection[str]) -> dict[str, str]:
        """The titles of those rows that there are."""
        found = self._do.all(_TITLES, of_kind=kind, wanted=tuple(sorted(ids)))
        return {row["id"]: row["title"] for row in found}

    def all(
        self,
        kind: str,
        departments: Sequence[str],
        *,
        states: Sequence[str] = (),
        text: str | None = None,
        limit: int = 200,
        offset: int = 0,
    ) -> list[Row]:
        """Rows of a list: what is due first, then the latest changed."""
        wanted = WantedRows(states=states, text=text, limit=limit, offset=offset)
        return self.found(kind, departments, wanted)

    def found(self, kind: str, departments: Sequence[str], wanted: WantedRows) -> list[Row]:
        """The rows that are wanted, in the order that is wanted."""
        chosen = _chosen(_Shape.of(wanted, on_sqlite=self._do.on_sqlite))
        page = {"most": wanted.limit, "passed_over": wanted.offset}
        found = self._do.all(chosen, **_values(kind, departments, wanted), **page)
        return [_row(one) for one in found]

    def count_found(self, kind: str, departments: Sequence[str], wanted: WantedRows) -> int:
        """How many rows are wanted, on every page together."""
        counted = _counted(_Shape.of(wanted, on_sqlite=self._do.on_sqlite))
        return int(self._do.value(counted, **_values(kind, departments, wanted)))

    def count(self, kind: str, departments: Sequence[str], *, states: Sequence[str] = ()) -> int:
        """How many rows there are."""
        return self.count_found(kind, departments, WantedRows(states=states))


def _row(found: RowMapping) -> Row:
    """A row of what the database gives, which comes in the order in which it was asked for."""
    return Row(*found.values())


@dataclass(frozen=True)
class _Shape:
    """What a question asks for, without its values: the questions of one shape have one statement.

    There are as many shapes as the program has lists; building a statement takes longer than running it.
    """

    on_sqlite: bool
    states: bool
    text: bool
    fields: tuple[str, ...]
    since: bool
    until: bool
    ranks: tuple[tuple[str, tuple[tuple[str, int], ...]], ...]

    @classmethod
    def of(cls, wanted: WantedRows, *, on_sqlite: bool) -> _Shape:
        """The shape of what is wanted."""
        return cls(
            on_sqlite=on_sqlite,
            states=bool(wanted.states),
            text=bool(wanted.text),
            fields=tuple(wanted.fields),
            since=wanted.since is not None,
            until=wanted.until is not None,
            ranks=tuple((name, tuple(ranked.items())) for name, ranked in wanted.ranks.items()),
        )

    def field(self, name: str) -> ColumnElement[str]:
        """What a row says under a name, as text."""
        if name == "state":
            return rows.c.state
        kept = type_coerce(rows.c.fields, Text)
        if self.on_sqlite:
            return func.json_extract(kept, f'$."{name}"', type_=Words)
        return func.json_extract_path_text(cast(kept, JSON), name, type_=Words)

    def conditions(self) -> list[ColumnElement[bool]]:
        """What a row must fulfil."""
        own = (rows.c.department, rows.c.state)
        department, state = map(unindexed, own) if self.text else own
        asked = [rows.c.kind == bindparam("of_kind"), department.in_(_several("departments"))]
        if self.states:
            asked.append(state.in_(_several("states")))
        if self.text:
            asked.append(rows.c.words.like(bindparam("text"), escape=ESCAPE))
        asked += [self.field(name) == bindparam(f"field_{at}") for at, name in enumerate(self.fields)]
        if self.since:
            asked.append(rows.c.updated >= bindparam("since"))
        if self.until:
            asked.append(rows.c.updated < bindparam("until"))
        return asked


@functools.cache
def _chosen(shape: _Shape) -> Executable:
    ranks = [case(dict(ranked), value=shape.field(name), else_=len(ranked)) for name, ranked in shape.ranks]
    return (
        select(*_KEPT)
        .where(*shape.conditions())
        .order_by(*ranks, rows.c.due_order, rows.c.updated.desc(), rows.c.id)
        .limit(bindparam("most"))
        .offset(bindparam("passed_over"))
    )


@functools.cache
def _counted(shape: _Shape) -> Executable:
    return select(func.count()).select_from(rows).where(*shape.conditions())


def _several(name: str) -> BindParameter[Sequence[str]]:
    return bindparam(name, expanding=True)


def _values(kind: str, departments: Sequence[str], wanted: WantedRows) -> dict[str, object]:
    """The values for the names that the statement of a shape leaves open."""
    values: dict[str, object] = {"of_kind": kind, "departments": tuple(departments)}
    if wanted.states:
        values["states"] = tuple(wanted.states)
    if wanted.text:
        values["text"] = holding(wanted.text)
    values |= {f"field_{at}": value for at, value in enumerate(wanted.fields.values())}
    values |= {name: moment for name, moment in (("since", wanted.since), ("until", wanted.until)) if moment}
    return values


def _searched_words(row: Row) -> str:
    if row.kind in _NEVER_SEARCHED:
        return ""
    said = [row.id, row.title, row.state, *(value for value in row.fields.values() if isinstance(value, str))]
    return " ".join(said).casefold()
