"""Cleaner that comes last: back into a bath behind the last rinse, or wiped on behind the water."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage, Step
from sinkside.review.case import Case, Passage, words
from sinkside.review.doing import dries, rinses, uses_cleaner
from sinkside.review.lexicon import negated, references, says
from sinkside.review.rule import Theme, Trip, book, rule

_WET = frozenset({Stage.cleaning, Stage.disinfection, Stage.drying})
_WIPES = frozenset({Action.wipe, Action.rinse, Action.wash, Action.flush})
_CLEANER = r"(?:detergent|cleaner|cleaning\s+(?:solution|agent)|soap|soapy\s+water|enzym\w+\s+solution)"
#: "Cloth damp with water, then cloth damp with detergent": the second is what stays on.
_WATER_FIRST = re.compile(
    rf"\b(?:water|rins\w+)\b(?:(?!\b{_CLEANER})[^.;|])*\b(?:then|afterwards|followed\s+by|and\s+finally|lastly|next"
    rf"|after\s+that)\b[^.;|]*\b{_CLEANER}(?P<rest>[^.;|]*)",
    re.IGNORECASE,
)
_ROW = re.compile(
    r"^\W*(?:to\s+)?(?:rows?|steps?|no\.?|nr\.?|lines?)\s+(?P<number>\d+(?:\.\d+)*|[A-Z]\d+)", re.IGNORECASE
)
#: "A, B" and no "40 C".
_LETTER = re.compile(r"(?<![\w.])(?<!\d\s)[A-Z]\d?(?![\w.])")


@rule(
    Theme.order,
    Level.concern,
    title="Cleaner comes last.",
    message="“{words}” puts cleaner on behind the rinse, and nothing takes it off again.",
    remedy="Ask the maker whether the rinse comes last; what is left of a cleaner dries on the device.",
    source=book("iso-17664-1"),
)
def cleaner_behind_the_rinse(case: Case) -> Iterator[Trip]:
    """Words that go back into a cleaner at the end, or wipe it on behind water, with no rinse behind them."""
    for passage in case.sentences:
        if case.stage_of(passage) not in _WET or negated(passage.text, "bath-of-cleaner"):
            continue
        said = _goes_back(case, passage) or _wiped_on(case, passage)
        if said:
            yield Trip(passage.place, {"words": said})


def _goes_back(case: Case, passage: Passage) -> str | None:
    """'End with one more dip in the bath of row 5', where row 5 cleans; a note belongs to its row."""
    text = passage.text
    is_last = says(text, "behind-the-last-rinse") and says(text, "goes-back-in")
    if not is_last or says(text, "condition-strict") or _is_rinsed_in(text):
        return None
    row = _ROW.match(text)
    own = {row["number"]} if row else set()
    named = {number for _, number in references(text)} - own
    is_cleaner = any(_brings_cleaner(s) for s in _numbered(case, named)) or says(text, "bath-of-cleaner")
    mine = next(iter(_numbered(case, own)), passage.step)
    if not is_cleaner or mine is None or not _is_rinsed_before(case, mine):
        return None
    return None if _rinsed_behind(case, mine, text) else " ".join(text.split()[:12])


def _numbered(case: Case, numbers: set[str]) -> list[Step]:
    """The wet steps that carry one of some numbers."""
    return [s for s in case.steps if (s.number or "").strip("(). ") in numbers and s.stage in _WET]


def _wiped_on(case: Case, passage: Passage) -> str | None:
    """'Cloth damp with water, then cloth damp with detergent', with no rinse for the same thing behind it."""
    step = passage.step
    match = _WATER_FIRST.search(passage.text)
    if step is None or match is None or step.action not in _WIPES or _is_rinsed_in(match["rest"]):
        return None
    if step.condition or _rinsed_behind(case, step, passage.text):
        return None
    return match[0].strip()


def _is_rinsed_in(text: str) -> bool:
    return says(text, "rinsing") and not says(text, "behind-the-last-rinse")


def _brings_cleaner(step: Step) -> bool:
    return uses_cleaner(step) or says(words(step), "bath-of-cleaner")


def _is_rinsed_before(case: Case, step: Step) -> bool:
    """Whether a rinse stands at or in front of a step, behind the last cleaner."""
    before = [s for s in case.steps[: case.index(step) + 1] if s.stage in _WET]
    cleaned = [n for n, s in enumerate(before) if _brings_cleaner(s) and s.origin != step.origin]
    behind = before[cleaned[-1] + 1 :] if cleaned else []
    return any(rinses(s) or says(words(s), "good-water") for s in behind)


def _rinsed_behind(case: Case, step: Step, text: str) -> bool:
    """Whether anything rinses behind a step what it names, up to where it is dried."""
    letters = frozenset(_LETTER.findall(text)) & frozenset(_LETTER.findall(words(step)))
    for other in case.steps[case.index(step) + 1 :]:
        if other.origin == step.origin or other.origin.text == text:
            continue
        theirs = frozenset(_LETTER.findall(words(other)))
        is_mine = not letters or not theirs or bool(letters & theirs)
        if is_mine and rinses(other) and not other.condition and other.stage in _WET:
            return True
        if is_mine and (dries(other) or other.stage not in _WET):
            return False
    return False


RULES = (cleaner_behind_the_rinse,)
