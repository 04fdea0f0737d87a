"""`sinkside lumens`: what flushes and blows of an instruction come to in its lumens."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import InstructionFile, Json
from sinkside.cli.output import show, show_document

if TYPE_CHECKING:
    from sinkside.flows import LumenReport, LumenWork


def lumens(
    instruction: InstructionFile,
    department: Annotated[
        Path | None, typer.Option("--department", metavar="FILE", help="Whose air and altitude count.")
    ] = None,
    json: Json = False,
) -> None:
    """Compute what the flushes and blows of an instruction come to in each lumen."""
    from sinkside.desk import instructions, routes
    from sinkside.desk import lumens as desk_lumens

    site = routes.open_department(department) if department else None
    report = desk_lumens.lumens_of_text(instructions.open_instruction(instruction), site)
    if json:
        show_document(report)
    else:
        show(_in_words(report))


def _in_words(report: LumenReport) -> str:
    if not report.works:
        return "Nothing is flushed or blown through a lumen in this text."
    blocks = [_work_in_words(work) for work in report.works]
    notes = [f"  {note.name}. {note.source}. Covers: {note.covers}." for note in report.formulas.values()]
    return "\n".join([*blocks, *(["How it was computed:"] if notes else []), *notes])


def _work_in_words(work: LumenWork) -> str:
    from sinkside.language import computed_range

    values = [f"    {one.what}: {computed_range(one.low, one.high, one.unit)}" for one in work.values]
    said = [f"    {sentence}" for sentence in work.said]
    return "\n".join([f"{work.step}, {work.lumen}: “{work.words}”", *values, *said])
