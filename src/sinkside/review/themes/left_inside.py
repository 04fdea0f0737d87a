"""What is left where it must not be: a stylet in its lumen while the lumen is cleaned."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Stage
from sinkside.review.case import Case, Passage
from sinkside.review.inserted import lies_inside
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, book, rule

_LATER = frozenset({Stage.inspection, Stage.maintenance, Stage.packaging, Stage.sterilization})
_WHERE_CLEANED = frozenset({Stage.preparation, Stage.cleaning, Stage.disinfection, Stage.drying})


@rule(
    Theme.reach,
    Level.concern,
    title="What fills a lumen stays in it while the lumen is cleaned or dried.",
    message="{part} stays inside here, and what lies between it and the wall is not reached.",
    remedy="Ask the maker whether {part} is taken out before the lumen is flushed and brushed.",
    source=book("iso-17664-1"),
)
def lumen_filled_while_cleaned(case: Case) -> Iterator[Trip]:
    """Words of preparation, cleaning and drying that leave a stylet in, where none behind draws it out."""
    for passage in case.sentences:
        if case.stage_of(passage) not in _WHERE_CLEANED:
            continue
        part = lies_inside(passage.text)
        if part and not _is_drawn_out(case, passage, part):
            yield Trip(passage.place, {"part": f"The {part}"})


def _is_drawn_out(case: Case, passage: Passage, part: str) -> bool:
    """Whether a later sentence of the cleaning takes out what an earlier one left inside."""
    at = case.sentences.index(passage)
    behind = itertools.takewhile(lambda one: case.stage_of(one) not in _LATER, case.sentences[at + 1 :])
    return any(
        part in other.text.lower() and (says(other.text, "drawn-out") or says(other.text, "comes-out-again"))
        for other in behind
    )


RULES = (lumen_filled_while_cleaned,)
