"""`sinkside judge`: what a recorder file proves about a machine cycle."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import (
    AltitudeM,
    BesideFile,
    CycleColumn,
    CycleNumber,
    DateOrder,
    Json,
    MachineColumn,
    PressureReference,
    PressureUnit,
    Profile,
    ProgramColumn,
    ReaderFile,
    SaveReaderFile,
    TemperatureUnit,
    TimeUnit,
    VacuumUnit,
)
from sinkside.cli.output import say, show, show_document, with_progress

if TYPE_CHECKING:
    from sinkside.cycles import Reading, Unread, Verdict

_SMALLEST_SHOWN = 0.01
_MARKS = {"meets": "✓ meets", "unclear": "? unclear", "fails": "✗ fails", "unread": "! unread"}


def judge(
    trace: Annotated[
        list[Path],
        typer.Argument(
            metavar="TRACE...", help="Recorder files, folders of them, Parquet data sets.", show_default=False
        ),
    ],
    program: Annotated[
        list[str],
        typer.Option(
            "--program",
            metavar="[NAME=]FILE",
            help="The machine's validated program (.yaml, .json); again for each that records name.",
        ),
    ],
    profile: Profile = "eu",
    altitude: AltitudeM = 0.0,
    pressure: PressureReference = None,
    temperature_unit: TemperatureUnit = None,
    pressure_unit: PressureUnit = None,
    vacuum_unit: VacuumUnit = None,
    time_unit: TimeUnit = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE.parquet", help="Write the results there; goes on after a stop."),
    ] = None,
    dask: Annotated[
        str | None, typer.Option("--dask", metavar="ADDRESS", help="A Dask scheduler whose machines judge.")
    ] = None,
    cycle_column: CycleColumn = None,
    machine_column: MachineColumn = None,
    program_column: ProgramColumn = None,
    date_order: DateOrder = None,
    cycle: CycleNumber = None,
    reader: ReaderFile = None,
    save_reader: SaveReaderFile = None,
    beside: BesideFile = None,
    json: Json = False,
) -> None:
    """Judge recorder files against a program. A verdict is evidence; a qualified person releases."""
    from sinkside.desk import cycles, recorders

    reading = cycles.Reading(
        pressure=pressure,
        temperature_unit=temperature_unit,
        pressure_unit=pressure_unit,
        vacuum_unit=vacuum_unit,
        time_unit=time_unit,
        altitude_m=altitude,
        date_order=date_order,
        cycle=cycle,
        reader=recorders.open_reader(reader) if reader else None,
    )
    if save_reader:
        recorders.save_reader(trace[0], Path(program[0]), save_reader, reading=reading)
    if beside:
        _judge_beside(trace, beside, Path(program[0]), profile=profile, reading=reading, json=json)
        return
    asked = cycles.Asked(cycles.open_programs(program), cycles.profile_named(profile), reading)
    columns = cycles.KeyColumns(cycle=cycle_column, machine=machine_column, program=program_column)
    judging = cycles.judge(trace, asked, columns=columns, out=out, cluster=dask)
    if judging.passed_over:
        say(f"passed over {judging.passed_over} files that no recorder wrote")
    counts = dict.fromkeys(_MARKS, 0)
    for told in with_progress(judging.told, total=judging.total, doing="Judging"):
        counts[told.verdict] += 1
        if json:
            show(told.line)
        elif out is None:
            show(_in_words(told.answer()))
    if out is not None and not json:
        show(f"{', '.join(f'{count} {verdict}' for verdict, count in counts.items())}: {out}")
    if counts["unread"]:
        raise typer.Exit(2)
    if counts["unclear"] or counts["fails"]:
        raise typer.Exit(1)


def _judge_beside(
    trace: list[Path], beside: Path, program: Path, *, profile: str, reading: Reading, json: bool
) -> None:
    """Judge one recorder file together with that of an independent probe recorder."""
    from sinkside.cycles import Unread
    from sinkside.desk import recorders
    from sinkside.errors import BadInput

    if len(trace) > 1:
        raise BadInput(f"--beside goes with one recorder file; {len(trace)} were named")
    answer = recorders.judge_with_probes(trace[0], beside, program, profile=profile, reading=reading)
    if json:
        show_document(answer, compact=True)
    else:
        show(_in_words(answer))
    if isinstance(answer, Unread):
        raise typer.Exit(2)
    if answer.verdict != "meets":
        raise typer.Exit(1)


def _in_words(verdict: Verdict | Unread) -> str:
    from sinkside.cli.review import finding_in_words
    from sinkside.cycles import Unread
    from sinkside.language import measure

    # A line break in a file's name must not look like a verdict of its own.
    name = verdict.trace.replace("\n", "\\n")
    if isinstance(verdict, Unread):
        return f"{_MARKS['unread']:<10} {name}: {verdict.error}"
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
