"""Rows as they are on the disk: one that was altered may not be readable as what it ought to be."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Column, ColumnElement, Integer, LargeBinary, RowMapping, Text, cast, type_coerce


def as_stored(columns: Iterable[Column[Any]], *, on_sqlite: bool) -> list[ColumnElement[Any]]:
    """Columns as they are on the disk: an altered one may be neither a moment nor even text any more."""
    if on_sqlite:
        return [
            column if isinstance(column.type, Integer) else cast(column, LargeBinary).label(column.name)
            for column in columns
        ]
    return [
        column
        if isinstance(column.type, (Integer, LargeBinary))
        else type_coerce(column, Text).label(column.name)
        for column in columns
    ]


def readable(row: RowMapping) -> dict[str, Any]:
    """A row that was read as stored, with its bytes as text; only canonical bytes stay what they are."""
    return {
        name: value.decode(errors="backslashreplace")
        if isinstance(value, bytes) and name != "canonical"
        else value
        for name, value in row.items()
    }
