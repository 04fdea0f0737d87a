"""The page of the documentation that tells every sheet and column of the spreadsheet."""

from __future__ import annotations

from sinkside.department.spreadsheet.choices import is_required
from sinkside.department.spreadsheet.columns import Column, Sheet, sheets


def department_page() -> str:
    """Every sheet of a department's spreadsheet, and of each column what it holds, as Markdown."""
    lines = [
        "# The spreadsheet of a department",
        "",
        "What a site has, in one file: a sheet for each kind of thing, a row for each thing. The template",
        "comes from `sinkside department to-table --out template.xlsx`, and from the page *Department*.",
        "Sheets and columns may stand in any order; columns in bold must be filled, all others may be left",
        'out. A figure is written with its unit: "2.7 mm". A fault is told by sheet, row and column, and',
        "then nothing is taken over.",
        "",
        "As a file of its own a department is YAML or JSON; `sinkside schema department` prints its schema.",
    ]
    for sheet in sheets().values():
        lines += ["", f"## {sheet.name}", "", sheet.about, ""]
        lines += ["| column | what it holds | for example |", "|---|---|---|"]
        lines += [_row(sheet, column) for column in sheet.columns]
    return "\n".join(lines) + "\n"


def _row(sheet: Sheet, column: Column) -> str:
    needed = column not in sheet.own_columns or is_required(sheet, column)
    heading = f"**{column.heading}**" if needed else column.heading
    return f"| {heading} | {column.says} | {column.example} |"
