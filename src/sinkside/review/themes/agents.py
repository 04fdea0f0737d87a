"""Agents that harm: acids and iodine on steel, what attacks a material, household cleaners, hot water."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action, Stage
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.doing import is_by_machine, until_cleaner, uses_cleaner
from sinkside.review.lexicon import bans, found, negated, says, sentences
from sinkside.review.practice import Practice, practised
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import shown

_WET_WORK = frozenset(Stage) - {Stage.sterilization, Stage.storage, Stage.packaging}

#: Materials of devices, and the families of agents that attack them (common practice, no source).
_ATTACKED_BY = {
    "tungsten-carbide": ("acid-family", "chlorine-family", "oxygen-family"),
    "copper-alloy": ("oxygen-family", "ammonia-family", "acid-family"),
    "polycarbonate": ("alcohol", "ammonia-family", "solvent-family"),
    "acrylic": ("alcohol", "solvent-family"),
    "sulfone-plastic": ("solvent-family",),
    "natural-rubber": ("oil-family", "solvent-family"),
    "silicone-rubber": ("silicone-lubricant", "solvent-family"),
}

_PH_OF_KINDS = {"called-alkaline": (7.5, 14.0), "called-acid": (0.0, 6.5)}


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="An acid, iodine or the like meets steel.",
    message="“{words}” attacks the passive layer of stainless steel.",
    remedy="Ask the maker for an agent that was tested on the device.",
    source=book("aki-maintenance"),
)
def steel_attacked(case: Case) -> Iterator[Trip]:
    """Mineral and kitchen acids, iodine and salts in wet work, unless the words deny or rinse them off."""
    yield from practised(
        case, Practice(("attacks-steel",), ("comes-off", "kept-away-from", "free-of", "harm"), _WET_WORK)
    )


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="An agent attacks a material that the text names.",
    message="The device has {material}, which {agent} attacks.",
    remedy="Ask the maker which agents were tested on this material.",
)
def material_attacked(case: Case) -> Iterator[Trip]:
    """Materials of the device against agents that steps use and do not deny."""
    for material, families in _ATTACKED_BY.items():
        named = _named(case, material)
        for step in case.steps if named else ():
            said = f"{step.with_ or ''} ; {words(step)}"
            if step.stage not in _WET_WORK or step.origin.text == (named and named.text):
                continue
            for family in families:
                is_used = says(said, family) and not negated(words(step), family)
                if named and is_used and not says(said, "free-of"):
                    evidence: Evidence = {
                        "material": min(found(named.text, material)),
                        "agent": min(found(said, family)),
                    }
                    yield Trip(case.place(step), evidence, (named.place,))


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="A cleaner for the household is asked for.",
    message="“{words}” is made for no instrument: it foams, leaves perfume and is tested on nothing of it.",
    remedy="Ask the maker for the cleaner that was validated.",
)
def household_cleaner(case: Case) -> Iterator[Trip]:
    """Cleaners for dishes, laundry and hands in wet work."""
    yield from practised(case, Practice(("household-cleaner",), ("hands",), _WET_WORK))


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="The first water is hot in words, and hot water sets protein.",
    message="“{words}” is the first water on the device; protein sets from {limit}.",
    remedy="Get the maker's written answer: the temperature of the first water.",
    source=figure("washer-prerinse-temperature"),
)
def first_water_hot_in_words(case: Case) -> Iterator[Trip]:
    """Hot and boiling water in front of the first cleaner, and in every pre-rinse of a machine."""
    limit = case.in_force("washer-manual-water-us", "washer-prerinse-temperature")
    early = {step.id for step in until_cleaner(case)}
    for step in case.steps:
        is_wash_by_hand = step.action is Action.wash and not is_by_machine(step) and not uses_cleaner(step)
        if step.id in early and (step.action in _FIRST_WATERS or is_wash_by_hand):
            hot = _hot(words(step)) if not step.figures_of(FigureQuantity.temperature) else None
            if hot:
                limit_shown = f"{limit.value[0]:g} {limit.unit}"
                yield Trip(case.place(step), {"words": hot, "limit": limit_shown})


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="A cleaner is called alkaline or acid, and its pH is not.",
    message="“{words}” and {ph} do not go together.",
    remedy="Ask the maker whether the kind of cleaner or the pH is meant.",
)
def kind_against_ph(case: Case) -> Iterator[Trip]:
    """The one pH beside the one kind of cleaner that words name."""
    for passage in case.sentences:
        kinds = [kind for kind in _PH_OF_KINDS if says(passage.text, kind)]
        stated = [f for f in passage.figures if f.quantity is FigureQuantity.ph]
        if len(kinds) != 1 or len(stated) != 1 or says(passage.text, "neutral"):
            continue
        low, high = stated[0].ends()
        least, most = _PH_OF_KINDS[kinds[0]]
        if (high < least or low > most) and not negated(passage.text, kinds[0]):
            evidence: Evidence = {"words": min(found(passage.text, kinds[0])), "ph": shown(stated[0])}
            yield Trip(passage.place, evidence)


@rule(
    Theme.chemistry_and_materials,
    Level.concern,
    title="Ultrasound meets a lens, a motor or electronics.",
    message="The device has {delicate}, and ultrasound shakes cement and bearings loose.",
    remedy="Ask the maker whether this part withstands ultrasound.",
)
def ultrasound_on_delicate(case: Case) -> Iterator[Trip]:
    """Ultrasound for a device with such a thing, in a text that excepts nothing from it."""
    if any(_restricts_ultrasound(passage) for passage in case.sentences):
        return
    is_one = len(case.instruction.device.parts) <= 1
    for passage in case.sentences:
        delicate = found(passage.text, "shaken-apart")
        if delicate and not says(passage.text, "goes-with") and _describes(case, passage):
            for step in case.doing(Action.sonicate):
                is_all = is_one or says(words(step), "every-one")
                evidence: Evidence = {"delicate": min(delicate)}
                yield Trip(case.place(step), evidence, (passage.place,), doubtful=not is_all)
            return


_FIRST_WATERS = frozenset({Action.rinse, Action.pre_rinse, Action.flush, Action.wipe})


def _hot(said: str) -> str | None:
    """The words for hot water that a step asks for; "hot water sets protein" asks for none."""
    for sentence in sentences(said):
        for clause in sentence.split(";"):
            hot = found(clause, "hot-water")
            if hot and not says(clause, "negation") and not says(clause, "protein-sets"):
                return min(hot)
    return None


def _named(case: Case, material: str) -> Passage | None:
    """Where the text says that something of the device is of a material."""
    for passage in case.sentences:
        is_lent = says(passage.text, "lent") or says(passage.text, "pack-kind")
        if says(passage.text, material) and not is_lent and not negated(passage.text, material):
            return passage
    return None


def _restricts_ultrasound(passage: Passage) -> bool:
    said = passage.text
    is_restricted = bans(said, "ultrasonic") or any(says(said, x) for x in ("forbidden", "only", "not-for"))
    return says(said, "ultrasonic") and (bool(is_restricted) or negated(said, "ultrasonic"))


def _describes(case: Case, passage: Passage) -> bool:
    """Whether words tell what the device is made of: they stand in front of the first work on it."""
    first = next((step for step in case.steps if step.stage in _STARTS), None)
    line, start = passage.place.line, first.origin.line if first else None
    return line is not None and (start is None or line < start)


_STARTS = frozenset({Stage.point_of_use, Stage.transport})

RULES = (
    steel_attacked,
    material_attacked,
    household_cleaner,
    first_water_hot_in_words,
    kind_against_ph,
    ultrasound_on_delicate,
)
