"""`sinkside route`: an instruction resolved against a department, or why not."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import DepartmentFile, Json
from sinkside.cli.output import MARKS, show, show_document

if TYPE_CHECKING:
    from sinkside.findings import Finding
    from sinkside.instruction import Instruction
    from sinkside.route import Change, Route, SetRoute


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

    verdict = "resolved" if found.resolved else f"no route, {_stops(len(found.stops))} in this department"
    lines = [f"{found.device.name} at {found.department}: {verdict}"]
    for told in in_plain_words(instruction, found) if found.operations else ():
        figures = f" [{told.figures}]" if told.figures else ""
        lines.append(f"  {told.letter:>2}  {told.station:<13} {told.sentence}{figures}: {told.why}")
    lines += [_in_one_line(finding) for finding in (*found.conflicts, *found.findings)]
    return "\n".join([*lines, *_changes_in_words(found.changes, found.smallest_repair)])


def _set_in_words(found: SetRoute) -> str:
    verdict = "one cycle for all" if found.resolved else f"no common route, {_stops(len(found.conflicts))}"
    lines = [f"{found.name} at {found.department}: {verdict}"]
    lines += [
        f"  {load.station.value:<11} {', '.join(load.members)}: {load.machine} {load.program}".rstrip(" :")
        for load in (*found.earlier_loads, *found.loads)
    ]
    lines += [_in_one_line(finding) for finding in (*found.conflicts, *found.findings)]
    return "\n".join([*lines, *_changes_in_words(found.changes, ())])


def _stops(number: int) -> str:
    return f"{number} stop{'' if number == 1 else 's'}"


def _in_one_line(finding: Finding) -> str:
    """A finding by its mark, sentence and place; `--json` has the arithmetic and what is nearest."""
    place = finding.place
    where = f" (page {place.page}, line {place.line})" if place.page else ""
    return f"  {MARKS[finding.level.value]} {finding.level.value}: {finding.message}{where}"


def _changes_in_words(changes: Sequence[Change], smallest_repair: Sequence[Change]) -> list[str]:
    """What would do with the least, then the others that would help, by size."""
    least = [change.sentence for change in smallest_repair or changes[:1]]
    others = [change.sentence for change in changes if change.sentence not in least]
    return [
        *_listed("Smallest change", "Smallest repair, all of it together", least),
        *_listed("Another that would help", "Others that would help", others),
    ]


def _listed(one: str, many: str, sentences: list[str]) -> list[str]:
    """Sentences under their heading; a single one beside it."""
    if len(sentences) > 1:
        return [f"  {many}:", *(f"    {number}. {told}" for number, told in enumerate(sentences, 1))]
    return [f"  {one}: {told}" for told in sentences]
