"""What a text says once of its cycles and its times, and lets go elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import AirRemoval, Step
from sinkside.review.asking import concerns
from sinkside.review.case import Case, words
from sinkside.review.lexicon import bans, found, says, sentences, without
from sinkside.review.practice import Practice, practised
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.stated import steam_steps

_FIGURE = re.compile(r"\d")


@rule(
    Theme.contradictions,
    Level.concern,
    title="A cycle without vacuum is offered that the text rules out.",
    message="The text rules out a cycle without vacuum (“{words}”) and offers one.",
    remedy="Get the maker's written answer: which cycles were validated; until then only those with "
    "vacuum run.",
    source=book("iso-17664-1"),
)
def vacuum_against_own_words(case: Case) -> Iterator[Trip]:
    """Words that allow cycles with vacuum alone, or say that others fail, against cycles by gravity."""
    cycles = [step for step in steam_steps(case) if _is_without_vacuum(step)]
    for passage in case.sentences if cycles else ():
        said = next((one for one in sentences(passage.text) if _rules_it_out(one)), None)
        if said is None:
            continue
        for step in cycles:
            is_told = (ban := bans(passage.text, "gravity")) and concerns(
                case, passage, ban, sense="gravity", step=step
            )
            if step.origin.text != passage.text and not is_told and not _are_of_other_parts(said, step):
                words_there = min(found(said, "gravity-cycle") or found(said, "vacuum-cycle"))
                yield Trip(case.place(step), {"words": words_there}, (passage.place,))


def _is_without_vacuum(step: Step) -> bool:
    said = words(step)
    is_gravity = step.air_removal is AirRemoval.gravity or says(said, "gravity-cycle")
    return is_gravity and not says(said, "vacuum-cycle") and not _rules_it_out(said)


def _rules_it_out(said: str) -> bool:
    """Whether a sentence rules out cycles without vacuum: by their name, or by others alone."""
    if says(said, "gravity-cycle"):
        # "Gravity cycles of less than 30 minutes were not tested" rules out none of 30 minutes.
        if _FIGURE.search(said):
            return False
        return bans(said, "gravity-cycle") is not None or says(said, "ruled-out")
    is_only = says(said, "only") and not says(without(said, "only"), "negation")
    return is_only and says(said, "vacuum-cycle") and says(said, "way-allowed")


def _are_of_other_parts(said: str, step: Step) -> bool:
    """Whether a sentence and a cycle name parts, and none in common: "solid parts: gravity"."""
    theirs, mine = found(said, "component"), found(words(step), "component")
    return bool(theirs and mine and not theirs & mine)


@rule(
    Theme.contradictions,
    Level.concern,
    title="Work that the text demands may be cut when people are in a hurry.",
    message="“{words}”: what was validated does not get shorter because time is.",
    remedy="Ask the maker which least time was validated; until then the work is done in full.",
    source=book("iso-17664-1"),
)
def cut_in_a_hurry(case: Case) -> Iterator[Trip]:
    """Words that let a time or a step go when there is little time."""
    for trip in practised(case, Practice(("may-be-cut", "in-a-hurry"), denied_by=("negation", "forbidden"))):
        if says(trip.place.text or "", "of-cycle-work"):
            yield trip


RULES = (vacuum_against_own_words, cut_in_a_hurry)
