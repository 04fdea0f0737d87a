"""Cycles beside the usual one: boiling, dry heat, gas and plasma, gravity, and the tolerance of steam."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, AirRemoval, Stage
from sinkside.limits import published, recognised_steam_temperature
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import bans, found, negated, says
from sinkside.review.plausible import DRY_HEAT_AT_LEAST_S, HOTTEST_GAS_C
from sinkside.review.practice import Practice, practised
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import held, shown, steam_steps

_ASK_IN_WRITING = "Get the maker's written answer and attach it; until then this cycle is not run."

#: The published exposures without a vacuum; the profiles differ, and none is shorter for packed instruments.
_GRAVITY: Mapping[float, str] = {
    121.0: "steam-gravity-121c-wrapped-instruments-exposure",
    132.0: "steam-gravity-132c-wrapped-instruments-exposure",
    135.0: "steam-gravity-135c-wrapped-instruments-exposure",
}

#: The usual exposures of hot steam are no longer (common practice, no source).
_SHORT_EXPOSURE_S = 300.0

_GASES = ("ethylene-oxide", "peroxide", "formaldehyde")
_WHERE_CYCLES_STAND = frozenset({Stage.sterilization, Stage.storage, Stage.packaging, None})


@rule(
    Theme.physics,
    Level.concern,
    title="Boiling is taken for sterilizing.",
    message="“{words}” kills no spores: water boils at 100 °C, and steam sterilizes from {least} on.",
    remedy="Ask the maker for a cycle that sterilizes; boiling is none.",
    source=figure("steam-uk-115c-holding-time"),
)
def boiling_for_sterilizing(case: Case) -> Iterator[Trip]:
    """Words that boil to sterilize, or boil where cycles stand, and do not forbid it."""
    practices = (
        Practice(("boils", "sterilizing"), denied_by=("forbidden",)),
        Practice(("boils",), stages=frozenset({Stage.sterilization}), denied_by=("forbidden",)),
    )
    for trip in practised(case, *practices):
        if not says(trip.place.text or "", "not-sterile"):
            yield Trip(trip.place, {**trip.evidence, "least": "115 °C"})


@rule(
    Theme.physics,
    Level.concern,
    title="Dry heat is too cool or too short to sterilize.",
    message="Dry heat of {temperature} for {time} sterilizes nothing.",
    remedy=_ASK_IN_WRITING,
)
def dry_heat_too_weak(case: Case) -> Iterator[Trip]:
    """Dry heat against the times that pharmacopoeias and textbooks give, from memory."""
    for passage in _asking_for(case, "dry-heat"):
        temperatures = [f for f in passage.figures if f.quantity is FigureQuantity.temperature]
        times = [f for f in passage.figures if f.quantity is FigureQuantity.time]
        if len(temperatures) != 1 or not times:
            continue
        hot_c = temperatures[0].number("°C")
        enough = [needed_s for least_c, needed_s in DRY_HEAT_AT_LEAST_S if hot_c >= least_c]
        if not enough or times[0].number("s") < enough[-1]:
            evidence: Evidence = {"temperature": shown(temperatures[0]), "time": shown(times[0])}
            yield Trip(passage.place, evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="A cycle of gas or plasma is as hot as steam.",
    message="{temperature} is no temperature of a cycle with {agent}; {most} is the most that is used.",
    remedy=_ASK_IN_WRITING,
    source=figure("eo-temperature"),
)
def gas_too_hot(case: Case) -> Iterator[Trip]:
    """Temperatures beside the gases that sterilize at low temperature."""
    for gas in _GASES:
        for passage in _asking_for(case, gas):
            if says(passage.text, "steam"):
                continue
            for stated in passage.figures:
                most = HOTTEST_GAS_C[gas]
                if stated.quantity is FigureQuantity.temperature and stated.number("°C") > most:
                    evidence: Evidence = {
                        "temperature": shown(stated),
                        "agent": min(found(passage.text, gas)),
                        "most": Measure(value=most, unit="°C"),
                    }
                    yield Trip(passage.place, evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="A cycle without vacuum has the time of a cycle with one.",
    message="{time} at {temperature} is too short without a vacuum; {least} is the least that is published "
    "for packed instruments.",
    remedy=_ASK_IN_WRITING,
    source=figure("steam-gravity-132c-wrapped-instruments-exposure"),
)
def gravity_too_short(case: Case) -> Iterator[Trip]:
    """Exposures of gravity cycles for packed devices against the published ones."""
    for step in steam_steps(case):
        said = words(step)
        is_gravity = step.air_removal is AirRemoval.gravity or says(said, "gravity")
        is_other = says(said, "immediate-use") or negated(said, "gravity") or says(said, "vacuum-words")
        if not is_gravity or is_other:
            continue
        for temperature, temperature_c, time, time_s in held(step):
            known = recognised_steam_temperature(temperature_c)
            limit_id = _GRAVITY.get(known.temperature_c) if known else None
            least = published(limit_id) if limit_id else None
            if least and not least.met_by(time_s, "s"):
                evidence: Evidence = {
                    "time": shown(time),
                    "temperature": shown(temperature),
                    "least": Measure(value=least.value[0], unit=least.unit),
                }
                yield Trip(case.place(step), evidence, source=least.source)


@rule(
    Theme.physics,
    Level.concern,
    title="A time that kills is bounded above and not below.",
    message="“{time}” is the most and not the least: any shorter time keeps to it.",
    remedy=_ASK_IN_WRITING,
    source=book("iso-17664-1"),
)
def killing_time_at_most(case: Case) -> Iterator[Trip]:
    """Exposures and disinfections that say how long at most, where no other tells how long at least."""
    for steps in (steam_steps(case), case.doing(Action.disinfect)):
        told = [(step, time) for step in steps for _, _, time, _ in held(step)]
        if told and all(time.bound is Bound.at_most for _, time in told):
            yield from (Trip(case.place(step), {"time": shown(time)}) for step, time in told)
            return
    for passage in case.sentences:
        times = [f for f in passage.figures if f.quantity is FigureQuantity.time]
        is_here = case.stage_of(passage) is Stage.sterilization and says(passage.text, "exposing")
        is_rule = is_here and not any(
            says(passage.text, one) for one in ("harm", "allowed-words", "longer-words")
        )
        # "Not longer than 18 minutes" may spare a plastic; so short a time is the one that kills.
        if is_rule and times and all(time.bound is Bound.at_most and _is_short(time) for time in times):
            yield Trip(passage.place, {"time": shown(times[0])})


@rule(
    Theme.physics,
    Level.concern,
    title="The tolerance of a steam temperature lets it fall, or lets it rise out of its band.",
    message="A tolerance of {tolerance} leaves the band of {band} above the set temperature.",
    remedy="Ask the maker for the tolerance of the temperature.",
    source=figure("criteria-band-width"),
)
def steam_tolerance_too_wide(case: Case) -> Iterator[Trip]:
    """Tolerances beside steam temperatures against the published band, with a kelvin for the recorder."""
    band = published("criteria-band-width")
    slack = published("steam-recognised-temperature-tolerance").value[0]
    for step in steam_steps(case):
        for stated in step.figures:
            if stated.quantity is not FigureQuantity.temperature_difference:
                continue
            low, high = stated.ends()
            # "May rise by at most 3 K": nothing is said of how far it falls.
            falls = math.isfinite(low) and low < -slack
            is_wide = falls or (math.isfinite(high) and high > band.value[1] + 2 * slack)
            if is_wide:
                evidence: Evidence = {
                    "tolerance": shown(stated),
                    "band": Measure(value=band.value[1], unit=band.unit),
                }
                yield Trip(case.place(step), evidence)


def _is_short(time: Figure) -> bool:
    return time.ends("s")[1] <= _SHORT_EXPOSURE_S


def _asking_for(case: Case, method: str) -> Iterator[Passage]:
    """The passages that ask for a method of sterilizing, and do not rule it out."""
    for passage in case.sentences:
        said = passage.text
        is_denied = negated(said, method) or bans(said, method) or says(said, "not-tested")
        if says(said, method) and not is_denied and case.stage_of(passage) in _WHERE_CYCLES_STAND:
            yield passage


RULES = (
    boiling_for_sterilizing,
    dry_heat_too_weak,
    gas_too_hot,
    gravity_too_short,
    steam_tolerance_too_wide,
    killing_time_at_most,
)
