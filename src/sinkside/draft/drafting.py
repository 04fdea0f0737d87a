"""The way from a document to a drafted Instruction."""

from __future__ import annotations

from pathlib import Path

from sinkside.draft.assembling import Assembly
from sinkside.draft.lexicon import LANGUAGES
from sinkside.draft.lines import Line, without_emphasis
from sinkside.draft.marking import marked
from sinkside.draft.pages import Pages, read_pages, text_pages
from sinkside.draft.parting import DEFAULT_LANGUAGE, part
from sinkside.draft.passages import passages
from sinkside.draft.translating import translation
from sinkside.errors import UnreadableFile
from sinkside.instruction import Instruction

#: A book of 500 full pages: no one instruction is longer, and nobody should wait for a mistake.
MOST_LINES = 30_000
MOST_SIGNS = 3_000_000


def draft(path: Path, *, language: str | None = None) -> Instruction:
    """The drafted instruction of a text, a word-processor file, a PDF or a picture.

    Args:
        path: the maker's document.
        language: the one to read, where it has several: English if it is there, else its own, unless told.

    Raises:
        UnreadableFile: if the file is missing, empty, binary, truncated or locked, or only pictures.
        BadInput: if the document has several languages, and the wanted one is none of them.
    """
    return _drafted(read_pages(path), language)


def draft_text(text: str, *, file: str = "", language: str | None = None) -> Instruction:
    r"""The drafted instruction of a text.

    Raises:
        UnreadableFile: if there is nothing in it.
        BadInput: if the text has several languages, and the wanted one is none of them.

    >>> drafted = draft_text("Cleaning\n\n1. Soak the device for at least 5 min in water of 35 °C.")
    >>> [(step.stage.value, step.action.value, len(step.figures)) for step in drafted.steps]
    [('cleaning', 'soak', 2)]
    """
    pages = text_pages(text)
    if not pages.lines:
        raise UnreadableFile("there is no text in it", resource=file)
    return _drafted(Pages(pages.lines, pages.count, file), language)


def _drafted(pages: Pages, wanted: str | None) -> Instruction:
    """The instruction in one language, with the figures that the others give.

    Raises:
        UnreadableFile: if the text is longer than any one instruction for processing.
    """
    signs = sum(len(line.text) for line in pages.lines)
    if len(pages.lines) > MOST_LINES or signs > MOST_SIGNS:
        raise UnreadableFile(
            f"its text has {len(pages.lines)} lines and {signs} signs; "
            f"expected at most {MOST_LINES} lines and {MOST_SIGNS} signs, as one instruction has",
            resource=pages.file,
        )
    parted = part(tuple(without_emphasis(line) for line in pages.lines), wanted)
    ours = _in(parted.language, parted.lines, pages)
    translations = tuple(
        translation(ours, _in(language, lines, pages), language) for language, lines in parted.others
    )
    return ours.model_copy(update={"translations": translations}) if translations else ours


def _in(language: str, lines: tuple[Line, ...], pages: Pages) -> Instruction:
    """Lines read in a language; one without a lexicon is read for its figures, which look alike anywhere."""
    read_as = language if language in LANGUAGES else DEFAULT_LANGUAGE
    assembly = Assembly.of(passages(lines, read_as), read_as)
    drafted = marked(assembly.instruction(file=pages.file, digest=pages.digest, pages=pages.count), lines)
    if read_as == language:
        return drafted
    document = drafted.device.document.model_copy(update={"language": language})
    device = drafted.device.model_copy(update={"document": document})
    return drafted.model_copy(update={"device": device})
