"""Running headers, footers and page numbers, which are no part of the text."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

from sinkside.draft.lines import Line

#: How many lines at the head and foot of a page can be running matter.
_RUNNING_LINES = 3
_LONGEST_PAGE_NUMBER = 40
_LONGEST_REST = 8
_ENDS_SENTENCE = re.compile(r"[.!?:;]$")
_PAGE_NUMBER = re.compile(
    r"[^\w%°]*(?:page|p\.|seite|pagina|página)?\W*\d{1,4}(?:\W*(?:of|/|von|de|sur)\W*\d{1,4})?[^\w%°]*",
    re.IGNORECASE,
)


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
        if kept and _is_page_number(kept[end].text.strip()):
            kept.pop(end)
    return kept


def _is_page_number(text: str) -> bool:
    return len(text) <= _LONGEST_PAGE_NUMBER and _PAGE_NUMBER.fullmatch(text) is not None


def behind_broken_sentences(pages: list[list[Line]]) -> list[list[Line]]:
    """The pages, with the notes at a page's foot behind the sentence that goes on over its end."""
    moved: list[list[Line]] = []
    held: list[Line] = []
    for lines in pages:
        going = _going_on(lines) if held else 0
        after = [replace(line, gap_before=True) for line in lines[going : going + 1]]
        whole = [*lines[:going], *held, *(after if held else lines[going : going + 1]), *lines[going + 1 :]]
        held = []
        text = [line for line in lines if not line.aside]
        if text and not _ENDS_SENTENCE.search(text[-1].text.rstrip()) and lines[-1].aside:
            held = [line for line in whole if line.aside and line.page == lines[-1].page]
            whole = [line for line in whole if line not in held]
        moved.append(whole)
    if moved and held:
        moved[-1].extend(held)
    return moved


def _going_on(lines: list[Line]) -> int:
    """How many lines at the head of a page go on with the page before."""
    for place, line in enumerate(lines[:_LONGEST_REST]):
        if place and line.gap_before:
            return place
        if _ENDS_SENTENCE.search(line.text.rstrip()):
            return place + 1
    return min(1, len(lines))
