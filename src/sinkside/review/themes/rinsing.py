"""Rinsing: with which water at last, and whether every channel is rinsed."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, FeatureKind, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import behind, found, says
from sinkside.review.named import all_capitals, by_capitals
from sinkside.review.rule import Theme, Trip, book, rule

_RINSED = frozenset({Stage.cleaning, Stage.disinfection})
_PHASES = frozenset({Action.rinse, Action.flush, Action.disinfect})
_CHANNEL = re.compile(r"\b([a-z]+(?:-[a-z]+)?)\s+(?:channel|lumen|cannula|port|bore)\b", re.IGNORECASE)
_NO_NAMES = frozenset(
    {
        "the",
        "a",
        "an",
        "each",
        "every",
        "this",
        "its",
        "one",
        "any",
        "same",
        "of",
        "and",
        "both",
        "all",
        "or",
        "no",
    }
    | {
        "flush",
        "brush",
        "rinse",
        "clean",
        "dry",
        "blow",
        "fill",
        "connect",
        "through",
        "scrub",
        "open",
        "irrigate",
    }
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
    """Tap water behind purer water in one chapter of cleaning, with nothing purer behind it.

    Where a rule asks for purer water at last, tap water that nothing purer follows breaks it.
    """
    yield from _against_own_rule(case)
    pure: Passage | None = None
    poor: Passage | None = None
    chapter: str | None = None
    for passage in case.sentences:
        step = passage.step
        if step is None or step.stage not in _RINSED:
            continue
        is_new = step.heading != chapter
        if is_new and pure and poor:
            yield Trip(poor.place, {}, () if pure is poor else (pure.place,))
        if is_new or says(passage.text, "detergent"):
            pure, poor, chapter = None, None, step.heading
        if says(passage.text, "good-water"):
            pure, poor = passage, None
        elif pure and says(passage.text, "poor-water") and not says(passage.text, "first-phase"):
            poor = passage
        if _ends_in_tap_water(passage.text):
            pure, poor = pure or passage, passage
    if pure and poor:
        yield Trip(poor.place, {}, () if pure is poor else (pure.place,))


@rule(
    Theme.reach,
    Level.concern,
    title="A lumen that met cleaner is rinsed on its outside only.",
    message="After the cleaner only the outside is rinsed, and the device has {lumen}.",
    remedy="Ask the maker how the inside is rinsed, and with how much water.",
    source=book("iso-17664-1"),
)
def only_outside_rinsed(case: Case) -> Iterator[Trip]:
    """Rinses behind the last cleaner that all name the outside, on a device with a lumen."""
    inside = [f for f in case.instruction.device.features if f.kind is FeatureKind.lumen]
    for chapter in _chapters(case) if inside else ():
        at = [n for n, p in enumerate(chapter) if _is_in_cleaner(p)]
        behind = [p for p in chapter[at[-1] + 1 :] if case.stage_of(p) in _RINSED] if at else []
        rinses = [p for p in behind if says(p.text, "rinsing") or _goes_inside(p)]
        if rinses and all(says(p.text, "outer-side") and not _reaches_inside(p) for p in rinses):
            yield Trip(rinses[0].place, {"lumen": inside[0].name or "a lumen"})
            return


def _chapters(case: Case) -> Iterator[list[Passage]]:
    """The sentences from one heading to the next, and all of them behind the last cleaner."""
    places = [(h.origin.page or 0, h.origin.line or 0) for h in case.instruction.headings]
    chapter: list[Passage] = []
    for passage in case.sentences:
        here = (passage.place.page or 0, passage.place.line or 0)
        if places and here >= places[0]:
            yield chapter
            chapter = []
            places = [place for place in places if place > here]
        chapter.append(passage)
    yield chapter
    yield list(case.sentences)


@rule(
    Theme.contradictions,
    Level.concern,
    title="The last water of the machine is poorer than the text wants at last.",
    message="The last water of the machine is {water}, and the text wants purer water at last.",
    remedy="Ask the maker for the water of the last rinse; what tap water leaves dries on.",
    source=book("iso-17664-1"),
)
def machine_ends_in_tap_water(case: Case) -> Iterator[Trip]:
    """The last wet phase of the machine in tap water, where a rule or a rinse in front of it is purer."""
    phases = [step for step in case.steps if step.action in _PHASES and step.stage in _RINSED]
    hot = [step for step in phases if step.action is Action.disinfect or says(words(step), "hot-rinse")]
    if not hot:
        return
    last = hot[-1]
    poor = _poor_water(last)
    behind_it = phases[phases.index(last) + 1 :]
    if not poor or any(says(_water_of(step), "good-water") for step in behind_it):
        return
    rules = [p for p in case.sentences if p.step is not last and _wants_pure(case, p)]
    rinsed = [
        case.place(step) for step in phases if says(_water_of(step), "pure-water") and step.id != last.id
    ]
    places = tuple(rule_.place for rule_ in rules[:1]) or tuple(rinsed[-1:])
    if places:
        yield Trip(case.place(last), {"water": poor}, places)


def _water_of(step: Step) -> str:
    return f"{step.with_ or ''} {words(step)}"


def _poor_water(step: Step) -> str | None:
    """The poor water that a phase names, in words or in a cell of its own."""
    said = _water_of(step)
    if says(said, "pure-water") or says(said, "forbidden"):
        return None
    named = found(said, "poor-water") | found(step.with_ or "", "poor-water-cell")
    return min(named) if named else None


def _wants_pure(case: Case, passage: Passage) -> bool:
    """'The last rinse is in purified water', 'tap water is never the last'."""
    if says(passage.text, "at-last") and says(passage.text, "good-water"):
        return True
    at = case.sentences.index(passage)
    # "Tap water may be used first. It shall not be used for the last."
    text = (
        f"{case.sentences[at - 1].text} {passage.text}" if at and says(passage.text, "it") else passage.text
    )
    return says(text, "poor-water") and says(passage.text, "not-at-last")


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
    before: tuple[int | None, list[str]] = (None, [])
    for passage in case.sentences:
        # "Attach a syringe to the JC. Inject 50 ml.": what names no channel goes on with the one in front.
        names = _channels(passage.text, known) or (before[1] if before[0] == passage.place.line else [])
        before = (passage.place.line, names)
        if case.stage_of(passage) is not Stage.cleaning or not says(passage.text, "goes-inside"):
            continue
        if says(passage.text, "detergent"):
            if rinsed:
                yield from _unrinsed(flushed, rinsed)
                flushed, rinsed = {}, {}
            flushed |= dict.fromkeys(names, passage)
        elif flushed and (says(passage.text, "good-water") or says(passage.text, "poor-water")):
            # "Rinse K, L and M" rinses the channels of all three.
            is_all = says(passage.text, "every-one") or _names_parts(case, passage)
            everything = flushed if is_all else {}
            rinsed |= dict.fromkeys((*names, *everything), passage)
    yield from _unrinsed(flushed, rinsed)


def _names_parts(case: Case, passage: Passage) -> bool:
    """Whether a step names parts of the list, and no channel of theirs."""
    parts = {part.id for part in case.instruction.device.parts}
    named = parts & set(passage.step.on if passage.step else ())
    return len(named) >= _FEWEST_CHANNELS and not _CHANNEL.search(passage.text)


def _ends_in_tap_water(said: str) -> bool:
    """'Rinse with demineralised water, then with tap water', 'final rinse: tap water'."""
    if not says(said, "poor-water") or says(said, "negation"):
        return False
    is_behind = says(behind(said, "good-water"), "poor-water") and says(said, "good-water")
    return is_behind or (says(said, "at-last") and not says(said, "good-water"))


def _against_own_rule(case: Case) -> Iterator[Trip]:
    """The last rinse of cleaning by hand in tap water, where a sentence wants purer water at last."""
    wanted = [p for p in case.sentences if says(p.text, "at-last") and says(p.text, "good-water")]
    rinsed = [
        p
        for p in case.sentences
        if p not in wanted
        and case.stage_of(p) in _RINSED
        and (says(p.text, "good-water") or says(p.text, "poor-water"))
        and not says(p.text, "first-phase")
    ]
    if not wanted or not rinsed:
        return
    followed = any(says(p.text, "rinses-at-last") for p in _behind_it(case, rinsed[-1]) if p in wanted)
    if not followed and not says(rinsed[-1].text, "good-water"):
        yield Trip(rinsed[-1].place, {}, (wanted[0].place,))


def _behind_it(case: Case, passage: Passage) -> tuple[Passage, ...]:
    return case.sentences[case.sentences.index(passage) + 1 :]


def _reaches_inside(passage: Passage) -> bool:
    """'Rinse the outside for 1 min and flush the port' rinses both."""
    return says(passage.text, "inside") or says(passage.text, "through-lumen-only")


def _goes_inside(passage: Passage) -> bool:
    """'Flush the port', and 'port, 150 mL, until clear' in a list."""
    volume = any(figure.quantity is FigureQuantity.volume for figure in passage.figures)
    named = says(passage.text, "through-lumen-only") and volume
    return named or (says(passage.text, "goes-inside") and says(passage.text, "through-lumen"))


def _is_in_cleaner(passage: Passage) -> bool:
    is_work = passage.step is not None and passage.step.stage is Stage.cleaning
    return is_work and says(passage.text, "detergent") and not says(passage.text, "rinsing")


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


RULES = (last_rinse_in_tap_water, machine_ends_in_tap_water, only_outside_rinsed, channel_not_rinsed)
