"""Which revision a text is, and which it says that it replaces: by number, letter or day."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Level, Place
from sinkside.review.case import Case, place_of
from sinkside.review.rule import Theme, Trip, rule

_ORDINALS = (
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_KIND = r"(?:revision|rev|version|vers|issue|edition|ed|release)"
_ORDINAL = rf"(?:{'|'.join(_ORDINALS)}|\d{{1,2}}(?:st|nd|rd|th))"
#: A year that a text can be of: "0.0008 %" is no month.
_YEAR = r"(?:19|20)\d\d(?!\d)"
_DAY = (
    rf"(?:{_YEAR}-\d{{1,2}}(?:-\d{{1,2}})?|(?:\d{{1,2}}[./])?\d{{1,2}}[./]{_YEAR}"
    rf"|(?:\d{{1,2}}\.?\s+)?(?:{'|'.join(_MONTHS)})[a-z]*\.?\s+{_YEAR}|of\s+{_YEAR})"
)
_NAMED = re.compile(
    rf"\b(?P<ordinal>{_ORDINAL})\s+{_KIND}\b"
    rf"|\b{_KIND}s?\b[.:]?\s*(?:(?:no|number|level|index|letter|up to|until|before)\b\.?\s*)?"
    r"(?P<number>\d+(?:\.\d+)*|(?-i:[A-Z]))(?!\w)"
    rf"|(?P<day>\b{_DAY})",
    re.IGNORECASE,
)
#: "V3 replaces V2", "OP-7-C supersedes OP-7-D": one name with two endings.
_SAME_NAME = re.compile(
    r"(?<![\w.-])([\w.-]*[-./]|[A-Za-z]{1,3})([A-Z]|\d+)\b[^.;:]{0,30}?\(?\s*(?:which\s)?"
    r"(?:supersedes|replaces|cancels)\s+(?:\w+\s)?\1([A-Z]|\d+)\b"
)
_REPLACES = re.compile(
    r"\b(?:replac(?:es|ing)|supersed(?:es|ing)|cancels|cancelling|withdraws|takes the place of|in place of"
    r"|instead of|follows on from|successor (?:of|to)|makes invalid|revokes|annuls)\b",
    re.IGNORECASE,
)
_REPLACED_BY = re.compile(r"\b(?:replaced|superseded|succeeded|followed)\s+by\b", re.IGNORECASE)
_OVER = re.compile(
    r"^\s*(?:of\s+)?(?:[a-z]+\s+){0,2}?(?:is|are|was|be|becomes?|stays?|being)?\s*"
    r"(?:now|thus|hereby|thereby|no longer)?\s*"
    r"(?:out of date|outdated|obsolete|withdrawn|superseded(?!\s+by)|void"
    r"|invalid|not valid|valid|in force|expired|lapsed"
    r"|cancelled|canceled|revoked|to be destroyed|destroyed|replaced(?!\s+by))\b",
    re.IGNORECASE,
)
_VALID = re.compile(r"(?<!no longer )(?<!not )\b(?:valid|in force)\b", re.IGNORECASE)
_NUMBERS = re.compile(r"\d+")
_LETTER = re.compile(r"[A-Z]")
_MOST_WORDS = 40


@dataclass(frozen=True)
class _Named:
    """A revision as some words name it: what it is compared by, and where it stands."""

    written: str
    kind: str
    order: tuple[int, ...]
    start: int
    end: int


@rule(
    Theme.references,
    Level.note,
    title="A revision has a lower number than the one it replaces.",
    message="Revision {revision} is said to replace {replaces}, which is later.",
    remedy="Ask the maker which revision is current.",
)
def revision_runs_backwards(case: Case) -> Iterator[Trip]:
    """Numbers, letters or days of both revisions, compared from the left, in any words that name both."""
    for place, text in _texts(case):
        if found := backwards(text):
            yield Trip(place, {"revision": found[0], "replaces": found[1]})
            return
    document = case.instruction.device.document
    current, replaced = _order(document.revision), _order(document.replaces)
    is_alike = document.revision.strip().isalpha() == document.replaces.strip().isalpha()
    if current and replaced and is_alike and current < replaced:
        of_headings = (place_of(heading.origin) for heading in case.instruction.headings)
        of_passages = (passage.place for passage in case.passages)
        nowhere = Place(text=f"{document.revision} replaces {document.replaces}")
        told = re.compile(rf"(?i:replac|supersed|cancel).*\b{re.escape(document.replaces)}(?!\w)")
        place = next((p for p in (*of_headings, *of_passages) if told.search(p.text)), nowhere)
        yield Trip(place, {"revision": document.revision, "replaces": document.replaces})


def _texts(case: Case) -> Iterator[tuple[Place, str]]:
    """The words that may name two revisions: title, headings and sentences."""
    title = case.instruction.device.document.title
    if title:
        yield Place(text=title), title
    for heading in case.instruction.headings:
        yield place_of(heading.origin), heading.origin.text
    for passage in case.sentences:
        if len(passage.text.split()) <= _MOST_WORDS:
            yield passage.place, passage.text


def backwards(text: str) -> tuple[str, str] | None:
    """The current and the replaced revision of some words, where the replaced one is later."""
    if (match := _SAME_NAME.search(text)) and _is_earlier(match[2], match[3]):
        return match[1] + match[2], match[1] + match[3]
    named = [_named(match) for match in _NAMED.finditer(text)]
    replaced = _replaced(text, named)
    if replaced is None:
        return None
    others = [one for one in named if one is not replaced and one.kind == replaced.kind]
    # "Issue 3, of May 2024, replaces issue 6": the nearest of its kind is compared.
    current = min(others, key=lambda one: abs(one.start - replaced.start), default=None)
    if current is None:
        return None
    # A year alone is compared with the year of a month.
    shared = min(len(current.order), len(replaced.order))
    if current.order[:shared] >= replaced.order[:shared]:
        return None
    return current.written, replaced.written


def _replaced(text: str, named: list[_Named]) -> _Named | None:
    """The revision that is over by some words."""
    if by := _REPLACED_BY.search(text):
        return max((one for one in named if one.end <= by.start()), key=lambda one: one.end, default=None)
    if verb := _REPLACES.search(text):
        return min((one for one in named if one.start >= verb.end()), key=lambda one: one.start, default=None)
    for one in named:
        over = _OVER.match(text[one.end :])
        if over and not _VALID.search(over[0]):
            return one
    return None


def _named(match: re.Match[str]) -> _Named:
    written = (match["ordinal"] or match["number"] or match["day"]).strip()
    kind = "day" if match["day"] else ("letter" if written.isalpha() and not match["ordinal"] else "number")
    order = _day(written) if match["day"] else _order(written)
    return _Named(written, kind, order, match.start(), match.end())


def _day(written: str) -> tuple[int, ...]:
    """Year and month of a day, from the left."""
    numbers = [int(one) for one in _NUMBERS.findall(written)]
    year = max(numbers)
    said = re.search(r"[a-z]{3,}", written, re.IGNORECASE)
    if said and said[0][:3].lower() in _MONTHS:
        return year, _MONTHS.index(said[0][:3].lower()) + 1
    rest = [number for number in numbers if number != year]
    if not rest:
        return (year,)
    return year, rest[0] if numbers[0] == year else rest[-1]


def _order(revision: str) -> tuple[int, ...]:
    """What a revision is compared by: its numbers, its place in the row of ordinals, or its letter."""
    said = revision.strip()
    if said.lower() in _ORDINALS:
        return (_ORDINALS.index(said.lower()) + 1,)
    numbers = tuple(map(int, _NUMBERS.findall(said)))
    return numbers or ((ord(said.upper()),) if _LETTER.fullmatch(said.upper()) else ())


def _is_earlier(one: str, other: str) -> bool:
    return one.isdigit() == other.isdigit() and _order(one) < _order(other)


RULES = (revision_runs_backwards,)
