"""A department read from a spreadsheet: every fault told by sheet, row and column, nothing half taken."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from sinkside.department.coherence import incoherent
from sinkside.department.document import Department
from sinkside.department.spreadsheet.cells import NotRead, read_cell
from sinkside.department.spreadsheet.columns import Column, Sheet, sheets
from sinkside.department.spreadsheet.rows import laid_over, set_at
from sinkside.documents import to_values, validate
from sinkside.errors import BadDocument, Fault, UnreadableFile

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

#: No department comes near this; a longer sheet is something else.
MOST_ROWS: Final = 5_000


@dataclass
class _Row:
    """One row as plain values, with where it stands."""

    sheet: Sheet
    number: int
    values: dict[str, Any]
    given: set[tuple[str, ...]] = field(default_factory=set)


def read_spreadsheet(
    data: bytes, *, onto: Department | None = None, resource: str = "spreadsheet"
) -> Department:
    """A department from a spreadsheet.

    A kind of thing whose sheet is not there stays as it is; of one whose sheet is there, only the rows
    are left. What of a thing has no column stays as it is.

    Args:
        data: The file, .xlsx.
        onto: The department as it stands.
        resource: What the file is called, for errors.

    Raises:
        UnreadableFile: if the file is no spreadsheet.
        BadDocument: with every fault by sheet, row and column.
    """
    faults: list[Fault] = []
    rows = list(_rows(open_workbook(data, resource), faults))
    before = to_values(onto) if onto else {"name": ""}
    values, places = _assembled(rows, before, faults)
    if faults:
        raise BadDocument(faults, resource=resource)
    try:
        found = validate(Department, values, resource=resource)
    except BadDocument as error:
        told = [_placed(fault, places, values) for fault in error.faults]
        raise BadDocument(told, resource=resource) from error
    if loose := incoherent(found, before=onto):
        raise BadDocument([_placed(fault, places, values) for fault in loose], resource=resource)
    return found


def open_workbook(data: bytes, resource: str) -> Workbook:
    """A workbook of which nothing but the values is read.

    Raises:
        UnreadableFile: if the file is no spreadsheet.
    """
    import zipfile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        return load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, OSError, TypeError) as error:
        raise UnreadableFile("this is no spreadsheet; expected an .xlsx file", resource=resource) from error


def _rows(workbook: Workbook, faults: list[Fault]) -> Iterator[_Row]:
    """Every row of every sheet, read cell by cell; sheets are looked for under their names."""
    known = sheets()
    for title in workbook.sheetnames:
        sheet = known.get(title.strip().casefold())
        if sheet is None:
            faults.append(Fault(title, f"unknown sheet; expected {', '.join(known)}"))
        else:
            yield from _rows_of(sheet, workbook[title], faults)


def _rows_of(sheet: Sheet, found: Worksheet, faults: list[Fault]) -> Iterator[_Row]:
    lines = found.iter_rows(values_only=True, max_row=MOST_ROWS + 2)
    columns = _columns(sheet, next(lines, ()), faults)
    yield _Row(sheet, 1, {})
    for number, cells in enumerate(lines, start=2):
        if number > MOST_ROWS + 1:
            faults.append(Fault(f"{sheet.name}, row {number}", f"too many rows; at most {MOST_ROWS}"))
            return
        pairs = [
            (column, cell)
            for column, cell in zip(columns, cells, strict=False)
            if column is not None and cell is not None and str(cell).strip()
        ]
        if pairs:
            yield _row(sheet, number, pairs, faults)


def _columns(sheet: Sheet, heads: tuple[Any, ...], faults: list[Fault]) -> list[Column | None]:
    """The columns by their headings, in whatever order they stand."""
    known = {column.heading.casefold(): column for column in sheet.columns}
    found: list[Column | None] = []
    for head in heads:
        named = str(head or "").strip()
        column = known.get(named.casefold())
        if named and column is None:
            expected = ", ".join(column.heading for column in sheet.columns)
            faults.append(Fault(f"{sheet.name}, row 1", f"unknown column '{named}'; expected {expected}"))
        found.append(column)
    return found


def _row(sheet: Sheet, number: int, pairs: list[tuple[Column, Any]], faults: list[Fault]) -> _Row:
    row = _Row(sheet, number, {})
    for column, cell in pairs:
        try:
            set_at(row.values, column.path, read_cell(column, cell))
            row.given.add(column.path)
        except NotRead as error:
            faults.append(Fault(f"{sheet.name}, row {number}, {column.heading}", str(error)))
    return row


#: Where in the document each row went, by the path that faults are told under.
_Places = dict[str, _Row]


def _assembled(
    rows: list[_Row], before: dict[str, Any], faults: list[Fault]
) -> tuple[dict[str, Any], _Places]:
    """The document of the rows, laid over what was there before."""
    values = {**before}
    places: _Places = {}
    for name, sheet in sheets().items():
        own = [row for row in rows if row.sheet.name == name]
        if not own:
            continue
        filled = [row for row in own if row.values]
        if not sheet.field:
            for row in filled:
                values = laid_over(sheet, row.values, before)
                places[""] = row
        elif not sheet.owner:
            old = {thing.get(sheet.key): thing for thing in before.get(sheet.field, ())}
            values[sheet.field] = [
                laid_over(sheet, row.values, old.get(row.values.get(sheet.key), {})) for row in filled
            ]
            places |= {f"{sheet.field}[{place}]": row for place, row in enumerate(filled)}
        else:
            places |= _joined(sheet, filled, values, faults)
    return values, places


def _joined(sheet: Sheet, rows: list[_Row], values: dict[str, Any], faults: list[Fault]) -> _Places:
    """The rows put into the machines or programs that they belong to."""
    owners = _owners(sheet, values)
    before = {key: list(owner.get(sheet.field, ())) for key, (_, owner) in owners.items()}
    for _, owner in owners.values():
        owner[sheet.field] = []
    places: _Places = {}
    names = [column.heading for column in sheet.columns[: len(sheet.columns) - len(sheet.own_columns)]]
    for row in rows:
        key = tuple(str(row.values.pop(name, "")) for name in names)
        if key not in owners:
            known = ", ".join(" / ".join(owner) for owner in owners) or "none"
            told = f"there is no {sheet.owner} '{' / '.join(key)}'; known are {known}"
            faults.append(Fault(f"{sheet.name}, row {row.number}, {names[-1]}", told))
            continue
        path, owner = owners[key]
        same = [old for old in before[key] if _is_same(old, row.values)]
        places[f"{path}.{sheet.field}[{len(owner[sheet.field])}]"] = row
        owner[sheet.field].append(laid_over(row.sheet, row.values, same[0] if same else {}))
    return places


def _is_same(old: dict[str, Any], new: dict[str, Any]) -> bool:
    """Whether two things are one: by id where they have one, else by name."""
    key = "id" if "id" in old else "name"
    return bool(old.get(key) == new.get(key))


def _owners(sheet: Sheet, values: dict[str, Any]) -> dict[tuple[str, ...], tuple[str, dict[str, Any]]]:
    """The machines or programs of the document by what rows call them, with their paths."""
    found: dict[tuple[str, ...], tuple[str, dict[str, Any]]] = {}
    for place, machine in enumerate(values.get("machines", ())):
        name = str(machine.get("id", ""))
        if sheet.owner == "machine":
            found[(name,)] = (f"machines[{place}]", machine)
            continue
        for number, program in enumerate(machine.get("programs", ())):
            path = f"machines[{place}].programs[{number}]"
            found[name, str(program.get("name", ""))] = (path, program)
    return found


def _placed(fault: Fault, places: _Places, values: dict[str, Any]) -> Fault:
    """A fault of the document told by sheet, row and column; of what no row tells, by its name."""
    under = [path for path in places if fault.path == path or fault.path.startswith(f"{path}.") or not path]
    if not under:
        return Fault(_named(fault.path, values), fault.problem)
    path = max(under, key=len)
    row = places[path]
    rest = fault.path.removeprefix(path).strip(".")
    steps = tuple(rest.split("[", maxsplit=1)[0].split(".")) if rest else ()
    column = next((c for c in row.sheet.columns if steps and c.path[: len(steps)] == steps), None)
    if not path and not column:
        return Fault(_named(fault.path, values), fault.problem)
    where = f"{row.sheet.name}, row {row.number}"
    return Fault(
        f"{where}, {column.heading}" if column else where, fault.problem if column or not rest else str(fault)
    )


def _named(path: str, values: dict[str, Any]) -> str:
    """A path with names in the place of numbers: machines, Washer 1, programs, Instruments 90."""
    told: list[str] = []
    found: Any = values
    for step in path.split(".") if path else ():
        shelf, _, place = step.partition("[")
        found = found.get(shelf) if isinstance(found, dict) else None
        if place and isinstance(found, list):
            found = found[int(place.rstrip("]"))]
            told += [shelf, str(found.get("name", place.rstrip("]")))]
        else:
            told.append(step)
    return ", ".join(told)
