"""Rinsing: with which water at last, and whether every channel is rinsed."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Stage
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import says
from sinkside.review.named import all_capitals, by_capitals
from sinkside.review.rule import Theme, Trip, book, rule

_RINSED = frozenset({Stage.cleaning, Stage.disinfection})
_CHANNEL = re.compile(r"\b([a-z]+(?:-[a-z]+)?)\s+(?:channel|lumen|cannula|port|bore)\b", re.IGNORECASE)
_NO_NAMES = frozenset(
    {"the", "a", "an", "each", "every", "this", "its", "one", "any", "same", "of", "and", "flush"}
)
_FEWEST_CHANNELS = 2


@rule(
    Theme.completeness,
    Level.concern,
    title="The last rinse is in poorer water than the rinse in front of it.",
    message="The last rinse here is in tap water, after purer water was used.",
    remedy="Ask the maker for the water of the last rinse; what tap water leaves dries on.",
    source=book("iso-17664-1"),
)
def last_rinse_in_tap_water(case: Case) -> Iterator[Trip]:
    """Tap water behind purer water in one chapter of cleaning, with nothing purer behind it."""
    pure: Passage | None = None
    poor: Passage | None = None
    chapter: str | None = None
    for passage in case.sentences:
        step = passage.step
        if step is None or step.stage not in _RINSED:
            continue
        is_new = step.heading != chapter
        if is_new and pure and poor:
            yield Trip(poor.place, {}, (pure.place,))
        if is_new or says(passage.text, "detergent"):
            pure, poor, chapter = None, None, step.heading
        if says(passage.text, "good-water"):
            pure, poor = passage, None
        elif pure and says(passage.text, "poor-water") and not says(passage.text, "first-phase"):
            poor = passage
    if pure and poor:
        yield Trip(poor.place, {}, (pure.place,))


@rule(
    Theme.reach,
    Level.concern,
    title="A channel that was flushed with cleaner is not rinsed.",
    message="Cleaner is flushed through {channel}, and the rinse names other channels only.",
    remedy="Ask the maker how {channel} is rinsed, and with how much water.",
    source=book("iso-17664-1"),
)
def channel_not_rinsed(case: Case) -> Iterator[Trip]:
    """Channels by name that cleaner is pushed through against those that the next rinse names."""
    flushed: dict[str, Passage] = {}
    rinsed: dict[str, Passage] = {}
    known = frozenset().union(*(by_capitals(passage.text) for passage in case.passages))
    for passage in case.sentences:
        stage = case.stage_of(passage)
        if stage is not Stage.cleaning or not says(passage.text, "goes-inside"):
            continue
        names = _channels(passage.text, known)
        if says(passage.text, "detergent"):
            if rinsed:
                yield from _unrinsed(flushed, rinsed)
                flushed, rinsed = {}, {}
            flushed |= dict.fromkeys(names, passage)
        elif flushed and (says(passage.text, "good-water") or says(passage.text, "poor-water")):
            everything = flushed if says(passage.text, "every-one") else {}
            rinsed |= dict.fromkeys((*names, *everything), passage)
    yield from _unrinsed(flushed, rinsed)


def _unrinsed(flushed: dict[str, Passage], rinsed: dict[str, Passage]) -> Iterator[Trip]:
    """The channels that are left, where the rinse names some of those that were flushed."""
    if len(flushed) >= _FEWEST_CHANNELS and set(flushed) & set(rinsed):
        for name, flush in flushed.items():
            if name not in rinsed:
                yield Trip(next(iter(rinsed.values())).place, {"channel": name}, (flush.place,))


def _channels(text: str, known: frozenset[str]) -> list[str]:
    """The channels that words name, by capitals or by what stands in front of the word channel."""
    spoken = [name.lower() for name in _CHANNEL.findall(text) if name.lower() not in _NO_NAMES]
    return [*sorted(all_capitals(text) & known), *(f"{name} channel" for name in spoken)]


RULES = (last_rinse_in_tap_water, channel_not_rinsed)
