"""Files of an instruction: the maker's document, the picture of a page, the poster, the letter, the data."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Path, Query

from sinkside.desk import shelf as desk_shelf
from sinkside.desk.instruction_papers import instruction_letter, instruction_poster, instruction_yaml
from sinkside.desk.source_pages import page_picture
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT, Sending
from sinkside.web.screens.instructions.answers import ANSWER
from sinkside.web.screens.instructions.shelf import READ, screen

_INSTRUCTION = f"{DEPARTMENT}/instructions/{{instruction}}"
_Number = Annotated[int | None, Query(ge=1, le=1_000_000)]


@screen.file(f"{_INSTRUCTION}/document/{{digest}}", right=READ)
def document(asked: Asked, instruction: str, digest: str) -> Sending:
    """A file of the instruction as it was handed in: the maker's document, or an answer of the maker's."""
    file, data = desk_shelf.makers_document(asked.archive, asked.visitor, instruction, digest=digest)
    # Whatever the browser called it: a file from outside is saved, never shown as a page of ours.
    return Sending(data, "application/octet-stream", saved_as=file.name)


@screen.file(f"{_INSTRUCTION}/document/{{digest}}/page/{{page}}", right=READ)
def picture(
    asked: Asked, instruction: str, digest: str, page: Annotated[int, Path(ge=1, le=10_000)]
) -> Sending:
    """The picture of one page of the maker's document."""
    data = page_picture(asked.archive, asked.visitor, instruction, digest=digest, page=page)
    return Sending(data, "image/png")


@screen.file(f"{_INSTRUCTION}/poster", right=READ)
def poster(asked: Asked, instruction: str, *, revision: _Number = None, proof: bool = False) -> Sending:
    """The proof of a revision's poster as PDF, the latest unless told; nothing but a proof."""
    name, data = instruction_poster(
        asked.archive,
        asked.visitor,
        instruction,
        now=asked.now,
        revision=revision,
        proof=proof,
    )
    return Sending(data, "application/pdf", saved_as=name)


@screen.file(f"{_INSTRUCTION}/letter", right=ANSWER)
def letter(asked: Asked, instruction: str, *, language: Literal["en", "de", "fr", "es"] = "en") -> Sending:
    """The letter that asks the maker about everything that stands open in the latest revision."""
    name, text = instruction_letter(
        asked.archive, asked.visitor, instruction, now=asked.now, language=language
    )
    return Sending(text, "text/plain; charset=utf-8", saved_as=name)


@screen.file(f"{_INSTRUCTION}/yaml", right=READ)
def data(asked: Asked, instruction: str, *, revision: _Number = None) -> Sending:
    """A revision as a YAML file, the latest unless told."""
    name, content = instruction_yaml(asked.archive, asked.visitor, instruction, revision=revision)
    return Sending(content, "application/yaml", saved_as=name)
