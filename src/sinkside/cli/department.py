"""`sinkside department`: what a department has, in and out of one spreadsheet, and what changed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sinkside.cli.options import Json, OutFile
from sinkside.cli.output import faults_line_by_line, show, show_changes

department_verbs = typer.Typer(
    help="What a department has: to and from one spreadsheet, and what changed.",
    no_args_is_help=True,
    rich_markup_mode=None,
    add_completion=False,
)


@department_verbs.callback()
def department() -> None:
    """What a department has, in and out of one spreadsheet."""


@department_verbs.command()
def to_table(
    out: OutFile,
    department: Annotated[
        Path | None,
        typer.Argument(metavar="[DEPARTMENT]", help="What a department has; the empty template without it."),
    ] = None,
) -> None:
    """Write a department as a spreadsheet; without one, the template to fill in."""
    from sinkside.desk import department_tables
    from sinkside.documents import write_bytes

    write_bytes(out, department_tables.table_of(department))
    show(f"{'the template' if department is None else department} → {out}")


@department_verbs.command()
def from_table(
    table: Annotated[Path, typer.Argument(metavar="TABLE", help="The filled-in spreadsheet (.xlsx).")],
    out: OutFile,
    onto: Annotated[
        Path | None,
        typer.Option(
            "--onto", metavar="FILE", help="The department as it stands; what has no sheet stays as it is."
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Read a department from a spreadsheet, and tell what changes; every fault by sheet, row and column."""
    from sinkside.department import compare_departments
    from sinkside.desk import department_tables, routes
    from sinkside.documents import save

    before = routes.open_department(onto) if onto else None
    with faults_line_by_line(table):
        found = department_tables.department_of(table, onto=before)
    save(found, out)
    show_changes(compare_departments(before, found), json=json)
    if not json:
        show(f"{found.name} → {out}")


@department_verbs.command()
def compare(
    before: Annotated[Path, typer.Argument(metavar="BEFORE", help="What the department had.")],
    after: Annotated[Path, typer.Argument(metavar="AFTER", help="What it has now.")],
    json: Json = False,
) -> None:
    """Tell what changed between two files of a department, in the trade's terms."""
    from sinkside.department import compare_departments
    from sinkside.desk import routes

    was, is_now = routes.open_department(before), routes.open_department(after)
    show_changes(compare_departments(was, is_now), json=json)
