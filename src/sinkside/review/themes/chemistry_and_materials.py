"""Chemistry against materials, against the device's own pH range, and against protein."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure, Place
from sinkside.instruction import Action, Stage, Step
from sinkside.limits import published
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import negated, says
from sinkside.review.own_limits import governs, hottest_allowed, most_c, own_ph_ranges
from sinkside.review.rule import Theme, Trip, figure, rule
from sinkside.review.stated import hottest_c, measure, shown

_RINSES = frozenset({Action.rinse, Action.pre_rinse, Action.flush, Action.wipe})
_WITH_CLEANER = frozenset({Action.soak, Action.sonicate, Action.wash})
_INF = math.inf
_PH_SLACK = 0.5

#: Figures are printed to the whole degree, and °F and °C of one figure differ by less than this.
_ROUNDING_K = 0.5


@rule(
    Theme.chemistry_and_materials,
    Level.stop,
    title="A step asks for a pH outside the range that the text itself allows.",
    message="This step asks for {asked}; the text allows {allowed} only.",
    remedy="Get the maker's written answer: which pH the device withstands; until then its own range holds.",
)
def ph_outside_own_range(case: Case) -> Iterator[Trip]:
    """Each pH that a step or sentence asks for against each range that a limit or prohibition sets."""
    for asking in case.passages:
        for asked in _asked_ph(asking):
            low, high = asked.ends()
            for passage, (least, most) in own_ph_ranges(case):
                if passage.text != asking.text and _leaves(low, high, least=least, most=most):
                    evidence: Evidence = {"asked": _ph(low, high), "allowed": _ph(least, most)}
                    yield Trip(asking.place, evidence, (passage.place,))


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="An alkaline cleaner meets aluminium.",
    message="An alkaline cleaner ({cleaner}) is asked for on a device with aluminium.",
    remedy="Ask the maker which cleaners were tested on the aluminium parts.",
    source=figure("detergent-alkaline-ph"),
)
def alkaline_on_aluminium(case: Case) -> Iterator[Trip]:
    """Cleaners above the published pH, or called alkaline with no pH, where any part is of aluminium."""
    metal = _aluminium(case)
    if metal is None:
        return
    alkaline_from = published("detergent-alkaline-ph")
    for step in case.steps:
        acidity = step.figure(FigureQuantity.ph)
        if acidity is None:
            said = words(step)
            is_alkaline = says(said, "alkaline") and not (negated(said, "alkaline") or says(said, "mild"))
        else:
            is_alkaline = alkaline_from.met_by(acidity.number())
        if is_alkaline:
            cleaner = shown(acidity) if acidity else "no pH given"
            yield Trip(case.place(step), {"cleaner": cleaner}, (metal.place,) if metal.text else ())


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="Instruments lie in saline or bleach, which pits stainless steel.",
    message="The device meets {liquid}; its chloride pits stainless steel "
    "(risk rises above {chloride} of chloride).",
    remedy="Ask the maker for a liquid without chloride that keeps soil moist.",
    source=figure("materials-chloride-pitting"),
)
def chloride_contact(case: Case) -> Iterator[Trip]:
    """Steps that ask for saline or bleach; steps that forbid it do not count."""
    limit = published("materials-chloride-pitting")
    for step in case.steps:
        text = f"{step.with_ or ''} ; {words(step)}"
        for sense in ("saline", "bleach"):
            if says(text, sense) and not negated(words(step), sense) and not says(text, "taken-off"):
                evidence: Evidence = {
                    "liquid": sense,
                    "chloride": Measure(value=limit.value[0], unit=limit.unit),
                }
                yield Trip(case.place(step), evidence)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="The first rinse is hot enough to set protein.",
    message="The first water on the device is {temperature}; protein sets from {limit}.",
    remedy="Get the maker's written answer: the temperature of the first rinse.",
    source=figure("washer-prerinse-temperature"),
)
def first_rinse_too_hot(case: Case) -> Iterator[Trip]:
    """Every rinse before the first cleaner against the published bound, and the text's own if lower."""
    bound = case.in_force("washer-manual-water-us", "washer-prerinse-temperature")
    own = [
        passage
        for passage in case.statements
        if says(passage.text, "protein-sets") and _temperature_c(passage) < _INF
    ]
    limit_c = min([bound.value[0], *map(_temperature_c, own)])
    for step in _until_cleaner(case):
        temperature = step.figure(FigureQuantity.temperature)
        if step.action in _RINSES and temperature and temperature.number("°C") >= limit_c:
            if temperature.bound is Bound.at_most and temperature.number("°C") <= limit_c:
                continue
            evidence: Evidence = {
                "temperature": measure(temperature),
                "limit": Measure(value=limit_c, unit="°C"),
            }
            others = tuple(passage.place for passage in own)
            yield Trip(case.place(step), evidence, others, source=bound.source)


@rule(
    Theme.chemistry_and_materials,
    Level.stop,
    title="A step is hotter than the device's own limit.",
    message="This step asks for {temperature}; the text itself sets {limit} as the most.",
    remedy="Get the maker's written answer; until then the lower temperature holds.",
)
def hotter_than_own_limit(case: Case) -> Iterator[Trip]:
    """Every temperature of every step against every upper bound that the text sets for the device."""
    for passage, limit in hottest_allowed(case):
        for step in case.steps:
            if step.origin.text == passage.text or not governs(passage, step):
                continue
            for asked in step.figures_of(FigureQuantity.temperature):
                if hottest_c(asked) > most_c(limit) + _ROUNDING_K:
                    evidence: Evidence = {
                        "temperature": shown(asked),
                        "limit": Measure(value=most_c(limit), unit="°C"),
                    }
                    yield Trip(case.place(step), evidence, (passage.place,))


def _until_cleaner(case: Case) -> Iterator[Step]:
    """The steps before the first one in which the device meets a cleaner."""
    for step in case.steps:
        if step.action in _WITH_CLEANER and step.stage is Stage.cleaning and (step.figures or step.with_):
            return
        yield step


def _asked_ph(asking: Passage) -> Iterator[Figure]:
    """The pH that words ask for; outside the steps only a single value asks, and no prohibition does."""
    for stated in asking.figures:
        is_asked = asking.step is not None or (
            stated.bound is Bound.value and not says(asking.text, "negation")
        )
        if stated.quantity is FigureQuantity.ph and is_asked:
            yield stated


def _leaves(low: float, high: float, *, least: float, most: float) -> bool:
    """Whether what is asked lies outside, or reaches well above; two ranges that overlap are common."""
    return high < least or low > most or (math.isfinite(high) and high > most + _PH_SLACK)


def _ph(low: float, high: float) -> str:
    ends = [f"{end:g}" for end in dict.fromkeys((low, high)) if math.isfinite(end)]
    if low == -_INF:
        return f"pH up to {ends[0]}"
    return f"pH from {ends[0]}" if high == _INF else f"pH {' to '.join(ends)}"


def _aluminium(case: Case) -> Passage | None:
    """Where the text says that something is of aluminium; empty words where only the part list does."""
    for part in case.instruction.device.parts:
        if any(says(material, "aluminium") for material in part.materials):
            return case.mentions("aluminium") or Passage("", Place())
    said = case.mentions("aluminium")
    return said if said and not negated(said.text, "aluminium") else None


def _temperature_c(passage: Passage) -> float:
    figures = [f.number("°C") for f in passage.figures if f.quantity is FigureQuantity.temperature]
    return min(figures, default=_INF)


RULES = (
    ph_outside_own_range,
    hotter_than_own_limit,
    alkaline_on_aluminium,
    chloride_contact,
    first_rinse_too_hot,
)
