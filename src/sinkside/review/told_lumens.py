"""Ways inside as sentences tell them: what they are called, how wide and how long they are.

A device with several ways inside is drafted with one lumen or two; a brush is judged by the way that its own
step names, wherever the text tells the size of that way.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Place
from sinkside.instruction import Action
from sinkside.quantities import Quantity
from sinkside.review.case import Case, Passage

_NOUN = re.compile(
    r"\b(?P<noun>lumen|channel|bore|cannulation|cannula|passage|duct|canal|capillary|waterway)s?\b",
    re.IGNORECASE,
)
_SIZE = re.compile(r"(?P<number>\d+(?:[.,]\d+)?)\s*(?P<unit>mm|cm)\b")
_OUTER = re.compile(r"\b(?:outer|outside|external|o\.?d\.?)\b[^,;]{0,14}$", re.IGNORECASE)
_DEFINED = re.compile(
    r"^\W*(?P<term>[A-Z][\w-]*(?: [A-Z]?[\w-]+){0,2})[\"\u201d\u2019']?\s+(?:means|denotes)\b"
)
#: "Guard: outer sleeve, bore 8 mm", "H handle, bore 2.2 mm", "H = handle": a line of a list begins.
_HEADS_A_LINE = re.compile(
    r"^\W*(?P<term>[A-Z][a-z-]*\w)\W*:\s|^\W*(?P<letter>[B-HJ-Z])\s*(?:=|:|\|)?\s+[a-z]{2}"
)
_OF = re.compile(r"\s+of\s+(?:the\s+|an?\s+|its\s+)?(?P<owner>[\w-]+(?:\s[\w-]+)?)")
_WORD = re.compile(r"[^\W\d_][\w-]*")
_OF_ANOTHER = re.compile(r"\b(?:and|or|in|through|with|from|of|wide|long|across|the|a|an)\b", re.IGNORECASE)
_BREAK = re.compile(r"[,;:.()|]")
_NO_NAMES = frozenset(
    {
        "the",
        "a",
        "an",
        "each",
        "every",
        "its",
        "this",
        "that",
        "these",
        "both",
        "all",
        "inner",
        "narrow",
        "whole",
        "same",
        "one",
        "two",
        "three",
        "four",
        "entire",
        "long",
        "wide",
        "of",
        "and",
        "or",
        "with",
        "from",
        "into",
        "through",
        "in",
        "is",
        "are",
        "has",
        "have",
        "no",
        "any",
        "only",
        "hollow",
        "fine",
        "small",
        "large",
        "about",
        "mm",
        "cm",
    }
)
_WORDS_IN_FRONT = 3
_STEM = 6
_WIDEST_BORE_MM = 20.0
_TWO = 2
#: What a way is, what it is called by, how wide and how long it is.
_Way = tuple[str, frozenset[str], Quantity | None, Quantity | None]


@dataclass(frozen=True)
class ToldLumen:
    """One way inside as a sentence tells it; `names` are the beginnings of the words that it is called by."""

    noun: str
    names: frozenset[str]
    bore: Quantity | None
    length: Quantity | None
    place: Place


def told_for(case: Case, said: str) -> tuple[ToldLumen, bool] | None:
    """The one way inside that some words name, and whether they name it by more than "the bore"."""
    told = _told(case)
    mine = _named(said)
    called = frozenset().union(*(names for _, names in mine))
    terms = frozenset(_stem(word) for word in _WORD.findall(said))
    by_name = [one for one in told if one.names and (one.names & called or one.names <= terms)]
    if len(by_name) == 1:
        return by_name[0], True
    bare = [one for one in told if any(one.noun == noun and not names for noun, names in mine)]
    return (bare[0], False) if len(bare) == 1 and len(told) == 1 and not by_name else None


def _told(case: Case) -> tuple[ToldLumen, ...]:
    return tuple(_one_each(lumen for passage in case.sentences for lumen in _in_passage(passage)))


def _one_each(told: Iterator[ToldLumen]) -> Iterator[ToldLumen]:
    """Each way once: what is told again of the same names adds nothing."""
    seen: set[tuple[str, frozenset[str]]] = set()
    for one in told:
        if (one.noun, one.names) not in seen:
            seen.add((one.noun, one.names))
            yield one


def _in_passage(passage: Passage) -> Iterator[ToldLumen]:
    if passage.step is None or passage.step.action is not Action.brush:
        for noun, names, bore, length in _in_text(passage.text):
            yield ToldLumen(noun, names, bore, length, passage.place)


@functools.lru_cache(maxsize=8192)
def _in_text(text: str) -> tuple[_Way, ...]:
    """Each way inside that some words tell with its width; words about brushes tell none."""
    return () if "brush" in text.casefold() else tuple(_ways(text))


def _ways(text: str) -> Iterator[_Way]:
    term = frozenset(map(_stem, _WORD.findall(_defined(text))))
    nouns = list(_NOUN.finditer(text))
    for at, noun in enumerate(nouns):
        sizes = [size for size in _SIZE.finditer(text) if _noun_of(text, size, nouns) == at]
        bore, length = _told_sizes(sizes)
        if bore is not None:
            yield noun["noun"].lower(), _names(text, noun) | term, bore, length


def _defined(text: str) -> str:
    """What some words are about, where they begin as a definition or as a line of a list of parts does."""
    if defined := _DEFINED.match(text):
        return defined["term"]
    heads = _HEADS_A_LINE.match(text)
    return heads["term"] or heads["letter"] if heads else ""


def _noun_of(text: str, size: re.Match[str], nouns: list[re.Match[str]]) -> int | None:
    """The noun that a size is told of: the next of "a 0.5 mm rinsing channel", else the last in front."""
    if _OUTER.search(text[: size.start()]):
        return None
    for at, noun in enumerate(nouns):
        between = text[size.end() : noun.start()]
        is_next = noun.start() >= size.end() and len(between.split()) < _WORDS_IN_FRONT
        if is_next and not _BREAK.search(between) and not _OF_ANOTHER.search(between):
            return at
    in_front = [at for at, noun in enumerate(nouns) if noun.end() <= size.start()]
    return in_front[-1] if in_front else None


def _told_sizes(sizes: list[re.Match[str]]) -> tuple[Quantity | None, Quantity | None]:
    """The bore and the length that one or two sizes tell; more belong to nobody."""
    told = sorted((_quantity(size) for size in sizes), key=lambda one: one.to("mm"))
    if not told or len(told) > _TWO or told[0].to("mm") > _WIDEST_BORE_MM:
        return None, None
    return told[0], told[1] if len(told) == _TWO else None


def _quantity(size: re.Match[str]) -> Quantity:
    return Quantity(float(size["number"].replace(",", ".")), size["unit"])


def _named(said: str) -> list[tuple[str, frozenset[str]]]:
    return [(noun["noun"].lower(), _names(said, noun)) for noun in _NOUN.finditer(said)]


def _names(text: str, noun: re.Match[str]) -> frozenset[str]:
    """What a way inside is called by: the words in front of its noun, and what it is the bore of."""
    in_front = _BREAK.split(text[: noun.start()])[-1].split()[-_WORDS_IN_FRONT:]
    owner = _OF.match(text, noun.end())
    words = [*in_front, *(owner["owner"].split() if owner else ())]
    return frozenset(_stem(word) for word in words if _WORD.fullmatch(word) and word.lower() not in _NO_NAMES)


def _stem(word: str) -> str:
    # The letter of a part is a capital: "H" is a handle, "2 h" is a time.
    return word if len(word) == 1 else word.lower()[:_STEM]
