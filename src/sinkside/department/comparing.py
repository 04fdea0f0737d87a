"""Two revisions of a department side by side, in the trade's terms: drying time 20 min → 30 min."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, Final, Literal

from sinkside.department.document import Department
from sinkside.department.spreadsheet.columns import Column, Sheet, sheets
from sinkside.department.spreadsheet.facts import facts, label_of, names_in
from sinkside.department.spreadsheet.rows import PARTS, RowThing, things, value_at
from sinkside.documents import Value, to_values
from sinkside.errors import BadQuantity
from sinkside.quantities import Quantity

_ARROW: Final = "→"
_NOTHING: Final = "not stated"
_RELATIVE: Final = 1e-9


class DepartmentChange(Value):
    """One difference: of which sheet, which thing, what of it, how it was and is, and all in one line."""

    kind: Literal["added", "removed", "changed"]
    sheet: str
    thing: str
    what: str = ""
    before: str = ""
    after: str = ""
    sentence: str


def compare_departments(before: Department | None, after: Department) -> tuple[DepartmentChange, ...]:
    """What changed between two revisions, sheet by sheet; a figure in another unit is no change.

    What belongs to a machine or program that is new or gone is not told again by itself.

    >>> from sinkside.department import Brush
    >>> def site(length: str) -> Department:
    ...     brush = Brush.model_validate({"id": "b1", "name": "Brush", "length": length})
    ...     return Department(name="North", brushes=(brush,))
    >>> [change.sentence for change in compare_departments(site("30 cm"), site("400 mm"))]
    ['Brush: length 30 cm → 400 mm']
    """
    old, new = to_values(before) if before else {}, to_values(after)
    names = {**names_in(old), **names_in(new)}
    return tuple(change for sheet in sheets().values() for change in _of_sheet(sheet, old, new, names))


def compare_things(
    sheet: Sheet, before: RowThing, after: RowThing, names: Mapping[str, str]
) -> Iterator[DepartmentChange]:
    """What changed of one thing."""
    if before.name != after.name:
        yield _changed(sheet, after, "name", before.name, after.name)
    old = {fact.label: fact.text for fact in facts(sheet, before.values, names=names)}
    new = {fact.label: fact.text for fact in facts(sheet, after.values, names=names)}
    labels = [
        label_of(column)
        for column in sheet.own_columns
        if column.heading not in {"id", "name"} and not _same(column, before.values, after.values)
    ]
    for label in dict.fromkeys(labels):
        yield _changed(sheet, after, label, old.get(label, _NOTHING), new.get(label, _NOTHING))
    yield from _beyond(sheet, before, after)


def _of_sheet(
    sheet: Sheet, old: Mapping[str, Any], new: Mapping[str, Any], names: Mapping[str, str]
) -> Iterator[DepartmentChange]:
    before, after = _keyed(sheet, old), _keyed(sheet, new)
    owners_before, owners_after = _owners(sheet, old), _owners(sheet, new)
    for key, thing in before.items():
        if key not in after and key[:-1] in owners_after:
            yield _lone("removed", sheet, thing, names)
    for key, thing in after.items():
        if key in before:
            yield from compare_things(sheet, before[key], thing, names)
        elif key[:-1] in owners_before:
            yield _lone("added", sheet, thing, names)


def _keyed(sheet: Sheet, values: Mapping[str, Any]) -> dict[tuple[str, ...], RowThing]:
    """The things of a sheet by what tells them apart; a phase that comes twice is told by its turn."""
    found: dict[tuple[str, ...], RowThing] = {}
    for thing in things(sheet, values):
        own = str(thing.values.get(sheet.key, "")) if sheet.field else ""
        turn = 1
        while (*thing.owner_keys, own if turn == 1 else f"{own} ({turn})") in found:
            turn += 1
        found[(*thing.owner_keys, own if turn == 1 else f"{own} ({turn})")] = thing
    return found


def _owners(sheet: Sheet, values: Mapping[str, Any]) -> set[tuple[str, ...]]:
    """Those that things of a sheet can belong to."""
    if not sheet.owner:
        return {()}
    machines = values.get("machines", ())
    if sheet.owner == "machine":
        return {(machine["id"],) for machine in machines}
    return {
        (machine["id"], program["name"]) for machine in machines for program in machine.get("programs", ())
    }


def _same(column: Column, before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    was, is_now = value_at(before, column.path), value_at(after, column.path)
    if was == is_now or not (was or is_now):
        return True
    if column.kind != "quantity" or not (was and is_now):
        return False
    try:
        first = Quantity.parse(str(was))
        return math.isclose(Quantity.parse(str(is_now)).to(first.unit), first.value, rel_tol=_RELATIVE)
    except BadQuantity:
        return False


def _beyond(sheet: Sheet, before: RowThing, after: RowThing) -> Iterator[DepartmentChange]:
    """What changed of that which has no column."""
    shelves = {one.field for one in sheets().values()} if not sheet.field else PARTS
    columns = {column.path for column in sheet.columns}
    old, new = (
        {
            path: value
            for path, value in _leaves(thing.values)
            if path[0] not in shelves and path not in columns
        }
        for thing in (before, after)
    )
    for path in dict.fromkeys([*old, *new]):
        if old.get(path) != new.get(path):
            words = " ".join(path).replace("_", " ")
            was, is_now = (str(side.get(path, _NOTHING)) for side in (old, new))
            yield _changed(sheet, after, words, was, is_now)


def _leaves(values: Mapping[str, Any], path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    for key, value in values.items():
        if isinstance(value, Mapping):
            yield from _leaves(value, (*path, key))
        else:
            yield (*path, key), value


def _changed(sheet: Sheet, thing: RowThing, what: str, before: str, after: str) -> DepartmentChange:
    name = thing.name if sheet.field else sheet.words
    sentence = f"{name}: {what} {before} {_ARROW} {after}"
    return DepartmentChange(
        kind="changed",
        sheet=sheet.name,
        thing=name,
        what=what,
        before=before,
        after=after,
        sentence=sentence,
    )


def _lone(
    kind: Literal["added", "removed"], sheet: Sheet, thing: RowThing, names: Mapping[str, str]
) -> DepartmentChange:
    told = ", ".join(f"{fact.label} {fact.text}" for fact in facts(sheet, thing.values, names=names))
    name = thing.name if sheet.field else sheet.words
    return DepartmentChange(
        kind=kind,
        sheet=sheet.name,
        thing=name,
        before=told if kind == "removed" else "",
        after=told if kind == "added" else "",
        sentence=f"{kind}: {sheet.one} {name}{f' ({told})' if told else ''}",
    )
