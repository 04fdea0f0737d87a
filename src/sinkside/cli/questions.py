"""`sinkside questions`: what an instruction leaves open becomes a letter to its maker."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from sinkside.cli.options import InstructionFile, Json, Profile
from sinkside.cli.output import show, show_document


def questions(
    instruction: InstructionFile,
    language: Annotated[
        Literal["en", "de", "fr", "es"], typer.Option("--language", help="The language of the letter.")
    ] = "en",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the letter to a text file.")
    ] = None,
    reply_to: Annotated[
        str, typer.Option("--reply-to", metavar="TEXT", help="Where the maker's answer is to go.")
    ] = "",
    alone: Annotated[
        bool, typer.Option("--alone", help="Leave out the English beside a translation nobody has reviewed.")
    ] = False,
    profile: Profile = "eu",
    json: Json = False,
) -> None:
    """Ask the maker, one numbered question each, about everything that an instruction leaves open."""
    from sinkside import wiring
    from sinkside.desk import instructions, letters

    asked = letters.letter_about(
        instructions.open_instruction(instruction),
        written_on=wiring.today(),
        language=language,
        profile=profile,
        reply_to=reply_to,
    )
    if out is not None:
        letters.write_letter(asked, out, reference=not alone)
    if json:
        show_document(asked)
    elif out is None:
        show(letters.letter_text(asked, reference=not alone).rstrip())
    else:
        show(f"{len(asked.questions)} questions in '{language}' → {out}")
