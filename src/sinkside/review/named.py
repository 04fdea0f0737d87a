"""Things that a text calls by capitals, such as a channel EC or a part HP: which of them some words name."""

from __future__ import annotations

import re

from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import says, sentence_with

_CAPITALS = r"[A-Z]{1,3}\d?"
_DOES = r"(?:must|shall|may|is|are|was|were|goes|go|stays|comes|can|cannot|should|has|have|do|does|never)\b"
_ACTS = re.compile(rf"(?<![\w°.])({_CAPITALS})(?=(?:\s*(?:,|and|or|\+)\s*(?:the\s+)?{_CAPITALS})*\s+{_DOES})")
_EXPLAINED = re.compile(rf"([\w-]+(?:\s+[\w-]+)?)\s+\(({_CAPITALS})\)")
_ARTICLE = re.compile(r"(?:^|(?<=[.:;!?]\s))\W*A\s+(?=[a-z])")
_ANY = re.compile(rf"(?<![\w°.])({_CAPITALS})(?!\w)")


def by_capitals(text: str) -> frozenset[str]:
    """The things that some words explain or judge by capitals.

    >>> sorted(by_capitals("HP and MC must never be immersed."))
    ['HP', 'MC']
    >>> sorted(by_capitals("the elevator channel (EC), 0.8 mm wide, cannot be brushed"))
    ['EC']
    """
    named = {*_ACTS.findall(text), *explained_capitals(text)}
    return frozenset(name for name in named if not says(name, "agent-in-capitals"))


def explained_capitals(text: str) -> frozenset[str]:
    """The components that some words give a name in capitals: "the outer sheath (OS)"."""
    return frozenset(short for thing, short in _EXPLAINED.findall(text) if says(thing, "component"))


def all_capitals(text: str) -> frozenset[str]:
    """Everything in some words that stands in capitals and may be such a name; "A cap" begins with none."""
    return frozenset(_ANY.findall(_ARTICLE.sub(" ", text)))


def is_of_another(case: Case, ban: Passage, clause: str, text: str) -> bool:
    """Whether what a clause forbids is for a thing by capitals, and some words name only others."""
    known = frozenset().union(*(by_capitals(passage.text) for passage in case.passages))
    said = sentence_with(ban.text, clause)
    meant = by_capitals(said) | (all_capitals(said) & known)
    named = all_capitals(text)
    return bool(meant and not meant & named and named & known)


def is_perhaps_of_another(case: Case, ban: Passage, clause: str, text: str) -> bool:
    """Whether what a clause forbids is for a thing by capitals that some words do not name."""
    meant = by_capitals(sentence_with(ban.text, clause)) - {part.id for part in case.instruction.device.parts}
    return bool(meant) and not meant & all_capitals(text)


def is_discarded_on_condition(case: Case, called: re.Pattern[str]) -> bool:
    """Whether a thing is thrown away only if something is wrong with it, and serves more than once."""
    about = [passage.text for passage in case.sentences if called.search(passage.text)]
    thrown = [text for text in about if says(text, "throws-away")]
    # "If it is not free, do it again; then discard K": a small letter goes on with the condition in front.
    on_condition = any(says(text, "condition-strict") or text.startswith("then ") for text in thrown)
    return on_condition and not any(says(text, "single-use-strict") for text in about)
