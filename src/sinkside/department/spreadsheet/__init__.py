"""A department in and out of one spreadsheet, errors told row by row."""

from sinkside.department.spreadsheet.columns import Column, Sheet, sheets
from sinkside.department.spreadsheet.reading import read_spreadsheet
from sinkside.department.spreadsheet.writing import write_spreadsheet

__all__ = ["Column", "Sheet", "read_spreadsheet", "sheets", "write_spreadsheet"]
