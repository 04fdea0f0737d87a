"""Work whose time stands in words, days that no calendar has, and what goes together into the cleaning."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage
from sinkside.quantities import FigureQuantity
from sinkside.review.case import WET_ACTIONS, Case, Passage, place_of, words
from sinkside.review.lexicon import found, says
from sinkside.review.rule import Theme, Trip, book, rule

_WORK = WET_ACTIONS | {Action.dry, Action.blow, Action.disinfect}
_AT_THE_SINK = frozenset({Stage.cleaning, Stage.disinfection, Stage.drying})
_MEASURES = (FigureQuantity.time, FigureQuantity.volume, FigureQuantity.counted, FigureQuantity.pressure)
_IN_WATER = frozenset({Action.wash, Action.soak, Action.sonicate, Action.load})
_DAY_FIRST = re.compile(r"(?<![\d.])(\d{1,2})([./-])(\d{1,2})\2(\d{4})(?![\d.])")
_YEAR_FIRST = re.compile(r"(?<![\d-])(\d{4})-(\d{1,2})-(\d{1,2})(?![\d-])")


@rule(
    Theme.vagueness,
    Level.concern,
    title="Work whose effect is its time is timed by a word.",
    message="“{words}” is no time, and the step gives no other measure.",
    remedy="Ask the maker for the time.",
    source=book("iso-17664-1"),
)
def time_of_work_in_words(case: Case) -> Iterator[Trip]:
    """Rinsing, soaking, blowing and the like with a vague time and without any figure or end."""
    for step in case.steps:
        said = words(step)
        if step.action not in _WORK or step.stage not in _AT_THE_SINK or not says(said, "vague-time"):
            continue
        told = any(one.figures_of(quantity) for one in case.beside(step) for quantity in _MEASURES)
        if not told and not step.until and not says(said, "deferred"):
            yield Trip(case.place(step), {"words": min(found(said, "vague-time"))})


@rule(
    Theme.references,
    Level.note,
    title="A date is none that the calendar has.",
    message="{date} is no day of any year, so which issue this is stays open.",
    remedy="Ask the maker for the date and the number of the current issue.",
)
def date_impossible(case: Case) -> Iterator[Trip]:
    """Days, months and years in figures that no order of day and month makes a date of."""
    headed = (Passage(one.origin.text, place_of(one.origin)) for one in case.instruction.headings)
    for passage in (*case.sentences, *headed):
        for written in _impossible(passage.text):
            yield Trip(passage.place, {"date": written})


@rule(
    Theme.order,
    Level.concern,
    title="What was taken apart is put together before it is washed.",
    message="“{words}” comes before the cleaning is over; what lies between the parts is not reached then.",
    remedy="Ask the maker whether the device is cleaned apart; until then it is.",
    source=book("iso-17664-1"),
)
def together_before_washed(case: Case) -> Iterator[Trip]:
    """Assembling among the steps of cleaning, behind a taking apart and in front of a bath or machine."""
    apart = [
        step for step in case.doing(Action.take_apart) if step.stage in {Stage.preparation, Stage.cleaning}
    ]
    for step in case.steps:
        is_joined = step.stage is Stage.cleaning and says(words(step), "assembles-whole")
        if not apart or not is_joined or case.index(apart[0]) > case.index(step) or _is_of_rack(words(step)):
            continue
        behind = [s for s in case.steps[case.index(step) + 1 :] if s.heading == step.heading]
        between = case.steps[case.index(apart[0]) + 1 : case.index(step)]
        washes = [s for s in behind if s.action in _IN_WATER and s.origin != step.origin]
        if washes and not any(s.action is Action.put_together and s is not step for s in between):
            spoken = " ".join(words(step).split()[:8])
            yield Trip(case.place(step), {"words": spoken}, (case.place(apart[0]),))
            return


def _is_of_rack(said: str) -> bool:
    """Whether words join the device to a rack, adapter or syringe, or are no order at all."""
    return any(says(said, sense) for sense in ("connecting", "negation", "condition-strict", "forbidden"))


def _impossible(text: str) -> Iterator[str]:
    for match in _DAY_FIRST.finditer(text):
        one, other, year = int(match[1]), int(match[3]), int(match[4])
        orders = [(other, one)] if match[2] == "." else [(other, one), (one, other)]
        if not any(_is_a_day(year, month, day) for month, day in orders):
            yield match[0]
    for match in _YEAR_FIRST.finditer(text):
        if not _is_a_day(int(match[1]), int(match[2]), int(match[3])):
            yield match[0]


def _is_a_day(year: int, month: int, day: int) -> bool:
    try:
        dt.date(year, month, day)
    except ValueError:
        return False
    return True


RULES = (time_of_work_in_words, date_impossible, together_before_washed)
