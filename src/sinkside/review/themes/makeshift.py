"""Makeshift ways that words let in: work put off, used water, any oil, guards that let no steam in."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Stage
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import found, negated, one_behind_the_other, says, sentences
from sinkside.review.practice import ON_THE_WAY, Practice, practised
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.stated import steam_steps

_AT_THE_SINK = frozenset({Stage.cleaning, Stage.disinfection, Stage.preparation})
_AT_THE_PACK = frozenset({Stage.packaging, Stage.inspection, Stage.sterilization})


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="The first treatment waits until the end of the day.",
    message="“{words}”: until then soil dries on the device, and dried soil is many times harder to remove.",
    remedy="Ask the maker what is done straight after each use.",
    source=book("aki-maintenance"),
)
def first_treatment_put_off(case: Case) -> Iterator[Trip]:
    """Work on fresh soil that words put off to the end of a list, a shift or a day."""
    yield from practised(
        case, Practice(("put-off", "soil-acts-first"), ("also-then", "kept-moist"), ON_THE_WAY)
    )


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="Water rinses a second instrument.",
    message="“{words}”: used water carries soil and cleaner from one instrument to the next.",
    remedy="Ask the maker whether fresh water is meant for every rinse; until then it is.",
    source=book("iso-17664-1"),
)
def rinsed_in_used_water(case: Case) -> Iterator[Trip]:
    """Words that rinse or wash in water that was there for another instrument or an earlier rinse."""
    for passage in case.sentences:
        if case.stage_of(passage) not in _AT_THE_SINK:
            continue
        for sentence in sentences(passage.text):
            used = one_behind_the_other(sentence, "water-words", "from-before")
            used |= found(sentence, "water-again")
            is_denied = any(says(sentence, one) for one in ("negation", "forbidden", "of-one-instrument"))
            if used and says(sentence, "medium") and not is_denied:
                yield Trip(passage.place, {"words": min(used)})
                break


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="Any oil or grease will do.",
    message="“{words}” names no lubricant: many keep steam out, and some are harmful in the body.",
    remedy="Ask the maker for the lubricant by name; it must be made for instruments and let steam through.",
    source=book("iso-17664-1"),
)
def lubricant_left_open(case: Case) -> Iterator[Trip]:
    """Words that oil with whatever there is, and say nothing of steam."""
    for passage in case.sentences:
        for sentence in sentences(passage.text):
            free = found(sentence, "any-oil") | one_behind_the_other(sentence, "any-choice", "oil-or-grease")
            senses = ("negation", "forbidden", "steam-permeable", "takes-oil-off", "made-for-instruments")
            if free and not any(says(sentence, one) for one in senses):
                yield Trip(passage.place, {"words": min(free)})
                break


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="What protects the device in its pack lets no steam in.",
    message="A {guard} that is “{words}” keeps steam from what it covers.",
    remedy="Ask the maker for a guard with openings, or one that steam passes through.",
    source=book("iso-17664-1"),
)
def guard_keeps_steam_out(case: Case) -> Iterator[Trip]:
    """Guards and protectors that are closed or without holes, on a device that goes into steam."""
    if not steam_steps(case):
        return
    for passage in case.sentences:
        said = passage.text
        is_here = case.stage_of(passage) in _AT_THE_PACK
        tight = found(said, "shuts-out-steam")
        if is_here and tight and says(said, "tip-guard") and not _lets_steam_in(passage):
            yield Trip(passage.place, {"guard": min(found(said, "tip-guard")), "words": min(tight)})


def _lets_steam_in(passage: Passage) -> bool:
    return says(passage.text, "lets-steam-in") or negated(passage.text, "shuts-out-steam")


RULES = (
    first_treatment_put_off,
    rinsed_in_used_water,
    lubricant_left_open,
    guard_keeps_steam_out,
)
