"""Binding: how things of the bench stand goes into the chain with the next event, as digests of their rows.

Rows of runs, loads and copies change with every tap; whoever owns the database can change them too. The event
of an act carries the digest of every such row that the act changed, so that a check sees what no act made.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Any, Final

from sqlalchemy import Table, TypeDecorator
from sqlalchemy.engine.default import DefaultDialect

from sinkside.archive.connection import Transaction
from sinkside.archive.schema_bench import copies, loads, runs

#: Under this name an event has the digests of the rows that it brought with it.
BOUND: Final = "rows"

#: Which columns are bound, of which tables. They stay these: digests that stand in a chain are recomputed.
BOUND_COLUMNS: Final = {
    copies: (
        "id",
        "department",
        "code",
        "kind",
        "of",
        "name",
        "state",
        "place",
        "updated",
        "run",
        "due_order",
        "fields",
    ),
    runs: ("id", "department", "copy", "opened", "state", "version", "body", "closed", "plan"),
    loads: (
        "id",
        "department",
        "station",
        "machine",
        "program",
        "state",
        "opened",
        "started",
        "cycle",
        "fields",
    ),
}

_DIGEST_BYTES: Final = 16

#: None of our own kinds of column asks which database it is.
_ANY_DATABASE: Final = DefaultDialect()


def bind(transaction: Transaction, table: Table, values: Mapping[str, Any]) -> None:
    """Have the next event of a department carry how one of its rows is kept now."""
    stored = (_stored(table, name, values[name]) for name in BOUND_COLUMNS[table])
    transaction.unbound.setdefault(values["department"], {})[row_name(table, values["id"])] = digest(stored)


def row_name(table: Table, row_id: str) -> str:
    """What events call a row.

    >>> row_name(runs, "r-1")
    'runs r-1'
    """
    return f"{table.name} {row_id}"


def digest(stored: Iterable[str | int | None]) -> str:
    """The digest of a row as it is stored, column by column.

    >>> digest(["r-1", 2, None]) == digest(["r-1", "2", None])
    True
    """
    text = json.dumps([None if value is None else str(value) for value in stored], ensure_ascii=True)
    return hashlib.blake2b(text.encode(), digest_size=_DIGEST_BYTES).hexdigest()


def _stored(table: Table, name: str, value: Any) -> Any:
    kind = table.c[name].type
    return kind.process_bind_param(value, _ANY_DATABASE) if isinstance(kind, TypeDecorator) else value
