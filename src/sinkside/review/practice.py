"""What a text lets people do that no text should: words that stand in one sentence, and none denies."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.instruction import Stage
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import found, negated, says, sentences, without
from sinkside.review.rule import Trip

_PURPOSE = re.compile(r"\b(?:so that|in order that|in order to|in order not to|lest)\b[^,;.]*", re.IGNORECASE)

#: Words that turn a permission into a prohibition, or into something that is put right at once.
_DENIES = ("negation", "forbidden", "processed-again")

#: Around the pack and what comes out of the sterilizer.
OF_PACKS = frozenset({Stage.packaging, Stage.sterilization, Stage.storage})

#: From the end of use to the sink.
ON_THE_WAY = frozenset({Stage.point_of_use, Stage.transport})


@dataclass(frozen=True)
class Practice:
    """Senses that one sentence says together; the first names what is wrong.

    `stages`: where it counts; everywhere where there are none. `unless`: senses that explain it.
    """

    senses: tuple[str, ...]
    unless: tuple[str, ...] = ()
    stages: frozenset[Stage] = frozenset()
    denied_by: tuple[str, ...] = _DENIES


def practised(case: Case, *practices: Practice) -> Iterator[Trip]:
    """Each place where a text asks for or lets pass what a practice names, with the words that do."""
    for passage in case.sentences:
        for practice in practices:
            said = _words_of(passage, practice)
            if said and _is_where_it_counts(case, passage, practice):
                yield Trip(passage.place, {"words": said})
                break


def _is_where_it_counts(case: Case, passage: Passage, practice: Practice) -> bool:
    """Whether the stage that words were read as, or the one of the heading above them, is of the practice."""
    if not practice.stages:
        return True
    heading = case.stage_of(dataclasses.replace(passage, step=None))
    return bool(practice.stages & {case.stage_of(passage), heading})


def _words_of(passage: Passage, practice: Practice) -> str | None:
    if not all(says(passage.text, sense) for sense in practice.senses):
        return None
    for sentence in sentences(passage.text):
        if not all(says(sentence, sense) for sense in practice.senses):
            continue
        # "So that no dust gets in" says why, and denies nothing.
        rest = _PURPOSE.sub(" ", sentence)
        for sense in practice.senses:
            rest = without(rest, sense)
        pieces = [piece for piece in sentence.split(",") if says(piece, practice.senses[0])]
        denied = all(negated(piece, practice.senses[0]) for piece in pieces) and bool(pieces)
        denied = denied or any(says(rest, sense) for sense in practice.denied_by)
        if not denied and not any(says(sentence, sense) for sense in practice.unless):
            return min(found(sentence, practice.senses[0]))
    return None
