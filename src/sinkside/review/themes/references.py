"""References to steps, chapters, figures and parts."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action
from sinkside.review.case import Case, Passage
from sinkside.review.labels import captions, has_numbers, labels
from sinkside.review.lexicon import references, says
from sinkside.review.rule import Theme, Trip, Unjudged, rule

_CHAPTERS = frozenset({"chapter", "section", "paragraph", "clause"})
_NUMBERED = _CHAPTERS | {
    "step",
    "row",
    "point",
    "item",
    "rule",
    "note",
    "question",
    "answer",
    "box",
    "block",
    "panel",
    "tile",
}
_CAPTIONED = frozenset({"card", "table", "appendix"})
_PART_CELL = re.compile(r"\|\s*([A-Z](?:\s*(?:,|/|\+|&|and)\s*[A-Z])*)\s*(?=\|)")
_LETTER = re.compile(r"[A-Z]")

#: Crosses and ticks of tables are no parts.
_MARKS = frozenset("XV")
_FEWEST_PARTS = 2
#: Cards and tasks whose numbers stand in their headings.
_HEADED = frozenset({"task", "operation", "station"})
_FEWEST_HEADED = 3
_NOTE = re.compile(r"^\W*notes?\s+(\w{1,3})\b(?=\s*[:.)–-])", re.IGNORECASE)
_OF_PIECES = re.compile(r"(?<![\w.,/:-])(\d{1,2}(?:\.\d{1,2})+)(?![\w/:%°]|[.,]\d)")
_OF_WORK = frozenset({"step", "task", "row", "chapter", "section", "clause", "answer"})


@rule(
    Theme.references,
    Level.concern,
    title="A reference leads nowhere.",
    message="The text refers to {kind} {number}, and there is none.",
    remedy="Ask the maker for {kind} {number}, or for what was meant.",
)
def reference_dangling(case: Case) -> Iterator[Trip]:
    """Numbers and letters of steps, rows, clauses, chapters, cards and tables against those there are.

    Work that is to be done again after a step that is not there is lost; all else is told as a note.
    """
    known = labels(case)
    for passage in case.passages:
        for kind, number in (*references(passage.text), *_bare_numbers(passage, known)):
            if kind in _CAPTIONED:
                is_there = number.lower() in captions(case, kind)
            elif kind == "note":
                has_family = _has_family(known, f"n{number}")
                is_there = not has_family or f"n{number}" in known or number.lower() in _note_labels(case)
            elif kind == "label":
                is_there = number.lower() in known or not _has_family(known, number)
            elif kind in _HEADED:
                of_kind = _numbers_of_headings(case, kind)
                is_there = len(of_kind) < _FEWEST_HEADED or number.lower() in of_kind
            elif kind in _NUMBERED:
                is_there = number.lower() in known or (kind not in _CHAPTERS and not has_numbers(case))
            else:
                continue
            if not is_there:
                is_lost = (
                    kind in _OF_WORK and passage.step is not None and passage.step.action is Action.repeat
                )
                # "Use the cycle in Appendix C instead" leaves nobody a cycle to use.
                is_lost = is_lost or (kind == "appendix" and says(passage.text, "cycle-told-elsewhere"))
                yield Trip(passage.place, {"kind": kind, "number": number}, doubtful=not is_lost)


def _bare_numbers(passage: Passage, known: frozenset[str]) -> Iterator[tuple[str, str]]:
    """Numbers of more than one piece in words that repeat work, and that are no figure: "again as 4.12"."""
    is_repeat = passage.step is not None and passage.step.action is Action.repeat
    if not is_repeat and not says(passage.text, "again-if"):
        return
    told = " ".join(figure.as_written for figure in passage.figures)
    named = {number for _, number in references(passage.text)}
    for number in _OF_PIECES.findall(passage.text):
        chapter = number.partition(".")[0]
        # "1.5" among chapters that are numbered otherwise is a figure that was not read.
        has_family = sum(one.startswith(f"{chapter}.") for one in known) >= _FEWEST_PARTS
        if number not in told and number not in named and has_family and number not in _own_number(passage):
            yield "step", number


def _own_number(passage: Passage) -> str:
    return (passage.step and passage.step.number) or ""


def _numbers_of_headings(case: Case, kind: str) -> frozenset[str]:
    """The numbers that headings carry behind a word: "TASK 12 / AT THE SINK"."""
    texts = {heading.origin.text for heading in case.instruction.headings}
    texts |= {heading.text for heading in case.instruction.headings} | {
        step.heading or "" for step in case.steps
    }
    texts |= {passage.text for passage in case.passages}
    pattern = re.compile(rf"^\W*{kind}\s+(\d{{1,3}}[a-z]?)\b", re.IGNORECASE)
    return frozenset(match[1].lower() for text in texts if (match := pattern.match(text)))


def _note_labels(case: Case) -> frozenset[str]:
    """The labels of notes that carry the word: 'Note 3: …'."""
    texts = (passage.text for passage in case.passages)
    return frozenset(match[1].lower() for text in texts for match in _NOTE.finditer(text))


def _has_family(known: frozenset[str] | set[str], label: str) -> bool:
    """Whether the text has other labels with the letters of one: N1 to N5 beside N7."""
    letters = label.lower().rstrip("0123456789")
    return sum(re.fullmatch(rf"{letters}\d+", one) is not None for one in known) >= _FEWEST_PARTS


@rule(
    Theme.references,
    Level.note,
    title="A figure that the text refers to is not there.",
    message="The text refers to figure {number}, and there are only {known}.",
    remedy="Ask the maker for figure {number}, or for what was meant.",
)
def figure_dangling(case: Case) -> Iterator[Trip | Unjudged]:
    """Numbers of figures against the captions; without any caption pictures may still be there."""
    known = captions(case, "figure")
    for passage in case.passages:
        for kind, number in references(passage.text):
            if kind != "figure" or number.lower() in known:
                continue
            if known:
                evidence: Evidence = {"number": number, "known": ", ".join(sorted(known))}
                yield Trip(passage.place, evidence)
            else:
                yield Unjudged(passage.place, f"the caption of figure {number}")


@rule(
    Theme.references,
    Level.note,
    title="A page that the text refers to is not there.",
    message="The text refers to page {number} and has {pages} pages.",
    remedy="Ask the maker for page {number}, or for what was meant.",
)
def page_dangling(case: Case) -> Iterator[Trip]:
    """Numbers of pages against the number of pages that the document has."""
    pages = case.instruction.device.document.pages
    for passage in case.passages if pages else ():
        for kind, number in references(passage.text):
            if kind == "page" and number.isdigit() and pages and int(number) > pages:
                yield Trip(passage.place, {"number": number, "pages": pages})


@rule(
    Theme.references,
    Level.note,
    title="A step refers to itself.",
    message="Step {number} refers to itself.",
    remedy="Ask the maker which step is meant.",
)
def reference_to_itself(case: Case) -> Iterator[Trip]:
    """Steps whose words send the reader to their own number."""
    for step in case.steps:
        own = (step.number or "").strip("(). ").lower()
        for kind, number in references(step.origin.text):
            if own and kind in {"step", "row", "clause", "point"} and number.lower() == own:
                yield Trip(case.place(step), {"number": number})


@rule(
    Theme.references,
    Level.note,
    title="A letter stands for a part that is not on the list of parts.",
    message="{letter} is none of the parts {parts}.",
    remedy="Ask the maker which part {letter} is.",
)
def part_letter_unknown(case: Case) -> Iterator[Trip]:
    """Cells that hold nothing but letters of parts, against the list of parts by letter."""
    parts = {part.id for part in case.instruction.device.parts if _LETTER.fullmatch(part.id)}
    if len(parts) < _FEWEST_PARTS:
        return
    for passage in case.passages:
        for cell in _PART_CELL.findall(passage.text):
            letters = set(_LETTER.findall(cell))
            # A cell of one strange letter may be any mark; beside known parts it is meant as one.
            if letters & parts:
                for letter in sorted(letters - parts - _MARKS):
                    yield Trip(passage.place, {"letter": letter, "parts": ", ".join(sorted(parts))})


RULES = (
    reference_dangling,
    figure_dangling,
    page_dangling,
    reference_to_itself,
    part_letter_unknown,
)
