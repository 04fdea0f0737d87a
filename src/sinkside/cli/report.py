"""`sinkside report`: one self-contained page for the screen or the printer."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sinkside.cli.options import AltitudeM, OutFile
from sinkside.cli.output import show


def report(
    out: OutFile,
    instruction: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[INSTRUCTION...]", help="Instructions or documents.", show_default=False),
    ] = None,
    department: Annotated[
        Path | None, typer.Option("--department", metavar="FILE", help="What the department has.")
    ] = None,
    trace: Annotated[
        list[Path] | None,
        typer.Option("--trace", metavar="FILE", help="A recorder file; may be given again."),
    ] = None,
    program: Annotated[
        Path | None, typer.Option("--program", metavar="FILE", help="The program that the traces must meet.")
    ] = None,
    profile: Annotated[
        str | None,
        typer.Option("--profile", help="Whose limits: eu, uk or us; else the department's, else eu."),
    ] = None,
    altitude: AltitudeM = 0.0,
) -> None:
    """Write a self-contained HTML report: findings, routes and cycle verdicts."""
    from sinkside import wiring
    from sinkside.desk import papers

    counts = papers.write_report(
        instruction or [],
        out=out,
        department_file=department,
        traces=trace or [],
        program_file=program,
        profile=profile,
        altitude_m=altitude,
        made_at=wiring.now(),
    )
    show(f"{counts.devices} devices, {counts.findings} findings, {counts.verdicts} verdicts → {out}")
