"""What of a set stays wet, and why: every number with its formula, what is assumed, what helps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.desk import set_moisture, sets
from sinkside.desk.set_moisture import SetMoisture
from sinkside.desk.sets import OpenSet
from sinkside.language import computed, computed_range
from sinkside.moisture import NO_CYCLE, Moisture, Risk
from sinkside.moisture.document import STANDS, Grams, LimitSeen, Place, SourceShown
from sinkside.web.asked import Asked
from sinkside.web.screens.sets.shelf import PLACE, READ, screen

#: How a wet pack stands: mark, level for the look, and words.
RISKS: Final = {
    Risk.unlikely: ("✓", "note", "A wet pack is unlikely"),
    Risk.possible: ("●", "note", "A wet pack is possible"),
    Risk.likely: ("▲", "concern", "A wet pack is likely"),
}
_NUMBERS: Final = (("condensed", "Condenses on it"), ("passed", "Runs off it"), ("left", "May be left"))
_SHAPES: Final = {
    "solid": "a solid piece",
    "jointed": "jointed",
    "tube": "a tube",
    "cup": "a cup",
    "flat": "a flat piece",
    "mesh": "a mesh",
}
_LIES: Final = {"draining": "so that it drains", "level": "flat", "holding": "so that it holds water"}


@dataclass(frozen=True)
class RiskShown:
    """How a wet pack stands: mark, level, words, how much may be left in all, and what drives it."""

    mark: str
    level: str
    words: str
    left: str
    driver: str


@dataclass(frozen=True)
class WetShown:
    """What of a set stays wet, in short.

    Attributes:
        risk: how a wet pack stands; none where that is not told.
        not_told: why not.
        must_be_split: whether its devices share no cycle.
        kg: what it weighs by everything that is said of its things; none where that is not known.
        address: where all of it is shown.
    """

    risk: RiskShown | None
    not_told: tuple[str, ...]
    must_be_split: bool
    kg: float | None
    address: str


@dataclass(frozen=True)
class WaterShown:
    """One number of water: what it is, its range, and the formula behind it with source and range."""

    what: str
    figure: str
    name: str
    says: str
    source: str
    covers: str


@dataclass(frozen=True)
class PlaceShown:
    """A thing or the floor: what it was taken for, how much may be left, why, and its numbers.

    `wettest` marks the one that may hold the most.
    """

    name: str
    taken_for: str
    left: str
    wettest: bool
    why: tuple[str, ...]
    numbers: tuple[WaterShown, ...]


@dataclass(frozen=True)
class HelpShown:
    """What would leave less: the sentence, and what the pack then holds; empty where no figure is given."""

    sentence: str
    left: str


@dataclass(frozen=True)
class AssumedShown:
    """An assumption: its key, what it is, its ends, where from, and the department's reason for its own."""

    key: str
    context: str
    ends: str
    source: str
    reason: str


@dataclass(frozen=True)
class LimitShown:
    """A published limit of a set's mass: in words, whether kept, whether in force here, its source."""

    words: str
    kept: str
    in_force: bool
    source: str


@dataclass(frozen=True)
class CycleStated:
    """The cycle that the estimate is for: machine and program, and its drying in words."""

    name: str
    drying: str


@dataclass(frozen=True)
class MoisturePage:
    """What of a set stays wet.

    Attributes:
        title: the heading.
        set_name: the set.
        set_address: its page.
        address: of this page.
        things: where it is said what its things are.
        stands: that the stated drying time stands.
        must_be_split: whether its devices share no cycle.
        not_told: why there is no estimate, one sentence each.
        may_be_said: whether saying more of its things would help.
        risk: how a wet pack stands; none without an estimate.
        cycle: the cycle it is for.
        total: what condenses in all.
        dryness: what may be left against the published gain of mass, in words, and its source.
        places: the things and the floor, the wettest first.
        helps: what would leave less.
        mass: what the set weighs, in words.
        limits: the published limits of that.
        assumed: the assumptions that the answer hangs on.
        left_out: what is not reckoned with.
    """

    title: str
    set_name: str
    set_address: str
    address: str
    things: str
    stands: str
    must_be_split: bool
    not_told: tuple[str, ...]
    may_be_said: bool
    risk: RiskShown | None
    cycle: CycleStated | None
    total: str
    dryness: tuple[str, str]
    places: tuple[PlaceShown, ...]
    helps: tuple[HelpShown, ...]
    mass: str
    limits: tuple[LimitShown, ...]
    assumed: tuple[AssumedShown, ...]
    left_out: tuple[str, ...]


@screen.page(f"{PLACE}/{{key}}/moisture", right=READ, template="set_moisture.html")
def moisture(asked: Asked, key: str) -> MoisturePage:
    """What of a set stays wet after the cycle of its route, why, and what would help."""
    seen = set_moisture.see_moisture(asked.archive, asked.visitor, key)
    told = seen.told
    address = asked.at(f"/sets/{key}")
    estimated = told is not None and told.told
    return MoisturePage(
        title="What stays wet, and why",
        set_name=seen.opened.document.name,
        set_address=address,
        address=f"{address}/moisture",
        things=f"{address}/moisture/things",
        stands=STANDS,
        must_be_split=seen.must_be_split and seen.opened.row.state == sets.IN_USE,
        not_told=_not_told(seen),
        may_be_said=told is not None and set(told.not_told) - {NO_CYCLE} != set(),
        risk=risk_shown(told),
        cycle=_cycle(told) if told else None,
        total=_range(told.condensed) if told and told.condensed else "",
        dryness=_dryness(told) if told else ("", ""),
        places=_places(seen) if estimated else (),
        helps=tuple(HelpShown(one.sentence, _range(one.left)) for one in told.helps) if told else (),
        mass=_mass(told) if told else "",
        limits=_limits(told) if told else (),
        assumed=_assumed(told) if told else (),
        left_out=told.not_in_the_model if told and estimated else (),
    )


