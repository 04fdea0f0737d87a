"""`sinkside fit`: which departments can do which instructions, and what would turn most refusals."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import Json
from sinkside.cli.output import show, show_document, with_progress
from sinkside.errors import BadInput

if TYPE_CHECKING:
    from sinkside.desk.fit_table import Cell
    from sinkside.route import Wanted

_MARKS = {"no route": "✗ no route", "with concerns": "! with concerns", "fits": "✓ fits"}
_WANTED_TOLD = 5


def fit(
    instruction: Annotated[
        list[Path],
        typer.Argument(metavar="INSTRUCTION...", help="Instructions or documents.", show_default=False),
    ],
    department: Annotated[
        list[Path],
        typer.Option("--department", metavar="FILE", help="What a department has; again for each."),
    ],
    dask: Annotated[
        str | None, typer.Option("--dask", metavar="ADDRESS", help="A Dask scheduler whose machines resolve.")
    ] = None,
    json: Json = False,
) -> None:
    """Tell which departments can do which instructions: what is missing first, then what would turn most."""
    import os

    from sinkside.desk import fit_table, instructions, routes

    sites = {site.name: site for site in map(routes.open_department, department)}
    if len(sites) < len(department):
        raise BadInput("two of these departments have one name; expected names that tell them apart")
    opened = {path.stem: instructions.open_instruction(path) for path in instruction}
    question = fit_table.FitQuestion(opened, sites)
    columns = fit_table.fit_cells(question, cluster=dask, processes=os.cpu_count() or 1)
    refused = False
    for cells in with_progress(columns, total=len(sites), doing="Resolving"):
        refused = refused or any(cell.fit.missing for cell in cells)
        told = fit_table.worst_first(cells)
        site = sites[cells[0].department]
        if json:
            for cell in told:
                show_document(cell, compact=True)
        else:
            show(_in_words(site.name, told, fit_table.wanted_by(site, opened)))
    if refused:
        raise typer.Exit(1)


def _in_words(department: str, cells: list[Cell], wanted: tuple[Wanted, ...]) -> str:
    widest = max(len(mark) for mark in _MARKS.values())
    lines = [department]
    for cell in cells:
        missing = f": {'; '.join(cell.fit.missing)}" if cell.fit.missing else ""
        concerns = f": {cell.fit.concerns} to look at" if cell.fit.concerns else ""
        lines.append(f"  {_MARKS[cell.fit.word]:<{widest}}  {cell.instruction}{missing}{concerns}")
    if wanted:
        lines.append("  What would turn most refusals:")
    for number, one in enumerate(wanted[:_WANTED_TOLD], 1):
        turned = f"turns {', '.join(one.turns)}" if one.turns else ""
        helped = f"helps {', '.join(one.helps)}" if one.helps else ""
        lines.append(f"    {number}. {one.change.sentence} ({'; '.join(filter(None, (turned, helped)))})")
    return "\n".join(lines)
