"""The way from a document to a drafted Instruction."""

from __future__ import annotations

from pathlib import Path

from sinkside.draft.assembling import Assembly
from sinkside.draft.pages import Pages, read_pages, text_pages
from sinkside.draft.passages import passages
from sinkside.errors import UnreadableFile
from sinkside.instruction import Instruction


def draft(path: Path, *, language: str = "en") -> Instruction:
    """The drafted instruction of a .txt or .pdf file.

    Raises:
        UnreadableFile: if the file is missing, empty, binary, truncated or locked, or only pictures.
    """
    return _drafted(read_pages(path), language)


def draft_text(text: str, *, file: str = "", language: str = "en") -> Instruction:
    r"""The drafted instruction of a text.

    Raises:
        UnreadableFile: if there is nothing in it.

    >>> drafted = draft_text("Cleaning\n\n1. Soak the device for at least 5 min in water of 35 °C.")
    >>> [(step.stage.value, step.action.value, len(step.figures)) for step in drafted.steps]
    [('cleaning', 'soak', 2)]
    """
    pages = text_pages(text)
    if not pages.lines:
        raise UnreadableFile("there is no text in it", resource=file)
    return _drafted(Pages(pages.lines, pages.count, file), language)


def _drafted(pages: Pages, language: str) -> Instruction:
    assembly = Assembly.of(passages(pages.lines, language), language)
    return assembly.instruction(file=pages.file, digest=pages.digest, pages=pages.count)
