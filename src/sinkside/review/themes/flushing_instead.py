"""What is said to clean a way inside, and is not done: flushing in place of a brush, filling."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import says
from sinkside.review.practice import Practice, practised
from sinkside.review.rule import Theme, Trip, book, rule

_WHERE_CLEANED = frozenset({Stage.cleaning, Stage.disinfection})
_REACHES = frozenset({Action.flush, Action.fill, Action.connect})
_NO_BRUSH = ("takes-no-brush", "too-narrow")


@rule(
    Theme.reach,
    Level.concern,
    title="Flushing is to clean a way inside, and no step flushes it.",
    message="“{words}” is said here, and no step of the cleaning flushes or connects the inside.",
    remedy="Ask the maker how the inside is flushed: with what, with how much, how often.",
    source=book("iso-17664-1"),
)
def flushing_told_and_not_done(case: Case) -> Iterator[Trip]:
    """Sentences that leave the inside to flushing, in a text whose cleaning pushes nothing through."""
    for passage in case.sentences:
        is_told = says(passage.text, "flushing-cleans") and any(says(passage.text, s) for s in _NO_BRUSH)
        if is_told and not any(_pushes(one) for one in case.sentences if one.text != passage.text):
            yield Trip(passage.place, {"words": " ".join(passage.text.split()[:10])})
            return


@rule(
    Theme.reach,
    Level.concern,
    title="Air is left in a way inside while it lies in a bath.",
    message="“{words}”: neither liquid nor ultrasound reaches a wall behind air.",
    remedy="Ask the maker how the inside is filled without bubbles before it goes into the bath.",
    source=book("aki-maintenance"),
)
def air_left_in_bath(case: Case) -> Iterator[Trip]:
    """Words of cleaning that leave air where the bath has to be, or let it stay."""
    yield from practised(case, Practice(("air-stays", "air-in-what"), ("air-is-wrong",), _WHERE_CLEANED))


def _pushes(passage: Passage) -> bool:
    """Whether words of the cleaning push liquid through the inside, by hand or from a nozzle."""
    step = passage.step
    if step is None or step.stage not in _WHERE_CLEANED:
        return False
    return (
        step.action in _REACHES
        or step.positions.get("port") == "connected"
        or says(passage.text, "pushes-through")
        or (says(passage.text, "through-lumen-only") and bool(step.figures))
    )


RULES = (flushing_told_and_not_done, air_left_in_bath)
