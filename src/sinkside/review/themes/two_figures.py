"""One thing told with two figures in two places: ultrasound, voltage, exposure, shelf life, drying."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Level
from sinkside.instruction import Action, FigureRole
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import says
from sinkside.review.plausible import COOLEST_STEAM_C
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.stated import shown

_SI = {FigureQuantity.time: "s", FigureQuantity.voltage: "V", FigureQuantity.frequency: "kHz"}
_ROUNDING = 0.02
_SAME_K = 0.6
_A_DAY_S = 86400.0
_OTHER_CASE = ("special-case", "or-else")
_OR_MORE = re.compile(r"\bor (?:more|less|longer|above|higher|lower|hotter|cooler)\b", re.IGNORECASE)


@dataclass(frozen=True)
class _Topic:
    """One thing that a text may tell twice: what it is called, its quantity, the words that speak of it.

    `least` and `most` bound what is meant; `of_life` says that two upper bounds are two figures.
    """

    name: str
    quantity: FigureQuantity
    senses: tuple[str, ...]
    least: float = 0.0
    most: float = float("inf")
    of_life: bool = False
    unless: tuple[str, ...] = ()


_TOPICS = (
    _Topic(
        "ultrasound", FigureQuantity.time, ("ultrasonic",), most=3600.0, unless=("rinsing", "sets-a-limit")
    ),
    _Topic("ultrasound", FigureQuantity.frequency, ("ultrasonic",)),
    _Topic(
        "the test of the insulation", FigureQuantity.voltage, ("insulation",), unless=("harm", "withstanding")
    ),
    _Topic("the shelf life", FigureQuantity.time, ("shelf-told",), least=2 * _A_DAY_S, of_life=True),
    _Topic("drying in the sterilizer", FigureQuantity.time, ("chamber-drying",), most=4 * 3600.0),
)


@rule(
    Theme.contradictions,
    Level.concern,
    title="One thing is told with two figures.",
    message="For {what} {first} is given here and {second} elsewhere.",
    remedy="Ask the maker which of the two holds; until then the safer one does.",
)
def told_with_two_figures(case: Case) -> Iterator[Trip]:
    """Sentences that tell of one thing with one figure each that leave no room for each other."""
    for topic in _TOPICS:
        told = [(p, f) for p in case.sentences for f in _figures(p, topic)]
        for (one, first), (other, second) in itertools.combinations(told, 2):
            is_told = _tells(one) or _tells(other)
            if one.text != other.text and is_told and _differ(first, second, topic):
                here, there = (one, other) if _tells(one) else (other, one)
                figures = (first, second) if here is one else (second, first)
                evidence = {"what": topic.name, "first": shown(figures[0]), "second": shown(figures[1])}
                yield Trip(here.place, evidence, (there.place,))
                break


@rule(
    Theme.contradictions,
    Level.concern,
    title="A sentence gives another exposure than the cycle of its temperature.",
    message="{first} is given here, and {second} for the cycle at the same temperature.",
    remedy="Get the maker's written answer: which exposure holds; until then the longer one does.",
)
def exposure_told_otherwise(case: Case) -> Iterator[Trip]:
    """Sentences apart from the cycles that tell a temperature of steam and one time, against the cycles."""
    cycles = [p for p in case.sentences if p.step is not None and p.step.action is Action.sterilize]
    for passage in case.sentences:
        is_other = _is_of_another_case(passage.text) or says(passage.text, "own-cycle")
        if passage.step is not None or is_other:
            continue
        mine = _cycle(passage)
        for other in cycles if mine else ():
            theirs = _cycle(other)
            if (
                mine
                and theirs
                and abs(mine[0] - theirs[0]) <= _SAME_K
                and _are_apart(mine[1], theirs[1], "s")
            ):
                evidence = {"first": shown(mine[1]), "second": shown(theirs[1])}
                yield Trip(passage.place, evidence, (other.place,))
                return


def _is_of_another_case(text: str) -> bool:
    """Whether words name a condition or a choice; "or more" is none."""
    return any(says(_OR_MORE.sub(" ", text), sense) for sense in _OTHER_CASE)


def _figures(passage: Passage, topic: _Topic) -> Iterator[Figure]:
    """The one figure of a topic that a sentence tells."""
    text = passage.text
    if not all(says(text, sense) for sense in topic.senses):
        return
    if _is_of_another_case(text) or any(says(text, sense) for sense in (*topic.unless, "negation")):
        return
    alike = [f for f in passage.figures if f.quantity is topic.quantity and f.role != FigureRole.total]
    unit = _SI[topic.quantity]
    if len(alike) == 1 and topic.least <= alike[0].number(unit) <= topic.most:
        yield alike[0]


def _tells(passage: Passage) -> bool:
    """Whether a sentence tells how something is, and asks for nothing to be done."""
    return passage.step is None or says(passage.text, "tells-figure")


def _differ(one: Figure, other: Figure, topic: _Topic) -> bool:
    unit = _SI[topic.quantity]
    if topic.of_life:
        first, second = one.number(unit), other.number(unit)
        return abs(first - second) > 0.1 * max(first, second)
    return _are_apart(one, other, unit)


def _are_apart(one: Figure, other: Figure, unit: str) -> bool:
    """Whether two figures leave no room for each other."""
    (low, high), (least, most) = one.ends(unit), other.ends(unit)
    slack = 1.0 + _ROUNDING
    return low > most * slack or least > high * slack


def _cycle(passage: Passage) -> tuple[float, Figure] | None:
    """The temperature and the one time of a cycle of steam that a sentence tells."""
    hot = [f for f in passage.figures if f.quantity is FigureQuantity.temperature]
    times = [
        f
        for f in passage.figures
        if f.quantity is FigureQuantity.time and f.role != FigureRole.drying and f.bound is not Bound.at_most
    ]
    if len(hot) != 1 or len(times) != 1 or hot[0].number("°C") < COOLEST_STEAM_C:
        return None
    is_held = not says(passage.text, "chamber-drying") and not says(passage.text, "harm")
    return (hot[0].number("°C"), times[0]) if is_held and hot[0].bound is not Bound.at_most else None


RULES = (told_with_two_figures, exposure_told_otherwise)
