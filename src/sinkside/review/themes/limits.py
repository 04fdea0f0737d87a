"""The device's own limits against its own steps."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, Stage, StatementKind, Step
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, Passage, place_of, words
from sinkside.review.lexicon import found, says
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.stated import hottest_c, shown

#: Figures are printed to the whole degree, and °F and °C of one figure differ by less than this.
_ROUNDING_K = 0.5

_BINDING = frozenset({StatementKind.limit, StatementKind.prohibition, StatementKind.warning})
_IN_LIQUID = frozenset({Stage.point_of_use, Stage.preparation, Stage.cleaning})
_BY_MACHINE = frozenset({Action.wash, Action.disinfect})
_NOT_PROCESSING = frozenset({Stage.transport, Stage.storage})


@rule(
    Theme.limits,
    Level.stop,
    title="A step is hotter than the device's own limit.",
    message="This step asks for {temperature}; the text itself sets {limit} as the most.",
    remedy="Get the maker's written answer; until then the lower temperature holds.",
)
def hotter_than_own_limit(case: Case) -> Iterator[Trip]:
    """Every temperature of every step against every upper bound that the text sets for the device."""
    for passage, limit in _hottest_allowed(case):
        for step in case.steps:
            if step.origin.text == passage.text or not _governs(passage, step):
                continue
            for asked in step.figures_of(FigureQuantity.temperature):
                if hottest_c(asked) > _most_c(limit) + _ROUNDING_K:
                    evidence: Evidence = {
                        "temperature": shown(asked),
                        "limit": Measure(value=_most_c(limit), unit="°C"),
                    }
                    yield Trip(case.place(step), evidence, (passage.place,))


@rule(
    Theme.limits,
    Level.stop,
    title="A step asks for a higher pressure than the device's own limit.",
    message="This step asks for {pressure}; the text itself sets {limit} as the most.",
    remedy="Get the maker's written answer; until then the lower pressure holds.",
)
def pressure_above_own_limit(case: Case) -> Iterator[Trip]:
    """Pressures at the sink against the device's own upper bounds; steam is judged elsewhere."""
    for limit in case.instruction.device.limits:
        if limit.quantity is not FigureQuantity.pressure or limit.bound is Bound.at_least:
            continue
        most_kpa = limit.ends("kPa")[1]
        for step in case.steps:
            for asked in step.figures_of(FigureQuantity.pressure):
                low, high = asked.ends("kPa")
                if step.stage is not Stage.sterilization and min(high, max(low, 0.0) or high) > most_kpa:
                    evidence: Evidence = {
                        "pressure": shown(asked),
                        "limit": Measure(value=limit.ends()[1], unit=limit.unit),
                    }
                    yield Trip(case.place(step), evidence, (place_of(limit.origin),))


def _hottest_allowed(case: Case) -> Iterator[tuple[Passage, Figure]]:
    """Each upper bound on temperature that the text sets for the device, with its words."""
    instruction = case.instruction
    for limit in instruction.device.limits:
        if limit.quantity is FigureQuantity.temperature and limit.bound is not Bound.at_least:
            yield Passage(f"{limit.limits} {limit.origin.text}", place_of(limit.origin)), limit
    for statement in instruction.statements:
        for stated in statement.figures:
            is_bound = stated.bound is Bound.at_most and statement.kind in _BINDING
            # "Above 130 °C the insulation is damaged": as worded a lower end, and the most that is allowed.
            is_harm = stated.bound is Bound.at_least and says(statement.origin.text, "harm")
            is_named = stated.bound is Bound.value and says(statement.origin.text, "hottest")
            if stated.quantity is FigureQuantity.temperature and (is_bound or is_harm or is_named):
                yield Passage(statement.origin.text, place_of(statement.origin)), stated


def _most_c(limit: Figure) -> float:
    """The highest temperature that a limit allows, in °C."""
    low, high = limit.ends("°C")
    return low if limit.bound is Bound.at_least else high


def _governs(passage: Passage, step: Step) -> bool:
    """Whether a limit concerns a step: one on water says nothing of steam."""
    said = passage.text
    if says(said, "keeping"):
        return step.stage in _NOT_PROCESSING
    if says(said, "first-water"):
        return False  # the chemistry of the first rinse is judged by its own rule
    if says(said, "medium"):
        shares_words = bool(found(said, "medium") & found(words(step), "medium"))
        return step.stage in _IN_LIQUID and shares_words and step.action not in _BY_MACHINE
    if says(said, "drying"):
        return step.stage is Stage.drying
    return step.stage not in _NOT_PROCESSING


RULES = (hotter_than_own_limit, pressure_above_own_limit)
