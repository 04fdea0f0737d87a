"""When what was taken apart is put together: not before it is washed and dry."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage, Step
from sinkside.review.case import Case, words
from sinkside.review.doing import dries
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, book, rule

_WHERE_APART = frozenset({Stage.point_of_use, Stage.preparation, Stage.cleaning})
_WHERE_WET = frozenset({Stage.preparation, Stage.cleaning, Stage.disinfection, Stage.drying})
_NOT_NOW = ("connecting", "negation", "condition-strict", "forbidden", "tray-words", "until-use")


@rule(
    Theme.order,
    Level.concern,
    title="What was taken apart is put together before it is dry.",
    message="“{words}”: the parts go together here and are dried only afterwards.",
    remedy="Ask the maker whether the parts are dried before they are put together.",
    source=book("iso-17664-1"),
)
def together_before_dried(case: Case) -> Iterator[Trip]:
    """Putting together behind a taking apart and in front of the last drying, and not done again."""
    apart = [step for step in case.doing(Action.take_apart) if step.stage in _WHERE_APART]
    dried = [step for step in case.steps if _is_drying(step)]
    joined = [step for step in case.doing(Action.put_together) if _is_asked(step)]
    if not apart or not dried:
        return
    for step in joined:
        at = case.index(step)
        behind = [one for one in dried if case.index(one) > at and one.origin != step.origin]
        again = [one for one in (*apart, *joined) if case.index(one) > at and one.origin != step.origin]
        is_between = case.index(apart[0]) < at and step.stage in _WHERE_WET
        is_first = not any(case.index(one) < at and one.origin != step.origin for one in dried)
        says_wet = says(words(step), "still-wet")
        if is_between and (says_wet or (behind and is_first and not again)):
            spoken = " ".join(words(step).split()[:8])
            others = tuple(case.place(one) for one in behind[:1])
            yield Trip(case.place(step), {"words": spoken}, others)
            return


def _is_drying(step: Step) -> bool:
    """Whether a step dries the parts outside the sterilizer; a dry place, and the chamber, dry none."""
    is_work = step.action in {Action.dry, Action.blow} or (step.stage is Stage.drying and dries(step))
    return is_work and step.stage not in {Stage.sterilization, Stage.storage, Stage.packaging}


def _is_asked(step: Step) -> bool:
    said = words(step)
    is_plain = not step.condition and not any(says(said, sense) for sense in _NOT_NOW)
    return is_plain or (says(said, "still-wet") and not says(said, "negation"))


RULES = (together_before_dried,)
