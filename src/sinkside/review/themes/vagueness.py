"""No figure where one is needed."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.quantities import Bound
from sinkside.review.case import Case
from sinkside.review.lexicon import found
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.stated import exposures, shown, steam_steps


@rule(
    Theme.vagueness,
    Level.concern,
    title="A sterilization time is a range, and nothing says when which end holds.",
    message="The exposure is {time}, and nothing says when which end holds.",
    remedy="Get the maker's written answer: one exposure for each cycle; until then it is not run.",
)
def exposure_is_a_range(case: Case) -> Iterator[Trip]:
    """Exposures of steam with two ends and no condition."""
    for step in steam_steps(case):
        for time in exposures(step):
            if time.bound is Bound.between and not step.condition:
                yield Trip(case.place(step), {"time": shown(time)})


@rule(
    Theme.vagueness,
    Level.note,
    title="Words stand where a figure or a criterion is needed.",
    message="“{words}” cannot be checked.",
    remedy="Ask the maker for a figure or a criterion that two people would judge alike.",
)
def wording_cannot_be_checked(case: Case) -> Iterator[Trip]:
    """Words that measure nothing, and vague ones in passages that carry no figure of their own."""
    for passage in case.passages:
        vague = found(passage.text, "unmeasured")
        if not passage.figures:
            vague |= found(passage.text, "vague")
        if vague:
            yield Trip(passage.place, {"words": min(vague)})


RULES = (exposure_is_a_range, wording_cannot_be_checked)
