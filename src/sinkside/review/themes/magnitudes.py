"""Magnitudes that no water, no test and no vessel has, and baths mixed by a dose that does not fit them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, FigureRole, Stage
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review import plausible
from sinkside.review.case import WET_ACTIONS, Case, Passage, words
from sinkside.review.doing import uses_cleaner
from sinkside.review.lexicon import says
from sinkside.review.meant import recognised_instead
from sinkside.review.rule import Theme, Trip, figure, rule
from sinkside.review.stated import hottest_c, shown, steam_steps

_TINY_VOLTAGE = re.compile(r"\d+(?:[.,]\d+)?\s*(?:mV|millivolts?|\u00b5V)\b")
_OF_CLEANER = frozenset({Action.wash, Action.prepare_solution})
#: How a dose counts what is in a bath: in a hundred, or in a litre.
_SHARES = {"%": 100.0, "mL/L": 1000.0}
_TWO = 2
#: A dose and the bath that it is reckoned for stand as near as this.
_NEAR = 2
_LEAST_BATH_ML = 900.0


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Water is asked to be as cold as ice.",
    message="{temperature} is {celsius:.0}; water of a department is warmer.",
    remedy="Ask the maker for the temperature of the water, with its unit.",
)
def water_as_cold_as_ice(case: Case) -> Iterator[Trip]:
    """The warmest that each wet step allows, against ice; °F that make sense as °C slip a little above."""
    for step in case.doing(*WET_ACTIONS):
        for stated in step.figures_of(FigureQuantity.temperature):
            is_judged = step.action in _OF_CLEANER or uses_cleaner(step) or bool(stated.also)
            if stated.bound is Bound.at_least or is_judged:
                continue
            celsius = hottest_c(stated)
            slipped = stated.unit == "°F" and celsius < plausible.COLDEST_TAP_C
            if slipped or celsius <= plausible.ICE_C:
                evidence: Evidence = {
                    "temperature": shown(stated),
                    "celsius": Measure(value=celsius, unit="°C"),
                }
                if stated.unit == "°F":
                    evidence["probably_meant"] = shown(stated).replace("F", "C")
                yield Trip(case.place(step), evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A conductivity is none that such water has.",
    message="{conductivity} is more than any water of a department has.",
    remedy="Ask the maker for the conductivity of the water, with its unit.",
)
def conductivity_implausible(case: Case) -> Iterator[Trip]:
    """Every conductivity against that of drinking water; where words name purified water it is judged so."""
    most = plausible.MOST_WATER_US_CM
    for passage in case.passages:
        for stated in passage.figures:
            if stated.quantity is not FigureQuantity.conductivity or stated.bound is Bound.at_least:
                continue
            if says(passage.text, "good-water"):
                continue
            ends = [end for end in stated.ends("µS/cm") if math.isfinite(end)]
            if ends and max(ends) > most:
                evidence: Evidence = {"conductivity": shown(stated)}
                if stated.unit == "mS/cm" and max(ends) <= most * 1e3:
                    evidence["probably_meant"] = f"{stated.number():g} µS/cm"
                yield Trip(passage.place, evidence)


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="A test voltage is a thousandth of a volt.",
    message="{voltage} shows no fault of an insulation; testers work with kilovolts.",
    remedy="Ask the maker for the test voltage, with its unit.",
)
def voltage_in_millivolts(case: Case) -> Iterator[Trip]:
    """Millivolts in words about insulation, which no figure of ours can carry."""
    for passage in case.sentences:
        tiny = _TINY_VOLTAGE.search(passage.text)
        if tiny and (says(passage.text, "insulation") or says(passage.text, "voltage-tester")):
            evidence: Evidence = {"voltage": tiny[0], "probably_meant": re.sub(r"\s*m?V$", " kV", tiny[0])}
            yield Trip(passage.place, evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="The cleaner for a vessel is not what the dose makes in it.",
    message="{dose} in {bath} is {product}, not {stated}.",
    remedy="Ask the maker which figure is meant.",
)
def cleaner_of_vessel_does_not_come_out(case: Case) -> Iterator[Trip]:
    """Cleaner and water told as two volumes behind the one dose in the sentence or two in front."""
    told: tuple[int, Figure] | None = None
    for at, passage in enumerate(case.sentences):
        doses = [f for f in passage.figures if f.unit in _SHARES and f.role == FigureRole.dose]
        volumes = [f for f in passage.figures if f.quantity is FigureQuantity.volume]
        if told and not doses and len(volumes) == _TWO and at - told[0] <= _NEAR:
            yield from _of_vessel(passage, told[1], volumes)
        if doses:
            told = (at, doses[0]) if len({(f.number(), f.unit) for f in doses}) == 1 else None


def _of_vessel(passage: Passage, dose: Figure, volumes: list[Figure]) -> Iterator[Trip]:
    little, much = sorted(volumes, key=lambda volume: volume.number("mL"))
    is_bath = little.unit == "mL" and much.unit == "L" and much.number("mL") >= _LEAST_BATH_ML
    is_told = says(passage.text, "vessel") or says(passage.text, "detergent")
    if dose.bound is not Bound.value or not (is_bath and is_told):
        return
    product_ml = dose.number() / _SHARES[dose.unit] * much.number("mL")
    is_right = math.isclose(product_ml, little.number("mL"), rel_tol=plausible.PAIR_AGREES_SHARE)
    if not is_right:
        evidence: Evidence = {
            "dose": shown(dose),
            "bath": shown(much),
            "product": Measure(value=product_ml, unit="mL"),
            "stated": shown(little),
        }
        yield Trip(passage.place, evidence)


@rule(
    Theme.physics,
    Level.concern,
    title="A cycle beside others of steam is cooler than any steam that sterilizes.",
    message="{temperature} is no temperature of a sterilizer's steam.",
    remedy="Get the maker's written answer and attach it; until then this cycle is not run.",
    source=figure("steam-recognised-temperature-tolerance"),
)
def steam_too_cool(case: Case) -> Iterator[Trip]:
    """Rows and sentences of sterilization with a time and a temperature between boiling water and steam."""
    known = {step.id for step in steam_steps(case)}
    for step in case.steps:
        if step.stage is not Stage.sterilization or step.id in known:
            continue
        if not step.figures_of(FigureQuantity.time):
            continue
        said = f"{step.heading or ''} ; {words(step)}"
        other = any(says(said, sense) for sense in ("dry-heat", "ethylene-oxide", "peroxide", "hot-air"))
        is_beside = says(said, "steam") or any(
            one.heading == step.heading for one in case.steps if one.id in known
        )
        for stated in step.figures_of(FigureQuantity.temperature):
            is_cool = plausible.BOILING_C < stated.number("°C") < plausible.COOLEST_STEAM_C
            if is_cool and is_beside and not other and stated.bound is not Bound.at_most:
                evidence: Evidence = {"temperature": shown(stated)}
                if meant := recognised_instead(stated):
                    evidence["probably_meant"] = meant
                yield Trip(case.place(step), evidence)


RULES = (
    steam_too_cool,
    water_as_cold_as_ice,
    conductivity_implausible,
    voltage_in_millivolts,
    cleaner_of_vessel_does_not_come_out,
)
