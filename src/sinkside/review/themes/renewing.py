"""What is renewed at times: told with two intervals, or to be renewed and to be left."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Level
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import found, says, sentences, singular
from sinkside.review.rule import Theme, Trip, rule

_COUNTED = re.compile(
    r"\b(?:after|every|all|each)\s+(?:the\s+)?(?P<number>\d{1,4}|two|three|four|five|six|eight|ten|twelve|twenty|thirty"
    r"|fifty|hundred)(?:st|nd|rd|th)?\s+(?:cycles?|uses?|treatments?|processings?|sterili[sz]ations?|rounds?|passes|runs"
    r"|procedures?|operations?|applications?|reprocessings?)\b",
    re.IGNORECASE,
)
#: "Ring D", "| D |": a part by its letter.
_LETTER = re.compile(r"(?<![\w°.-])(?!A\s+[a-z])[A-Z](?=\s|[,.:;|)]|$)")
_WHEN_SPOILT = ("if-worn", "only-when-damaged", "condition-strict")


@dataclass(frozen=True)
class _Renewal:
    """How often a sentence has things renewed: each time, after a number of uses, by the calendar, never."""

    passage: Passage
    sentence: str
    how: str
    things: frozenset[str]


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="A part is to be renewed at two different intervals, or both renewed and left.",
    message="“{first}” is said here and “{second}” elsewhere of the same part.",
    remedy="Ask the maker when the part is renewed; until then the shorter interval holds.",
)
def renewals_differ(case: Case) -> Iterator[Trip]:
    """Sentences that renew one thing each time, at times or never; renewing what is worn is no interval."""
    told = list(_renewals(case))
    for one, other in itertools.combinations(told, 2):
        if one.how != other.how and one.sentence != other.sentence and one.things & other.things:
            evidence = {"first": _opening(one.sentence), "second": _opening(other.sentence)}
            yield Trip(one.passage.place, evidence, (other.passage.place,))
            return


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="The device needs service and needs none.",
    message="“{words}” is said here, and service is due elsewhere.",
    remedy="Ask the maker when the device is serviced; until then the interval holds.",
)
def service_due_and_not(case: Case) -> Iterator[Trip]:
    """Words that need no service against words that set one, of the same thing or of the whole device."""
    due = [
        p for p in case.sentences if says(p.text, "service-due") and not says(p.text, "service-not-needed")
    ]
    for passage in case.sentences:
        said = found(passage.text, "service-not-needed")
        others = [
            p.place for p in due if not _things(passage.text) or not _things(p.text) or _share(passage, p)
        ]
        if said and others:
            yield Trip(passage.place, {"words": min(said)}, tuple(others[:2]))
            return


def _share(one: Passage, other: Passage) -> bool:
    return bool(_things(one.text) & _things(other.text))


def _renewals(case: Case) -> Iterator[_Renewal]:
    for passage in case.sentences:
        for sentence in sentences(passage.text):
            how = _how_often(sentence)
            things = _things(sentence) if how else frozenset()
            if how and things:
                yield _Renewal(passage, sentence, how, things)


def _how_often(sentence: str) -> str | None:
    """The interval that a sentence sets for renewing something, in a word."""
    if says(sentence, "never-renewed"):
        return "never"
    if not says(sentence, "renews") or any(says(sentence, sense) for sense in _WHEN_SPOILT):
        return None
    if says(sentence, "detergent") or says(sentence, "liquid-bath"):
        return None
    if says(sentence, "renewed-each-time"):
        return "each time"
    if says(sentence, "renewed-by-calendar"):
        return "calendar"
    counted = _COUNTED.search(sentence)
    return "uses" if counted else None


def _things(sentence: str) -> frozenset[str]:
    """The parts that words name, in the singular, and those they name by a letter."""
    named = found(sentence, "component") | found(sentence, "small-part") | found(sentence, "renewed-thing")
    return frozenset(singular(one) for one in named) | frozenset(_LETTER.findall(sentence))


def _opening(sentence: str) -> str:
    return " ".join(sentence.split()[:9])


RULES = (renewals_differ, service_due_and_not)
