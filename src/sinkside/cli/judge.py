"""`sinkside judge`: what a recorder file proves about a machine cycle."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import (
    AltitudeM,
    Json,
    PressureReference,
    PressureUnit,
    Profile,
    ProgramFile,
    TemperatureUnit,
    TimeUnit,
)
from sinkside.cli.output import show, show_document, with_progress

if TYPE_CHECKING:
    from sinkside.cycles import Unread, Verdict

_SMALLEST_SHOWN = 0.01
_MARKS = {"meets": "✓ meets", "unclear": "? unclear", "fails": "✗ fails"}


def judge(
    trace: Annotated[
        list[Path], typer.Argument(metavar="TRACE...", help="Recorder files.", show_default=False)
    ],
    program: ProgramFile,
    profile: Profile = "eu",
    altitude: AltitudeM = 0.0,
    pressure: PressureReference = None,
    temperature_unit: TemperatureUnit = None,
    pressure_unit: PressureUnit = None,
    time_unit: TimeUnit = None,
    json: Json = False,
) -> None:
    """Judge recorder files against a program. A verdict is evidence; a qualified person releases."""
    from sinkside.cycles import Reading, Unread
    from sinkside.desk import cycles

    reading = Reading(
        pressure=pressure,
        temperature_unit=temperature_unit,
        pressure_unit=pressure_unit,
        time_unit=time_unit,
        altitude_m=altitude,
    )
    verdicts = cycles.judge(trace, cycles.open_program(program), profile=profile, reading=reading)
    worst = 0
    for verdict in with_progress(verdicts, total=len(trace), doing="Judging"):
        if json:
            show_document(verdict, compact=True)
        else:
            show(_in_words(verdict))
        worst = max(worst, 2 if isinstance(verdict, Unread) else int(verdict.verdict != "meets"))
    if worst:
        raise typer.Exit(worst)


def _in_words(verdict: Verdict | Unread) -> str:
    from sinkside.cli.review import finding_in_words
    from sinkside.cycles import Unread
    from sinkside.language import measure

    # A line break in a file's name must not look like a verdict of its own.
    name = verdict.trace.replace("\n", "\\n")
    if isinstance(verdict, Unread):
        return f"! unread   {name}: {verdict.error}"
    lines = [f"{_MARKS[verdict.verdict]:<10} {name}: {verdict.summary}"]
    for criterion in verdict.criteria:
        met = {True: "met", False: "missed", None: "not judged"}[criterion.met]
        # Two decimals, unless they would hide that the figures differ.
        decimals = None if 0 < abs(criterion.margin or 0) < _SMALLEST_SHOWN else 2
        measured = "–"
        if criterion.measured is not None:
            measured = measure(criterion.measured, criterion.unit, decimals=decimals)
        required = measure(criterion.required, criterion.unit, decimals=decimals)
        lines.append(f"    {criterion.id:<22} required {required}, measured {measured}: {met}")
    lines += [finding_in_words(finding) for finding in verdict.findings]
    return "\n".join(lines)
