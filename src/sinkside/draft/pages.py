"""A maker's file as pages of lines: text as it is, PDF by its words and ruled tables.

Running headers, footers and page numbers are left out; ruled tables become rows with strokes between the
cells, so that everything behind this room reads one kind of line.
"""

from __future__ import annotations

import hashlib
import itertools
import re
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

from sinkside.documents import read_bytes, read_text
from sinkside.errors import UnreadableFile

#: How many lines at the head and foot of a page can be running matter.
_RUNNING_LINES = 3
_WIDE_GAP = re.compile(r" {2,}")
_LEAST_COLUMNS = 3
_LEAST_ROWS = 3
_PAGE_NUMBER = re.compile(
    r"\W*(?:page|p\.|seite|pagina|página)?\W*\d{1,4}(?:\W*(?:of|/|von|de|sur)\W*\d{1,4})?\W*", re.IGNORECASE
)
_LIGATURES = str.maketrans(
    {"ﬁ": "fi", "ﬂ": "fl", "ﬀ": "ff", "ﬃ": "ffi", "ﬄ": "ffl", "\u00a0": " ", "\u2009": " ", "\u202f": " "}
    | {"\u00ad": "", "℃": "°C", "℉": "°F", "\u200b": "", "\ufeff": ""}
    | {sub: str(digit) for digit, sub in enumerate("₀₁₂₃₄₅₆₇₈₉")}
)


@dataclass(frozen=True, slots=True)
class Line:
    """One line: page, number (in the file, or on the page of a PDF), text, and how it is set."""

    page: int
    number: int
    text: str
    gap_before: bool = False
    prominent: bool = False


@dataclass(frozen=True, slots=True)
class Pages:
    """A document as lines in reading order."""

    lines: tuple[Line, ...]
    count: int
    file: str = ""
    digest: str = ""


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


def clean(text: str) -> str:
    """A line without ligatures, hard spaces and soft hyphens; tabs become spaces."""
    return text.translate(_LIGATURES).replace("\t", "    ").rstrip()


def text_pages(text: str) -> Pages:
    """The lines of a plain text; a form feed begins a page."""
    pages: list[list[Line]] = []
    number = 0
    for page, page_text in enumerate(re.split(r"\f\n?", text), start=1):
        lines: list[Line] = []
        gap = True
        for raw in page_text.splitlines():
            number += 1
            written = clean(raw)
            if written.strip():
                lines.append(Line(page, number, written, gap_before=gap))
            gap = not written.strip()
        pages.append(with_rows(lines))
    return Pages(tuple(line for lines in without_running_matter(pages) for line in lines), len(pages))


def with_rows(lines: list[Line]) -> list[Line]:
    """Lines with columns set by white space become rows with strokes, if neighbours have as many columns."""
    made = list(lines)
    for _, group in itertools.groupby(enumerate(lines), key=lambda numbered: _columns_set(numbered[1])):
        block = list(group)
        if _columns_set(block[0][1]) >= _LEAST_COLUMNS and len(block) >= _LEAST_ROWS:
            for place, line in block:
                cells = " | ".join(_WIDE_GAP.split(line.text.strip()))
                made[place] = replace(line, text=f"| {cells} |")
    return made


def _columns_set(line: Line) -> int:
    return 0 if "|" in line.text else len(_WIDE_GAP.split(line.text.strip()))


def without_running_matter(pages: list[list[Line]]) -> list[list[Line]]:
    """The pages without page numbers and without what stands at the same end of most of them."""
    if len(pages) == 1:
        return [_without_page_number(pages[0])]
    counted: Counter[tuple[str, str]] = Counter()
    for lines in pages:
        counted.update({("head", _key(line, len(pages))) for line in lines[:_RUNNING_LINES]})
        counted.update({("foot", _key(line, len(pages))) for line in lines[-_RUNNING_LINES:]})
    least = max(2, (len(pages) + 1) // 2)
    running = {key for key, times in counted.items() if times >= least}
    return [_without_page_number(_kept(lines, running, len(pages))) for lines in pages]


def _key(line: Line, pages: int) -> str:
    """The words of a line; only its own page number may differ from page to page, no other number."""
    words = " ".join(line.text.split()).lower()
    return re.sub(
        r"(?<![\d.,])\d+(?![\d.,])", lambda m: "#" if int(m[0]) in {line.page, pages} else m[0], words
    )


def _kept(lines: list[Line], running: set[tuple[str, str]], pages: int) -> list[Line]:
    foot = len(lines) - _RUNNING_LINES
    return [
        line
        for place, line in enumerate(lines)
        if not (place < _RUNNING_LINES and ("head", _key(line, pages)) in running)
        and not (place >= foot and ("foot", _key(line, pages)) in running)
    ]


def _without_page_number(lines: list[Line]) -> list[Line]:
    kept = list(lines)
    for end in (0, -1):
        if kept and _PAGE_NUMBER.fullmatch(kept[end].text.strip()):
            kept.pop(end)
    return kept
