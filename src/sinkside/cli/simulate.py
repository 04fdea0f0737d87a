"""`sinkside simulate`: a recorder file with a named fault, for teaching and for testing the judge."""

from __future__ import annotations

from typing import Annotated

import typer

from sinkside.cli.options import OutFile, ProgramFile
from sinkside.cli.output import show


def simulate(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="'normal', or the name of a fault.")],
    program: ProgramFile,
    seed: Annotated[int, typer.Option("--seed", min=0, help="The same seed makes the same file.")],
    out: OutFile,
    dialect: Annotated[
        str, typer.Option("--dialect", help="How the recorder writes: si, us, eu, ...")
    ] = "si",
) -> None:
    """Write a simulated recorder file, normal or with a named fault."""
    from sinkside.desk import cycles

    rows = cycles.simulate(kind, cycles.open_program(program), seed=seed, out=out, dialect=dialect)
    show(f"{rows} rows, {kind}, seed {seed} → {out}")
