"""From the end of use to the start of cleaning: what keeps soil from setting, and for how long."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, Stage
from sinkside.limits import published
from sinkside.quantities import Figure
from sinkside.review.case import Case, Passage
from sinkside.review.delays import delays, longest_h, may_wait_till_tomorrow
from sinkside.review.lexicon import found, says
from sinkside.review.plausible import LONGEST_DELAY_H
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import shown

_ON_THE_WAY = frozenset({Stage.point_of_use, Stage.transport})
_FEWEST_STEPS = 3
_MINUTES_IN_AN_HOUR = 60.0
#: "It may wait for 4 hours before it is cleaned" has no condition.
_UNTIL_CLEANED = re.compile(
    r"\b(?:before|until)\b[^,;.]*\b(?:clean|process|reprocess|wash|sink)\w*", re.IGNORECASE
)
#: "Moist up to 6 h; dry up to 2 h" stand together.
_LINES_OF_ONE_CASE = 4
_SAME_H = 1e-6
_TAKES_SOIL_OFF = frozenset(
    {
        Action.wipe,
        Action.rinse,
        Action.pre_rinse,
        Action.flush,
        Action.soak,
        Action.brush,
        Action.keep_moist,
        Action.fill,
    }
)


@rule(
    Theme.point_of_use_and_transport,
    Level.note,
    title="Nothing says how soon cleaning must begin.",
    message="Nothing says how long after use cleaning must begin.",
    remedy="Ask the maker for the longest time between use and cleaning.",
    source=book("iso-17664-1"),
)
def delay_untold(case: Case) -> Iterator[Trip]:
    """Texts that speak of use or transport and set no time, in figures or in words."""
    on_the_way = [step for step in case.steps if step.stage in _ON_THE_WAY]
    if on_the_way and not list(delays(case)) and not case.mentions("at-once", "vague"):
        yield Trip(case.place(on_the_way[-1]))


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="The time until cleaning is told in words that nobody can check.",
    message="“{words}” sets no time between use and cleaning, and the text gives none in figures.",
    remedy="Ask the maker for the longest time between use and cleaning.",
    source=book("iso-17664-1"),
)
def delay_in_words(case: Case) -> Iterator[Trip]:
    """Vague words on the way to cleaning, in a text that gives no time until cleaning in figures."""
    if list(delays(case)):
        return
    for passage in case.sentences:
        step = passage.step
        is_way = step is not None and (step.stage in _ON_THE_WAY or step.action is Action.start_cleaning)
        is_way = is_way or (step is None and says(passage.text, "on-the-way"))
        if is_way and says(passage.text, "soon-words") and not says(passage.text, "at-once"):
            yield Trip(passage.place, {"words": min(found(passage.text, "soon-words"))})
            return


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="Soil may dry for longer than published advice allows.",
    message="{time} may pass between use and cleaning; {limit} is the most that is advised.",
    remedy="Ask the maker whether the device was validated with soil that had dried so long.",
    source=figure("transport-decontaminate-within"),
)
def delay_too_long(case: Case) -> Iterator[Trip]:
    """The longest time between use and cleaning; a little above the advice is a doubt."""
    advised = published("transport-decontaminate-within")
    for passage, delay in delays(case):
        hours = longest_h(delay)
        if hours > advised.value[0]:
            evidence: Evidence = {"time": shown(delay), "limit": Measure(value=advised.value[0], unit="h")}
            if delay.unit == "h" and hours <= _MINUTES_IN_AN_HOUR:
                evidence["probably_meant"] = f"{delay.number():g} min"
            yield Trip(passage.place, evidence, doubtful=hours <= LONGEST_DELAY_H)


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="A used device may wait until the next day.",
    message="A used device may wait {words}; {limit} is the most that is advised.",
    remedy="Ask the maker whether the device was validated with soil that had dried so long.",
    source=figure("transport-decontaminate-within"),
)
def waits_until_tomorrow(case: Case) -> Iterator[Trip]:
    """Words that let soil dry overnight; those of a device that is kept moist are a doubt."""
    advised = published("transport-decontaminate-within")
    for passage in case.passages:
        if may_wait_till_tomorrow(passage):
            evidence: Evidence = {
                "words": min(found(passage.text, "until-tomorrow")),
                "limit": Measure(value=advised.value[0], unit="h"),
            }
            yield Trip(passage.place, evidence, doubtful=says(passage.text, "kept-moist"))


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="A device travels dry for longer than is advised for dry transport.",
    message="The device travels dry for up to {time}; {limit} is the most that is taught for dry transport.",
    remedy="Ask the maker whether the device may travel dry, and for how long.",
    source=figure("transport-dry-ceiling-germany"),
)
def dry_for_too_long(case: Case) -> Iterator[Trip]:
    """Words of dry transport with a longer time than is taught for it."""
    ceiling = published("transport-dry-ceiling-germany")
    dry = case.mentions("dry-transport")
    for passage, delay in delays(case) if dry else ():
        if longest_h(delay) > ceiling.value[0]:
            evidence: Evidence = {"time": shown(delay), "limit": Measure(value=ceiling.value[0], unit="h")}
            yield Trip(passage.place, evidence, (dry.place,) if dry and dry.place != passage.place else ())


@rule(
    Theme.point_of_use_and_transport,
    Level.concern,
    title="Two different times between use and cleaning are given.",
    message="Cleaning begins within {first} here and within {second} elsewhere.",
    remedy="Ask the maker which time holds; until then the shorter one does.",
)
def delays_differ(case: Case) -> Iterator[Trip]:
    """Every time between use and cleaning that has no condition, against the others."""
    named = list(delays(case))
    for at, (passage, first) in enumerate(named):
        for other, second in named[at + 1 :]:
            if not (
                _are_of_one_case(passage, other) or _overruns(passage, first, other=other, shorter=second)
            ):
                continue
            if abs(longest_h(first) - longest_h(second)) > _SAME_H and passage.text != other.text:
                evidence: Evidence = {"first": shown(first), "second": shown(second)}
                yield Trip(passage.place, evidence, (other.place,))
                return


@rule(
    Theme.point_of_use_and_transport,
    Level.note,
    title="Nothing takes soil off where the device was used.",
    message="No step wipes, rinses, flushes or moistens the device before it travels.",
    remedy="Ask the maker what is done with the device straight after use.",
    source=book("iso-17664-1"),
)
def soil_left_on(case: Case) -> Iterator[Trip]:
    """Texts with a transport and no work on soil in front of it."""
    early = [step for step in case.steps if step.stage in _ON_THE_WAY]
    travels = [step for step in early if step.stage is Stage.transport]
    treated = any(step.action in _TAKES_SOIL_OFF for step in early)
    if travels and not treated and not case.mentions("kept-moist", "soil-off"):
        yield Trip(case.place(travels[0]))


@rule(
    Theme.point_of_use_and_transport,
    Level.note,
    title="A used device travels, and nothing says in what.",
    message="Nothing says that the device travels closed or covered.",
    remedy="Ask the maker in what the used device is carried.",
    source=book("iso-17664-1"),
)
def travels_open(case: Case) -> Iterator[Trip]:
    """Transport steps where no words of the way speak of a closed or covered thing."""
    travels = case.doing(Action.transport)
    on_the_way = [p for p in case.passages if p.step is None or p.step.stage in _ON_THE_WAY]
    if travels and not case.mentions("closed-transport", among=on_the_way):
        yield Trip(case.place(travels[0]))


@rule(
    Theme.point_of_use_and_transport,
    Level.note,
    title="What is done straight after use is not told.",
    message="The text tells nothing about the time between use and cleaning.",
    remedy="Ask the maker what is done straight after use, and how the device travels.",
    source=book("iso-17664-1"),
)
def way_untold(case: Case) -> Iterator[Trip]:
    """Texts that clean, and have neither a step at the point of use nor a transport."""
    told = any(step.stage in _ON_THE_WAY for step in case.steps) or case.mentions("on-the-way")
    cleans = any(step.stage is Stage.cleaning for step in case.steps)
    if cleans and len(case.steps) >= _FEWEST_STEPS and not told and not list(delays(case)):
        yield Trip(case.heading_for(Stage.point_of_use))


def _are_of_one_case(one: Passage, other: Passage) -> bool:
    """Whether two times hold at once: neither has a condition, or one allows no exception."""
    if says(one.text, "without-exception") or says(other.text, "without-exception"):
        return True
    # A rule that stands apart from the work holds for what travels moist as well.
    is_apart = any(p.step is None for p in (one, other))
    is_apart = is_apart or (_stand_apart(one, other) and _end_in_cleaning(one) and _end_in_cleaning(other))
    if is_apart and any(not _has_condition(p) for p in (one, other)):
        conditions = ("special-case", "conditional-then", "condition-strict")
        told = [_UNTIL_CLEANED.sub(" ", p.text) for p in (one, other)]
        return not any(says(text, sense) for text in told for sense in conditions)
    return not (_has_condition(one) or _has_condition(other))


def _overruns(passage: Passage, delay: Figure, *, other: Passage, shorter: Figure) -> bool:
    """Whether a time without a condition is longer than that of a device kept moist."""
    if longest_h(delay) < longest_h(shorter):
        passage, other = other, passage
    is_moist_alone = says(other.text, "kept-moist") and not (other.step and other.step.condition)
    return is_moist_alone and not any(
        _has_condition(passage) or says(p.text, sense)
        for p in (passage, other)
        for sense in ("special-case", "conditional-then")
    )


def _end_in_cleaning(passage: Passage) -> bool:
    """Whether words say that their time ends where cleaning begins; "within 20 minutes" may be of a wipe."""
    is_start = passage.step is not None and passage.step.action is Action.start_cleaning
    return is_start or says(passage.text, "cleaning-begins")


def _stand_apart(one: Passage, other: Passage) -> bool:
    """Whether two passages are too far from each other to be two cases of one sentence."""
    if one.place.page != other.place.page:
        return True
    lines = (one.place.line, other.place.line)
    return None not in lines and abs((lines[0] or 0) - (lines[1] or 0)) > _LINES_OF_ONE_CASE


def _has_condition(passage: Passage) -> bool:
    is_told = any(says(passage.text, one) for one in ("kept-moist", "special-case", "conditional-then"))
    return is_told or bool(passage.step and passage.step.condition)


RULES = (
    delay_untold,
    delay_in_words,
    delay_too_long,
    waits_until_tomorrow,
    dry_for_too_long,
    delays_differ,
    soil_left_on,
    travels_open,
    way_untold,
)
