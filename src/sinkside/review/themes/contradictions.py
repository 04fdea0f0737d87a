"""Two statements about one thing."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action, AirRemoval, FigureRole, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import bans, negated, says, subjects
from sinkside.review.rule import Theme, Trip, rule

#: What can be forbidden in words, and the steps that ask for it.
_ASKS: Mapping[str, Callable[[Step], bool]] = {
    "immersion": lambda step: step.action is Action.soak or _asks_in_words(step, "immersing"),
    "ultrasonic": lambda step: step.action is Action.sonicate or _asks_in_words(step, "ultrasonic"),
    "gravity": lambda step: (
        step.action is Action.sterilize
        and (step.air_removal is AirRemoval.gravity or says(words(step), "gravity"))
    ),
    "machine-washing": lambda step: step.action is Action.wash,
    "lubrication": lambda step: step.action is Action.lubricate,
    "dry-heat": lambda step: step.action is Action.sterilize and says(words(step), "dry-heat"),
    "ethylene-oxide": lambda step: step.action is Action.sterilize and says(words(step), "ethylene-oxide"),
    "peroxide": lambda step: step.action is Action.sterilize and says(words(step), "peroxide"),
}

_NAMES = {
    "immersion": "immersion",
    "ultrasonic": "ultrasonic cleaning",
    "gravity": "gravity sterilization",
    "machine-washing": "machine washing",
    "lubrication": "lubrication",
    "dry-heat": "dry heat",
    "ethylene-oxide": "ethylene oxide",
    "peroxide": "hydrogen peroxide",
}


@rule(
    Theme.contradictions,
    Level.stop,
    title="A step asks for what the text forbids.",
    message="The text forbids {what} and asks for it.",
    remedy="Get the maker's written answer; until then what is forbidden is not done.",
)
def prohibited_then_asked(case: Case) -> Iterator[Trip]:
    """Everything forbidden without a condition against every step that asks for it, part by part."""
    for sense, asks in _ASKS.items():
        for ban in case.passages:
            clause = bans(ban.text, sense)
            if clause is None:
                continue
            for step in case.steps:
                if asks(step) and bans(words(step), sense) is None and _concerns(case, ban, clause, step):
                    evidence: Evidence = {"what": _NAMES[sense], "forbidden_by": clause}
                    yield Trip(case.place(step), evidence, (ban.place,))


@rule(
    Theme.contradictions,
    Level.concern,
    title="The life of the device is said to be unlimited and limited.",
    message="The life is said to be unlimited, and {cycles} cycles are named.",
    remedy="Ask the maker after how many cycles, or by which signs, the device is withdrawn.",
)
def life_unlimited_and_limited(case: Case) -> Iterator[Trip]:
    """Words of unlimited life against every number of cycles named for the life."""
    endless = [p for p in case.passages if says(p.text, "life") and says(p.text, "unlimited")]
    if not endless:
        return
    numbered: dict[str, tuple[Passage, int]] = {}
    for passage in case.passages:
        for stated in passage.figures:
            is_life = stated.role == FigureRole.life or says(passage.text, "life")
            if stated.quantity is FigureQuantity.counted and is_life:
                numbered.setdefault(passage.text, (passage, int(stated.number())))
    if numbered:
        cycles = max(number for _, number in numbered.values())
        others = tuple(passage.place for passage, _ in numbered.values())
        yield Trip(endless[0].place, {"cycles": cycles}, others)


def _asks_in_words(step: Step, sense: str) -> bool:
    return says(words(step), sense) and not negated(words(step), sense)


def _concerns(case: Case, ban: Passage, clause: str, step: Step) -> bool:
    """Whether a prohibition and a step are about the same thing.

    Parts decide where both name some; else the things that both name. A prohibition that names nothing or the
    device itself concerns everything.
    """
    forbidden = _parts_named(case, clause) or _parts_among(case, ban.about)
    asked = _parts_among(case, step.on)
    if forbidden and asked:
        return bool(forbidden & asked)
    whole = subjects(case.instruction.device.name)
    about, others = (subjects(text, *_ASKS, "whole-device") - whole for text in (clause, words(step)))
    if not about or says(words(step), "whole-device"):
        return True
    # "Immerse for 5 minutes" names nothing: where nothing comes apart it can only be the device.
    return bool(about & others) or not (others or step.on or case.instruction.device.parts)


def _parts_among(case: Case, ids: tuple[str, ...]) -> set[str]:
    return {part.id for part in case.instruction.device.parts if part.id in ids}


def _parts_named(case: Case, clause: str) -> set[str]:
    """Parts that a clause names, by name or, where ids are letters on the part list, by letter."""
    return {
        part.id
        for part in case.instruction.device.parts
        if re.search(rf"(?<!\w){re.escape(part.name)}(?!\w)", clause, re.IGNORECASE)
        or (part.id.isupper() and re.search(rf"(?<!\w){re.escape(part.id)}(?!\w)", clause))
    }


RULES = (prohibited_then_asked, life_unlimited_and_limited)
