"""The things of a department as rows of its sheets, in plain values, and rows laid back over things."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from sinkside.department.spreadsheet.columns import Sheet

#: What stands on sheets of its own.
PARTS: Final = {"programs", "racks", "phases", "lumen_claims"}

#: Where a thing stands: its place on its shelf, behind the places of those that it belongs to.
Place = tuple[int, ...]


@dataclass(frozen=True)
class RowThing:
    """One thing: its place, those that it belongs to (the machine, then the program), and its own values.

    `called` is what people call it by itself.
    """

    called: str
    place: Place
    owners: tuple[Mapping[str, Any], ...]
    values: Mapping[str, Any]

    @property
    def owner_keys(self) -> tuple[str, ...]:
        """What rows call those that it belongs to: a machine's id, a program's name."""
        keys = ("id", "name")
        return tuple(str(owner[key]) for owner, key in zip(self.owners, keys, strict=False))

    @property
    def name(self) -> str:
        """What people call it, with those that it belongs to before."""
        return ", ".join([*(str(owner.get("name", "")) for owner in self.owners), self.called])


def things(sheet: Sheet, values: Mapping[str, Any]) -> Iterator[RowThing]:
    """Every thing of a sheet, in the order of the document."""
    if not sheet.field:
        if values:
            yield RowThing(_called(sheet, values), (), (), values)
        return
    for place, owners in _owners(sheet, values):
        shelf = (owners[-1] if owners else values).get(sheet.field, ())
        for at, thing in enumerate(shelf):
            yield RowThing(_called(sheet, thing), (*place, at), owners, thing)


def _owners(sheet: Sheet, values: Mapping[str, Any]) -> Iterator[tuple[Place, tuple[Mapping[str, Any], ...]]]:
    """Whose things a sheet's are, with their places: the department's own, a machine's, a program's."""
    if not sheet.owner:
        yield (), ()
        return
    for at, machine in enumerate(values.get("machines", ())):
        if sheet.owner == "machine":
            yield (at,), (machine,)
            continue
        for number, program in enumerate(machine.get("programs", ())):
            yield (at, number), (machine, program)


def _called(sheet: Sheet, values: Mapping[str, Any]) -> str:
    said = (values.get(field) for field in sheet.named)
    return ", ".join(str(one) for one in said if one)


def value_at(values: Mapping[str, Any], path: tuple[str, ...]) -> Any:
    """What stands at a path; none where nothing does."""
    found: Any = values
    for step in path:
        found = found.get(step) if isinstance(found, Mapping) else None
    return found


def set_at(values: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    """Put a value at a path."""
    for step in path[:-1]:
        values = values.setdefault(step, {})
    values[path[-1]] = value


def laid_over(sheet: Sheet, row: dict[str, Any], before: Mapping[str, Any]) -> dict[str, Any]:
    """What was there with the row's columns in its place; a cell left empty takes out what was there."""
    kept = {key: value for key, value in before.items() if key not in PARTS}
    under = {key: value for key, value in before.items() if key in PARTS}
    for column in sheet.own_columns:
        _drop(kept, column.path)
    return {**_merged(kept, row), **under}


def _drop(values: dict[str, Any], path: tuple[str, ...]) -> None:
    """Take out one value, and the parts that are empty without it; the original stays whole."""
    head, rest = path[0], path[1:]
    if head not in values:
        return
    if rest and isinstance(values[head], dict):
        inner = dict(values[head])
        _drop(inner, rest)
        if inner:
            values[head] = inner
            return
    del values[head]


def _merged(first: dict[str, Any], second: dict[str, Any]) -> dict[str, Any]:
    found = dict(first)
    for key, value in second.items():
        inner = found.get(key)
        found[key] = _merged(inner, value) if isinstance(inner, dict) and isinstance(value, dict) else value
    return found
