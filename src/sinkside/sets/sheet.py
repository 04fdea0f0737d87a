"""The contents of a set as one sheet of a spreadsheet: a row a device or a part of one; faults row by row."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from sinkside.department.spreadsheet.cells import NotRead, read_cell, write_cell
from sinkside.department.spreadsheet.columns import Column, ColumnKind
from sinkside.department.spreadsheet.reading import open_workbook
from sinkside.errors import BadDocument, Fault
from sinkside.sets.coherence import read_set
from sinkside.sets.document import Member, SetDocument

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

SHEET: Final = "set"
MOST_ROWS: Final = 2_000
_WIDTH: Final = 20


def _column(heading: str, kind: ColumnKind, says: str, example: str) -> Column:
    return Column(heading, (heading.replace(" ", "_"),), kind, says, example)


#: The columns, in the order of the template; on paper and in files they may stand in any.
COLUMNS: Final = (
    _column("device", "text", "The device as its instruction names it.", "Hibari 55 micro-scissors"),
    _column("name", "text", "What the set calls it; the device unless said.", "scissors, curved"),
    _column("part", "text", "On a row of its own, a part counted by itself.", "insulated sleeve"),
    _column("count", "whole", "How many; of a part, for one device.", "2"),
    _column("mass", "quantity", "What one weighs.", "9 g"),
    _column("lies", "text", "Where it lies, in words.", "left row"),
    _column("order of use", "whole", "Its turn at the table.", "3"),
    _column("holder", "text", "What it lies in inside the packaging.", "silicone rack"),
    _column("belongs with", "list", "Names of what it belongs with, one for one.", "scissors, straight"),
    _column("kept apart from", "text", "The name of what must not lie beside it.", "bone punch"),
    _column("why apart", "text", "Why not.", "Its edge harms the tips."),
    _column("may be replaced by", "text", "A device that may stand in for it.", "Hibari 60 micro-scissors"),
    _column("allowed by", "text", "Who allowed that.", "M. Lind, eye surgery"),
    _column("why replaced", "text", "Why, or until when.", "until the second pair is back"),
)

_OF_THE_DEVICE: Final = ("count", "mass", "lies", "order_of_use", "holder")
_OF_A_PART: Final = ("count", "mass", "lies")
_RELATIONS: Final = (
    ("apart", {"kept_apart_from": "of", "why_apart": "why"}),
    (
        "substitutes",
        {"may_be_replaced_by": "instruction", "allowed_by": "allowed_by", "why_replaced": "why"},
    ),
)
_FIELDS: Final = {"order_of_use": "order", "belongs_with": "mates"}


@dataclass
class _Row:
    number: int
    values: dict[str, Any]

    def take(self, *names: str) -> dict[str, Any]:
        """The values of some columns, under the names that the document has for them."""
        return {_FIELDS.get(name, name): self.values[name] for name in names if name in self.values}


@dataclass
class _Assembled:
    """The members as they grow, and which row and column each path of the document came from."""

    members: list[dict[str, Any]] = field(default_factory=list)
    origins: dict[str, tuple[int, str]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def add(self, row: _Row) -> None:
        """Lay one row over what the rows before it made."""
        at = self._place(row)
        if at is None:
            told = "expected a device, or a part below its device"
            self.faults.append(Fault(f"row {row.number}, device", told))
        elif "part" in row.values:
            self._append(f"members[{at}]", "parts", row.take("part", *_OF_A_PART), row)
        else:
            member = self.members[at]
            member["mates"] = [*member.get("mates", ()), *row.values.get("belongs_with", ())]
            for list_name, columns in _RELATIONS:
                if found := {to: row.values[name] for name, to in columns.items() if name in row.values}:
                    self._append(f"members[{at}]", list_name, found, row)

    def _place(self, row: _Row) -> int | None:
        """The member that a row is about: one of its own, one that stands already, or the last one."""
        device = str(row.values.get("device", ""))
        called = str(row.values.get("name") or device)
        known = [str(member.get("name") or member["instruction"]) for member in self.members]
        own = row.take(*_OF_THE_DEVICE) if "part" not in row.values else {}
        if not called:
            return None if own or not known else len(known) - 1
        if called in known:
            if own:
                told = f"{called} stands twice; raise its count, or give each a name of its own"
                self.faults.append(Fault(f"row {row.number}, device", told))
            return known.index(called)
        name = {"name": called} if called != device else {}
        self.members.append({"instruction": device or called, **name, **own})
        self.origins[f"members[{len(self.members) - 1}]"] = (row.number, "members")
        return len(self.members) - 1

    def _append(self, member: str, list_name: str, values: dict[str, Any], row: _Row) -> None:
        at = int(member[len("members[") : -1])
        shelf = self.members[at].setdefault(list_name, [])
        self.origins[f"{member}.{list_name}[{len(shelf)}]"] = (row.number, list_name)
        shelf.append(values)

    def told(self, fault: Fault) -> Fault:
        """A fault of the document by its row, and by its column where it has one."""
        under = [path for path in self.origins if fault.path == path or fault.path.startswith(f"{path}.")]
        under += [path for path in self.origins if fault.path.startswith(f"{path}[")]
        if not under:
            return fault
        number, list_name = self.origins[max(under, key=len)]
        last = fault.path.rpartition(".")[2].partition("[")[0]
        heading = _HEADINGS[list_name].get(last, last.replace("_", " "))
        return Fault(f"row {number}, {heading}", fault.problem)


#: What each field of the document is called in the head of the sheet, where it is called otherwise.
_HEADINGS: Final[dict[str, dict[str, str]]] = {
    "members": {"instruction": "device", "order": "order of use", "mates": "belongs with"},
    "parts": {},
    **{
        list_name: {to: name.replace("_", " ") for name, to in columns.items()}
        for list_name, columns in _RELATIONS
    },
}


def read_sheet(
    data: bytes, *, name: str = "", onto: SetDocument | None = None, resource: str = "spreadsheet"
) -> SetDocument:
    """A set from one sheet; what is said of the set as a whole stays as it is.

    Args:
        data: the file, .xlsx; its first sheet is read.
        name: what the set is called.
        onto: the set as it stands, whose name, packaging and masses are kept.
        resource: what the file is called, for errors.

    Raises:
        UnreadableFile: if the file is no spreadsheet.
        BadDocument: with every fault by row and column.
    """
    made = _Assembled()
    workbook = open_workbook(data, resource)
    for row in _rows(workbook[workbook.sheetnames[0]], made.faults):
        made.add(row)
    if not made.members and not made.faults:
        made.faults.append(Fault("row 2", "there is no device; expected one a row"))
    if made.faults:
        raise BadDocument(made.faults, resource=resource)
    kept = onto.model_dump(mode="json", exclude_none=True) if onto else {"name": name}
    try:
        return read_set({**kept, "members": made.members}, resource=resource)
    except BadDocument as error:
        raise BadDocument([made.told(fault) for fault in error.faults], resource=resource) from error


def write_sheet(document: SetDocument | None) -> bytes:
    """The contents of a set as an .xlsx file with one sheet; every heading has a note on what it holds.

    Args:
        document: the set; none for the template with headings alone.
    """
    from openpyxl import Workbook
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    workbook = Workbook()
    page = workbook.worksheets[0]
    page.title = SHEET
    _head(page)
    for member in document.members if document else ():
        for values in _rows_of(member):
            page.append([write_cell(values.get(column.path[0])) for column in COLUMNS])
            for cell in page[page.max_row]:
                if isinstance(cell.value, str):
                    # What somebody typed is never a formula, however it begins.
                    cell.value = ILLEGAL_CHARACTERS_RE.sub("", cell.value)
                    cell.data_type = "s"
    written = io.BytesIO()
    workbook.save(written)
    return written.getvalue()


def _head(page: Worksheet) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    page.append([column.heading for column in COLUMNS])
    for place, column in enumerate(COLUMNS, start=1):
        cell = page.cell(1, place)
        cell.font = Font(bold=True)
        cell.comment = Comment(f"{column.says} Example: {column.example}", "Sinkside")
        page.column_dimensions[get_column_letter(place)].width = _WIDTH
    page.freeze_panes = "A2"


def _rows_of(member: Member) -> Iterator[dict[str, Any]]:
    """The row of a device with its first relations, then a row for each further relation and each part."""
    values = member.model_dump(mode="json", exclude_none=True)
    own = {"device": member.instruction, "name": member.name or None}
    yield {
        **own,
        **{name: values.get(_FIELDS.get(name, name)) for name in (*_OF_THE_DEVICE, "belongs_with")},
        **_related(values, 0),
    }
    called = {"device": member.instruction, "name": member.name or None}
    for turn in range(1, max(len(member.apart), len(member.substitutes))):
        yield {**called, **_related(values, turn)}
    for piece in values.get("parts", ()):
        yield {**called, **piece}


def _related(values: dict[str, Any], turn: int) -> dict[str, Any]:
    return {
        column: values[list_name][turn].get(to)
        for list_name, columns in _RELATIONS
        for column, to in columns.items()
        if turn < len(values.get(list_name, ()))
    }


def _rows(page: Worksheet, faults: list[Fault]) -> Iterator[_Row]:
    lines = page.iter_rows(values_only=True, max_row=MOST_ROWS + 2)
    columns = _columns(next(lines, ()), faults)
    for number, cells in enumerate(lines, start=2):
        if number > MOST_ROWS + 1:
            faults.append(Fault(f"row {number}", f"too many rows; at most {MOST_ROWS}"))
            return
        row = _Row(number, {})
        for column, cell in zip(columns, cells, strict=False):
            if column is None or cell is None or not str(cell).strip():
                continue
            try:
                row.values[column.path[0]] = read_cell(column, cell)
            except NotRead as error:
                faults.append(Fault(f"row {number}, {column.heading}", str(error)))
        if row.values:
            yield row


def _columns(heads: tuple[Any, ...], faults: list[Fault]) -> list[Column | None]:
    known = {column.heading: column for column in COLUMNS}
    found: list[Column | None] = []
    for head in heads:
        named = str(head or "").strip().casefold()
        if named and named not in known:
            faults.append(Fault("row 1", f"unknown column '{head}'; expected {', '.join(known)}"))
        found.append(known.get(named))
    return found
