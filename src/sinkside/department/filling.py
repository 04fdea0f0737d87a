"""One thing of a department added, changed or struck, as the columns of its sheet say it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Any, Final

from sinkside.department.coherence import incoherent
from sinkside.department.document import Department
from sinkside.department.spreadsheet.cells import NotRead, read_cell, write_cell
from sinkside.department.spreadsheet.columns import Sheet, sheets
from sinkside.department.spreadsheet.rows import Place, RowThing, laid_over, set_at, things, value_at
from sinkside.documents import to_values, validate
from sinkside.errors import BadDocument, Fault, NotThere

#: A cell as a form has it: text, or several words of which each stands for itself.
Cell = str | Sequence[str]

_LONGEST_ID: Final = 40


def thing_at(department: Department, sheet: Sheet, place: Place) -> RowThing:
    """A thing by its place.

    Raises:
        NotThere: if nothing stands there.
    """
    for thing in things(sheet, to_values(department)):
        if thing.place == place:
            return thing
    raise NotThere(f"there is no such {sheet.one} here", resource=sheet.name)


def cells_of(sheet: Sheet, thing: RowThing) -> dict[str, Cell]:
    """What a form shows of a thing, by heading; a list of words stays one."""
    found: dict[str, Cell] = {}
    for column in sheet.own_columns:
        value = value_at(thing.values, column.path)
        written = write_cell(value)
        shown = f"{written:g}" if isinstance(written, float) else "" if written is None else str(written)
        found[column.heading] = [str(one) for one in value] if isinstance(value, list) else shown
    return found


def added(
    department: Department, sheet: Sheet, cells: Mapping[str, Cell], *, under: Place = ()
) -> Department:
    """The department with one more thing; without an id it gets one made of its name.

    Args:
        department: as it stands.
        sheet: whose row it is.
        cells: by heading.
        under: the machine, and then the program, that it belongs to.

    Raises:
        BadDocument: with every fault by heading.
        NotThere: if what it is to belong to is not there.
    """
    values = to_values(department)
    shelf = _shelf(values, sheet, under)
    row = _row(sheet, cells)
    if "id" in {column.path[0] for column in sheet.own_columns} and not row.get("id"):
        row["id"] = _free_id(" ".join(str(row.get(field, "")) for field in sheet.named), values)
    shelf.append(laid_over(sheet, row, {}))
    return _checked(values, sheet, (*under, len(shelf) - 1), before=department)


def corrected(department: Department, sheet: Sheet, place: Place, cells: Mapping[str, Cell]) -> Department:
    """The department with a thing as the cells say it; its id, and what has no column, stay.

    Raises:
        BadDocument: with every fault by heading.
        NotThere: if nothing stands there.
    """
    thing = thing_at(department, sheet, place)
    values = to_values(department)
    row = _row(sheet, cells)
    if sheet.field and "id" in thing.values:
        row["id"] = thing.values["id"]
    if not sheet.field:
        return _checked(laid_over(sheet, row, values), sheet, place, before=department)
    shelf = _shelf(values, sheet, place[:-1])
    shelf[place[-1]] = laid_over(sheet, row, shelf[place[-1]])
    return _checked(values, sheet, place, before=department)


def struck(department: Department, sheet: Sheet, place: Place) -> Department:
    """The department without a thing.

    Raises:
        BadDocument: if something else leans on it.
        NotThere: if nothing stands there.
    """
    thing_at(department, sheet, place)
    values = to_values(department)
    del _shelf(values, sheet, place[:-1])[place[-1]]
    found = validate(Department, values, resource="")
    if loose := incoherent(found, before=department):
        told = "; ".join(fault.problem.partition(", which")[0] for fault in loose)
        raise BadDocument([Fault("", f"it is still needed: {told}")])
    return found


def _shelf(values: dict[str, Any], sheet: Sheet, under: Place) -> list[dict[str, Any]]:
    """The list that things of a sheet stand in."""
    owner: dict[str, Any] = values
    for step, place in zip(("machines", "programs"), under, strict=False):
        shelf = owner.get(step, [])
        if not 0 <= place < len(shelf):
            raise NotThere(f"there is no such {step.removesuffix('s')} here", resource=sheet.name)
        owner = shelf[place]
    if len(under) != {"": 0, "machine": 1, "program": 2}[sheet.owner] or not sheet.field:
        raise NotThere(f"there is no such {sheet.owner or 'list'} here", resource=sheet.name)
    found: list[dict[str, Any]] = owner.setdefault(sheet.field, [])
    return found


def _row(sheet: Sheet, cells: Mapping[str, Cell]) -> dict[str, Any]:
    row: dict[str, Any] = {}
    faults = [
        Fault(heading, f"a {sheet.one} has none")
        for heading, cell in cells.items()
        if cell and heading not in {column.heading for column in sheet.own_columns}
    ]
    for column in sheet.own_columns:
        cell = cells.get(column.heading, "")
        text = cell if isinstance(cell, str) else ", ".join(cell)
        if not text.strip():
            continue
        try:
            set_at(row, column.path, read_cell(column, text))
        except NotRead as error:
            faults.append(Fault(column.heading, str(error)))
    if faults:
        raise BadDocument(faults)
    return row


def _checked(values: dict[str, Any], sheet: Sheet, place: Place, *, before: Department) -> Department:
    path = _path(sheet, place)
    try:
        found = validate(Department, values, resource="")
    except BadDocument as error:
        raise BadDocument([_by_heading(fault, sheet, path) for fault in error.faults]) from error
    if loose := incoherent(found, before=before):
        raise BadDocument([_by_heading(fault, sheet, path) for fault in loose])
    return found


def _path(sheet: Sheet, place: Place) -> str:
    fields = {"": [], "machine": ["machines"], "program": ["machines", "programs"]}[sheet.owner]
    return ".".join(f"{field}[{at}]" for field, at in zip([*fields, sheet.field], place, strict=False))


def _by_heading(fault: Fault, sheet: Sheet, path: str) -> Fault:
    """A fault of the document told by the heading that it stands under."""
    if path and not fault.path.startswith(path):
        return Fault("", str(fault))
    rest = fault.path.removeprefix(path).strip(".").partition("[")[0]
    steps = tuple(rest.split(".")) if rest else ()
    column = next((one for one in sheet.own_columns if steps and one.path[: len(steps)] == steps), None)
    return Fault(column.heading, fault.problem) if column else Fault("", fault.problem)


def _free_id(name: str, values: Mapping[str, Any]) -> str:
    """A short name made of what people call a thing, that nothing else bears."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    wanted = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST_ID].strip("-") or "thing"
    taken = {
        str(thing.values.get("id"))
        for sheet in sheets().values()
        for thing in things(sheet, values)
        if sheet.field
    }
    number, free = 1, wanted
    while free in taken:
        number += 1
        free = f"{wanted}-{number}"
    return free
