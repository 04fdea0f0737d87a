"""Parts that a text numbers behind their names, "seal (5)", and the names that "pieces 1 to 5" stand for."""

from __future__ import annotations

import functools
import re

from sinkside.review.case import Case
from sinkside.review.lexicon import says

_BEHIND_ITS_NAME = re.compile(r"\b([a-z][a-z-]+)\s+\((\d{1,2})\)", re.IGNORECASE)
_COUNTED_OFF = re.compile(
    r"\b(?:pieces|parts|items|components|positions|nos?\.?|numbers)\s+"
    r"(?P<list>\d{1,2}(?:\s*(?:,|and|or|&|to|-|–|through|up to)\s*(?:and\s+)?\d{1,2})+)\b",
    re.IGNORECASE,
)
_RANGE = re.compile(r"(\d{1,2})\s*(?:to|-|–|through|up to)\s*(\d{1,2})", re.IGNORECASE)
_NUMBER = re.compile(r"\d{1,2}")
_FEWEST = 3


def parts_by_number(case: Case) -> dict[int, str]:
    """The last word of the name of each part that the text numbers; none for fewer than three.

    A number that stands behind two names numbers something else.
    """
    return _parts_by_number(tuple(passage.text for passage in case.sentences))


@functools.lru_cache(maxsize=8)
def _parts_by_number(texts: tuple[str, ...]) -> dict[int, str]:
    names: dict[int, set[str]] = {}
    for text in texts:
        for name, number in _BEHIND_ITS_NAME.findall(text):
            if says(name, "component") or says(name, "small-part"):
                names.setdefault(int(number), set()).add(name.lower())
    told = {number: min(called) for number, called in names.items() if len(called) == 1}
    return told if len(told) >= _FEWEST else {}


def counted_off(text: str) -> frozenset[int]:
    """The numbers of parts that some words count off.

    >>> sorted(counted_off("Lay pieces 1 to 3 and 5 into the bath for 10 minutes."))
    [1, 2, 3, 5]
    """
    numbers: set[int] = set()
    for match in _COUNTED_OFF.finditer(text):
        for first, last in _RANGE.findall(match["list"]):
            numbers |= set(range(int(first), int(last) + 1))
        numbers |= {int(number) for number in _NUMBER.findall(match["list"])}
    return frozenset(numbers)


def named_by_number(case: Case, text: str) -> frozenset[str]:
    """The names of the parts that some words count off by number."""
    numbers = counted_off(text)
    known = parts_by_number(case) if numbers else {}
    return frozenset(known[number] for number in numbers if number in known)
