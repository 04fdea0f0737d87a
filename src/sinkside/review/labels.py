"""The numbers and letters that steps, headings, captions and clauses carry: where a reference can lead."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.instruction import Step
from sinkside.review.case import Case
from sinkside.review.lexicon import references

_NUMBERS = re.compile(r"\d+")
_CAPTION_WORDS = 8

#: What stands in front of a clause: "(dd) ", "R3 ", "6.1.2 ", "iv ", "EN 4.1 ", "XIII. ".
_LEADING = re.compile(
    r"(?:^|[.;:]\s+|\|\s*)(?:§\s?|[A-Z]{2}\s(?=\d))?\(?"
    r"([A-Za-z]{1,3}|[IVXL]{1,7}|[A-Za-z]?\d+(?:\.\d+)*[a-z]?)[).:]*\s+(?=\S)"
)
#: "Table 2 lists the spare parts." stands over nothing.
_NAMED_STEP = re.compile(r"^\W*(?:step|paso|schritt|\u00e9tape|row)\s+(\d{1,3}[a-z]?)\b[.:)]", re.IGNORECASE)
_IN_BRACKETS = re.compile(r"^\W*[\[<](\d{1,3}[a-z]?)[\]>]")
_IS_SENTENCE = re.compile(
    r"^\W*\w+\s+\S+\s+(?:lists?|shows?|gives?|contains?|names?|tells?|explains?|describes?|is|are|has|applies"
    r"|sets out)\b",
    re.IGNORECASE,
)
_WORD_IN_FRONT = re.compile(r"^(?:step|schritt|paso|\u00e9tape|row|line|task)\s+")
_BEGINS = re.compile(r"^\W*(\d{1,3})[).:]?\s")
_COUNTED = frozenset({"1", "2", "3", "4", "5"})
_LETTERED = re.compile(r"(?:^|[.;:\s])\(([a-z]{1,3}|[ivx]+)\)\s")


def labels(case: Case) -> frozenset[str]:
    """Every number and letter under which something stands, in lower case, with the numbers above it."""
    found: set[str] = set()
    for written in _carried(case):
        bare = written.strip("().:; §").lower()
        found.add(bare)
        pieces = _NUMBERS.findall(bare)
        found |= {".".join(pieces[: depth + 1]) for depth in range(len(pieces))}
    return frozenset(found)


def bare_number(step: Step) -> str:
    """The number of a step without the word in front of it: "Step 7." is 7."""
    return _WORD_IN_FRONT.sub("", (step.number or "").strip("().: ").lower())


def has_numbers(case: Case) -> bool:
    """Whether steps or headings are numbered at all; where none is, no reference to one can be judged."""
    steps = any(step.number for step in case.steps) or _counts(case)
    steps = steps or any(_IN_BRACKETS.match(passage.text) for passage in case.passages)
    return steps or any(heading.number for heading in case.instruction.headings)


def _counts(case: Case) -> bool:
    """Whether sentences begin with numbers that count up: boxes and lines that no step took for its own."""
    begun = {match[1] for passage in case.passages if (match := _BEGINS.match(passage.text))}
    return begun >= _COUNTED


def captions(case: Case, kind: str) -> frozenset[str]:
    """The labels of the figures, tables, cards or appendices whose captions the text has."""
    texts = [heading.text for heading in case.instruction.headings]
    texts += [heading.origin.text for heading in case.instruction.headings]
    texts += [passage.text for passage in case.passages]
    texts += [step.heading for step in case.steps if step.heading]
    texts = [text for text in texts if not _IS_SENTENCE.search(text)]
    return frozenset(
        label.lower()
        for text in texts
        for found_kind, label in references(" ".join(text.split()[:_CAPTION_WORDS]))
        if found_kind == kind and text.lower().lstrip("| ").startswith(kind[:3])
    )


def _carried(case: Case) -> Iterator[str]:
    for step in case.steps:
        yield from filter(None, (step.number,))
        # Step 7 beneath the heading "4. Cleaning" is step 4.7.
        above = _LEADING.findall(step.heading or "")[:1]
        yield from (f"{chapter}.{step.number}" for chapter in above if step.number)
    for heading in case.instruction.headings:
        yield from filter(None, (heading.number,))
        yield from _LEADING.findall(heading.text)[:1]
    for passage in case.passages:
        yield from _LEADING.findall(passage.text)
        yield from _LETTERED.findall(passage.text)
        yield from _IN_BRACKETS.findall(passage.text)
        yield from _NAMED_STEP.findall(passage.text)
