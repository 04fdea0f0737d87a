"""The pack, and what the sterilizer can reach through it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, FeatureKind, FigureRole, Stage, Step
from sinkside.limits import published
from sinkside.quantities import Figure, FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import found, heads, negated, says, singular, without
from sinkside.review.plausible import SHORTEST_STEAM_DRYING_S
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import measure, set_temperatures, shown, steam_steps

#: Sets are weighed in whole pounds and tenths of a kilogram: 25 lb is printed 11.3 or 11.4 kg.
_MASS_ROUNDING = 1.01

_PACKS = frozenset({Stage.packaging, Stage.sterilization})


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="The sterilizer's drying is too short to dry a pack.",
    message="Drying for {time} leaves a pack wet; the shortest that is published for packed instruments "
    "is {shortest}.",
    remedy="Ask the maker for the drying time of the cycle.",
    source=figure("steam-prevacuum-135c-wrapped-instruments-drying"),
)
def sterilizer_drying_too_short(case: Case) -> Iterator[Trip]:
    """Drying times behind steam against our own bound, and words that leave drying out."""
    shortest = published("steam-prevacuum-135c-wrapped-instruments-drying")
    for step, time in _drying_behind_steam(case):
        low, high = time.ends("s")
        if (high if high < float("inf") else low) >= SHORTEST_STEAM_DRYING_S:
            continue
        evidence: Evidence = {
            "time": measure(time),
            "shortest": Measure(value=shortest.value[0], unit=shortest.unit),
        }
        if time.unit == "s":
            evidence["probably_meant"] = f"{time.number():g} min"
        yield Trip(case.place(step), evidence, doubtful=says(words(step), "immediate-use"))


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="Nothing says how the steam cycle gets the air out.",
    message="Nothing says whether this cycle draws the air out by vacuum or by gravity.",
    remedy="Ask the maker for the way of air removal; no cycle stands in for another.",
    source=book("iso-17664-1"),
)
def air_removal_untold(case: Case) -> Iterator[Trip]:
    """Steam cycles of a text that never names a way of air removal."""
    cycles = [step for step in steam_steps(case) if set_temperatures(step)]
    if cycles and not any(step.air_removal for step in case.steps) and not case.mentions("air-removal"):
        yield Trip(case.place(cycles[0]), {}, tuple(case.place(step) for step in cycles[1:]))


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="A cycle without vacuum meets a lumen that is closed at one end.",
    message="Gravity draws air badly out of a {space}, and the device has one.",
    remedy="Ask the maker whether the lumen was validated in a gravity cycle.",
    source=figure("air-dead-ended-tube-diameter"),
)
def gravity_with_dead_end(case: Case) -> Iterator[Trip]:
    """Gravity cycles for devices with lumens; where no words speak of a dead end it is a doubt."""
    dead_end = case.mentions("dead-end")
    lumens = [f for f in case.instruction.device.features if f.kind is FeatureKind.lumen]
    for step in case.doing(Action.sterilize):
        is_gravity = step.air_removal == "gravity" or says(words(step), "gravity")
        if is_gravity and not negated(words(step), "gravity") and (dead_end or lumens):
            others = (dead_end.place,) if dead_end and dead_end.place != case.place(step) else ()
            evidence: Evidence = {"space": "dead end" if dead_end else "lumen"}
            yield Trip(case.place(step), evidence, others, doubtful=dead_end is None)


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="The pack keeps steam out.",
    message="Steam does not pass through a pack that is {pack}.",
    remedy="Ask the maker for a pack that steam passes through.",
)
def pack_keeps_steam_out(case: Case) -> Iterator[Trip]:
    """Packs of foil, plastic or without a way in, in a text that sterilizes with steam."""
    if not steam_steps(case):
        return
    for step in case.steps:
        # A "paper-plastic bag" has a side that steam passes through.
        said = without(words(step), "steam-pack")
        packs = step.stage is Stage.packaging or (
            step.action is Action.pack and step.stage is not Stage.storage
        )
        is_tight = says(said, "tight-pack") and not negated(said, "tight-pack")
        if packs and is_tight and not says(said, "after-steam"):
            yield Trip(case.place(step), {"pack": min(found(said, "tight-pack"))})


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="Something is packed that the text keeps out of the sterilizer.",
    message="The {part} is not to be sterilized, and goes into the pack here.",
    remedy="Ask the maker whether the {part} comes off before packing; until then it does.",
)
def packed_though_not_sterilized(case: Case) -> Iterator[Trip]:
    """Components that words keep out of the sterilizer against the packing steps that put them in."""
    for ban in case.sentences:
        kept_out = {singular(one) for one in found(ban.text, "component")}
        if not kept_out or not says(ban.text, "never-sterilized"):
            continue
        for passage in case.sentences:
            is_packing = case.stage_of(passage) in _PACKS or says(passage.text, "wrapping")
            named = {singular(one) for one in heads(passage.text, "component")} & kept_out
            puts_in = says(passage.text, "put-in") and not says(passage.text, "negation")
            if passage.text != ban.text and is_packing and named and puts_in and not _takes_out(passage):
                yield Trip(passage.place, {"part": min(named)}, (ban.place,))


def _takes_out(passage: Passage) -> bool:
    """Whether words take something off or out, or put it in only once the pack was opened."""
    return any(says(passage.text, sense) for sense in ("removal", "after-steam", "new-part"))


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="A pack of cellulose meets hydrogen peroxide.",
    message="Paper, linen and other cellulose soak up hydrogen peroxide and stop the cycle.",
    remedy="Ask the maker for the pack that was validated with hydrogen peroxide.",
)
def cellulose_in_peroxide(case: Case) -> Iterator[Trip]:
    """Packs of cellulose where peroxide is the cycle; beside steam cycles it is a doubt."""
    cycles = [
        step
        for step in case.steps
        if step.action is Action.sterilize or step.stage is Stage.sterilization
        if says(words(step), "peroxide") and not negated(words(step), "peroxide")
    ]
    packs = [step for step in case.doing(Action.pack) if says(words(step), "cellulose")]
    packs = [step for step in packs if not negated(words(step), "cellulose")]
    if cycles and packs:
        # "Peroxide may be used; pack in paper for it": told in one breath it is no doubt.
        lines = {step.origin.line for step in cycles}
        meant = [step for step in packs if step.origin.line in lines] or packs
        is_beside_steam = bool(steam_steps(case)) and len(case.doing(Action.pack)) > 1
        is_doubt = is_beside_steam and meant[0].origin.line not in lines
        yield Trip(case.place(meant[0]), {}, (case.place(cycles[0]),), doubtful=is_doubt)


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="The cycle is said to have no drying.",
    message="“{words}”: without drying a pack comes out wet.",
    remedy="Ask the maker for the drying time of the cycle.",
    source=figure("steam-prevacuum-135c-wrapped-instruments-drying"),
)
def cycle_without_drying(case: Case) -> Iterator[Trip]:
    """Steam cycles that leave drying out, unless they are for immediate use."""
    cycles = {words(step) for step in steam_steps(case)}
    for passage in case.sentences:
        said = passage.text
        is_of_steam = said in cycles or (bool(cycles) and says(said, "sterilizing") and says(said, "drying"))
        if is_of_steam and says(said, "no-drying") and not says(said, "immediate-use"):
            yield Trip(passage.place, {"words": min(found(said, "no-drying"))})


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="Ethylene oxide has less time to leave the device than is published.",
    message="{time} of airing is less than {least}, the least that is published.",
    remedy="Ask the maker for the temperature and time of aeration.",
    source=figure("eo-aeration-time"),
)
def aeration_too_short(case: Case) -> Iterator[Trip]:
    """Times of airing against the least published one; words that leave it out are told too."""
    least = published("eo-aeration-time")
    for passage in case.sentences:
        if not says(passage.text, "aeration"):
            continue
        behind = re.split(r"aerat|airing|degas|desorption|outgas", passage.text, flags=re.IGNORECASE)[-1]
        for stated in passage.figures:
            is_of_it = stated.quantity is FigureQuantity.time and stated.as_written in behind
            if is_of_it and stated.ends("s")[1] < least.ends("s")[0]:
                evidence: Evidence = {
                    "time": shown(stated),
                    "least": Measure(value=least.value[0], unit=least.unit),
                }
                yield Trip(passage.place, evidence)


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="Ethylene oxide is used, and nothing says how it leaves the device.",
    message="Nothing says how long the device is aired after ethylene oxide.",
    remedy="Ask the maker for the temperature and time of aeration.",
    source=figure("eo-aeration-time"),
)
def aeration_untold(case: Case) -> Iterator[Trip]:
    """Ethylene oxide cycles in a text that never speaks of aeration, or calls it needless."""
    aired = [p for p in case.passages if says(p.text, "aeration") and not says(p.text, "needless")]
    for passage in case.passages:
        said = passage.text
        is_cycle = passage.step is not None and passage.step.action is Action.sterilize
        is_cycle = is_cycle or any(figure.unit in {"°C", "h"} for figure in passage.figures)
        if is_cycle and says(said, "ethylene-oxide") and not negated(said, "ethylene-oxide"):
            if not aired and not says(said, "not-tested"):
                yield Trip(passage.place)
            return


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="A set is heavier than steam dries and people lift.",
    message="A set of {mass} is allowed; {limit} is the most that is published.",
    remedy="Ask the maker with which mass the cycle was validated.",
    source=figure("mass-set-limit-us"),
)
def set_too_heavy(case: Case) -> Iterator[Trip]:
    """Masses of packed sets against the published one."""
    limit = published("mass-set-limit-us")
    for passage in case.passages:
        is_pack = says(passage.text, "pack-kind") or says(passage.text, "set-of-instruments")
        for stated in passage.figures:
            is_mass = stated.quantity is FigureQuantity.mass
            if is_mass and (stated.role == FigureRole.set_mass or is_pack):
                low, high = stated.ends("kg")
                heaviest = high if high < float("inf") else low
                if heaviest > limit.value[0] * _MASS_ROUNDING:
                    evidence: Evidence = {
                        "mass": shown(stated),
                        "limit": Measure(value=limit.value[0], unit=limit.unit),
                    }
                    if stated.unit == "kg":
                        evidence["probably_meant"] = f"{stated.number():g} lb"
                    yield Trip(passage.place, evidence)


@rule(
    Theme.packaging_and_sterilization,
    Level.note,
    title="A device is sterilized, and nothing says how it is packed.",
    message="Nothing says in what the device is sterilized.",
    remedy="Ask the maker for the pack that the cycle was validated with.",
    source=book("iso-17664-1"),
)
def pack_untold(case: Case) -> Iterator[Trip]:
    """Sterilization without a packing step and without words of a pack."""
    cycles = case.doing(Action.sterilize)
    late: list[Passage] = [p for p in case.passages if p.step is None or p.step.stage in _PACKS]
    told = case.doing(Action.pack) or any(step.stage is Stage.packaging for step in case.steps)
    if cycles and not told and not case.mentions("pack-kind", "immediate-use", among=late):
        yield Trip(case.place(cycles[0]))


def _drying_behind_steam(case: Case) -> Iterator[tuple[Step, Figure]]:
    """Every drying time of a steam cycle, or of a drying step behind the first of them."""
    cycles = steam_steps(case)
    if not cycles:
        return
    first = case.index(cycles[0])
    for step in case.steps[first:]:
        is_drying = step.action is Action.dry and step.stage in {Stage.drying, Stage.sterilization}
        if not (is_drying or step in cycles):
            continue
        times = [t for t in step.figures_of(FigureQuantity.time) if t.role == FigureRole.drying]
        # "134 °C, 3 min, dry 20 min": where a temperature stands in front, the first time is its exposure.
        # A time alone behind a temperature is the exposure, however it was read.
        is_alone = len(step.figures_of(FigureQuantity.time)) == 1 and step in cycles
        holds = (len(times) > 1 or is_alone) and step.figures_of(FigureQuantity.temperature)
        yield from ((step, time) for time in times[1 if holds else 0 :])


RULES = (
    sterilizer_drying_too_short,
    cycle_without_drying,
    air_removal_untold,
    gravity_with_dead_end,
    pack_keeps_steam_out,
    packed_though_not_sterilized,
    cellulose_in_peroxide,
    aeration_untold,
    aeration_too_short,
    set_too_heavy,
    pack_untold,
)
