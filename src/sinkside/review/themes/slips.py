"""Slips of unit and of digit: times, counts, lenses, doses, oil and water that no work has."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, FigureRole, Stage, Step
from sinkside.limits import published
from sinkside.quantities import Bound, FigureQuantity
from sinkside.review import plausible
from sinkside.review.case import Case, words
from sinkside.review.doing import uses_cleaner
from sinkside.review.lexicon import says
from sinkside.review.pairs import number_in
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import meant_in_celsius, shown
from sinkside.review.written_pairs import Twice, flow_apart, letters_apart, pairs_apart

_ASK = "Ask the maker for the figure, with its unit."
_WRITTEN_TWICE: tuple[Callable[[str], Iterator[Twice]], ...] = (pairs_apart, letters_apart, flow_apart)
_COUNTED_WORK = (
    Action.wipe,
    Action.rinse,
    Action.flush,
    Action.brush,
    Action.actuate,
    Action.blow,
    Action.lubricate,
    Action.sterilize,
)
_UNITS_OF_WORK = frozenset({"s", "min", "h"})
_SHARES = frozenset({"%", "mL/L", "ratio"})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A figure is written twice, and the two do not agree.",
    message="“{first}” and “{second}” are not the same.",
    remedy="Ask the maker which figure is meant.",
    source=book("unit-definitions"),
)
def written_twice_apart(case: Case) -> Iterator[Trip]:
    """Values in two units that no figure has, letters beside digits, flow and time beside a volume."""
    for passage in case.sentences:
        for reading in _WRITTEN_TWICE:
            for twice in reading(passage.text):
                yield Trip(passage.place, {"first": twice.first, "second": twice.second})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A rinse, a brushing or a blow of air lasts for no time that such work has.",
    message="{time} is no time for this work.",
    remedy=_ASK,
)
def time_of_work_implausible(case: Case) -> Iterator[Trip]:
    """Times of rinsing, flushing, brushing, blowing, drying and cooling against our own bounds."""
    for step in case.steps:
        bounds = plausible.TIMES_OF_WORK_S.get(step.action)
        if bounds is None or _explains_its_time(step):
            continue
        least, most = bounds
        if step.action is Action.dry and _is_hot(step):
            most = plausible.LONGEST_HOT_AIR_S
        for time in step.figures_of(FigureQuantity.time):
            is_steam = time.role == FigureRole.drying and step.stage is Stage.sterilization
            is_other = time.role not in {None, FigureRole.drying} or time.unit not in _UNITS_OF_WORK
            if is_steam or is_other:
                continue
            seconds = time.ends("s")[1] if time.bound is Bound.at_most else time.number("s")
            if math.isfinite(seconds) and not least <= seconds <= most:
                evidence: Evidence = {"time": shown(time)}
                in_minutes = time.number() * 60.0
                if time.unit != "min" and least <= in_minutes <= most:
                    evidence["probably_meant"] = f"{time.number():g} min"
                yield Trip(case.place(step), evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Drying behind the steam lasts longer than any cycle.",
    message="{time} of drying is longer than any cycle.",
    remedy=_ASK,
)
def sterilizer_drying_too_long(case: Case) -> Iterator[Trip]:
    """Drying times of sterilizers against our own bound."""
    for step in case.doing(Action.sterilize, Action.dry):
        for time in step.figures_of(FigureQuantity.time):
            is_drying = time.role == FigureRole.drying and step.stage is Stage.sterilization
            is_drying = is_drying and not says(words(step), "storing")
            if is_drying and time.number("s") > plausible.LONGEST_STEAM_DRYING_S:
                yield Trip(case.place(step), {"time": shown(time)})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Air is too weak to blow anything out.",
    message="Air of {pressure} blows nothing out of a lumen.",
    remedy="Ask the maker for the pressure of the air, with its unit.",
)
def air_too_weak(case: Case) -> Iterator[Trip]:
    """Pressures of blowing against our own bound, at most of an upper bound too."""
    for step in case.doing(Action.blow, Action.dry):
        if step.stage is Stage.sterilization or not says(words(step), "blows-air"):
            continue
        for pressure in step.figures_of(FigureQuantity.pressure):
            most = max(end for end in pressure.ends("kPa") if math.isfinite(end))
            if pressure.reference != "absolute" and 0.0 < most < plausible.LEAST_AIR_KPA:
                yield Trip(case.place(step), {"pressure": shown(pressure)})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Something is to be done more often than anybody does it.",
    message="{count} is more often than anybody does it.",
    remedy="Ask the maker how often.",
)
def count_implausible(case: Case) -> Iterator[Trip]:
    """Strokes, repeats, movements, pulses and drops against our own bounds."""
    for step in case.doing(*_COUNTED_WORK):
        if says(words(step), "life-end") or says(words(step), "uses"):
            continue
        for count in step.figures_of(FigureQuantity.counted):
            most = plausible.MOST_TIMES.get(FigureRole(count.role)) if count.role in set(FigureRole) else None
            if most is not None and count.number() > most:
                yield Trip(case.place(step), {"count": shown(count)})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A magnification is none that a lens at the bench has.",
    message="{magnification} is no magnification for looking at instruments; {usual} is usual.",
    remedy="Ask the maker for the magnification.",
    source=figure("inspection-magnification"),
)
def magnification_implausible(case: Case) -> Iterator[Trip]:
    """Magnifications against our own bounds, far around the published ones."""
    for step in case.steps:
        for stated in step.figures_of(FigureQuantity.counted):
            is_lens = stated.role == FigureRole.magnification
            if is_lens and not plausible.WEAKEST_LENS < stated.number() <= plausible.STRONGEST_LENS:
                yield Trip(case.place(step), {"magnification": shown(stated), "usual": "5 to 10 ×"})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A dose is so weak that it cleans nothing.",
    message="A dose of {dose} is no more than a trace of cleaner.",
    remedy="Ask the maker for the dose in millilitres of cleaner a litre of water.",
)
def dose_too_weak(case: Case) -> Iterator[Trip]:
    """Doses of cleaners against our own bound; disinfectants work at less."""
    for step in case.steps:
        said = f"{step.with_ or ''} {words(step)}"
        if not says(said, "detergent") or says(said, "disinfectant-strength") or says(said, "disinfecting"):
            continue
        for dose in step.figures:
            is_dose = dose.role == FigureRole.dose or dose.quantity is FigureQuantity.concentration
            if is_dose and dose.unit in _SHARES and 0.0 < number_in(dose, "ratio") < plausible.WEAKEST_DOSE:
                yield Trip(case.place(step), {"dose": shown(dose)})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="More oil is asked for than a joint takes up.",
    message="{amount} of lubricant floods the device.",
    remedy="Ask the maker for the amount of lubricant.",
)
def too_much_oil(case: Case) -> Iterator[Trip]:
    """Volumes of lubricant against our own bound."""
    for step in case.doing(Action.lubricate):
        for volume in step.figures_of(FigureQuantity.volume):
            if volume.number("mL") > plausible.MOST_OIL_ML and not says(words(step), "immersing"):
                yield Trip(case.place(step), {"amount": shown(volume)})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Pure water is said to conduct like tap water.",
    message="Water of {conductivity} is not pure; {limit} is the most that is published for utility water.",
    remedy="Ask the maker for the conductivity, with its unit.",
    source=figure("water-tir34-utility-conductivity"),
)
def pure_water_conducts(case: Case) -> Iterator[Trip]:
    """Conductivities of deionized and other pure water against the bound for utility water."""
    limit = published("water-tir34-utility-conductivity")
    for passage in case.sentences:
        if not says(passage.text, "good-water") or says(passage.text, "poor-water"):
            continue
        told = [f for f in passage.figures if f.quantity is FigureQuantity.conductivity]
        above = [shown(f) for f in told if f.ends("µS/cm")[1] > limit.value[0] and math.isfinite(f.ends()[1])]
        if says(passage.text, "millisiemens"):
            above = ["a figure in mS/cm"]
        if above:
            evidence: Evidence = {
                "conductivity": above[0],
                "limit": Measure(value=limit.value[0], unit=limit.unit),
            }
            yield Trip(passage.place, evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Hot work is asked for in °F at a temperature that only °C make hot.",
    message="{temperature} is {celsius:.0}, which neither dries nor disinfects.",
    remedy=_ASK,
)
def hot_work_in_fahrenheit(case: Case) -> Iterator[Trip]:
    """Temperatures in °F alone of hot air and thermal disinfection that would be usual as °C."""
    for step in case.doing(Action.dry, Action.disinfect):
        for stated in step.figures_of(FigureQuantity.temperature):
            celsius = stated.number("°C")
            is_slip = stated.unit == "°F" and not stated.also and not uses_cleaner(step)
            if is_slip and celsius < plausible.COOLEST_HOT_WORK_C <= stated.number():
                yield Trip(case.place(step), meant_in_celsius(stated))


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A packed set weighs less than its tray.",
    message="{mass} is less than an empty tray weighs.",
    remedy="Ask the maker for the mass, with its unit.",
)
def set_too_light(case: Case) -> Iterator[Trip]:
    """Upper bounds on the mass of a set against our own bound."""
    for passage in case.sentences:
        for stated in passage.figures:
            is_mass = stated.quantity is FigureQuantity.mass and says(passage.text, "set-of-instruments")
            if is_mass and stated.ends("kg")[1] < plausible.LIGHTEST_SET_KG:
                yield Trip(passage.place, {"mass": shown(stated)})


def _is_hot(step: Step) -> bool:
    hot = [f.number("°C") for f in step.figures_of(FigureQuantity.temperature)]
    return bool(hot) and max(hot) >= plausible.COOLEST_HOT_WORK_C


def _explains_its_time(step: Step) -> bool:
    """Whether words explain a long or short time: overnight, in a cabinet, a spray."""
    return any(says(words(step), sense) for sense in ("soaks-for-hours", "drying-cabinet", "short-burst"))


RULES = (
    air_too_weak,
    written_twice_apart,
    time_of_work_implausible,
    sterilizer_drying_too_long,
    count_implausible,
    magnification_implausible,
    dose_too_weak,
    too_much_oil,
    pure_water_conducts,
    hot_work_in_fahrenheit,
    set_too_light,
)
