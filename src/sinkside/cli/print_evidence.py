"""`sinkside print evidence`: the evidence file of a pack, out of a workspace."""

from __future__ import annotations

from typing import Annotated

import typer

from sinkside.cli.options import DatabaseUrl, OutFile, WorkspaceFolder
from sinkside.cli.output import show


def evidence(
    workspace: WorkspaceFolder,
    code: Annotated[str, typer.Option("--code", metavar="CODE", help="What stands on the pack.")],
    out: OutFile,
    department: Annotated[
        str,
        typer.Option("--at", metavar="DEPARTMENT", help="Whose pack, where there are several departments."),
    ] = "",
    database: DatabaseUrl = None,
) -> None:
    """Print what is kept of the last processing of a pack, what is not recorded first."""
    from sinkside import wiring
    from sinkside.desk.evidence.printing import print_evidence

    with wiring.opened(workspace, database=database) as archive:
        file = print_evidence(archive, code, out=out, now=wiring.now(), department=department)
    gaps = "1 thing" if file.made.gaps == 1 else f"{file.made.gaps} things"
    show(f"{file.made.title}: {gaps} not recorded, head {file.made.head} → {out}")
