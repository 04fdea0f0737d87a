"""Work at the wrong time: oil on what is sterile, a disinfectant on what still carries cleaner."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, FeatureKind, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage, words
from sinkside.review.doing import uses_cleaner
from sinkside.review.lexicon import negated, says
from sinkside.review.rule import Theme, Trip, book, rule

_WET = frozenset({Stage.cleaning, Stage.disinfection})
_IN_A_BATH = frozenset({Action.soak, Action.disinfect, Action.load, Action.fill})
_DENIES_OIL = ("negation", "forbidden", "sterile-oil")
_TESTS = frozenset({Stage.inspection, Stage.maintenance, Stage.packaging})


@rule(
    Theme.order,
    Level.concern,
    title="Oil goes on what is sterile.",
    message="“{words}”: oil that is not sterile goes on the sterile device.",
    remedy="Ask the maker whether the device is oiled before it is packed, or with sterile oil.",
    source=book("iso-17664-1"),
)
def oiled_after_sterilization(case: Case) -> Iterator[Trip]:
    """Words that oil behind the sterilizer: once it is sterile, as the pack is opened, before the use."""
    for passage in case.sentences:
        text = passage.text
        oils = says(text, "lubrication") or says(text, "drop-of-oil")
        oils = oils or (passage.step is not None and passage.step.action is Action.lubricate)
        if not oils or not says(text, "when-sterile") or says(text, "before-sterilizing"):
            continue
        if not any(says(text, sense) for sense in _DENIES_OIL) and not negated(text, "lubrication"):
            yield Trip(passage.place, {"words": " ".join(text.split()[:8])})


@rule(
    Theme.completeness,
    Level.concern,
    title="A disinfectant follows the cleaner without a rinse.",
    message="The device goes from the cleaner into a disinfectant, and nothing rinses it between.",
    remedy="Ask the maker for the rinse between cleaner and disinfectant.",
    source=book("iso-17664-1"),
)
def disinfected_in_cleaner(case: Case) -> Iterator[Trip]:
    """Baths of a chemical disinfectant with a cleaner, and no rinse, in front of them in the same way."""
    for bath in case.steps:
        if bath.action not in _IN_A_BATH or not says(words(bath), "chemical-bath"):
            continue
        before = [s for s in case.steps[: case.index(bath)] if s.stage in _WET and s.origin != bath.origin]
        cleaned = [n for n, s in enumerate(before) if s.action in CLEANING_ACTIONS and uses_cleaner(s)]
        is_straight = says(words(bath), "straight-from-cleaner")
        if not cleaned or bath.condition or says(words(bath), "rinsing"):
            continue
        between = before[cleaned[-1] :]
        rinsed = any(_rinses(step) for step in between)
        if is_straight or not rinsed:
            yield Trip(case.place(bath), {}, (case.place(between[0]),))
            return


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="Insulation is tested, and no voltage is given.",
    message="The insulation is tested here, and nothing gives the voltage.",
    remedy="Ask the maker for the test voltage; too high a one pierces the insulation.",
    source=book("insulation-practice"),
)
def test_voltage_untold(case: Case) -> Iterator[Trip]:
    """Electrical tests of insulation in a text without any voltage; what another text settles is let be."""
    features = case.instruction.device.features
    is_insulated = any(f.kind is FeatureKind.insulation for f in features)
    told = any(f.quantity is FigureQuantity.voltage for p in case.passages for f in p.figures)
    if told or not (is_insulated or case.mentions("insulation")):
        return
    for passage in case.sentences:
        if _tests_insulation(case, passage) and not says(passage.text, "another-text"):
            yield Trip(passage.place)
            return


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="A battery goes into the sterilizer.",
    message="“{words}”: heat ruins a battery and may burst it.",
    remedy="Ask the maker whether this battery is made for the sterilizer; until then it stays out.",
)
def battery_in_the_pack(case: Case) -> Iterator[Trip]:
    """Batteries in words of packing and of the cycle, where no words say that they are made for it."""
    if case.mentions("battery-for-steam"):
        return
    for passage in case.sentences:
        is_here = case.stage_of(passage) in {Stage.packaging, Stage.sterilization}
        is_asked = says(passage.text, "battery-words") and says(passage.text, "into-the-cycle")
        if is_here and is_asked and not says(passage.text, "battery-safe"):
            yield Trip(passage.place, {"words": " ".join(passage.text.split()[:8])})


def _tests_insulation(case: Case, passage: Passage) -> bool:
    """Whether words test insulation with current, and not by a look."""
    text = passage.text
    is_step = passage.step is not None and passage.step.action in {Action.test, Action.inspect}
    is_here = is_step or case.stage_of(passage) in _TESTS
    is_electric = says(text, "voltage-tester") or says(text, "by-current")
    is_electric = is_electric or (says(text, "insulation-test") and not says(text, "by-look"))
    return is_here and says(text, "insulation") and is_electric and not says(text, "negation")


def _rinses(step: Step) -> bool:
    said = words(step)
    is_water = step.action in {Action.rinse, Action.pre_rinse} or says(said, "rinsing")
    return is_water and not step.condition


RULES = (oiled_after_sterilization, disinfected_in_cleaner, test_voltage_untold, battery_in_the_pack)
