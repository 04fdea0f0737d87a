"""One of two ways inside that the steps leave out, because they only name the other."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Level
from sinkside.instruction import Action, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, words
from sinkside.review.doing import uses_cleaner
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, book, rule

_NOUN = r"(?:channels?|lumens?|bores?|cannulas?|tubes?|ducts?|passages?|pipes?)"
#: "A left and a right channel": the words in front of what is hollow may say on which side it is.
_WAY = re.compile(rf"\b(?P<in_front>(?:[a-z]+\s+){{1,4}}){_NOUN}\b")
_FEWEST_WAYS = 2
_WAYS_OF_WORK = (Action.brush, Action.flush, Action.blow)


@rule(
    Theme.reach,
    Level.concern,
    title="Of two ways inside one is cleaned and the other is not.",
    message="The steps name the {named} way inside and never the {lost} one that the text tells of.",
    remedy="Ask the maker how the other way inside is brushed, flushed and dried.",
    source=book("iso-17664-1"),
)
def one_way_left_out(case: Case) -> Iterator[Trip]:
    """Ways told apart by side or kind, where brush and cleaner, or the air, reach one by name only."""
    told = sides_told(case)
    if len(told) < _FEWEST_WAYS:
        return
    for lost in sorted(told):
        trip = _left_out(case, lost, frozenset(told) - {lost})
        if trip is not None:
            yield trip
            return


@dataclass(frozen=True)
class _Reached:
    """The sides that one kind of work names, the first step that does, and whether any reaches all."""

    sides: frozenset[str]
    first: Step | None
    reaches_all: bool


def _left_out(case: Case, lost: str, others: frozenset[str]) -> Trip | None:
    """What leaves a way out: brush and cleaner both, or the air."""
    done = {action: _reached(case, action) for action in _WAYS_OF_WORK}
    brush, flush, air = (done[action] for action in _WAYS_OF_WORK)
    cleaned = [one for one in (brush, flush) if one.first is not None or one.reaches_all]
    is_uncleaned = bool(cleaned) and all(_misses(one, lost, others) for one in cleaned)
    missing = cleaned[0] if is_uncleaned else air if _misses(air, lost, others) else None
    if missing is None or missing.first is None:
        return None
    named = min(missing.sides & others)
    places = tuple(case.place(one.first) for one in cleaned[1:] if one.first and is_uncleaned)
    return Trip(case.place(missing.first), {"named": named, "lost": lost}, places)


def _misses(reached: _Reached, lost: str, others: frozenset[str]) -> bool:
    return not reached.reaches_all and bool(reached.sides & others) and lost not in reached.sides


def _reached(case: Case, action: Action) -> _Reached:
    found: set[str] = set()
    first, reaches_all = None, False
    for step in case.steps:
        said = words(step)
        if step.stage not in {Stage.cleaning, Stage.disinfection, Stage.drying} or not _is_work(step, action):
            continue
        named = sides(said)
        found |= named
        first = first or (step if named else None)
        is_inside = says(said, "lumen-words") or says(said, "inside") or says(said, "through")
        reaches_all |= says(said, "every-way") or (not named and is_inside)
    return _Reached(frozenset(found), first, reaches_all)


def _is_work(step: Step, action: Action) -> bool:
    """Whether a step does some work inside; a flush with water only rinses."""
    if action is Action.flush:
        is_flush = step.action is Action.flush or (
            step.action is Action.rinse and says(words(step), "pushes-through")
        )
        return is_flush and uses_cleaner(step)
    return step.action is action


def sides_told(case: Case, *, everywhere: bool = False) -> frozenset[str]:
    """The sides of the ways inside that sentences in front of the work, or everywhere, tell of with sizes."""
    told: set[str] = set()
    for passage in case.sentences:
        is_work = passage.step is not None and passage.step.stage in {Stage.cleaning, Stage.disinfection}
        sized = any(figure.quantity is FigureQuantity.length for figure in passage.figures)
        if sized and (everywhere or not is_work):
            told |= sides(passage.text)
    return frozenset(told)


def sides(text: str) -> frozenset[str]:
    """The sides or kinds by which some words tell ways inside apart."""
    in_front = [word for match in _WAY.finditer(text.lower()) for word in match["in_front"].split()]
    return frozenset(word for word in in_front if says(word, "way-side"))


RULES = (one_way_left_out,)
