"""What words say outright, whatever was read of them: cycles, and acts that are forbidden and asked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Stage
from sinkside.limits import published, recognised_steam_temperature
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import clauses, says, singular
from sinkside.review.rule import Theme, Trip, figure, rule
from sinkside.review.stated import cycles_in_words, held, steam_steps
from sinkside.review.themes.physics import SHORTEST_PUBLISHED

_ROUNDING_S = 1.0
_SAME_K = 0.6
_SHORTEST_WORD = 3

#: "Never load the torque wrench": the act, and what it must not be done to.
_FORBIDDEN = re.compile(
    r"^\W*(?:\w{1,3}\)?\s+)?(?:never|do not|don't|please do not)\s+(?P<act>[a-z]+)\s+"
    r"(?:the\s+|any\s+|a\s+|an\s+)?"
    r"(?P<thing>[a-z]+(?:[\s-][a-z]+){0,2})\W*$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class _Act:
    """An act that a sentence forbids outright, and the thing that it must not be done to."""

    act: str
    thing: str
    passage: Passage

    def is_asked_by(self, said: str) -> bool:
        """Whether a clause orders the act and names the thing."""
        first = re.match(r"\W*(?:(?:\w{1,2}[).]|\d[\w.]*)\s+)?([a-z]+)", said, re.IGNORECASE)
        ordered = first is not None and first[1].lower() == self.act
        named = re.search(rf"\b{re.escape(self.thing)}s?\b", said, re.IGNORECASE)
        return ordered and named is not None and not says(said, "negation")


@rule(
    Theme.physics,
    Level.concern,
    title="A steam exposure that stands in words is shorter than any that is published.",
    message="“{cycle}” is shorter than {shortest}, the shortest published exposure at this temperature.",
    remedy="Get the maker's written answer and attach it; until then this cycle is not run.",
    source=figure("steam-uk-121c-holding-time"),
)
def spoken_exposure_too_short(case: Case) -> Iterator[Trip]:
    """Temperatures with the time right beside them, where no step was judged by both."""
    judged = [(c, s) for step in steam_steps(case) for _, c, _, s in held(step)]
    for cycle in cycles_in_words(case):
        is_judged = any(
            abs(c - cycle.temperature_c) < _SAME_K and abs(s - cycle.time_s) < _ROUNDING_S for c, s in judged
        )
        known = recognised_steam_temperature(cycle.temperature_c)
        if is_judged or known is None or says(cycle.passage.text, "immediate-use"):
            continue
        shortest = published(SHORTEST_PUBLISHED[known.temperature_c])
        if not shortest.met_by(cycle.time_s, "s"):
            evidence: Evidence = {
                "cycle": cycle.written,
                "shortest": Measure(value=shortest.value[0], unit=shortest.unit),
            }
            yield Trip(cycle.passage.place, evidence, source=shortest.source)


@rule(
    Theme.contradictions,
    Level.concern,
    title="An act is forbidden outright, and is asked for.",
    message="The text says never to {act} the {thing}, and asks for it here.",
    remedy="Ask the maker which of the two holds; until then it is not done.",
)
def forbidden_act_asked(case: Case) -> Iterator[Trip]:
    """Short prohibitions without a condition against the orders of their verb for their thing."""
    for forbidden in _acts(case):
        for passage in case.sentences:
            if passage.text == forbidden.passage.text or case.stage_of(passage) is Stage.storage:
                continue
            if any(forbidden.is_asked_by(clause) for clause in _orders(passage.text)):
                evidence: Evidence = {"act": forbidden.act, "thing": forbidden.thing}
                yield Trip(passage.place, evidence, (forbidden.passage.place,))


def _acts(case: Case) -> Iterator[_Act]:
    for passage in case.sentences:
        match = _FORBIDDEN.match(passage.text)
        if match is None or says(match["thing"], "condition") or says(match["act"], "open-act"):
            continue
        last = singular(re.split(r"[\s-]", match["thing"])[-1])
        if len(last) >= _SHORTEST_WORD and not says(last, "whole-device"):
            yield _Act(match["act"].lower(), last, passage)


def _orders(text: str) -> list[str]:
    """The clauses of a text, each order of a list by itself: "wash X, then load Y"."""
    found = list(clauses(text))
    return [*found, text, *(piece for one in found for piece in re.split(r"\b(?:and|then)\b", one))]


RULES = (spoken_exposure_too_short, forbidden_act_asked)
