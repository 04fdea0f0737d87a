"""A department written as a spreadsheet; without one, the empty template to fill in."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Final

from sinkside.department.document import Department
from sinkside.department.spreadsheet.cells import write_cell
from sinkside.department.spreadsheet.columns import Column, Sheet, sheets
from sinkside.department.spreadsheet.rows import things, value_at
from sinkside.documents import to_values

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_WIDTH: Final = 18


def write_spreadsheet(department: Department | None) -> bytes:
    """The department as an .xlsx file, one sheet a kind of thing; every heading has a note on what it says.

    Args:
        department: What the site has; None for the template with headings alone.
    """
    from openpyxl import Workbook

    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    values = to_values(department) if department else {}
    for sheet in sheets().values():
        page = workbook.create_sheet(sheet.name)
        _head(page, sheet)
        for thing in things(sheet, values):
            own = (write_cell(value_at(thing.values, column.path)) for column in sheet.own_columns)
            page.append([_plain(cell) for cell in (*thing.owner_keys, *own)])
            for cell in page[page.max_row]:
                if isinstance(cell.value, str):
                    # What somebody typed is never a formula, however it begins.
                    cell.data_type = "s"
    written = io.BytesIO()
    workbook.save(written)
    return written.getvalue()


def _head(page: Worksheet, sheet: Sheet) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    page.append([column.heading for column in sheet.columns])
    for place, column in enumerate(sheet.columns, start=1):
        cell = page.cell(1, place)
        cell.font = Font(bold=True)
        cell.comment = Comment(_note(column), "Sinkside")
        page.column_dimensions[get_column_letter(place)].width = _WIDTH
    page.freeze_panes = "A2"


def _plain(cell: str | float | None) -> str | float | None:
    """A cell without the signs that a spreadsheet cannot hold."""
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    return ILLEGAL_CHARACTERS_RE.sub("", cell) if isinstance(cell, str) else cell


def _note(column: Column) -> str:
    return f"{column.says} Example: {column.example}" if column.example else column.says
