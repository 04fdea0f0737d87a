"""Copies: physical sets and marked instruments, found by what a scanner reads and by what is due."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from sqlalchemy import RowMapping, bindparam, func, or_, select

from sinkside.archive.bench.binding import bind
from sinkside.archive.connection import ESCAPE, Transaction, holding
from sinkside.archive.schema import NEVER, moment_text
from sinkside.archive.schema_bench import copies
from sinkside.records import KeptCopy, WantedCopies

_ONE: Final = select(copies).where(copies.c.id == bindparam("wanted"))
_BY_CODE: Final = select(copies).where(
    copies.c.department == bindparam("here"), copies.c.code == bindparam("wanted")
)
_COUNTS: Final = (
    select(copies.c.state, func.count().label("copies"))
    .where(copies.c.department == bindparam("here"))
    .group_by(copies.c.state)
)


class CopyTable:
    """What stands where."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, copy: KeptCopy) -> None:
        """Add a copy, or change it.

        Raises:
            Conflict: if another copy here has its code.
        """
        values = {**vars(copy), "due_order": moment_text(copy.due) if copy.due else NEVER}
        del values["due"]
        self._do.put(copies, values, key=("id",))
        bind(self._do, copies, values)

    def get(self, copy: str) -> KeptCopy | None:
        """A copy."""
        found = self._do.first(_ONE, wanted=copy)
        return _copy(found) if found else None

    def by_code(self, department: str, code: str) -> KeptCopy | None:
        """The copy that a scanner's code belongs to."""
        found = self._do.first(_BY_CODE, here=department, wanted=code)
        return _copy(found) if found else None

    def found(self, department: str, wanted: WantedCopies) -> list[KeptCopy]:
        """The copies that are wanted: what is due first, then by name."""
        statement = (
            select(copies)
            .where(copies.c.department == department, *_conditions(wanted))
            .order_by(copies.c.due_order, copies.c.name, copies.c.id)
            .limit(wanted.limit)
            .offset(wanted.offset)
        )
        return [_copy(row) for row in self._do.all(statement)]

    def counts(self, department: str) -> dict[str, int]:
        """How many copies stand how."""
        return {row["state"]: row["copies"] for row in self._do.all(_COUNTS, here=department)}


def _conditions(wanted: WantedCopies) -> list[Any]:
    conditions: list[Any] = []
    if wanted.states:
        conditions.append(copies.c.state.in_(wanted.states))
    if wanted.of:
        conditions.append(copies.c.of == wanted.of)
    if wanted.due_before:
        conditions.append(copies.c.due_order < moment_text(wanted.due_before))
    if wanted.text:
        like = holding(wanted.text)
        named = (func.lower(column).like(like, escape=ESCAPE) for column in (copies.c.name, copies.c.code))
        conditions.append(or_(*named))
    return conditions


def _copy(found: RowMapping) -> KeptCopy:
    values = dict(found)
    order = values.pop("due_order")
    return KeptCopy(**values, due=None if order == NEVER else datetime.fromisoformat(order))
