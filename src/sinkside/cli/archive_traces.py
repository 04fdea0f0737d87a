"""`sinkside archive-traces`: the samples of kept cycles as Parquet files, and those files checked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import DatabaseUrl, WorkspaceFolder
from sinkside.cli.output import progress, say, show

if TYPE_CHECKING:
    from sinkside.desk.traces.documents import TraceManifest


def archive_traces(
    workspace: WorkspaceFolder,
    to: Annotated[Path, typer.Option("--to", metavar="FOLDER", help="Where the archive is, or is to be.")],
    until: Annotated[
        str,
        typer.Option("--until", metavar="MONTH", help="The last month, such as 2026-10; all unless told."),
    ] = "",
    check: Annotated[
        bool,
        typer.Option("--check", help="Write nothing; hold the archive against the house, sample by sample."),
    ] = False,
    database: DatabaseUrl = None,
) -> None:
    """Write the traces of kept cycles as Parquet, by department, machine and month; recorder files stay."""
    if check:
        _check(workspace, to, until, database)
        return
    from sinkside import wiring
    from sinkside.desk.traces.writing import archive_traces as write

    with wiring.opened(workspace, database=database) as archive, progress() as tell:
        done = write(archive, to, until=until, now=wiring.now(), tell=tell)
    for manifest in done.written:
        show(_told(manifest))
    show(f"{len(done.written)} files written, {done.unchanged} unchanged → {to}")
    if done.waiting:
        show(f"left for the next time, without a verdict yet: {done.waiting}")
    for fault in done.faults:
        show(f"■ {fault}")
    if done.faults:
        raise typer.Exit(1)


def _told(manifest: TraceManifest) -> str:
    unread = sum(not one.rows for one in manifest.cycles)
    said = f"{manifest.department}, {manifest.machine}, {manifest.month}: {len(manifest.cycles)} cycles"
    return f"{said}, {manifest.rows} rows" + (f"; {unread} could not be read" if unread else "")


def _check(workspace: Path, to: Path, until: str, database: str | None) -> None:
    from sinkside import wiring
    from sinkside.desk.traces.checking import check_traces

    if until:
        say("--check looks at all that is there; --until says nothing to it")
    with wiring.opened(workspace, database=database) as archive, progress() as tell:
        report = check_traces(archive, to, tell=tell)
    show(f"{report.files} files, {report.cycles} cycles, {report.rows} rows")
    for behind in report.behind:
        show(f"● {behind}")
    for problem in report.problems:
        show(f"■ {problem}")
    if report.problems:
        raise typer.Exit(1)
    show("nothing is wrong")
