"""`sinkside draft`: a maker's document becomes an instruction."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from sinkside.cli.options import Json
from sinkside.cli.output import show, show_document

if TYPE_CHECKING:
    from sinkside.instruction import Instruction


def draft(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The maker's document: .txt, .docx, or .pdf.")],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the instruction (.yaml or .json).")
    ] = None,
    language: Annotated[
        Literal["en", "de", "fr", "es"] | None,
        typer.Option("--language", help="The language to read, where the document has several."),
    ] = None,
    json: Json = False,
) -> None:
    """Read a maker's document into an instruction, every figure with its page and line."""
    from sinkside.desk import instructions

    instruction = instructions.draft(file, language=language)
    if out is not None:
        instructions.keep(instruction, out)
    if json:
        show_document(instruction)
    elif out is None:
        show(_in_words(instruction))
    else:
        show(f"{_figures_first(instruction)} → {out}")


def _figures_first(instruction: Instruction) -> str:
    from sinkside.desk.papers import read_words

    return f"{instruction.device.name}: {read_words([instruction])}"


def _in_words(instruction: Instruction) -> str:
    from sinkside.desk.papers import in_plain_words

    lines = [_figures_first(instruction)]
    for told in in_plain_words(instruction):
        figures = f" [{told.figures}]" if told.figures else ""
        place = f"(page {told.page}, line {told.line})"
        lines.append(f"  {told.letter:>2}  {told.station:<13} {told.sentence}{figures} {place}")
    lines += [
        f"  found no place: {left.text} (page {left.origin.page}, line {left.origin.line})"
        for left in instruction.not_understood
    ]
    seen = [step.origin.picture for step in instruction.steps if step.origin.picture]
    if seen:
        lines.append(f"  read from a picture: {len(seen)} steps; compare every figure with its page")
        changed = dict.fromkeys(change for picture in seen for change in picture.put_right)
        lines += [f"  put right: {change}" for change in changed]
    lines += [
        f"  also in '{other.language}': {len(other.passages)} sentences with figures, kept beside these"
        for other in instruction.translations
    ]
    return "\n".join(lines)
