"""A thing of a department as people read it: each figure with its name, both ends of a range together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from sinkside.department.spreadsheet.cells import write_cell
from sinkside.department.spreadsheet.columns import Column, Sheet
from sinkside.department.spreadsheet.rows import value_at

_ENDS: Final = (" from", " to")

#: What other things are called in a row, and on which shelf they stand.
_REFERENCES: Final = {
    "chemical": "chemicals",
    "water": "water",
    "shift": "shifts",
    "families": "families",
}


@dataclass(frozen=True)
class Fact:
    """One figure or word of a thing: what it is, how it reads, and the columns that it stands in."""

    label: str
    text: str
    columns: tuple[Column, ...]


def facts(sheet: Sheet, values: Mapping[str, Any], *, names: Mapping[str, str] | None = None) -> list[Fact]:
    """What is known of a thing, without its name and id.

    Args:
        sheet: whose row it is.
        values: the thing as plain values.
        names: how the things that it leans on are called, by their ids.
    """
    told = []
    for label, columns in _grouped(sheet):
        if label in {"id", "name"} and sheet.field:
            continue
        texts = [_text(values, column, names or {}) for column in columns]
        if any(texts):
            told.append(Fact(label, _joined(texts), columns))
    return told


def names_in(department: Mapping[str, Any]) -> dict[str, str]:
    """How what other things of a department lean on is called, by its id."""
    return {one["id"]: one["name"] for shelf in _REFERENCES.values() for one in department.get(shelf, ())}


def label_of(column: Column) -> str:
    """What a column tells, without which end of it."""
    for end in _ENDS:
        if column.heading.endswith(end):
            return column.heading.removesuffix(end)
    return column.heading


def _grouped(sheet: Sheet) -> Iterator[tuple[str, tuple[Column, ...]]]:
    groups: dict[str, list[Column]] = {}
    for column in sheet.own_columns:
        groups.setdefault(label_of(column), []).append(column)
    yield from ((label, tuple(columns)) for label, columns in groups.items())


def _text(values: Mapping[str, Any], column: Column, names: Mapping[str, str]) -> str:
    found = value_at(values, column.path)
    if column.heading in _REFERENCES:
        named = found if isinstance(found, list) else [found] if found else []
        return ", ".join(names.get(str(one), str(one)) for one in named)
    if isinstance(found, list) and not found:
        return ""
    written = write_cell(found)
    if isinstance(written, float):
        return f"{written:g}"
    return "" if written is None else str(written)


def _joined(texts: list[str]) -> str:
    if len(texts) == 1:
        return texts[0]
    low, high = texts
    if low and high:
        return low if low == high else f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}"
