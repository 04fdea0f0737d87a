"""A maker's file as pages of lines: text as it is, PDF by its words and ruled tables.

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

__all__ = ["Line", "Pages", "clean", "read_pages", "text_pages"]


def read_pages(path: Path) -> Pages:
    """The lines of a .txt or .pdf file.

    Raises:
        UnreadableFile: if it is missing, empty, binary, truncated, locked, or only pictures.
    """
    data = read_bytes(path)
    digest = hashlib.sha256(data).hexdigest()
    if data.lstrip()[:5] == b"%PDF-" or path.suffix.lower() == ".pdf":
        from sinkside.draft.pdf import pdf_pages

        pages = pdf_pages(data, resource=str(path))
    else:
        pages = text_pages(_checked_text(path))
    if not any(line.text for line in pages.lines):
        raise UnreadableFile("there is no text in it", resource=str(path))
    return Pages(pages.lines, pages.count, path.name, digest)


def _checked_text(path: Path) -> str:
    text = read_text(path)
    odd = sum(1 for sign in text[:20_000] if ord(sign) < ord(" ") and sign not in "\t\n\r\f\v")
    if odd > len(text[:20_000]) * 0.01:
        raise UnreadableFile("this is a binary file; expected text or PDF", resource=str(path))
    return text
