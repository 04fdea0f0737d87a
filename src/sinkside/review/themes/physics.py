"""Steam, pressure, lethality, and temperatures in two units."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

from sinkside.findings import Evidence, Level, Measure, Place
from sinkside.instruction import Action, AirRemoval, Stage, Step
from sinkside.limits import Limit, published, recognised_steam_temperature, recognised_steam_temperatures
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, words
from sinkside.review.lexicon import says
from sinkside.review.meant import recognised_instead
from sinkside.review.pairs import in_parentheses
from sinkside.review.plausible import (
    A0_HOT_C,
    BOILING_C,
    LONGEST_EXPOSURE_S,
    LONGEST_HOT_EXPOSURE_S,
    PAIR_AGREES_K,
    STEAM_PRESSURE_AGREES_K,
)
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import has_a_cycle_beside, held, measure, set_temperatures, shown, steam_steps
from sinkside.review.steam_pressure import is_gauge, pairs_of_steam, readings_c, saturation_of
from sinkside.science.lethality import A0_FROM_C, a0, f0

#: Cooler than this, in words that speak of no steam, is a shelf and no slip of a cycle.
_COOLEST_SLIP_C = 60.0
_ASK_IN_WRITING = "Get the maker's written answer and attach it; until then this cycle is not run."

#: The shortest published time at each recognised temperature, whoever publishes it.
SHORTEST_PUBLISHED: Mapping[float, str] = {
    115.0: "steam-uk-115c-holding-time",
    121.0: "steam-uk-121c-holding-time",
    126.0: "steam-uk-126c-holding-time",
    132.0: "steam-132c-4min-labelled-usa",
    134.0: "steam-uk-134c-holding-time",
    135.0: "steam-prevacuum-135c-wrapped-instruments-exposure",
}

#: What the profile "us" has for cycles without a vacuum.
_SHORTEST_GRAVITY_US: Mapping[float, str] = {
    121.0: "steam-gravity-121c-wrapped-instruments-exposure",
    132.0: "steam-gravity-132c-wrapped-instruments-exposure",
    135.0: "steam-gravity-135c-wrapped-instruments-exposure",
}

#: "90 °C 5 s", "93 deg.C, 10 seconds": seconds of hot water in a machine.
_SECONDS_OF_HEAT = re.compile(
    r"(\d{2,3})\s*(?:°|deg\.?|degrees)\s*C\W{0,3}(?:for\s)?(\d{1,2})\s*(?:s|sec|secs|seconds)\b",
    re.IGNORECASE,
)
_WHERE_WATER_IS_HOT = frozenset({Stage.cleaning, Stage.disinfection})

#: F0 is printed rounded, and with reference 121.0 or 121.1 °C.
_F0_ROUNDING = 0.9

#: "About 3000" is what 2.5 min at 93 °C give, which are 2,993 s.
_ABOUT = 0.99

#: From here on the published exposures are those of hot steam.
_HOT_STEAM_C = 131.0


@rule(
    Theme.physics,
    Level.stop,
    title="A steam temperature is none of the recognised ones.",
    message="The steam temperature {temperature} is not within {tolerance} of a recognised one; "
    "the nearest is {nearest}.",
    remedy=_ASK_IN_WRITING,
    source=figure("steam-recognised-temperature-tolerance"),
)
def steam_temperature_not_recognised(case: Case) -> Iterator[Trip]:
    """Every set temperature of steam against the recognised ones; the top of a band is not a set point."""
    tolerance = published("steam-recognised-temperature-tolerance")
    for step in steam_steps(case):
        for stated in set_temperatures(step):
            temperature_c = stated.number("°C")
            is_limit = stated.bound is Bound.at_most and has_a_cycle_beside(case, step)
            if is_limit or recognised_steam_temperature(temperature_c) or _is_band_top(case, step, stated):
                continue
            if says(words(step), "stays-below"):
                continue
            if stated.unit == "°C" and temperature_c < _COOLEST_SLIP_C and not says(words(step), "steaming"):
                continue
            nearest = min(recognised_steam_temperatures(), key=lambda known: known.distance_k(temperature_c))
            evidence: Evidence = {
                "temperature": measure(stated),
                "tolerance": Measure(value=tolerance.value[0], unit=tolerance.unit),
                "nearest": Measure(value=nearest.temperature_c, unit="°C"),
            }
            evidence |= saturation_of(temperature_c, step)
            if meant := recognised_instead(stated):
                evidence["probably_meant"] = meant
            yield Trip(case.place(step), evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="Steam of the stated pressure does not have the stated temperature.",
    message="Saturated steam at {pressure} has {saturation:.1} (read as {reading}), not {temperature}.",
    remedy="Ask the maker for the temperature, and for the pressure with the word absolute or gauge.",
    source=book("iapws-if97-region-4"),
)
def steam_pressure_disagrees(case: Case) -> Iterator[Trip]:
    """Each stated pressure in each reading that its words allow."""
    for step, temperature, pressure in pairs_of_steam(case):
        readings = readings_c(pressure, case.altitude_m, above=is_gauge(step, pressure))
        if not readings:
            continue
        misses = {name: abs(at_c - temperature.number("°C")) for name, at_c in readings.items()}
        nearest = min(misses, key=lambda name: misses[name])
        if misses[nearest] > STEAM_PRESSURE_AGREES_K:
            yield Trip(
                case.place(step),
                {
                    "pressure": measure(pressure),
                    "saturation": Measure(value=readings[nearest], unit="°C"),
                    "reading": nearest,
                    "temperature": measure(temperature),
                },
            )


@rule(
    Theme.physics,
    Level.note,
    title="A steam pressure is said to be neither absolute nor gauge.",
    message="{pressure} agrees with {temperature} as {reading} only; the text does not say which it is.",
    remedy="Ask the maker for the word absolute or gauge beside the pressure.",
    source=book("iapws-if97-region-4"),
)
def steam_pressure_reading_unsaid(case: Case) -> Iterator[Trip]:
    """A pressure without the word that settles it, where the temperature settles it."""
    for step, temperature, pressure in pairs_of_steam(case):
        readings = readings_c(pressure, case.altitude_m, above=is_gauge(step, pressure))
        agreeing = [
            name
            for name, at_c in readings.items()
            if abs(at_c - temperature.number("°C")) <= STEAM_PRESSURE_AGREES_K
        ]
        is_recognised = recognised_steam_temperature(temperature.number("°C")) is not None
        if is_recognised and len(readings) > 1 and len(agreeing) == 1:
            evidence: Evidence = {
                "pressure": measure(pressure),
                "temperature": measure(temperature),
                "reading": agreeing[0],
            }
            yield Trip(case.place(step), evidence)


@rule(
    Theme.physics,
    Level.stop,
    title="A steam exposure is shorter than any that is published for its temperature.",
    message="{time} at {temperature} gives F0 {f0:.1} (reference {reference}); the shortest published "
    "exposure at this temperature is {shortest}, F0 {f0_shortest:.1}.",
    remedy=_ASK_IN_WRITING,
    source=figure("steam-uk-121c-holding-time"),
)
def exposure_too_short(case: Case) -> Iterator[Trip]:
    """The lower end of each stated exposure against the shortest published at its temperature."""
    for step in steam_steps(case):
        if says(words(step), "immediate-use"):
            continue
        for temperature, temperature_c, time, time_s in held(step):
            known = recognised_steam_temperature(temperature_c)
            shortest = _shortest_published(case, step, known.temperature_c) if known else None
            if known is None or shortest is None or shortest.met_by(time_s, "s"):
                continue
            reached = f0([0.0, time_s], [temperature_c] * 2)
            least = f0([0.0, shortest.ends("s")[0]], [known.temperature_c] * 2)
            yield Trip(
                case.place(step),
                {
                    "time": measure(time),
                    "temperature": measure(temperature),
                    "f0": Measure(value=reached.value, unit="min"),
                    "reference": Measure(value=reached.reference_c, unit="°C"),
                    "shortest": Measure(value=shortest.value[0], unit=shortest.unit),
                    "f0_shortest": Measure(value=least.value, unit="min"),
                },
                source=shortest.source,
            )


@rule(
    Theme.physics,
    Level.concern,
    title="A stated temperature and time do not give the stated F0.",
    message="{time} at {temperature} gives an F0 of {computed:.1} (reference {reference}), not {stated}.",
    remedy="Ask the maker which of temperature, time and F0 is meant.",
    source=book("f0-definition"),
)
def f0_disagrees(case: Case) -> Iterator[Trip]:
    """F0 as a steam step states it against F0 as computed from its temperature and time."""
    for step in steam_steps(case):
        stated = step.figure(FigureQuantity.lethality)
        if stated is None or not says(words(step), "f0"):
            continue
        for temperature, temperature_c, time, time_s in held(step):
            reached = f0([0.0, time_s], [temperature_c] * 2)
            if reached.value < _F0_ROUNDING * stated.number():
                evidence = _exposure(temperature, time) | {
                    "computed": Measure(value=reached.value, unit="min"),
                    "reference": Measure(value=reached.reference_c, unit="°C"),
                    "stated": Measure(value=stated.number(), unit="min"),
                }
                yield Trip(case.place(step), evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="A steam exposure is longer than any that is asked for.",
    message="{time} at {temperature} gives F0 {f0:.0}; no published exposure is longer than {longest}.",
    remedy="Ask the maker for the exposure time, with its unit.",
    source=figure("steam-gravity-121c-wrapped-instruments-exposure"),
)
def exposure_too_long(case: Case) -> Iterator[Trip]:
    """The lower end of each stated exposure against our own bound, far above the longest published."""
    longest = published("steam-gravity-121c-wrapped-instruments-exposure")
    for step in steam_steps(case):
        for temperature, temperature_c, time, time_s in held(step):
            if time_s > _longest_s(step, temperature_c):
                evidence = _exposure(temperature, time) | {
                    "f0": Measure(value=f0([0.0, time_s], [temperature_c] * 2).value, unit="min"),
                    "longest": Measure(value=longest.value[0], unit=longest.unit),
                }
                if time.unit == "h":
                    evidence["probably_meant"] = f"{time.number():g} min"
                elif time.unit == "min":
                    evidence["probably_meant"] = f"{time.number() / 10:g} min"
                yield Trip(case.place(step), evidence)


@rule(
    Theme.physics,
    Level.stop,
    title="A stated temperature and time do not give the stated A0.",
    message="{time} at {temperature} gives an A0 of {computed:.1}, not {stated}.",
    remedy="Ask the maker in writing which of temperature, time and A0 is meant.",
    source=book("a0-definition"),
)
def a0_disagrees(case: Case) -> Iterator[Trip]:
    """A0 as stated against A0 as computed, both in whole seconds, from the same step or the one in front."""
    for step, heated, stated in _stated_a0(case):
        for temperature, temperature_c, time, time_s in held(heated):
            if not _is_hot_water(temperature_c):
                continue
            reached = a0([0.0, time_s], [temperature_c] * 2)
            least = stated.number() * (_ABOUT if says(words(step), "about") else 1.0)
            if reached.reaches(least) or round(reached.value) == stated.number():
                continue
            evidence = _exposure(temperature, time) | {
                "computed": Measure(value=reached.value, unit="s"),
                "stated": Measure(value=stated.number(), unit="s"),
            }
            if time.unit == "s" and a0([0.0, 60 * time_s], [temperature_c] * 2).reaches(stated.number()):
                evidence["probably_meant"] = f"{time.number():g} min"
            others = () if heated is step else (case.place(step),)
            yield Trip(case.place(heated), evidence, others)


@rule(
    Theme.physics,
    Level.concern,
    title="A thermal disinfection is weaker than instruments need.",
    message="{time} at {temperature} gives an A0 of {computed:.1}; instruments need at least {required}.",
    remedy="Ask the maker for the temperature and time, or the A0, that the disinfection must reach.",
    source=figure("a0-required-instruments"),
)
def a0_too_small(case: Case) -> Iterator[Trip]:
    """What each thermal disinfection reaches; below 65 °C a disinfection is chemical.

    A machine's phase of hot water for some seconds is one too, whatever it is called.
    """
    required = case.in_force("a0-required-instruments")
    for place, temperature_c, time_s, evidence in _hot_water(case):
        reached = a0([0.0, time_s], [temperature_c] * 2)
        if not reached.reaches(required.value[0]):
            evidence |= {
                "computed": Measure(value=reached.value, unit="s"),
                "required": Measure(value=required.value[0], unit=required.unit),
            }
            yield Trip(place, evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="A temperature in °F and the same temperature in °C disagree.",
    message="{first} is {converted:.1}, not {second}.",
    remedy="Ask the maker which of the two temperatures is meant.",
    source=book("unit-definitions"),
)
def temperature_pair_disagrees(case: Case) -> Iterator[Trip]:
    """Both ends of each temperature against its value in the other unit."""
    for passage in case.passages:
        for first in passage.figures:
            for second in (*first.also, *(pair for _, pair in in_parentheses(passage, first))):
                if first.quantity is not FigureQuantity.temperature or first.unit == second.unit:
                    continue
                mine, other = first.ends(second.unit), second.ends()
                apart = [end for end, pair in zip(mine, other, strict=True) if not _same(end, pair)]
                if apart and math.isfinite(apart[0]):
                    evidence: Evidence = {
                        "first": shown(first),
                        "second": shown(second),
                        "converted": Measure(value=apart[0], unit=second.unit),
                    }
                    yield Trip(passage.place, evidence)


def _longest_s(step: Step, temperature_c: float) -> float:
    """The longest exposure in s that is plausible: shorter for hot steam, prions and gravity aside."""
    said = words(step)
    is_slow = step.air_removal is AirRemoval.gravity or says(said, "gravity") or says(said, "special-case")
    is_hot = temperature_c >= _HOT_STEAM_C and not is_slow
    return LONGEST_HOT_EXPOSURE_S if is_hot else LONGEST_EXPOSURE_S


def _hot_water(case: Case) -> Iterator[tuple[Place, float, float, Evidence]]:
    """Each time in s of hot water with its temperature: of a disinfection, or of seconds in a machine."""
    for step in case.doing(Action.disinfect):
        for temperature, temperature_c, time, time_s in held(step):
            if _is_hot_water(temperature_c):
                yield case.place(step), temperature_c, time_s, _exposure(temperature, time)
    for passage in case.passages:
        is_disinfection = passage.step is not None and passage.step.action is Action.disinfect
        if not is_disinfection and (passage.step is None or passage.step.stage in _WHERE_WATER_IS_HOT):
            for degrees, seconds in _SECONDS_OF_HEAT.findall(passage.text):
                if A0_HOT_C <= float(degrees) <= BOILING_C:
                    evidence: Evidence = {"time": f"{seconds} s", "temperature": f"{degrees} °C"}
                    yield passage.place, float(degrees), float(seconds), evidence


def _stated_a0(case: Case) -> Iterator[tuple[Step, Step, Figure]]:
    """Each step that states an A0, with the step that reaches it: itself, or the disinfection before it."""
    for at, step in enumerate(case.steps):
        stated = step.figure(FigureQuantity.lethality)
        if stated is None or says(words(step), "f0"):
            continue
        heated = step
        if at and not step.figures_of(FigureQuantity.temperature) and not step.condition:
            heated = case.steps[at - 1]
        yield step, heated, stated


def _is_band_top(case: Case, step: Step, stated: Figure) -> bool:
    """Whether a temperature is called the top of a band whose recognised bottom the same paragraph states."""
    if stated.bound is not Bound.at_most and not says(words(step), "band-top"):
        return False
    tolerance = published("steam-recognised-temperature-tolerance").value[0]
    width = published("criteria-band-width").value[1] + tolerance
    alike = [other for other in steam_steps(case) if other.heading == step.heading]
    bottoms = [f.number("°C") for other in alike for f in other.figures_of(FigureQuantity.temperature)]
    top = stated.number("°C")
    return any(0.0 < top - bottom <= width and recognised_steam_temperature(bottom) for bottom in bottoms)


def _is_hot_water(temperature_c: float) -> bool:
    """Whether A0 is counted at a temperature, and liquid water can have it."""
    return A0_FROM_C <= temperature_c <= BOILING_C


def _shortest_published(case: Case, step: Step, temperature_c: float) -> Limit:
    """The shortest exposure published at a recognised temperature, for the cycle's way of air removal."""
    gravity = _SHORTEST_GRAVITY_US.get(temperature_c)
    if gravity and step.air_removal is AirRemoval.gravity and case.profile.name == "us":
        return case.profile.figure(gravity)
    return published(SHORTEST_PUBLISHED[temperature_c])


def _same(end: float, pair: float) -> bool:
    """Whether two readings in one unit are the same but for rounding."""
    return end == pair or abs(end - pair) <= PAIR_AGREES_K


def _exposure(temperature: Figure, time: Figure) -> Evidence:
    return {"time": measure(time), "temperature": measure(temperature)}


RULES = (
    steam_temperature_not_recognised,
    steam_pressure_disagrees,
    steam_pressure_reading_unsaid,
    exposure_too_short,
    exposure_too_long,
    f0_disagrees,
    a0_disagrees,
    a0_too_small,
    temperature_pair_disagrees,
)
