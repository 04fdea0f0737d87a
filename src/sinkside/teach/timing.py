"""How long a part of a lesson takes: its words at the pace of reading aloud, and a while for each picture."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from sinkside.teach.lesson import LessonStep

#: No part of a lesson takes longer, in minutes.
LONGEST_MIN: Final = 10.0

#: Words a minute read aloud by adults in English, the mean of 77 studies (Brysbaert 2019, abstract). Silent
#: reading is quicker, but a lesson is read to others, or read by people in a second language.
WORDS_PER_MIN: Final = 183.0
PACE_SOURCE: Final = "brysbaert-2019"

#: Seconds to look at a picture, and to take in a figure: common practice, no source.
SECONDS_A_PICTURE: Final = 12.0
SECONDS_A_FIGURE: Final = 3.0


def minutes_of(steps: Iterable[LessonStep]) -> float:
    """How many minutes some steps take, counted in the reference language so that parts are alike in all.

    >>> minutes_of(())
    0.0
    """
    return sum(_seconds(step) for step in steps) / 60.0


def _seconds(step: LessonStep) -> float:
    words = sum(len(text.split()) for text in _texts(step))
    seen = SECONDS_A_PICTURE if step.picture else 0.0
    return words * 60.0 / WORDS_PER_MIN + seen + SECONDS_A_FIGURE * len(step.plain.figures)


def _texts(step: LessonStep) -> Iterator[str]:
    """All that is read of a step, in the reference language."""
    plain = step.plain.reference or step.plain
    yield from (plain.headline, *plain.lines, plain.until, plain.quoted, *plain.cautions)
    yield from (one.words for one in plain.positions if not one.told)
    yield from (one.beside or one.text for one in step.told)
    yield from step.changed
