"""Disinfection with hot water: the dose that the text states, and water that is too cool or too long hot."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action
from sinkside.quantities import Bound, FigureQuantity
from sinkside.review.case import Case, words
from sinkside.review.lexicon import says
from sinkside.review.plausible import MOST_A0_S
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import held, measure, shown
from sinkside.science.lethality import A0_FROM_C, a0

_BOILING_C = 100.0
#: Makers round what a time and a temperature give, and some count the way up too.
_MUCH_MORE = 1.5


@rule(
    Theme.physics,
    Level.concern,
    title="The A0 that the text asks for is smaller than instruments need.",
    message="An A0 of {stated} is asked for; instruments need at least {required}.",
    remedy="Ask the maker for the A0 that the disinfection must reach.",
    source=figure("a0-required-instruments"),
)
def stated_a0_too_small(case: Case) -> Iterator[Trip]:
    """Every A0 that words state against the published one for instruments."""
    required = case.in_force("a0-required-instruments")
    for passage in case.sentences:
        for stated in passage.figures:
            if stated.quantity is not FigureQuantity.lethality or says(passage.text, "f0"):
                continue
            if says(passage.text, "a0-words") and 0.0 < stated.number() < required.value[0]:
                evidence: Evidence = {
                    "stated": f"{stated.number():g}",
                    "required": Measure(value=required.value[0], unit=required.unit),
                }
                yield Trip(passage.place, evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="A thermal disinfection is too cool to disinfect.",
    message="At {temperature} hot water disinfects nothing; A0 is counted from {least}.",
    remedy="Ask the maker for the temperature and time of the disinfection.",
    source=figure("a0-floor-temperature"),
)
def disinfection_too_cool(case: Case) -> Iterator[Trip]:
    """Disinfections that name no chemical, below the temperature from which A0 is counted."""
    for step in case.doing(Action.disinfect):
        said = f"{step.with_ or ''} {words(step)} {step.heading or ''}"
        if says(said, "disinfects-by-itself") or step.figures_of(FigureQuantity.percent):
            continue
        stated = step.figures_of(FigureQuantity.temperature)
        is_hot = any(one.ends("°C")[1] >= A0_FROM_C for one in stated)
        if stated and not is_hot and says(said, "by-heat"):
            evidence: Evidence = {
                "temperature": shown(stated[0]),
                "least": Measure(value=A0_FROM_C, unit="°C"),
            }
            yield Trip(case.place(step), evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="A thermal disinfection lasts longer than anybody disinfects.",
    message="{time} at {temperature} gives an A0 of {computed:.0}; nothing asks for so much.",
    remedy="Ask the maker for the time of the disinfection, with its unit.",
    source=figure("a0-required-heat-resistant-viruses"),
)
def disinfection_too_long(case: Case) -> Iterator[Trip]:
    """What each thermal disinfection reaches against our own bound, far above what is published."""
    for step in case.doing(Action.disinfect):
        for temperature, temperature_c, time, time_s in held(step):
            if not A0_FROM_C <= temperature_c <= _BOILING_C:
                continue
            reached = a0([0.0, time_s], [temperature_c] * 2)
            if reached.value > MOST_A0_S:
                evidence: Evidence = {
                    "time": measure(time),
                    "temperature": measure(temperature),
                    "computed": Measure(value=reached.value, unit="s"),
                }
                if time.unit == "h":
                    evidence["probably_meant"] = f"{time.number():g} min"
                yield Trip(case.place(step), evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="A stated temperature and time give far more than the A0 that they are said to give.",
    message="{time} at {temperature} gives an A0 of {computed:.1}; {stated} is said here.",
    remedy="Ask the maker which of temperature, time and A0 is meant.",
    source=book("a0-definition"),
)
def a0_said_too_small(case: Case) -> Iterator[Trip]:
    """A0 that words call the result of their temperature and time; one that is required may be smaller."""
    for step in case.steps:
        stated = step.figure(FigureQuantity.lethality)
        said = words(step)
        if stated is None or says(said, "f0") or stated.bound is not Bound.value:
            continue
        if not says(said, "amounts-to") or says(said, "asked-at-least"):
            continue
        for temperature, temperature_c, time, time_s in held(step):
            reached = a0([0.0, time_s], [temperature_c] * 2).value if temperature_c <= _BOILING_C else 0.0
            if temperature_c >= A0_FROM_C and reached > _MUCH_MORE * stated.number():
                evidence: Evidence = {
                    "time": measure(time),
                    "temperature": measure(temperature),
                    "computed": Measure(value=reached, unit="s"),
                    "stated": f"{stated.number():g}",
                }
                yield Trip(case.place(step), evidence)


RULES = (a0_said_too_small, stated_a0_too_small, disinfection_too_cool, disinfection_too_long)
