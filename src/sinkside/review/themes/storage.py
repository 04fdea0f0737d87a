"""How packs are kept, and for how long."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, Stage
from sinkside.limits import published
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import found, negated, says, sentences
from sinkside.review.plausible import (
    DAMPEST_STORE_PERCENT,
    LONGEST_SHELF_LIFE_S,
    SHORTEST_SHELF_LIFE_S,
    WARMEST_STORE_C,
)
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import hottest_c, shown

#: A shelf life shorter than this is a time between two steps.
_SHORTEST_SHELF_LIFE_S = 2 * 86400.0

_FEWEST_STEPS = 3
_SAME_SHARE = 0.1


#: Nobody asks for air that is at least as damp as this; it is common practice to name a most.
_DAMP_PERCENT = 50.0


@rule(
    Theme.storage,
    Level.note,
    title="Nothing says how the device is stored.",
    message="The text tells nothing about storage.",
    remedy="Ask the maker how packs are stored, and what ends their shelf life.",
    source=book("iso-17664-1"),
)
def storage_untold(case: Case) -> Iterator[Trip]:
    """Sterilized devices in a text without a step or a word on storing."""
    told = any(step.stage is Stage.storage for step in case.steps) or case.mentions("storing")
    if len(case.steps) >= _FEWEST_STEPS and case.doing(Action.sterilize) and not told:
        yield Trip(case.heading_for(Stage.storage))


@rule(
    Theme.storage,
    Level.concern,
    title="Two different shelf lives are given for one pack.",
    message="A shelf life of {first} is given here and one of {second} elsewhere.",
    remedy="Ask the maker which shelf life holds; until then the shorter one does.",
)
def shelf_lives_differ(case: Case) -> Iterator[Trip]:
    """Every upper bound on the time of storing against the others for the same kind of pack."""
    lives = list(_shelf_lives(case))
    for at, (passage, first) in enumerate(lives):
        for other, second in lives[at + 1 :]:
            packs, others = found(passage.text, "pack-kind"), found(other.text, "pack-kind")
            is_alike = not packs or not others or bool(packs & others)
            if is_alike and passage.text != other.text and not _are_same(first, second):
                evidence: Evidence = {"first": shown(first), "second": shown(second)}
                yield Trip(passage.place, evidence, (other.place,))
                return
    yield from _limited_and_not(case, lives)


def _limited_and_not(case: Case, lives: list[tuple[Passage, Figure]]) -> Iterator[Trip]:
    """Words that let packs keep without an end, against the first shelf life that is given."""
    for passage in case.sentences if lives else ():
        for sentence in sentences(passage.text):
            endless = found(sentence, "endless-words")
            is_of_packs = says(sentence, "pack-kind") or says(sentence, "sterile-words")
            is_of_packs = is_of_packs or case.stage_of(passage) is Stage.storage
            is_other = says(sentence, "life-of-device") or says(sentence, "special-case")
            if endless and is_of_packs and not is_other:
                other, life = lives[0]
                evidence: Evidence = {"first": shown(life), "second": min(endless)}
                yield Trip(passage.place, evidence, (other.place,))
                return


@rule(
    Theme.storage,
    Level.concern,
    title="A shelf life is longer than that of any pack, or shorter than a day.",
    message="A shelf life of {time} is none that a pack has.",
    remedy="Ask the maker for the shelf life, with its unit.",
)
def shelf_life_implausible(case: Case) -> Iterator[Trip]:
    """The most that a store allows against our own bounds."""
    for passage in case.sentences:
        if case.stage_of(passage) is not Stage.storage or not says(passage.text, "storing"):
            continue
        for stated in passage.figures:
            is_life = stated.quantity is FigureQuantity.time and stated.role is None
            if not is_life or stated.bound is not Bound.at_most:
                continue
            if not SHORTEST_SHELF_LIFE_S <= _most_s(stated) <= LONGEST_SHELF_LIFE_S:
                yield Trip(passage.place, {"time": shown(stated)})


@rule(
    Theme.storage,
    Level.concern,
    title="Packs are to be stored hotter than any store is.",
    message="A store of {temperature} is none that a department has.",
    remedy="Ask the maker for the storage temperature, with its unit.",
    source=figure("storage-temperature-ashrae"),
)
def store_too_hot(case: Case) -> Iterator[Trip]:
    """Storage temperatures against our own bound of what is plausible."""
    for passage in case.passages:
        step = passage.step
        stores = says(passage.text, "storing") or (step is not None and step.stage is Stage.storage)
        is_other = step is not None and step.action is Action.sterilize
        is_other = is_other or says(passage.text, "ethylene-oxide")
        for stated in passage.figures if stores and not is_other else ():
            if stated.quantity is FigureQuantity.temperature and hottest_c(stated) > WARMEST_STORE_C:
                evidence: Evidence = {"temperature": shown(stated)}
                if stated.unit == "°C":
                    evidence["probably_meant"] = f"{stated.number():g} °F"
                yield Trip(passage.place, evidence)


@rule(
    Theme.storage,
    Level.concern,
    title="Packs are to be stored in air damper than published figures allow.",
    message="Air of {humidity} is allowed in the store; {limit} is the most that is published.",
    remedy="Ask the maker for the humidity that the packs withstand.",
    source=figure("storage-humidity-cdc"),
)
def store_too_damp(case: Case) -> Iterator[Trip]:
    """The highest humidity of a store against the published one; a little above is a doubt."""
    limit = published("storage-humidity-cdc")
    for passage in case.passages:
        stores = says(passage.text, "keeping") or (passage.step and passage.step.stage is Stage.storage)
        for stated in passage.figures if stores and says(passage.text, "humidity") else ():
            if stated.quantity is not FigureQuantity.percent:
                continue
            # "Not less than 70 %" asks for damp air: the bound is the wrong way round.
            is_turned = stated.bound is Bound.at_least and stated.number("%") >= _DAMP_PERCENT
            most = stated.ends("%")[1]
            if (is_turned or most > limit.value[0]) and (is_turned or stated.bound is not Bound.at_least):
                evidence: Evidence = {
                    "humidity": shown(stated),
                    "limit": Measure(value=limit.value[0], unit="%"),
                }
                yield Trip(passage.place, evidence, doubtful=not is_turned and most <= DAMPEST_STORE_PERCENT)


@rule(
    Theme.storage,
    Level.concern,
    title="What was sterilized for immediate use is to be stored.",
    message="The only cycles are for immediate use, and this stores what comes out of them.",
    remedy="Ask the maker for a cycle for packed devices; without one nothing is stored sterile.",
    source=book("cdc-2008"),
)
def immediate_use_stored(case: Case) -> Iterator[Trip]:
    """Texts whose every cycle is for immediate use, and that store all the same."""
    cycles = case.doing(Action.sterilize)
    stores = [step for step in case.doing(Action.store) if step.stage is Stage.storage]
    if cycles and stores and all(says(words(step), "immediate-use") for step in cycles):
        yield Trip(case.place(stores[0]), {}, (case.place(cycles[0]),))
    for passage in case.sentences:
        # "Unwrapped … and stored for later use": one sentence says both.
        is_both = says(passage.text, "immediate-use") and says(passage.text, "for-later")
        if is_both and not says(passage.text, "negation"):
            yield Trip(passage.place)


def _shelf_lives(case: Case) -> Iterator[tuple[Passage, Figure]]:
    """The shelf lives that the text allows without a condition."""
    for passage in case.passages:
        step = passage.step
        stores = says(passage.text, "storing") or (step is not None and step.stage is Stage.storage)
        stores = stores or (says(passage.text, "too-old") and says(passage.text, "set-of-instruments"))
        stores = stores or (says(passage.text, "pack-kind") and says(passage.text, "keeps-for"))
        is_denied = negated(passage.text, "pack-kind") and not says(passage.text, "older-words")
        if says(passage.text, "service") or is_denied:
            continue
        if not stores or says(passage.text, "special-case") or (step is not None and step.condition):
            continue
        for stated in passage.figures:
            # "What is older than 30 days is processed again" is, as worded, a lower end.
            is_most = stated.bound is not Bound.at_least or says(passage.text, "too-old")
            is_life = stated.quantity is FigureQuantity.time and is_most
            if is_life and stated.number("s") >= _SHORTEST_SHELF_LIFE_S:
                yield passage, stated


def _are_same(first: Figure, second: Figure) -> bool:
    """Whether two shelf lives are one: three months are twelve weeks."""
    return math.isclose(_most_s(first), _most_s(second), rel_tol=_SAME_SHARE)


def _most_s(life: Figure) -> float:
    low, high = life.ends("s")
    return high if math.isfinite(high) else low


RULES = (
    storage_untold,
    shelf_lives_differ,
    shelf_life_implausible,
    store_too_hot,
    store_too_damp,
    immediate_use_stored,
)
