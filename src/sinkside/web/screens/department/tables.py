"""The department as one spreadsheet: the template and the filled one out, one in, looked at, then kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.department.spreadsheet import sheets
from sinkside.desk import department_tables
from sinkside.errors import BadDocument, Fault
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Sending, Upload
from sinkside.web.screens.department.changes import ChangesOfKind, by_kind
from sinkside.web.screens.department.overview import EDIT, PLACE, READ, screen

_MEDIA_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

#: More faults at once help nobody.
_FAULTS_TOLD: Final = 60


@dataclass(frozen=True)
class SheetShown:
    """One sheet of the template: its name, what a row of it is, and its headings."""

    name: str
    about: str
    columns: str


@dataclass(frozen=True)
class ImportPage:
    """Where a filled-in spreadsheet is handed in, with what its sheets and headings are."""

    title: str
    address: str
    department: str
    template: str
    filled: str
    sheets: tuple[SheetShown, ...]


@dataclass(frozen=True)
class TablePage:
    """What a spreadsheet would change, before anybody keeps it; `is_current` is false once it is outdated."""

    title: str
    address: str
    department: str
    hand_in: str
    file_name: str
    base: int
    kinds: tuple[ChangesOfKind, ...]
    count: int
    is_current: bool


@screen.file(f"{PLACE}/template", right=READ)
def template(asked: Asked) -> Sending:
    """The spreadsheet to fill in; every heading has a note on what it holds."""
    name = f"{asked.visitor.department}-template.xlsx"
    return Sending(department_tables.template(), _MEDIA_TYPE, saved_as=name)


@screen.file(f"{PLACE}/table", right=READ)
def table(asked: Asked) -> Sending:
    """What this department has, as the same spreadsheet."""
    data = department_tables.as_table(asked.archive, asked.visitor)
    return Sending(data, _MEDIA_TYPE, saved_as=f"{asked.visitor.department}.xlsx")


@screen.page(f"{PLACE}/import", right=EDIT, template="department_import.html")
def hand_in(asked: Asked) -> ImportPage:
    """Where a filled-in spreadsheet is handed in."""
    address = asked.at("/department")
    return ImportPage(
        title="From a spreadsheet",
        address=f"{address}/import",
        department=address,
        template=f"{address}/template",
        filled=f"{address}/table",
        sheets=tuple(
            SheetShown(sheet.name, sheet.about, ", ".join(column.heading for column in sheet.columns))
            for sheet in sheets().values()
        ),
    )


@screen.act(f"{PLACE}/import", right=EDIT, page=hand_in, uploads="table")
def take_in(asked: Asked, files: tuple[Upload, ...]) -> Done:
    """Read a spreadsheet; nothing changes until what it would change was looked at and is kept."""
    try:
        made = department_tables.hand_in_table(
            asked.archive, asked.visitor, files[0].handed_in(), now=asked.now
        )
    except BadDocument as error:
        raise BadDocument(_row_by_row(error), resource="table") from error
    return Done(go=asked.at(f"/department/import/{made}"))


@screen.page(f"{PLACE}/import/{{table}}", right=EDIT, template="department_table.html")
def look_at(asked: Asked, table: str) -> TablePage:
    """What a spreadsheet would change."""
    seen = department_tables.see_table(asked.archive, asked.visitor, table)
    address = asked.at("/department")
    return TablePage(
        title="What would change",
        address=f"{address}/import/{table}",
        department=address,
        hand_in=f"{address}/import",
        file_name=seen.file_name,
        base=seen.base,
        kinds=by_kind(seen.changes),
        count=len(seen.changes),
        is_current=seen.is_current,
    )


@screen.act(f"{PLACE}/import/{{table}}", right=EDIT, page=look_at)
def keep(asked: Asked, table: str) -> Done:
    """Keep what a spreadsheet says as the next revision."""
    number = department_tables.keep_table(asked.archive, asked.visitor, table, now=asked.now)
    return Done(go=asked.at("/department"), said=f"Kept as revision {number}, by {asked.someone.name}.")


def _row_by_row(error: BadDocument) -> list[Fault]:
    """Each fault as a sentence with its sheet, row and column; of very many the first."""
    told = [Fault("", str(fault)) for fault in error.faults[:_FAULTS_TOLD]]
    left = len(error.faults) - len(told)
    return [*told, Fault("", f"and {left} more; mend these first")] if left > 0 else told
