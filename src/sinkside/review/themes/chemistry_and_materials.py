"""Chemistry against materials, against the device's own pH range, and against protein."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, Stage, Step
from sinkside.limits import published
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.acidity import ph_in_words
from sinkside.review.case import Case, Passage, words
from sinkside.review.doing import is_by_machine, sonicated, until_cleaner
from sinkside.review.lexicon import bans, found, negated, says
from sinkside.review.own_limits import (
    HOT_WATER_C,
    by_hand_only,
    governs,
    hottest_allowed,
    leaves_range,
    most_c,
    own_ph_ranges,
    ph_text,
)
from sinkside.review.plausible import SURELY_HOT_BATH_C
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import hottest_c, measure, shown, steam_steps, temperatures

_RINSES = frozenset({Action.rinse, Action.pre_rinse, Action.flush, Action.wipe})
_WHERE_BATHS_STAND = frozenset({Stage.preparation, Stage.cleaning})
_INF = math.inf
#: Cleaners of pH 9 are still sold as neutral.
_NEUTRAL_SLACK = 1.0

#: Figures are printed to the whole degree, and °F and °C of one figure differ by less than this.
_ROUNDING_K = 0.5

_ON_THE_WAY = frozenset({Stage.point_of_use, Stage.transport})


@rule(
    Theme.chemistry_and_materials,
    Level.stop,
    title="A step asks for a pH outside the range that the text itself allows.",
    message="This step asks for {asked}; the text allows {allowed} only.",
    remedy="Get the maker's written answer: which pH the device withstands; until then its own range holds.",
)
def ph_outside_own_range(case: Case) -> Iterator[Trip]:
    """Each pH that a step or sentence asks for against each range that a limit or prohibition sets."""
    ranges = [*own_ph_ranges(case), *ph_in_words(case)]
    for asking in case.passages:
        for asked in _asked_ph(asking):
            low, high = asked.ends()
            for passage, (least, most) in ranges:
                if by_hand_only(passage.text) and is_by_machine(asking.step):
                    continue
                if passage.text != asking.text and leaves_range(low, high, least=least, most=most):
                    evidence: Evidence = {"asked": ph_text(low, high), "allowed": ph_text(least, most)}
                    yield Trip(asking.place, evidence, (passage.place,))


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
    for step in until_cleaner(case):
        temperature = next(iter(temperatures(step)), None)
        if _is_first_rinse(step) and temperature and temperature.number("°C") >= limit_c:
            if temperature.bound is Bound.at_most and temperature.number("°C") <= limit_c:
                continue
            evidence: Evidence = {
                "temperature": measure(temperature),
                "limit": Measure(value=limit_c, unit="°C"),
            }
            others = tuple(passage.place for passage in own)
            # "Cold pre-rinse 2 min, 60 °C for 5 min": the figure belongs to what comes next.
            is_cold = says(words(step), "cold") and len(step.figures_of(FigureQuantity.time)) > 1
            yield Trip(case.place(step), evidence, others, source=bound.source, doubtful=is_cold)


@rule(
    Theme.chemistry_and_materials,
    Level.stop,
    title="A step is hotter than the device's own limit.",
    message="This step asks for {temperature}; the text itself sets {limit} as the most.",
    remedy="Get the maker's written answer; until then the step is not done.",
)
def hotter_than_own_limit(case: Case) -> Iterator[Trip]:
    """Every temperature of every step against every upper bound that the text sets for the device."""
    for passage, limit in hottest_allowed(case):
        for step in case.steps:
            if step.origin.text == passage.text or not governs(passage, limit, step):
                continue
            for asked in step.figures_of(FigureQuantity.temperature):
                # What is said to bear 134 °C bears the band of steam that begins there.
                is_band = says(passage.text, "bears-words") and asked.bound is Bound.between
                reached_c = asked.number("°C") if is_band else hottest_c(asked)
                if reached_c > most_c(limit) + _ROUNDING_K:
                    evidence: Evidence = {
                        "temperature": shown(asked),
                        "limit": Measure(value=most_c(limit), unit="°C"),
                    }
                    is_of_cool_water = most_c(limit) < HOT_WATER_C and is_by_machine(step)
                    yield Trip(case.place(step), evidence, (passage.place,), unsure=is_of_cool_water)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="A lubricant that steam does not pass through goes on before steam.",
    message="{lubricant} keeps steam from what it covers.",
    remedy="Ask the maker for a lubricant that steam passes through.",
)
def lubricant_keeps_steam_out(case: Case) -> Iterator[Trip]:
    """Silicone and the like in lubricating words; dense oils only where none is called steam-permeable."""
    if not steam_steps(case):
        return
    for passage in case.passages:
        said = passage.text
        for sense, is_sure in (
            ("silicone-lubricant", True),
            ("greasy-lubricant", True),
            ("dense-lubricant", False),
        ):
            if not says(said, sense) or any(deny(said, sense) for deny in (negated, bans)):
                continue
            if says(said, "silicone-free") or (sense == "greasy-lubricant" and _lets_steam_through(said)):
                continue
            if is_sure or not case.mentions("steam-permeable"):
                evidence: Evidence = {"lubricant": min(found(said, sense)).capitalize()}
                yield Trip(passage.place, evidence, doubtful=not is_sure)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="Something that sets protein meets the device before it is clean.",
    message="{agent} sets protein, and it is used here before cleaning.",
    remedy="Ask the maker for a way without aldehyde or alcohol before cleaning.",
    source=book("aki-maintenance"),
)
def protein_set_before_cleaning(case: Case) -> Iterator[Trip]:
    """Aldehydes and alcohols in steps in front of the first cleaning, unless the words deny them."""
    early = case.steps[: case.first_cleaning + 1]
    # What is done where the device was used is in front of cleaning, wherever that was taken to begin.
    on_the_way = [step for step in case.steps if step.stage in _ON_THE_WAY and step not in early]
    for step in (*early, *on_the_way):
        text = f"{step.with_ or ''} ; {words(step)}"
        for sense in ("aldehyde", "alcohol"):
            if says(text, sense) and not negated(words(step), sense) and not says(text, "hands"):
                evidence: Evidence = {"agent": min(found(text, sense)).capitalize()}
                # A wipe with alcohol may be for what never meets water, such as a plug or a battery.
                is_doubtful = sense == "alcohol" and says(text, "wiping") and not _is_of_soil(step)
                is_doubtful = is_doubtful and not says(text, "fixes-soil")
                yield Trip(case.place(step), evidence, doubtful=is_doubtful)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="A wire brush, steel wool or a scouring agent is asked for.",
    message="{tool} scratches surfaces, and scratches hold soil and rust.",
    remedy="Ask the maker for a brush that does not scratch.",
)
def abrasive_asked_for(case: Case) -> Iterator[Trip]:
    """Cleaning steps that name something abrasive and do not forbid it."""
    for step in case.steps:
        text = f"{' '.join((step.with_ or '', *step.tools))} ; {words(step)}"
        if says(text, "abrasive") and not negated(words(step), "abrasive") and not says(text, "non-abrasive"):
            yield Trip(case.place(step), {"tool": min(found(text, "abrasive")).capitalize()})
    for passage in case.sentences:
        scrapes = says(passage.text, "scraping") and not negated(passage.text, "scraping")
        if scrapes and says(passage.text, "sharp-tool") and not says(passage.text, "forbidden"):
            yield Trip(passage.place, {"tool": min(found(passage.text, "sharp-tool")).capitalize()})


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="An enzymatic bath is too hot for its enzymes.",
    message="An enzymatic bath of {temperature} is asked for; enzymes work up to {limit}.",
    remedy="Ask the maker for the temperature of the enzymatic bath.",
    source=figure("detergent-enzymatic-temperature-high-source"),
)
def enzymes_too_hot(case: Case) -> Iterator[Trip]:
    """Enzymatic cleaners against the highest published working temperature."""
    limit = published("detergent-enzymatic-temperature-high-source")
    for step in case.steps:
        text = f"{step.with_ or ''} {words(step)}"
        if (
            step.stage in _WHERE_BATHS_STAND
            and says(text, "enzymatic")
            and not negated(words(step), "enzymatic")
        ):
            for stated in step.figures_of(FigureQuantity.temperature):
                if stated.number("°C") > limit.value[1] + _ROUNDING_K:
                    evidence: Evidence = {
                        "temperature": measure(stated),
                        "limit": Measure(value=limit.value[1], unit=limit.unit),
                    }
                    yield Trip(case.place(step), evidence)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="An ultrasonic bath is hot enough to set protein.",
    message="An ultrasonic bath of {temperature} is asked for; {limit} is the most that is published.",
    remedy="Ask the maker for the temperature of the ultrasonic bath.",
    source=figure("ultrasonic-temperature-uk"),
)
def ultrasonic_bath_too_hot(case: Case) -> Iterator[Trip]:
    """Bath temperatures against the published bound; not far above it is a doubt."""
    limit = published("ultrasonic-temperature-uk")
    for step in sonicated(case):
        for stated in step.figures_of(FigureQuantity.temperature):
            if hottest_c(stated) > limit.value[0] + _ROUNDING_K:
                evidence: Evidence = {
                    "temperature": shown(stated),
                    "limit": Measure(value=limit.value[0], unit=limit.unit),
                }
                yield Trip(case.place(step), evidence, doubtful=hottest_c(stated) <= SURELY_HOT_BATH_C)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="A cleaner is called neutral, and its pH is not.",
    message="A cleaner is called neutral and has {ph}; neutral is pH {low:.1} to {high:.1}.",
    remedy="Ask the maker whether the kind of cleaner or the pH is meant.",
    source=figure("detergent-neutral-ph"),
)
def called_neutral(case: Case) -> Iterator[Trip]:
    """The pH that stands beside the word neutral, with room for the way the word is used."""
    neutral = published("detergent-neutral-ph")
    for passage in case.passages:
        if not says(passage.text, "neutral") or says(passage.text, "other-kinds"):
            continue
        for stated in passage.figures:
            if stated.quantity is FigureQuantity.ph:
                low, high = stated.ends()
                if low > neutral.value[1] + _NEUTRAL_SLACK or high < neutral.value[0] - _NEUTRAL_SLACK:
                    evidence: Evidence = {
                        "ph": shown(stated),
                        "low": Measure(value=neutral.value[0]),
                        "high": Measure(value=neutral.value[1]),
                    }
                    yield Trip(passage.place, evidence)


def _lets_steam_through(said: str) -> bool:
    """Whether words call an oil steam-permeable, and do not deny it."""
    denied = any("steam" in one for one in found(said, "greasy-lubricant"))
    return says(said, "steam-permeable") and not denied and not negated(said, "steam-permeable")


def _is_first_rinse(step: Step) -> bool:
    said = words(step)
    is_water = says(said, "first-rinse") or (step.action is Action.wash and says(said, "plain-water"))
    # "Draw 50 ml of warm water through it" rinses too, where the device was used.
    is_water = is_water or (step.stage is Stage.point_of_use and says(said, "plain-water"))
    return step.action in _RINSES or (is_water and not says(said, "detergent"))


def _is_of_soil(step: Step) -> bool:
    """Whether a wipe takes soil off a device that may get wet."""
    said = words(step)
    is_dry_part = says(said, "dry-socket") or says(said, "component-dry")
    return (says(said, "soil") or says(said, "outside")) and not is_dry_part


def _asked_ph(asking: Passage) -> Iterator[Figure]:
    """The pH that words ask for; outside the steps only a single value asks, and no prohibition does."""
    for stated in asking.figures:
        is_asked = asking.step is not None or (
            stated.bound is Bound.value and not says(asking.text, "negation")
        )
        if stated.quantity is FigureQuantity.ph and is_asked:
            yield stated


def _temperature_c(passage: Passage) -> float:
    figures = [f.number("°C") for f in passage.figures if f.quantity is FigureQuantity.temperature]
    return min(figures, default=_INF)


RULES = (
    ph_outside_own_range,
    hotter_than_own_limit,
    first_rinse_too_hot,
    lubricant_keeps_steam_out,
    protein_set_before_cleaning,
    abrasive_asked_for,
    enzymes_too_hot,
    ultrasonic_bath_too_hot,
    called_neutral,
)
