"""`sinkside print`: paper."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal

import typer

from sinkside.cli.options import DepartmentFile, InstructionFile, OutFile
from sinkside.cli.output import show

if TYPE_CHECKING:
    from sinkside.desk.papers import WantedPaper

print_verbs = typer.Typer(
    help="Print paper: posters, cards, sheets for the bench.",
    no_args_is_help=True,
    rich_markup_mode=None,
    add_completion=False,
)

_Proof = Annotated[
    bool, typer.Option("--proof", help="Print a marked copy although something forbids the floor copy.")
]
_Languages = Annotated[
    str,
    typer.Option(
        "--language", metavar="CODE[,CODE]", help="The reader's language, and the one that stands beside it."
    ),
]
_WallSize = Annotated[Literal["a3", "a2", "tabloid"], typer.Option("--size", help="The sheet.")]
_HandSize = Annotated[Literal["a5", "a4", "letter"], typer.Option("--size", help="The sheet.")]
_Station = Annotated[
    Literal[
        "theatre", "transport", "sink", "ultrasonic", "washer", "bench", "packing", "sterilizer", "store"
    ],
    typer.Option("--station", help="Where the card hangs."),
]

_SHEETS: Final[tuple[tuple[str, Literal["a5", "a4"], str], ...]] = (
    ("theatre-card", "a5", "Print the card for the theatre: what is done after use, and what is sent along."),
    (
        "parts",
        "a4",
        "Print how a device comes apart and goes together, drawn apart, with what must be here now.",
    ),
    ("inspection", "a4", "Print what to look for, what to test, and the pass mark."),
    (
        "trouble",
        "a4",
        "Print what the text says about a device that will not open, close, lock or come apart.",
    ),
    (
        "lesson",
        "a4",
        "Print the lesson of a device: each step drawn, with its why, its hazards, and what good looks like.",
    ),
    (
        "protection",
        "a4",
        "Print what is sharp, what to wear at each station, and what to do after a cut or a splash.",
    ),
)


@print_verbs.callback()
def print_paper() -> None:
    """Print paper for people to hold."""


@print_verbs.command()
def poster(
    instruction: InstructionFile,
    department: DepartmentFile,
    out: OutFile,
    proof: _Proof = False,
    language: _Languages = "en",
    size: _WallSize = "a3",
) -> None:
    """Print the poster of one device in one department."""
    _print(instruction, department, out, _wanted("poster", language, size, proof=proof))


@print_verbs.command()
def card(
    instruction: InstructionFile,
    station: _Station,
    department: DepartmentFile,
    out: OutFile,
    proof: _Proof = False,
    language: _Languages = "en",
    size: _HandSize = "a5",
) -> None:
    """Print the card of one station: what is done there, and where the device goes next."""
    _print(instruction, department, out, _wanted("card", language, size, proof=proof, station=station))


def _verb(kind: str, *, usual: Literal["a5", "a4"]) -> Callable[..., None]:
    """A verb for one sheet that is held in the hand: all of them take the same options."""

    def sheet(
        instruction: InstructionFile,
        department: DepartmentFile,
        out: OutFile,
        proof: _Proof = False,
        language: _Languages = "en",
        size: _HandSize = usual,
    ) -> None:
        _print(instruction, department, out, _wanted(kind, language, size, proof=proof))

    return sheet


for _kind, _usual, _says in _SHEETS:
    print_verbs.command(name=_kind, help=_says)(_verb(_kind, usual=_usual))


@print_verbs.command()
def specimen(out: OutFile) -> None:
    """Print every pictogram with its word."""
    from sinkside.desk import papers

    sheets = papers.print_specimen(out=out)
    show(f"{_counted(sheets)} A4, every pictogram → {out}")


def _wanted(kind: str, languages: str, size: str, *, proof: bool, station: str = "") -> WantedPaper:
    from sinkside.desk.papers import WantedPaper

    codes = tuple(code.strip() for code in languages.split(","))
    return WantedPaper(kind=kind, languages=codes, size=size, station=station, proof=proof)


def _print(instruction: Path, department: Path, out: Path, wanted: WantedPaper) -> None:
    from sinkside import wiring
    from sinkside.desk import instructions, papers, routes

    device = papers.device_file(
        instructions.open_instruction(instruction), routes.open_department(department)
    )
    sheets = papers.print_paper(device, wanted, out=out, printed_on=wiring.today())
    size = wanted.size.upper() if wanted.size.startswith("a") else wanted.size
    show(f"{_counted(sheets)} {size}, {device.instruction.device.name} → {out}")


def _counted(sheets: int) -> str:
    return f"{sheets} {'sheet' if sheets == 1 else 'sheets'}"
