"""A maker's file as pages of lines: text as it is, PDF by words and rules, .docx by its paragraphs.

Running headers, footers and page numbers are left out; ruled tables become rows with strokes between the
cells, so that everything behind this room reads one kind of line.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from sinkside.documents import read_bytes, read_text
from sinkside.draft.lines import Line, Pages, clean
from sinkside.draft.plain_text import text_pages
from sinkside.errors import UnreadableFile

__all__ = ["ENDINGS", "Line", "Pages", "clean", "read_pages", "text_pages"]


#: What can be read, by the ending of the name.
ENDINGS = (".docx", ".jpeg", ".jpg", ".pdf", ".png", ".tif", ".tiff", ".txt")


def read_pages(path: Path) -> Pages:
    """The lines of a text, a word-processor file, a PDF or a picture.

    Raises:
        UnreadableFile: if it is missing, empty, binary, truncated, locked or made to swell, or if it
            holds pictures that cannot be read here.
    """
    data = read_bytes(path)
    digest = hashlib.sha256(data).hexdigest()
    pages = _read(path, data)
    if not any(line.text for line in pages.lines):
        raise UnreadableFile("there is no text in it", resource=str(path))
    return Pages(pages.lines, pages.count, path.name, digest)


def _read(path: Path, data: bytes) -> Pages:
    """The lines by what the file is; what its name promises it must keep."""
    ending = path.suffix.lower()
    if data.lstrip()[:5] == b"%PDF-" or ending == ".pdf":
        from sinkside.draft.pdf import pdf_pages

        return pdf_pages(data, resource=str(path))
    from sinkside.draft.scan import is_image

    if is_image(data):
        from sinkside.draft.pdf import image_pages

        return image_pages(data, resource=str(path))
    from sinkside.draft.word_package import is_word_file

    if ending in {".docx", ".doc"} or is_word_file(data):
        from sinkside.draft.word_file import word_pages

        return word_pages(data, resource=str(path))
    return text_pages(_checked_text(path))


def _checked_text(path: Path) -> str:
    text = read_text(path)
    odd = sum(1 for sign in text[:20_000] if ord(sign) < ord(" ") and sign not in "\t\n\r\f\v")
    if odd > len(text[:20_000]) * 0.01:
        raise UnreadableFile("this is a binary file; expected text, .docx or PDF", resource=str(path))
    return text
