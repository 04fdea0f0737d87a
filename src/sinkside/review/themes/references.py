"""References to steps and chapters, and the order of revisions."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level, Place
from sinkside.review.case import Case, place_of
from sinkside.review.lexicon import references
from sinkside.review.rule import Theme, Trip, rule

_CHAPTERS = frozenset({"chapter", "section", "paragraph", "clause"})
_NUMBERS = re.compile(r"\d+")


@rule(
    Theme.references,
    Level.note,
    title="A reference leads nowhere.",
    message="The text refers to {kind} {number}, and there is none.",
    remedy="Ask the maker for {kind} {number}, or for what was meant.",
)
def reference_dangling(case: Case) -> Iterator[Trip]:
    """Numbers of steps, rows and chapters that words refer to, against those that the text has."""
    instruction = case.instruction
    of_steps = _with_ancestors(step.number for step in instruction.steps)
    of_headings = _with_ancestors(heading.number for heading in instruction.headings)
    for passage in case.passages:
        for kind, number in references(passage.text):
            if kind not in _CHAPTERS and not of_steps | of_headings:
                continue
            if number not in of_steps | of_headings:
                yield Trip(passage.place, {"kind": kind, "number": number})


@rule(
    Theme.references,
    Level.note,
    title="A revision has a lower number than the one it replaces.",
    message="Revision {revision} is said to replace {replaces}, which is later.",
    remedy="Ask the maker which revision is current.",
)
def revision_runs_backwards(case: Case) -> Iterator[Trip]:
    """The numbers of both revisions, compared from the left."""
    document = case.instruction.device.document
    current, replaced = (tuple(map(int, _NUMBERS.findall(t))) for t in (document.revision, document.replaces))
    if current and replaced and current < replaced:
        of_headings = (place_of(heading.origin) for heading in case.instruction.headings)
        of_passages = (passage.place for passage in case.passages)
        nowhere = Place(text=f"{document.revision} replaces {document.replaces}")
        place = next((p for p in (*of_headings, *of_passages) if document.replaces in p.text), nowhere)
        yield Trip(place, {"revision": document.revision, "replaces": document.replaces})


def _with_ancestors(numbers: Iterator[str | None]) -> set[str]:
    """Every number there is, and every number above it: 5.1 makes a 5."""
    known: set[str] = set()
    for number in numbers:
        pieces = _NUMBERS.findall(number or "")
        known |= {".".join(pieces[: depth + 1]) for depth in range(len(pieces))}
    return known


RULES = (reference_dangling, revision_runs_backwards)
