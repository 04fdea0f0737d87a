"""`sinkside route`: an instruction resolved against a department, or why not."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import DepartmentFile, Json
from sinkside.cli.output import show, show_document
from sinkside.cli.review import finding_in_words

if TYPE_CHECKING:
    from sinkside.route import Route


def route(
    instruction: Annotated[
        list[Path],
        typer.Argument(metavar="INSTRUCTION...", help="Instructions or documents.", show_default=False),
    ],
    department: DepartmentFile,
    set_file: Annotated[
        Path | None,
        typer.Option("--set", metavar="FILE", help="The set that the instructions' devices travel in."),
    ] = None,
    json: Json = False,
) -> None:
    """Resolve instructions against what a department has: with what each step is done, or why not."""
    from sinkside.desk import instructions, routes

    opened = [instructions.open_instruction(path) for path in instruction]
    found = routes.route(opened, routes.open_department(department), set_file=set_file)
    if json:
        show_document(found)
    else:
        show("\n\n".join(_in_words(single) for single in routes.routes_of(found)))
    if not all(single.resolved for single in routes.routes_of(found)):
        raise typer.Exit(1)


def _in_words(found: Route) -> str:
    verdict = "resolved" if found.resolved else f"no route: {len(found.conflicts)} conflicts"
    lines = [f"{found.device.name} at {found.department}: {verdict}"]
    lines += [
        f"  {operation.letter:>2}  {operation.station.value:<11} {operation.why}"
        for operation in found.operations
    ]
    lines += [finding_in_words(finding) for finding in (*found.conflicts, *found.findings)]
    if found.changes:
        lines.append("  Smallest changes that would do:")
        lines += [f"    {number}. {change.sentence}" for number, change in enumerate(found.changes, 1)]
    return "\n".join(lines)
