"""PDF pages as lines in reading order: words by place, columns one after the other, ruled tables as rows."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from sinkside.draft.gutters import Scale
from sinkside.draft.lines import Line, Pages
from sinkside.draft.pdf_page import PageReader
from sinkside.draft.pdf_words import page_content
from sinkside.draft.running import without_running_matter
from sinkside.draft.setting import Setter
from sinkside.errors import UnreadableFile

#: A PDF ends with this mark; without it the rest of the instruction is missing.
_END_MARK = b"%%EOF"
_SEARCHED_FOR_END_MARK = 4096
_SCALE = Scale(gutter=5.0, align=4.0)


def pdf_pages(data: bytes, *, resource: str) -> Pages:
    """The lines of a PDF with text.

    Raises:
        UnreadableFile: if it is truncated, locked or broken, or if its pages hold no text.
    """
    with opened_pdf(data, resource=resource) as document:
        count = len(document)
        pages = list(_read(document, resource))
    if not any(pages):
        raise UnreadableFile(
            "its pages are pictures without text; expected a PDF with text", resource=resource
        )
    return Pages(tuple(line for lines in without_running_matter(pages) for line in lines), count)


@contextlib.contextmanager
def opened_pdf(data: bytes, *, resource: str) -> Iterator[Any]:
    """A PDF, opened as long as it is needed.

    Raises:
        UnreadableFile: if it is truncated, locked or broken.
    """
    import pypdfium2

    if not data.lstrip().startswith(b"%PDF-"):
        raise UnreadableFile("this is no PDF although its name says so", resource=resource)
    if _END_MARK not in data[-_SEARCHED_FOR_END_MARK:]:
        raise UnreadableFile("this PDF is truncated; its end is missing", resource=resource)
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        if "password" in str(error).lower():
            raise UnreadableFile("this PDF is locked with a password", resource=resource) from error
        raise UnreadableFile("this PDF is broken and cannot be opened", resource=resource) from error
    try:
        yield document
    except pypdfium2.PdfiumError as error:
        raise UnreadableFile("this PDF is broken and cannot be read", resource=resource) from error
    finally:
        document.close()


def _read(document: Any, resource: str) -> Iterator[list[Line]]:
    setter = Setter(_SCALE)
    for number, page in enumerate(document, start=1):
        content = page_content(page, number=number, resource=resource)
        reader = PageReader(content.words, content.rules, content.width, number, setter)
        yield [replace(line, number=place) for place, line in enumerate(reader.lines(), start=1)]
        page.close()
