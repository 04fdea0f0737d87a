"""Figures that cannot both be meant, rows that may be dropped and must not, whole programs."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, Stage, Step
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import references, says
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.stated import shown

#: Of these nobody sets one figure and finds one ten times as large.
_SET_AND_FOUND = (
    FigureQuantity.torque,
    FigureQuantity.voltage,
    FigureQuantity.frequency,
    FigureQuantity.conductivity,
)
_TENS = (10.0, 100.0, 1000.0)
_PHASES = frozenset({Action.pre_rinse, Action.rinse, Action.wash, Action.disinfect, Action.dry, Action.blow})
_FEWEST_PHASES = 3
_TWO = 2
#: Baths are rarely set to the degree.
_ROOM_K = 5.0
_A_MINUTE_S = 60.0
_LINES_OF_A_PHASE = 3
_TOTAL = re.compile(
    r"\b(?:in all|in total|altogether|together|all told|whole|entire|complete|total)\b", re.IGNORECASE
)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Two figures of one sentence differ by exactly ten, a hundred or a thousand.",
    message="{first} and {second} stand in one sentence: one of them has slipped by {factor}.",
    remedy="Get the maker's written answer: which of the two figures is meant.",
)
def slipped_by_ten(case: Case) -> Iterator[Trip]:
    """Torques, voltages and the like of one sentence, in one unit, that differ by a power of ten."""
    for passage in case.sentences:
        for quantity in _SET_AND_FOUND:
            told = [f for f in passage.figures if f.quantity is quantity and f.bound is Bound.value]
            if len(told) != _TWO or told[0].unit != told[1].unit or not told[0].number():
                continue
            low, high = sorted(figure.number() for figure in told)
            factor = next((ten for ten in _TENS if low and math.isclose(high / low, ten)), None)
            if factor:
                evidence: Evidence = {
                    "first": shown(told[0]),
                    "second": shown(told[1]),
                    "factor": f"{factor:g}",
                }
                yield Trip(passage.place, evidence)


@rule(
    Theme.contradictions,
    Level.concern,
    title="A bath is far from the temperature at which its cleaner works by the text itself.",
    message="This asks for {asked}; by the text itself the cleaner works at {best}.",
    remedy="Ask the maker for the temperature of the bath.",
)
def outside_own_best_range(case: Case) -> Iterator[Trip]:
    """Ranges in which a cleaner works best against the temperature told in the same words or just before."""
    for at, passage in enumerate(case.sentences):
        ranges = [f for f in _temperatures(passage) if f.bound is Bound.between]
        if not says(passage.text, "works-best") or len(ranges) != 1:
            continue
        low, high = ranges[0].ends("°C")
        for asking in case.sentences[max(0, at - 1) : at + 1]:
            is_near = asking.place.page == passage.place.page and asking.place.line == passage.place.line
            for asked in _temperatures(asking) if is_near else ():
                here = asked.number("°C")
                if asked.bound is Bound.value and not low - _ROOM_K <= here <= high + _ROOM_K:
                    evidence: Evidence = {"asked": shown(asked), "best": shown(ranges[0])}
                    yield Trip(asking.place, evidence, (passage.place,))


def _temperatures(passage: Passage) -> list[Figure]:
    return [figure for figure in passage.figures if figure.quantity is FigureQuantity.temperature]


@rule(
    Theme.contradictions,
    Level.concern,
    title="A note lets a step go that nothing else does.",
    message="{kind} {number} may be dropped by these words, and it alone {work}.",
    remedy="Get the maker's written answer; until then {kind} {number} is done every time.",
    source=book("iso-17664-1"),
)
def needed_step_dropped(case: Case) -> Iterator[Trip]:
    """Words that let a numbered step go, where it rinses off what stands in front of it, or sterilizes."""
    for passage in case.passages:
        named = [
            (kind, number) for kind, number in references(passage.text) if kind in {"step", "row", "task"}
        ]
        if len(named) != 1 or not says(passage.text, "may-be-dropped"):
            continue
        ((kind, number),) = named
        for step in case.steps:
            if (step.number or "").rstrip(".") == number and (work := _needed_for(case, step)):
                evidence: Evidence = {"kind": kind.capitalize(), "number": number, "work": work}
                yield Trip(passage.place, evidence, (case.place(step),))
                break


def _needed_for(case: Case, step: Step) -> str | None:
    """What a step does that no other does: it rinses off what was used in front of it, or sterilizes."""
    if step.action is Action.sterilize:
        return "sterilizes"
    if step.action not in {Action.rinse, Action.flush} or step.stage not in {
        Stage.cleaning,
        Stage.disinfection,
    }:
        return None
    at = case.index(step)
    before = [one for one in case.steps[:at] if one.number != step.number][-1:]
    behind = [one for one in case.steps[at + 1 :] if one.number != step.number][:1]
    chemistry = next(
        (s for s in ("disinfectant-words", "detergent") for one in before if says(words(one), s)), ""
    )
    if not chemistry or any(one.action in {Action.rinse, Action.flush, Action.wash} for one in behind):
        return None
    return "rinses off what was used before it"


@rule(
    Theme.units_and_arithmetic,
    Level.note,
    title="The phases of a program do not add up to its whole.",
    message="The phases take {sum}, and the whole program is said to take {stated}.",
    remedy="Ask the maker which figure is meant.",
)
def phases_are_not_the_whole(case: Case) -> Iterator[Trip]:
    """The time of a whole program against those of its phases, where every phase has one."""
    for passage in case.sentences:
        stated = [f for f in passage.figures if f.quantity is FigureQuantity.time]
        is_whole = len(stated) == 1 and _TOTAL.search(passage.text) and says(passage.text, "program-words")
        if not is_whole or says(passage.text, "about") or stated[0].bound is not Bound.value:
            continue
        phases = _phases_above(case, passage)
        if len(phases) < _FEWEST_PHASES:
            continue
        added = sum(phases)
        if abs(added - stated[0].number("s")) >= _A_MINUTE_S:
            evidence: Evidence = {
                "sum": Measure(value=added / _A_MINUTE_S, unit="min"),
                "stated": shown(stated[0]),
            }
            yield Trip(passage.place, evidence)


def _phases_above(case: Case, passage: Passage) -> list[float]:
    """The times in s of the phases on the lines above a sentence; none where one of them has none."""
    line, phases = passage.place.line or 0, list[Step]()
    for step in reversed(case.steps):
        is_above = step.origin.page == passage.place.page and step.origin.line < line
        if not is_above or words(step) == passage.text:
            continue
        if step.action not in _PHASES or line - step.origin.line > _LINES_OF_A_PHASE:
            break
        line, phases = step.origin.line, [*phases, step]
    times = [step.figures_of(FigureQuantity.time) for step in phases]
    if any(len(one) != 1 or one[0].bound is not Bound.value for one in times):
        return []
    return [one[0].number("s") for one in times]


RULES = (slipped_by_ten, outside_own_best_range, needed_step_dropped, phases_are_not_the_whole)
