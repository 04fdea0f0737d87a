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
    from sinkside.desk import cycles, instructions, papers, routes
    from sinkside.errors import BadInput

    if trace and program is None:
        raise BadInput("recorder files are judged against a program; name it with --program")
    site = routes.open_department(department) if department else None
    in_force = profile or (site.profile if site else "eu")
    opened = [instructions.open_instruction(path) for path in instruction or []]
    devices = [papers.device_file(one, site, profile=in_force) for one in opened]
    judged = []
    if trace and program:
        reading = cycles.Reading(altitude_m=altitude)
        wanted = cycles.open_program(program)
        judged = [cycles.judge_for_report(path, wanted, profile=in_force, reading=reading) for path in trace]
    papers.write_report(devices, judged, out=out, made_on=wiring.today(), department=site, profile=in_force)
    found = sum(len(one.findings) for one in devices)
    show(f"{len(devices)} devices, {found} findings, {len(judged)} cycles → {out}")
