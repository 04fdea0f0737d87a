"""Notes, footnotes and chapters that a text names, and that are not there."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level, Place
from sinkside.review.case import Case, Passage
from sinkside.review.labels import labels
from sinkside.review.lexicon import references, says
from sinkside.review.rule import Theme, Trip, rule

#: "with a suitable voltage. 4)", "0.5 % 1) in water": a mark that no bracket in front of it opens.
_MARK = re.compile(r"(?:^|(?<=[\w%.,;:°]\s)|(?<=[a-z]))(\d{1,2})\)(?=\s|$|[.,;])")
#: "1) Equal to 5 mL per litre.": what stands beneath.
_NOTE = re.compile(r"^\W*(?:(?:notes?|remarks?)\s+)?(\d{1,2})\s*[).:]?\s+(?=\S)", re.IGNORECASE)
_NAMED_NOTE = re.compile(r"^\W*notes?\s+(\w{1,3})\b", re.IGNORECASE)

#: "in the chapter on surface testing", "in section \"Play of the joint\"", "under 'Testing'".
_OPENED = '"\u201c\u201e\u00ab\u2018\u2039'
_SHUT = '"\u201d\u201c\u00bb\u2019\u203a'
_IN_QUOTES = re.compile(
    rf"\b(?:chapters?|sections?|heading|headed|paragraph|table|under|see|appendix|annex)\s+(?:the\s+|is\s+)?"
    rf"[{_OPENED}]\s*(?P<title>[^{_SHUT}]{{4,60}}?)\s*[{_SHUT}]",
    re.IGNORECASE,
)
_BY_SUBJECT = re.compile(
    r"\b(?:in|see|of|under|to)\s+(?:the\s+)?(?:chapters?|sections?)\s+(?:on|about|for|entitled|called|headed)\s+"
    r"(?P<title>(?:(?!and\b|or\b|must|is\b|are\b)[\w-]+\s?){1,4})",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W\d_]{4,}")
_STEM = 5
_FEWEST_HEADINGS = 3
_HALF = 0.5


@rule(
    Theme.references,
    Level.note,
    title="A note that the text refers to is not there.",
    message="The text refers to note {number}, and there is none.",
    remedy="Ask the maker for note {number}, or for what was meant.",
)
def note_dangling(case: Case) -> Iterator[Trip]:
    """Marks of footnotes, and "see note 6", against the notes that stand beneath."""
    marked = [(number, passage) for passage in case.sentences for number in _marks(passage.text)]
    beneath = _beneath(case)
    marks = {number for number, _ in marked}
    for mark, passage in marked:
        # Where no note kept its number in the reading, marks that count up from one may all have theirs.
        is_lost = mark > max(beneath) if beneath else 1 not in marks
        if is_lost and mark not in beneath:
            others = tuple(_in_front(case, passage))
            yield Trip(passage.place, {"number": str(mark)}, others)
    named = {match[1].lower() for passage in case.passages if (match := _NAMED_NOTE.match(passage.text))}
    named |= {str(below) for below in beneath}
    known = labels(case)
    has_notes = any(says(heading.text, "notes-head") for heading in case.instruction.headings)
    for passage in case.passages:
        for kind, number in references(passage.text):
            is_its_own = _NAMED_NOTE.match(passage.text) is not None
            if kind != "note" or number.lower() in named or is_its_own:
                continue
            # A letter may stand over a remark of any form; a number only where remarks have their heading.
            if number.lower() not in known or not (has_notes or number.isalpha()):
                yield Trip(passage.place, {"number": number})


@rule(
    Theme.references,
    Level.note,
    title="A chapter that the text names by its subject is not there.",
    message="The text refers to “{title}”, and no heading says so.",
    remedy="Ask the maker for what is meant by “{title}”.",
)
def title_dangling(case: Case) -> Iterator[Trip]:
    """Chapters named by words against the headings of the text."""
    headings = [_stems(heading.text) for heading in case.instruction.headings]
    headings += [_stems(step.heading) for step in case.steps if step.heading]
    # One or two headings may be all that was seen of many; where there is none the text has no chapters.
    if 0 < len(headings) < _FEWEST_HEADINGS:
        return
    for passage in case.passages:
        for pattern in (_IN_QUOTES, _BY_SUBJECT):
            for match in pattern.finditer(passage.text):
                wanted = _stems(match["title"])
                # "in the section of the manual of the washer": a chapter of another text.
                leads_away = says(passage.text[match.end() : match.end() + 40], "another-text")
                is_there = any(len(wanted & has) >= _HALF * len(wanted) for has in headings)
                if wanted and not is_there and not leads_away:
                    yield Trip(passage.place, {"title": match["title"].strip()})


def _marks(text: str) -> Iterator[int]:
    """The numbers of footnote marks in some words; "(1)" and a number that begins a line are none."""
    for match in _MARK.finditer(text):
        before = text[: match.start()]
        is_alone = text.strip() == match[0]
        if (before.strip() or is_alone) and before.count("(") <= before.count(")"):
            yield int(match[1])


def _beneath(case: Case) -> frozenset[int]:
    """The numbers under which notes may stand: whatever begins with one and a bracket, or a step's number."""
    begun = {int(match[1]) for passage in case.passages if (match := _NOTE.match(passage.text))}
    counted = {int(step.number) for step in case.steps if step.number and step.number.isdigit()}
    return frozenset(begun | counted)


def _in_front(case: Case, passage: Passage) -> Iterator[Place]:
    """The sentence in front of a mark that was read as one of its own."""
    at = case.sentences.index(passage)
    before = case.sentences[at - 1] if at else passage
    if before.place.line == passage.place.line and before.place.page == passage.place.page:
        yield before.place


def _stems(text: str) -> frozenset[str]:
    """The beginnings of the longer words of a title."""
    return frozenset(word.lower()[:_STEM] for word in _WORD.findall(text))


RULES = (note_dangling, title_dangling)
