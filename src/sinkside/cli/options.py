"""Options that several verbs share, so that they mean and say the same everywhere."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

Json = Annotated[bool, typer.Option("--json", help="Print JSON on standard output and nothing else there.")]
Profile = Annotated[str, typer.Option("--profile", help="Whose published limits are in force: eu, uk or us.")]
AltitudeM = Annotated[
    float, typer.Option("--altitude", metavar="M", help="Metres above sea level, for gauge pressures.")
]
InstructionFile = Annotated[
    Path,
    typer.Argument(
        metavar="INSTRUCTION", help="An instruction (.yaml, .json) or a document (.txt, .docx, .pdf)."
    ),
]
DepartmentFile = Annotated[
    Path, typer.Option("--department", metavar="FILE", help="What the department has.")
]
ProgramFile = Annotated[
    Path, typer.Option("--program", metavar="FILE", help="The machine's validated program (.yaml, .json).")
]
OutFile = Annotated[Path, typer.Option("--out", metavar="FILE", help="Where to write it.")]
PressureReference = Annotated[
    Literal["absolute", "gauge"] | None,
    typer.Option("--pressure", help="What a pressure column means, where the file does not say."),
]
TemperatureUnit = Annotated[
    str | None,
    typer.Option("--temperature-unit", metavar="UNIT", help="°C or °F, where the file does not say."),
]
PressureUnit = Annotated[
    str | None,
    typer.Option("--pressure-unit", metavar="UNIT", help="kPa, bar, psi, ... where the file does not say."),
]
VacuumUnit = Annotated[
    Literal["inHg", "mmHg", "cmHg"] | None,
    typer.Option(
        "--vacuum-unit", help="Of a compound gauge's readings below zero, where the file is silent."
    ),
]
TimeUnit = Annotated[
    str | None,
    typer.Option(
        "--time-unit", metavar="UNIT", help="s, min, h, mm:ss or hh:mm, where the file does not say."
    ),
]
DateOrder = Annotated[
    Literal["day-month-year", "month-day-year", "year-month-day"] | None,
    typer.Option("--date-order", help="How a date is written, where the record does not settle it."),
]
CycleNumber = Annotated[
    int | None,
    typer.Option("--cycle", metavar="N", min=1, help="Which cycle of a file that holds several."),
]
ReaderFile = Annotated[
    Path | None,
    typer.Option("--reader", metavar="FILE", help="How this recorder's files are read, saved before."),
]
SaveReaderFile = Annotated[
    Path | None,
    typer.Option("--save-reader", metavar="FILE", help="Save how this recorder's files are read."),
]
BesideFile = Annotated[
    Path | None,
    typer.Option("--beside", metavar="FILE", help="An independent probe recorder's file of the same cycle."),
]
CycleColumn = Annotated[
    str | None,
    typer.Option("--cycle-column", metavar="NAME", help="The column of a data set that names the cycle."),
]
MachineColumn = Annotated[
    str | None,
    typer.Option("--machine-column", metavar="NAME", help="The column of a data set that names the machine."),
]
ProgramColumn = Annotated[
    str | None,
    typer.Option("--program-column", metavar="NAME", help="The column of a data set that names the program."),
]
WorkspaceFolder = Annotated[
    Path,
    typer.Option(
        "--workspace", metavar="FOLDER", envvar="SINKSIDE_WORKSPACE", help="The folder that holds the house."
    ),
]
DatabaseUrl = Annotated[
    str | None,
    typer.Option(
        "--database", metavar="URL", help="A PostgreSQL address, where it is not the workspace's own."
    ),
]
