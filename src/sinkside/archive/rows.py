"""Lists that people look at, kept so that the first page of any of them is quick."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from sqlalchemy import JSON, ColumnElement, Text, bindparam, case, cast, func, select, type_coerce

from sinkside.archive.connection import Transaction, unindexed
from sinkside.archive.schema import NEVER, Words, moment_text, rows
from sinkside.records import Row, WantedRows

_KEPT = [column for column in rows.c if column.name not in {"due_order", "words"}]

_ROW = select(*_KEPT).where(rows.c.kind == bindparam("of_kind"), rows.c.id == bindparam("wanted"))


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
        return Row(**found) if found else None

    def titles(self, kind: str, ids: Collection[str]) -> dict[str, str]:
        """The titles of those rows that there are."""
        chosen = select(rows.c.id, rows.c.title).where(rows.c.kind == kind, rows.c.id.in_(ids))
        return {row["id"]: row["title"] for row in self._do.all(chosen)}

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
        ranks = [
            case(dict(ranked), value=self._field(name), else_=len(ranked))
            for name, ranked in wanted.ranks.items()
        ]
        chosen = (
            select(*_KEPT)
            .where(*self._conditions(kind, departments, wanted))
            .order_by(*ranks, rows.c.due_order, rows.c.updated.desc(), rows.c.id)
            .limit(wanted.limit)
            .offset(wanted.offset)
        )
        return [Row(**row) for row in self._do.all(chosen)]

    def count_found(self, kind: str, departments: Sequence[str], wanted: WantedRows) -> int:
        """How many rows are wanted, on every page together."""
        conditions = self._conditions(kind, departments, wanted)
        return int(self._do.value(select(func.count()).select_from(rows).where(*conditions)))

    def _conditions(
        self, kind: str, departments: Sequence[str], wanted: WantedRows
    ) -> list[ColumnElement[bool]]:
        conditions = _wanted(kind, departments, wanted.states, searched=bool(wanted.text))
        if wanted.text:
            conditions.append(rows.c.words.contains(wanted.text.casefold(), autoescape=True))
        conditions += [self._field(name) == value for name, value in wanted.fields.items()]
        if wanted.since:
            conditions.append(rows.c.updated >= wanted.since)
        if wanted.until:
            conditions.append(rows.c.updated < wanted.until)
        return conditions

    def _field(self, name: str) -> ColumnElement[str]:
        """What a row says under a name, as text."""
        if name == "state":
            return rows.c.state
        kept = type_coerce(rows.c.fields, Text)
        if self._do.on_sqlite:
            return func.json_extract(kept, f'$."{name}"', type_=Words)
        return func.json_extract_path_text(cast(kept, JSON), name, type_=Words)

    def count(self, kind: str, departments: Sequence[str], *, states: Sequence[str] = ()) -> int:
        """How many rows there are."""
        wanted = _wanted(kind, departments, states)
        return int(self._do.value(select(func.count()).select_from(rows).where(*wanted)))


def _wanted(
    kind: str, departments: Sequence[str], states: Sequence[str], *, searched: bool = False
) -> list[ColumnElement[bool]]:
    own = (rows.c.department, rows.c.state)
    department, state = map(unindexed, own) if searched else own
    wanted = [rows.c.kind == kind, department.in_(departments)]
    if states:
        wanted.append(state.in_(states))
    return wanted


def _searched_words(row: Row) -> str:
    said = [row.id, row.title, row.state, *(value for value in row.fields.values() if isinstance(value, str))]
    return " ".join(said).casefold()
