"""A department in and out of one spreadsheet, errors told row by row; and its things as rows."""

from sinkside.department.spreadsheet.choices import choices, is_required
from sinkside.department.spreadsheet.columns import Column, Sheet, sheets
from sinkside.department.spreadsheet.facts import Fact, facts, names_in
from sinkside.department.spreadsheet.page import department_page
from sinkside.department.spreadsheet.reading import read_spreadsheet
from sinkside.department.spreadsheet.rows import Place, RowThing, things
from sinkside.department.spreadsheet.writing import write_spreadsheet

__all__ = [
    "Column",
    "Fact",
    "Place",
    "RowThing",
    "Sheet",
    "choices",
    "department_page",
    "facts",
    "is_required",
    "names_in",
    "read_spreadsheet",
    "sheets",
    "things",
    "write_spreadsheet",
]
