"""Lives that a text ends and lets go on: a count that begins anew, a part that lives as long as another."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level
from sinkside.review.case import Case
from sinkside.review.lexicon import found, says, singular
from sinkside.review.lives import Life, lives
from sinkside.review.rule import Theme, Trip, book, rule

_AS_LONG_AS = re.compile(
    r"\b(?:as (?:long|often) as|(?:has|have|shares|share) the (?:same )?life of|the same (?:service )?life as"
    r"|together with|at the same time as)\s+(?:the\s+|its\s+)?(?P<other>[a-z][a-z-]+)",
    re.IGNORECASE,
)


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="A life that has ended is counted from the beginning again.",
    message="“{words}” lets the count begin again, and the text ends the life when it is full.",
    remedy="Ask the maker how often the device may be used; until then its first count holds.",
    source=book("iso-17664-1"),
)
def count_begins_anew(case: Case) -> Iterator[Trip]:
    """Words that begin a count again and go on, where the text gives the device a number of uses."""
    counted = [life.place for life in lives(case)]
    counted += [passage.place for passage in case.sentences if says(passage.text, "count-full")]
    for passage in case.sentences if counted else ():
        text = passage.text
        if not (says(text, "count-anew") and says(text, "goes-on-in-use")):
            continue
        if not any(says(text, one) for one in ("made-as-new", "forbidden", "never", "negation")):
            yield Trip(passage.place, {"words": min(found(text, "count-anew"))}, (counted[-1],))


@rule(
    Theme.contradictions,
    Level.concern,
    title="A part lives as long as another by one place, and by another it does not.",
    message="By these words the {part} lives as long as the {other}: {first} uses against {second}.",
    remedy="Ask the maker how long the {part} serves; until then the shorter life holds.",
    source=book("iso-17664-1"),
)
def life_hangs_on_another(case: Case) -> Iterator[Trip]:
    """Parts that are said to live as long as another, against the numbers of uses of both."""
    told = list(lives(case))
    for passage in case.sentences:
        match = _AS_LONG_AS.search(passage.text)
        if match is None or not says(passage.text, "serves-as"):
            continue
        parts = [word for word in _things(passage.text[: match.start()]) if word != singular(match["other"])]
        mine = next((life for word in parts[:1] for life in told if _is_of(life, word)), None)
        other = next((life for life in told if _is_of(life, singular(match["other"]))), None)
        if mine and other and mine.number != other.number:
            evidence: Evidence = {
                "part": parts[0],
                "other": singular(match["other"]),
                "first": mine.number,
                "second": other.number,
            }
            yield Trip(passage.place, evidence, (mine.place, other.place))


def _things(text: str) -> list[str]:
    """The components that words name, in their order."""
    said = text.lower()
    return [
        singular(word) for word in sorted(found(text, "component") | found(text, "small-part"), key=said.find)
    ]


def _is_of(life: Life, word: str) -> bool:
    named = {singular(one) for one in found(life.words, "component") | found(life.words, "small-part")}
    return word in named


RULES = (count_begins_anew, life_hangs_on_another)
