"""`sinkside backup`, `restore`, `check`, `upgrade` and `move`: keeping a workspace."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sinkside.cli.options import DatabaseUrl, WorkspaceFolder
from sinkside.cli.output import progress, say, show


def backup(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The backup to be; it is there whole or not at all.")
    ],
    workspace: WorkspaceFolder,
    database: DatabaseUrl = None,
) -> None:
    """Back up a workspace into one file, while it is in use."""
    from sinkside import wiring

    made = wiring.back_up(workspace, file, database=database)
    for head in made.heads:
        show(f"{head.department}: head {head.printed}")
    show(f"{len(made.tables)} tables, {len(made.files)} files → {file}")
    for fault in made.faults:
        say(f"not in the backup: {fault}")
    if made.faults:
        raise typer.Exit(1)


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A file that `sinkside backup` made.")],
    workspace: WorkspaceFolder,
    database: DatabaseUrl = None,
) -> None:
    """Make a workspace from a backup; the folder must be missing or empty."""
    from sinkside import wiring

    made = wiring.restore(file, workspace, database=database)
    for head in made.heads:
        show(f"{head.department}: head {head.printed}")
    show(f"restored what was kept on {made.made:%Y-%m-%d at %H:%M} UTC → {workspace}")


def check(
    workspace: WorkspaceFolder,
    database: DatabaseUrl = None,
    head: Annotated[
        list[str] | None,
        typer.Option(
            "--head",
            metavar="DEPARTMENT=HEAD",
            help="A head as it stands on paper or in a backup, to be found in the chain; may be given again.",
        ),
    ] = None,
) -> None:
    """Check every event, revision and file of a workspace; exit status 1 if anything is wrong."""
    from sinkside import wiring

    report = wiring.check(workspace, database=database, printed=_heads(head or []))
    for department, printed in sorted(report.heads.items()):
        show(f"{department}: head {printed}")
    show(f"{report.events} events, {report.revisions} revisions, {report.files} files")
    for problem in report.problems:
        show(f"■ {problem}")
    if not report.is_sound:
        raise typer.Exit(1)
    show("nothing is wrong")


def upgrade(workspace: WorkspaceFolder, database: DatabaseUrl = None) -> None:
    """Bring a workspace up to this version, after backing it up."""
    from sinkside import wiring

    kept = wiring.upgrade(workspace, database=database)
    show(f"upgraded; the backup from before is {kept}" if kept else "there is nothing to upgrade")


def move(
    workspace: WorkspaceFolder,
    to: Annotated[
        str, typer.Option("--to", metavar="URL", help="The address of an empty PostgreSQL database.")
    ],
) -> None:
    """Move a workspace's tables from its own file to PostgreSQL; the file stays as it is."""
    from sinkside import wiring
    from sinkside.web.serving import only_server

    wiring.settings_of(workspace, {})  # which refuses what is no workspace
    with only_server(workspace), progress() as tell:
        moved = wiring.move(workspace, to, tell=tell)
    for department, printed in sorted(moved.after.heads.items()):
        show(f"{department}: head {printed}")
    rows = sum(one.rows for one in moved.tables)
    show(f"{len(moved.tables)} tables, {rows} rows, {moved.after.events} events: each is the same there")
    for problem in moved.after.problems:
        show(f"■ {problem}")
    if not moved.is_sound:
        raise typer.Exit(1)
    show(f"to work on it from now on, write {moved.switch}; until then the file here is in use, unchanged")


def _heads(told: list[str]) -> dict[str, str]:
    from sinkside.errors import BadInput

    heads = {}
    for one in told:
        department, found, printed = one.partition("=")
        if not (found and department and printed):
            raise BadInput("expected DEPARTMENT=HEAD, such as valley=1042-ABCD-…", resource=one)
        heads[department] = printed
    return heads
