"""The department: what it has, kind by kind; changed by form and by spreadsheet; what changed."""

from sinkside.web.screens.department import changes, changing, overview, tables, thing
from sinkside.web.screens.department.overview import screen

__all__ = ["changes", "changing", "overview", "screen", "tables", "thing"]
