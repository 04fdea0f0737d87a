"""Use beyond what was tested: more cycles than the device went through."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.review.case import Case
from sinkside.review.lexicon import says
from sinkside.review.lives import Life, lives
from sinkside.review.rule import Theme, Trip, book, rule


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="The device may be used more often than was tested.",
    message="{used} uses are allowed here, and {tested} were tested.",
    remedy="Ask the maker for how many uses the device was tested; until then the smaller number holds.",
    source=book("iso-17664-1"),
)
def used_longer_than_tested(case: Case) -> Iterator[Trip]:
    """Numbers of uses at which use ends, against those that were tested for the same thing."""
    named = list(lives(case))
    tested = [life for life in named if _is_tested(life)]
    for end in named:
        if _is_tested(end) or not says(end.words, "use-ends-at"):
            continue
        for proof in tested:
            # "Shaft, jaw, bore; tested 500 cycles": a whole device is told by its parts.
            is_same = not proof.parts or not end.parts or proof.parts & end.parts
            if is_same and proof.number < end.number and proof.parts != end.parts:
                evidence = {"used": end.number, "tested": proof.number}
                yield Trip(end.place, evidence, (proof.place,))
                return


def _is_tested(life: Life) -> bool:
    """Whether words tell for how many uses a device was tried; "tested, and withdrawn after" tells both."""
    return says(life.words, "tested-for") and not life.is_service


RULES = (used_longer_than_tested,)
