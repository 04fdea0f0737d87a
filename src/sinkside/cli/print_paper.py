"""`sinkside print`: paper."""

from __future__ import annotations

from typing import Annotated

import typer

from sinkside.cli.options import DepartmentFile, InstructionFile, OutFile
from sinkside.cli.output import show

print_verbs = typer.Typer(
    help="Print paper: a poster for the wall.",
    no_args_is_help=True,
    rich_markup_mode=None,
    add_completion=False,
)


@print_verbs.callback()
def print_paper() -> None:
    """Print paper for people to hold."""


@print_verbs.command()
def poster(
    instruction: InstructionFile,
    department: DepartmentFile,
    out: OutFile,
    proof: Annotated[
        bool, typer.Option("--proof", help="Print a marked copy although something forbids the floor copy.")
    ] = False,
) -> None:
    """Print the A3 poster of one device in one department."""
    from sinkside import wiring
    from sinkside.desk import instructions, papers, routes

    device = papers.device_file(
        instructions.open_instruction(instruction), routes.open_department(department)
    )
    sheets = papers.print_poster(device, out=out, printed_on=wiring.today(), proof=proof)
    show(f"{sheets} {'sheet' if sheets == 1 else 'sheets'} A3, {device.instruction.device.name} → {out}")
