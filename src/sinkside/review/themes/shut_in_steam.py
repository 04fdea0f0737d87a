"""What is shut when steam must get in: ratchets, ports and jaws in the pack, wherever they were set."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Place
from sinkside.instruction import Action, Stage, Step
from sinkside.instruction.positions import Held
from sinkside.review.case import Case, words
from sinkside.review.lettered import by_name
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.shutting import is_shut, position_of, shut_in_words
from sinkside.review.stated import steam_steps

_WHERE_PACKED = frozenset({Stage.packaging, Stage.sterilization})
_NAMED = frozenset({"jaw", "ratchet"})


@rule(
    Theme.positions,
    Level.stop,
    title="A ratchet is engaged when steam must reach the joint.",
    message="The {feature} is {position} when steam must reach the joint.",
    remedy="Get the maker's written answer; until then this device is not packed with its ratchet engaged.",
)
def ratchet_engaged_in_steam(case: Case) -> Iterator[Trip]:
    """The ratchet's position in each sterilization step, wherever it was set."""
    yield from _shut_in_sterilizer(case, "ratchet")


@rule(
    Theme.positions,
    Level.stop,
    title="A port is capped when air must leave it and steam must enter.",
    message="The {feature} is {position} when air must leave it and steam must enter.",
    remedy="Get the maker's written answer; until then this device is not packed with a cap on its port.",
)
def port_capped_in_steam(case: Case) -> Iterator[Trip]:
    """The port's position in each sterilization step, wherever it was set."""
    yield from _shut_in_sterilizer(case, "port")


@rule(
    Theme.positions,
    Level.concern,
    title="A jaw is closed when steam must reach its faces.",
    message="The {feature} is {position} when steam must reach its faces.",
    remedy="Ask the maker whether the device was validated with its jaw closed.",
)
def jaw_closed_in_steam(case: Case) -> Iterator[Trip]:
    """The jaw's position in each sterilization step, wherever it was set."""
    yield from _shut_in_sterilizer(case, "jaw")


@rule(
    Theme.positions,
    Level.concern,
    title="A position is to change inside the closed pack.",
    message="The {feature} is packed {packed} and is to be {asked} in the sterilizer.",
    remedy="Ask the maker in which position the {feature} is packed and sterilized.",
)
def moved_inside_pack(case: Case) -> Iterator[Trip]:
    """Positions that a packing step sets, against those that a sterilization step asks for."""
    packed: dict[str, tuple[str, Step]] = {}
    for step in case.steps:
        if step.stage is Stage.packaging:
            # "Close the tray" closes no jaw, whatever was read from it.
            told = [
                one for one in step.positions.items() if one[0] not in _NAMED or says(words(step), one[0])
            ]
            packed |= {feature: (position, step) for feature, position in told}
        elif step.action is Action.sterilize:
            for feature, asked in step.positions.items():
                position, where = packed.get(feature, (asked, step))
                if position != asked:
                    evidence: Evidence = {"feature": feature, "packed": position, "asked": asked}
                    yield Trip(case.place(step), evidence, (case.place(where),))


def _shut_in_sterilizer(case: Case, feature: str) -> Iterator[Trip]:
    """Each step that shut a feature which is then sterilized, with the sterilization steps it spoils."""
    spoiled: dict[str, list[Step]] = {}
    for moment in case.moments:
        held = moment.during.get(feature)
        # What a trial shuts is let go again: "engage the ratchet once, it must hold".
        is_tried = held is not None and _is_a_trial(case.instruction.step(held.since))
        if moment.step.action is Action.sterilize and held and not is_tried and is_shut(case, feature, held):
            shutting = _said_in(case, feature, held, before=moment.step)
            if not _is_elsewhere(words(shutting), feature):
                spoiled.setdefault(shutting.id, []).append(moment.step)
    for since, steps in _in_own_words(case, spoiled, feature).items():
        others = (*_packed_so(case, since), *(case.place(step) for step in steps if step.id != since))
        yield Trip(case.place(since), position_of(feature), more_places=others)
    if not spoiled and (case.doing(Action.sterilize) or steam_steps(case)):
        yield from _shut_in_the_pack(case, feature)


def _shut_in_the_pack(case: Case, feature: str) -> Iterator[Trip]:
    """Words of packing that shut a feature, by its name or by the letter that stands for it."""
    for passage in case.sentences:
        is_packing = case.stage_of(passage) in _WHERE_PACKED or says(passage.text, "wrapping")
        if not is_packing or says(passage.text, "tries-it"):
            continue
        named = by_name(case, passage.text)
        if shut_in_words(passage.text, feature) or shut_in_words(named, feature):
            is_lettered = not shut_in_words(passage.text, feature)
            beside = _packed_so(case, passage.step.id) if passage.step else ()
            yield Trip(passage.place, position_of(feature), beside, unsure=is_lettered)


def _in_own_words(case: Case, spoiled: dict[str, list[Step]], feature: str) -> dict[str, list[Step]]:
    """What was shut in words that name the feature, if any was; what only took it over is not told again."""
    named = {since: steps for since, steps in spoiled.items() if _names(case, since, feature)}
    return named or spoiled


def _names(case: Case, since: str, feature: str) -> bool:
    said = words(case.instruction.step(since))
    return feature not in _NAMED or says(said, feature) or shut_in_words(said, feature)


def _packed_so(case: Case, since: str) -> tuple[Place, ...]:
    """The packing beside words that shut something: "Put it into a pouch. Port capped."."""
    step = case.instruction.step(since)
    beside = [one for one in case.beside(step) if one.stage in _WHERE_PACKED and one.origin != step.origin]
    return tuple(case.place(one) for one in beside)


def _is_a_trial(step: Step) -> bool:
    """Whether a step tries something: "engage the ratchet once, it must hold"."""
    return says(words(step), "tries-it")


def _said_in(case: Case, feature: str, held: Held, *, before: Step) -> Step:
    """The step whose own words set a position; the first that has it may only stand beside them."""
    first = case.instruction.step(held.since)
    if first.action is Action.set_position:
        return first
    between = case.steps[case.index(first) : case.index(before)]
    setting = [step for step in between if step.action is Action.set_position and step.origin != first.origin]
    return next((step for step in setting if step.positions.get(feature) == held.position), first)


def _is_elsewhere(said: str, feature: str) -> bool:
    """Whether words put a cap away, or on only when the sterilizer is done."""
    is_cap_aside = says(said, "laid-aside") and says(said, "cap-words") and not says(said, "shut-port")
    return feature == "port" and (is_cap_aside or says(said, "after-steam"))


RULES = (
    ratchet_engaged_in_steam,
    port_capped_in_steam,
    jaw_closed_in_steam,
    moved_inside_pack,
)