def wet_shown(asked: Asked, key: str, opened: OpenSet) -> WetShown:
    """What of a set stays wet, in short, as its page shows it."""
    with asked.archive.unit(writes=False) as unit:
        seen = set_moisture.moisture_in(unit, asked.visitor, opened)
    return WetShown(
        risk=risk_shown(seen.told),
        not_told=_not_told(seen),
        must_be_split=seen.must_be_split,
        kg=seen.told.mass.kg if seen.told else None,
        address=asked.at(f"/sets/{key}/moisture"),
    )


def risk_shown(told: Moisture | None) -> RiskShown | None:
    """How a wet pack stands, as pages show it; none without an estimate."""
    if told is None or told.risk is None:
        return None
    mark, level, words = RISKS[told.risk]
    return RiskShown(mark, level, words, _range(told.pack), told.driver)


def _not_told(seen: SetMoisture) -> tuple[str, ...]:
    """Why there is no estimate; that the set must be split is said once, by the page itself."""
    told = seen.told.not_told if seen.told else ()
    return (*seen.not_asked, *(f"{one.rstrip('.')}." for one in told))


def _cycle(told: Moisture) -> CycleStated | None:
    cycle = told.cycle
    if cycle is None:
        return None
    drying = (
        f"Dries {computed(cycle.drying_min, 'min')} at {computed(cycle.drying_kpa, 'kPa')} absolute; there "
        f"water boils at {computed(cycle.drying_c, '°C')}."
    )
    return CycleStated(f"{cycle.machine}, {cycle.program}", drying)


def _dryness(told: Moisture) -> tuple[str, str]:
    seen = told.dryness
    if seen is None:
        return "", ""
    stands = {
        "kept": "even the wetter end keeps to it",
        "open": "the drier end keeps to it, the wetter does not",
        "passed": "not even the drier end keeps to it",
    }
    words = f"A metal load may gain {seen.text}: here {computed(seen.grams, 'g')}; {stands[seen.stands]}."
    return words, _cited(seen.source)


def _places(seen: SetMoisture) -> tuple[PlaceShown, ...]:
    told = seen.told
    if told is None:
        return ()
    pairs = sorted(zip(told.places, seen.reasons, strict=True), key=lambda pair: -pair[0].left.high)
    return tuple(
        PlaceShown(
            name=place.name if place.shape else f"Floor of the packaging: {place.name}",
            taken_for=_taken_for(place),
            left=_range(place.left),
            wettest=at == 0 and place.left.high > 0,
            why=why,
            numbers=tuple(_number(what, getattr(place, name), told) for name, what in _NUMBERS),
        )
        for at, (place, why) in enumerate(pairs)
    )


def _taken_for(place: Place) -> str:
    mass = computed(place.kg, "kg") if place.kg >= 1.0 else computed(1000.0 * place.kg, "g")
    weighs = f"{mass} of {' or '.join(place.materials)}"
    if place.shape is None or place.lies is None:
        return weighs
    return f"{weighs}, {_SHAPES[place.shape.value]}, lies {_LIES[place.lies.value]}"


def _number(what: str, grams: Grams, told: Moisture) -> WaterShown:
    formula = next(one for one in told.formulas if one.key == grams.formula)
    return WaterShown(what, _range(grams), formula.title, formula.says, _cited(formula.source), formula.range)


def _range(grams: Grams | None) -> str:
    return computed_range(grams.low, grams.high, grams.unit) if grams else ""


def _mass(told: Moisture) -> str:
    if told.mass.kg is None:
        return "Not known."
    return f"{computed(told.mass.kg, 'kg')}, {'weighed' if told.mass.weighed else 'summed up'}."


def _limits(told: Moisture) -> tuple[LimitShown, ...]:
    """The published limits, the one in force first."""
    return tuple(_limit(one) for one in sorted(told.mass.limits, key=lambda one: not one.in_force))


def _limit(one: LimitSeen) -> LimitShown:
    kept = {
        True: "This set keeps to it.",
        False: "This set weighs more.",
        None: "Whether this set keeps to it is not known.",
    }[one.met]
    source = f"{one.context} {_cited(one.source)}" + (f" {one.reason}" if one.reason else "")
    return LimitShown(one.text, kept, one.in_force, source)


def _assumed(told: Moisture) -> tuple[AssumedShown, ...]:
    return tuple(
        AssumedShown(
            one.key, one.context, ends_in_words(one.low, one.high, one.unit), _cited(one.source), one.reason
        )
        for one in told.assumptions
    )


def ends_in_words(low: float, high: float, unit: str) -> str:
    """Both ends of an assumption with its unit; shares as they are, of 1."""
    ends = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    return ends if unit == "1" else f"{ends} {unit}"


def _cited(one: SourceShown) -> str:
    where = ", ".join(filter(None, (one.title, one.edition, one.clause)))
    return f"{where} ({one.how_read})."
