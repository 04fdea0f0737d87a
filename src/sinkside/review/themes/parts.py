"""Parts that come off, and the three kinds of single use."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, FeatureKind, Part, PartUse, Stage
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage
from sinkside.review.lexicon import clauses, says
from sinkside.review.rule import Theme, Trip, rule

_NEVER_CLEANED = frozenset({PartUse.discard_after_use, PartUse.new_at_assembly})


@rule(
    Theme.parts,
    Level.stop,
    title="A single-use part is cleaned or put back.",
    message="The {part} is for single use and is to be cleaned or put back here.",
    remedy="Get the maker's written answer: is the {part} discarded after use, or processed? "
    "Until then it is discarded.",
)
def single_use_part_used_again(case: Case) -> Iterator[Trip]:
    """Cleaning steps on a single-use part, and sentences that say to clean it or to put it back."""
    for part_id, name in _single_use(case):
        said_single_use = [passage.place for passage in case.passages if _says_single_use(passage, name)]
        for passage in case.passages:
            step = passage.step
            worked_on = step is not None and step.action in CLEANING_ACTIONS and step.on == (part_id,)
            if (worked_on and _mentions(passage.text, name)) or any(
                _asks_again(clause, name) for clause in clauses(passage.text)
            ):
                others = tuple(place for place in said_single_use if place.text != passage.place.text)
                yield Trip(passage.place, {"part": name}, others)


@rule(
    Theme.parts,
    Level.concern,
    title="Nothing says when a single-use part is discarded.",
    message="The {part} is discarded after use, but no step says where.",
    remedy="Ask the maker where the {part} is taken off and discarded.",
)
def single_use_part_never_discarded(case: Case) -> Iterator[Trip]:
    """Parts to be discarded after use that no step and no sentence discards."""
    for part in case.instruction.device.parts:
        if part.use is PartUse.discard_after_use:
            discarded = any(part.id in step.on for step in case.doing(Action.discard_part))
            if not discarded and not any(_says_single_use(passage, part.name) for passage in case.passages):
                yield Trip(case.heading_for(Stage.preparation), {"part": part.name})


@rule(
    Theme.parts,
    Level.note,
    title="What is taken apart is never put together again.",
    message="The device is taken apart here and no step puts it together or says that it stays apart.",
    remedy="Ask the maker where the device is put together: before packing, or at the field.",
)
def never_put_together(case: Case) -> Iterator[Trip]:
    """Taking apart without putting together, where no words speak of assembling."""
    apart = case.doing(Action.take_apart)
    if apart and not case.doing(Action.put_together) and not case.mentions("assembling"):
        yield Trip(case.place(apart[0]))


def _single_use(case: Case) -> Iterator[tuple[str, str]]:
    """Ids and names of what is never cleaned: discarded after use, or new at every assembly."""
    device = case.instruction.device
    parts: list[Part] = [part for part in device.parts if part.use in _NEVER_CLEANED]
    yield from ((part.id, part.name) for part in parts)
    named = {part.id for part in parts}
    for feature in device.features:
        if feature.kind is FeatureKind.single_use_part and feature.part not in named and feature.name:
            yield feature.id, feature.name


def _says_single_use(passage: Passage, name: str) -> bool:
    return _mentions(passage.text, name) and says(passage.text, "single-use")


def _mentions(text: str, name: str) -> bool:
    return bool(name) and re.search(rf"(?<!\w){re.escape(name)}(?!\w)", text, re.IGNORECASE) is not None


def _asks_again(clause: str, name: str) -> bool:
    """Whether a clause asks to clean the part or to put it back."""
    return (
        _mentions(clause, name)
        and says(clause, "used-again")
        and not any(says(clause, sense) for sense in ("negation", "removal", "replaced", "single-use"))
    )


RULES = (single_use_part_used_again, single_use_part_never_discarded, never_put_together)
