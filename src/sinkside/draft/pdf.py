"""PDF pages as lines in reading order: words by place, columns one after the other, ruled tables as rows."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from sinkside.draft.gutters import Scale
from sinkside.draft.lines import Line, Pages, Seen
from sinkside.draft.misreadings import put_right
from sinkside.draft.pdf_page import PageReader
from sinkside.draft.pdf_words import PageContent, page_content
from sinkside.draft.running import behind_broken_sentences, without_running_matter
from sinkside.draft.scan import ScanReader, image_pictures, is_read_by_others, scanned_picture, sure_of
from sinkside.draft.setting import Setter
from sinkside.errors import UnreadableFile

#: A PDF ends with this mark; without it the rest of the instruction is missing.
_END_MARK = b"%%EOF"
_SEARCHED_FOR_END_MARK = 4096
_SCALE = Scale(gutter=5.0, align=4.0)


def pdf_pages(data: bytes, *, resource: str) -> Pages:
    """The lines of a PDF; pages that are only pictures are read by their looks.

    Raises:
        UnreadableFile: if it is truncated, locked or broken, or its pictures cannot be read here.
    """
    with opened_pdf(data, resource=resource) as document:
        count = len(document)
        pages = list(_read(document, resource))
    return Pages(tuple(line for lines in _joined(pages) for line in lines), count)


def _joined(pages: list[list[Line]]) -> list[list[Line]]:
    return behind_broken_sentences(without_running_matter(pages))


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


def image_pages(data: bytes, *, resource: str) -> Pages:
    """The lines of a picture file, read by its looks.

    Raises:
        UnreadableFile: if it is broken, or cannot be read here.
    """
    setter, scans = Setter(_SCALE), ScanReader(resource)
    pages = [
        _seen_lines(scans.content(picture), scans, setter, number)
        for number, picture in enumerate(image_pictures(data, resource=resource), start=1)
    ]
    return Pages(tuple(line for lines in _joined(pages) for line in lines), len(pages))


def _read(document: Any, resource: str) -> Iterator[list[Line]]:
    setter, scans = Setter(_SCALE), ScanReader(resource)
    for number, page in enumerate(document, start=1):
        content = page_content(page, number=number, resource=resource)
        picture = scanned_picture(page, signs=sum(len(word.text) for word in content.words))
        if picture is not None:
            yield _seen_lines(scans.content(picture), scans, setter, number)
        elif content.words and is_read_by_others(page):
            yield [_compared(line, {}) for line in _lines(content, setter, number)]
        else:
            yield _lines(content, setter, number)
        page.close()


def _lines(content: PageContent, setter: Setter, number: int) -> list[Line]:
    reader = PageReader(content.words, content.rules, content.width, number, setter)
    return [replace(line, number=place) for place, line in enumerate(reader.lines(), start=1)]


def _seen_lines(content: PageContent, scans: ScanReader, setter: Setter, number: int) -> list[Line]:
    return [_compared(line, scans.surest) for line in _lines(content, setter, number)]


def _compared(line: Line, surest: dict[str, float]) -> Line:
    """A line of a picture: what can only be a misreading put right, and that it must be compared."""
    text, changed = put_right(line.text)
    return replace(line, text=text, seen=Seen(sure_of(line.text, surest), changed))
