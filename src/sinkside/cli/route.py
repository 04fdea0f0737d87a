"""`sinkside route`: an instruction resolved against a department, or why not."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import DepartmentFile, Json
from sinkside.cli.output import show, show_document
from sinkside.cli.review import finding_in_words

if TYPE_CHECKING:
    from sinkside.instruction import Instruction
    from sinkside.route import Route, SetRoute


def route(
    instruction: Annotated[
        list[Path],
        typer.Argument(metavar="INSTRUCTION...", help="Instructions or documents.", show_default=False),
    ],
    department: DepartmentFile,
    set_file: Annotated[
        Path | None, typer.Option("--set", metavar="FILE", help="The set that the devices travel in.")
    ] = None,
    json: Json = False,
) -> None:
    """Resolve instructions against what a department has: with what each step is done, or why not."""
    from sinkside.desk import instructions, routes

    site = routes.open_department(department)
    opened = {path.stem: instructions.open_instruction(path) for path in instruction}
    resolved = True
    if set_file is not None:
        together = routes.route_together(opened, site, set_file=set_file)
        if json:
            show_document(together)
        else:
            show(_set_in_words(together))
        resolved = together.resolved
    else:
        for one in opened.values():
            found = routes.route(one, site)
            if json:
                show_document(found, compact=len(opened) > 1)
            else:
                show(_in_words(found, one))
            resolved = resolved and found.resolved
    if not resolved:
        raise typer.Exit(1)


def _in_words(found: Route, instruction: Instruction) -> str:
    from sinkside.desk.papers import in_plain_words

    verdict = "resolved" if found.resolved else f"no route, {len(found.conflicts)} in the way"
    lines = [f"{found.device.name} at {found.department}: {verdict}"]
    for told in in_plain_words(instruction, found) if found.operations else ():
        figures = f" [{told.figures}]" if told.figures else ""
        lines.append(f"  {told.letter:>2}  {told.station:<13} {told.sentence}{figures}: {told.why}")
    lines += [finding_in_words(finding) for finding in (*found.conflicts, *found.findings)]
    return "\n".join([*lines, *_changes_in_words(found)])


def _set_in_words(found: SetRoute) -> str:
    verdict = "one cycle for all" if found.resolved else f"no common route, {len(found.conflicts)} in the way"
    lines = [f"{found.name} at {found.department}: {verdict}"]
    lines += [
        f"  {load.station.value:<11} {', '.join(load.members)}: {load.machine} {load.program}".rstrip(" :")
        for load in (*found.earlier_loads, *found.loads)
    ]
    lines += [finding_in_words(finding) for finding in (*found.conflicts, *found.findings)]
    return "\n".join([*lines, *_changes_in_words(found)])


def _changes_in_words(found: Route | SetRoute) -> list[str]:
    if not found.changes:
        return []
    ranked = (f"    {number}. {change.sentence}" for number, change in enumerate(found.changes, 1))
    return ["  Smallest changes that would do:", *ranked]
