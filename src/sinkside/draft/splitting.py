"""Where sentences end, and where a run-in list is several items."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.draft.lexicon import read_words

_LOOK_BACK = 60
#: "Let cool; do not touch it while warm": two words are no item of a list, the rest belongs to them.
_LEAST_WORDS_OF_AN_ITEM = 3
_LONGEST_SENTENCE = 2500
_OWN_LABEL = re.compile(r"[^\W\d_][^:;.\d]{0,40}:\s")
#: "45 deg. C"
_DEGREES = re.compile(r"[CF]\b")
_END = re.compile(r"[.!?][\"')\]]*(?=\s+[\"'(\[]?(?:[A-ZÄÖÜÉÀ0-9•]|pH\b))|[.!?][\"')\]]*$|;(?=\s)")


def split_sentences(text: str, language: str = "en") -> Iterator[tuple[int, int, str]]:
    """Start, end and lead-in of each sentence; the parts of a list with semicolons are sentences too.

    >>> text = "Fill to max. 5 mL. Cycle: wash 5 min; dry 9 min."
    >>> [(text[start:end], lead) for start, end, lead in split_sentences(text)]
    [('Fill to max. 5 mL.', ''), ('wash 5 min;', 'Cycle:'), ('dry 9 min.', 'Cycle:')]
    """
    for start, end in _sentences(text, language):
        for first, last, lead in _list_items(text, start, end, language):
            for left, right in _bearable(text, first, last):
                yield left, right, lead


def _bearable(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    """What never comes to a full stop is cut between words: no reading may take longer than its length."""
    while end - start > _LONGEST_SENTENCE:
        cut = text.rfind(" ", start + 1, start + _LONGEST_SENTENCE)
        cut = cut if cut > 0 else start + _LONGEST_SENTENCE
        yield start, cut
        start = cut + 1 if text[cut] == " " else cut
    yield start, end


def _sentences(text: str, language: str) -> Iterator[tuple[int, int]]:
    start = 0
    for match in _END.finditer(text):
        if match[0] == ";" or (match[0][0] == "." and _is_abbreviation(text, match.start(), language)):
            continue
        yield start, match.end()
        start = match.end()
        while start < len(text) and text[start].isspace():
            start += 1
    if start < len(text):
        yield start, len(text)


def _is_abbreviation(text: str, dot: int, language: str) -> bool:
    so_far = text[max(0, dot - _LOOK_BACK) : dot]
    before = re.search(r"[^\s(]+$", so_far)
    behind = text[dot + 1 : dot + 1 + _LOOK_BACK].lstrip()
    if before is None:
        return True
    word = before[0]
    reading = read_words(word.replace(".", ""), language)
    if re.fullmatch(r"\d{1,2}", word) and not behind[:1].isdigit():
        return len(so_far.split()) == 1
    if not reading.has("abbreviation"):
        return False
    is_unit = reading.has("unit") and not _DEGREES.match(behind)
    return not (is_unit and behind[:1].isupper() and re.search(r"\d\s*\S+$", so_far))


def _holds_number(words: str, language: str) -> bool:
    """Whether words hold a number, be it written out: 'Pre-vacuum, three pulses'."""
    reading = read_words(words, language)
    return any(reading.at(x.last, "count") or reading.at(x.last, "unit") for x in reading.all("number"))


def _list_items(text: str, start: int, end: int, language: str) -> Iterator[tuple[int, int, str]]:
    """'Cycle: wash 5 min; rinse 1 min' is two items; a lone semicolon joins two sentences."""
    cuts: list[int] = []
    depth, seen = 0, start
    for match in re.finditer(r";\s+", text[start:end]):
        here = start + match.start()
        depth += text.count("(", seen, here) - text.count(")", seen, here)
        seen = here
        if depth <= 0 and (cuts or len(text[start:here].split()) >= _LEAST_WORDS_OF_AN_ITEM):
            cuts.append(start + match.end())
    if not cuts:
        yield start, end, ""
        return
    # Words before a colon that hold a figure are no mere lead-in: what they say must not be lost.
    lead = re.match(r"[^:;.\d]{3,60}:\s+", text[start:end])
    lead = None if lead and _holds_number(lead[0], language) else lead
    # "Handle: 500 cycles; cup: 75 cycles": each item has a label of its own.
    own = any(_OWN_LABEL.match(text[left:right]) for left, right in zip(cuts, [*cuts[1:], end], strict=True))
    lead = None if own else lead
    first = start + lead.end() if lead else start
    words = lead[0].strip() if lead else ""
    for left, right in zip([first, *cuts], [*cuts, end], strict=True):
        if text[left:right].strip():
            yield left, left + len(text[left:right].rstrip()), words
