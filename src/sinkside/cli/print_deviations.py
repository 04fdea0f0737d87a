"""`sinkside print deviations`: a month of deviations as a paper, out of a workspace."""

from __future__ import annotations

from typing import Annotated

import typer

from sinkside.cli.options import DatabaseUrl, OutFile, WorkspaceFolder
from sinkside.cli.output import show


def deviations(
    workspace: WorkspaceFolder,
    out: OutFile,
    month: Annotated[
        str, typer.Option("--month", metavar="MONTH", help="Which, such as 2026-03; this one unless told.")
    ] = "",
    department: Annotated[
        str,
        typer.Option("--at", metavar="DEPARTMENT", help="Whose, where there are several departments."),
    ] = "",
    database: DatabaseUrl = None,
) -> None:
    """Print the deviations of a month: counts, what is most frequent, rates, what is open."""
    from sinkside import wiring
    from sinkside.desk.deviations.month_printing import print_month

    with wiring.opened(workspace, database=database) as archive:
        print_month(archive, month, out=out, now=wiring.now(), department=department)
    show(f"deviations of {month or 'this month'} → {out}")
