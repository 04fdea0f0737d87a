"""One bound with two figures: "at most 2 or 3 bar" leaves open which of the two may not be passed."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.review.case import Case
from sinkside.review.lexicon import says, sentences
from sinkside.review.rule import Theme, Trip, rule

_BOUND = (
    r"(?:max(?:imum|imal)?\.?|at (?:the )?most|not more than|no more than|up to|not above|below|under"
    r"|never above|not exceed(?:ing)?|min(?:imum|imal)?\.?|at (?:the )?least|not less than|no less than"
    r"|not longer than|no longer than|within|\u2264|\u2265|<|>)"
)
_NUMBER = r"\d+(?:[.,]\d+)?"
_UNIT = (
    r"(?:bar|mbar|psi|kPa|MPa|\u00b0\s?C|\u00b0\s?F|min(?:utes?)?|s|sec(?:onds?)?|h(?:ours?)?|days?|weeks?|months?|years?"
    r"|mL|ml|L|mm|cm|%|times|cycles|uses|treatments|kg|kHz|mL/L|ml/l)"
)
_TWO_FIGURES = re.compile(
    rf"(?<!\w){_BOUND}\s*(?:of\s+)?(?P<first>{_NUMBER})\s*(?P<unit>{_UNIT})?\s+or\s+(?:{_BOUND}\s*)?"
    rf"(?P<second>{_NUMBER})\s*(?P<same>{_UNIT})(?![\w/])",
    re.IGNORECASE,
)
_BOUND_BEHIND = re.compile(
    rf"(?<![\w.,])(?P<first>{_NUMBER})\s*(?P<unit>{_UNIT})?\s+or\s+(?P<second>{_NUMBER})\s*(?P<same>{_UNIT})\s+"
    r"(?:at (?:the )?most|at (?:the )?least|maximum|minimum)\b",
    re.IGNORECASE,
)
_CHOSEN_BY = ("special-case", "chosen-by")


@rule(
    Theme.vagueness,
    Level.concern,
    title="One bound has two figures, and nothing says when which holds.",
    message="“{words}”: nothing says which of the two holds.",
    remedy="Ask the maker which of the two holds; until then the safer one does.",
)
def bound_with_two_figures(case: Case) -> Iterator[Trip]:
    """A bound in front of two numbers of one unit that "or" joins, in a sentence without a condition."""
    for passage in case.sentences:
        for sentence in sentences(passage.text):
            told = _TWO_FIGURES.search(sentence) or _BOUND_BEHIND.search(sentence)
            if told is None or any(says(sentence, sense) for sense in _CHOSEN_BY):
                continue
            is_one_unit = told["unit"] is None or told["unit"].lower() == told["same"].lower()
            if is_one_unit and told["first"] != told["second"]:
                yield Trip(passage.place, {"words": told[0].strip()})


RULES = (bound_with_two_figures,)
