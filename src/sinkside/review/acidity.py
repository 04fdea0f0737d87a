"""The pH that a text allows, read from its words: "from pH 6 to pH 9", "pH min. 6, max. 10"."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from sinkside.instruction import Action
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage
from sinkside.review.lexicon import says

_INF = math.inf
_NEAR = 60
_WITH_A_CLEANER = CLEANING_ACTIONS | {Action.prepare_solution}
_NUMBER = r"(\d{1,2}(?:[.,]\d+)?)"
_TO = r"\s*(?:to|up to|and|-|\u2013|\u2014|/|\.\.\.|\u2026|,?\s*max\.?(?:imum)?)\s*"

#: "between pH 6 and 9", "pH 5 – 9", "pH min. 6, max. 10".
_RANGE = re.compile(
    rf"\bpH(?:\W|of|min\.?|range|value|from|between)*{_NUMBER}{_TO}(?:a\s)?(?:pH\s*)?{_NUMBER}", re.IGNORECASE
)

#: "nothing stronger than pH 9", "avoid anything above pH 8", "not over a pH of 10".
_ABOVE = re.compile(
    rf"\b(?:above|over|beyond|exceed(?:s|ing)?|stronger than|higher than|more than|more alkaline than)\s+"
    rf"(?:a\s)?pH\s*(?:of\s|value of\s)?{_NUMBER}",
    re.IGNORECASE,
)

#: "up to pH 10", "pH 9 at most", "pH max. 10".
_UP_TO = re.compile(
    rf"\b(?:up to|not above|at most|max\.?|maximum|\u2264|<=?)\s*(?:a\s)?pH\s*(?:of\s)?{_NUMBER}"
    rf"|\bpH\s*(?:max\.?|maximum|up to|of at most|\u2264|<=?|not above|below|under)\s*(?:of\s)?{_NUMBER}"
    rf"|\bpH\s*(?:of\s)?{_NUMBER}\s*(?:at most|at the most|or less|or lower|or below|maximum|max\b)",
    re.IGNORECASE,
)


#: "below pH 5 or above pH 11": what lies outside both is what is ruled out.
_OUTSIDE = re.compile(
    r"\b(?:below|under|less than|lower than|<)\s*(?:a\s)?(?:pH\s*)?(?P<least>\d{1,2}(?:[.,]\d+)?)"
    r"\s*(?:or|and|nor)\s+(?:a\s+pH\s+)?(?:above|over|more than|higher than|>)"
    r"\s*(?:a\s)?(?:pH\s*)?(?P<most>\d{1,2}(?:[.,]\d+)?)",
    re.IGNORECASE,
)


def left_between(text: str) -> tuple[float, float] | None:
    """The pH that words leave which rule out what is below the one end and above the other.

    >>> left_between("Agents with a pH below 5 or above 11 must be avoided.")
    (5.0, 11.0)
    """
    both = _OUTSIDE.search(text)
    return (_number(both["least"]), _number(both["most"])) if both else None


def ph_in_words(case: Case) -> Iterator[tuple[Passage, tuple[float, float]]]:
    """Each range of pH that words allow, with its ends; what a machine is told to use allows nothing."""
    for passage in case.sentences:
        is_asked = passage.step is not None and passage.step.action in _WITH_A_CLEANER
        rules = says(passage.text, "negation") or says(passage.text, "only")
        if (not is_asked or rules) and not says(passage.text, "treated-apart"):
            for ends in _ranges(passage.text):
                yield passage, ends


def _ranges(text: str) -> Iterator[tuple[float, float]]:
    if both := left_between(text):
        yield both
        return
    for match in _RANGE.finditer(text):
        least, most = _number(match[1]), _number(match[2])
        near = text[max(0, match.start() - _NEAR) : match.end()]
        is_of_lent = says(near, "lent") and not says(near, "whole-device")
        if least < most and says(text, "ph-allowed") and not (says(near, "harm") or is_of_lent):
            yield least, most
            return
    denies = says(text, "negation") or says(text, "forbidden") or says(text, "harm") or says(text, "nothing")
    for match in _ABOVE.finditer(text) if denies else ():
        yield -_INF, _number(match[1])
    for match in _UP_TO.finditer(text) if says(text, "ph-allowed") else ():
        yield -_INF, _number(next(number for number in match.groups() if number))


def _number(written: str) -> float:
    return float(written.replace(",", "."))
