"""Every moving feature through the steps: what each step needs, and what an earlier one left."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action, FeatureKind, Stage, Step
from sinkside.instruction.positions import Held
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage, words
from sinkside.review.lexicon import clauses, references, says
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.shutting import shuts
from sinkside.review.stated import steam_steps

#: The position in which each feature keeps liquid or steam away from what lies behind it.
_SHUT = {"jaw": "closed", "ratchet": "engaged", "port": "capped"}

#: What is done with a joint in the bath or the machine.
_IN_THE_MACHINE = CLEANING_ACTIONS | {Action.load}
#: Work that pushes liquid through and needs a way out at the far end.
_NEEDS_WAY_OUT = frozenset({Action.flush, Action.fill, Action.sonicate, Action.blow})
#: What puts a cap on a port, whatever it was read as.
_SETS = frozenset({Action.set_position, Action.load, Action.put_together})
_WHERE_FLUSHED = frozenset({Stage.point_of_use, Stage.preparation, Stage.cleaning, Stage.disinfection})
_WHERE_PACKED = frozenset({Stage.packaging, Stage.sterilization})
_NOT_CLEANED = frozenset({Stage.transport, Stage.packaging, Stage.sterilization, Stage.storage})
_PIECES = re.compile(r",|\bthen\b", re.IGNORECASE)
_NAMED = frozenset({"jaw", "ratchet"})
_TRIED = frozenset({Stage.inspection, Stage.maintenance})


@rule(
    Theme.positions,
    Level.concern,
    title="Something is flushed with its way out shut.",
    message="The {feature} is {position} while liquid must flow through.",
    remedy="Ask the maker whether the {feature} must be open; nothing is rinsed out where nothing can leave.",
)
def flushed_with_way_out_shut(case: Case) -> Iterator[Trip]:
    """Flushing, filling, sonicating and blowing that itself asks for a shut jaw or a capped port."""
    for step in case.steps:
        flush = step if step.action in _NEEDS_WAY_OUT else _flush_that_it_belongs_to(case, step)
        if flush is None:
            continue
        for feature in ("jaw", "port"):
            is_shut = step.positions.get(feature) == _SHUT[feature]
            if is_shut and not (feature == "port" and _port_is_no_lumens(case, step)):
                others = () if flush is step else (case.place(flush),)
                yield Trip(case.place(step), _evidence(feature), others)
    yield from _shut_on_its_nozzle(case)
    yield from _flushed_shut_in_words(case)
    for step in case.steps:
        if step.action not in _NEEDS_WAY_OUT | {Action.connect} and not says(words(step), "connecting"):
            continue
        for feature in ("jaw", "port"):
            # What is shut in the words of another step under the same number stays shut for the flush.
            shutting = _shut_beside(case, step, feature)
            if shutting is not None and step.stage is Stage.cleaning:
                yield Trip(case.place(shutting), _evidence(feature), (case.place(step),))


def _shut_on_its_nozzle(case: Case) -> Iterator[Trip]:
    """'Connected to a nozzle with the tap shut': of a device with one port, what is put on water is shut."""
    ports = [one for one in case.instruction.device.features if one.kind is FeatureKind.port]
    for step in case.doing(Action.connect, Action.load) if len(ports) <= 1 else ():
        said = words(step)
        connected = step.stage is Stage.cleaning and says(said, "connecting")
        if connected and _shuts(said, "port") and not _port_is_no_lumens(case, step):
            yield Trip(case.place(step), _evidence("port"))


def _flushed_shut_in_words(case: Case) -> Iterator[Trip]:
    """Sentences that shut a way and flush it, whatever was read; one of several ports may be shut."""
    ports = [one for one in case.instruction.device.features if one.kind is FeatureKind.port]
    for passage in case.sentences:
        if case.stage_of(passage) not in _WHERE_FLUSHED or not says(passage.text, "pushes-through"):
            continue
        if any(
            says(passage.text, sense) for sense in ("unshut", "negation", "dry-socket", "condition-strict")
        ):
            continue
        for feature in ("jaw", "port") if len(ports) <= 1 else ("jaw",):
            if _shuts(passage.text, feature):
                yield Trip(passage.place, _evidence(feature))


@rule(
    Theme.positions,
    Level.concern,
    title="A joint or port that was shut earlier stays shut while the device is cleaned.",
    message="The {feature} is left {position} here and no cleaning step opens it.",
    remedy="Ask the maker where in the text the {feature} is to be opened for cleaning.",
)
def shut_while_cleaned(case: Case) -> Iterator[Trip]:
    """What point of use, transport or preparation shut, and every cleaning step finds and leaves shut."""
    cleaning = [
        moment
        for moment in case.moments
        if moment.step.action in CLEANING_ACTIONS | {Action.actuate} and moment.step.stage is Stage.cleaning
    ]
    for feature, held in cleaning[0].before.items() if cleaning else ():
        stays = all(moment.after.get(feature) == held for moment in cleaning)
        if stays and _is_shut(case, feature, held):
            yield Trip(case.place(held.since), _evidence(feature), (case.place(cleaning[0].step),))


@rule(
    Theme.positions,
    Level.concern,
    title="A joint goes shut into the bath, under the brush or into the machine.",
    message="The {feature} is {position} in the bath, under the brush or in the machine.",
    remedy="Ask the maker whether the {feature} is open while the device is soaked and washed.",
)
def shut_in_bath(case: Case) -> Iterator[Trip]:
    """Loading, soaking, sonicating and washing that itself asks for a shut jaw or an engaged ratchet."""
    set_there = (s for s in case.doing(Action.set_position) if says(words(s), "while-wet"))
    for step in (*case.doing(Action.load, Action.soak, Action.sonicate, Action.wash), *set_there):
        if step.stage in _NOT_CLEANED or says(words(step), "wrapping"):
            continue
        for feature in ("jaw", "ratchet"):
            is_set = step.positions.get(feature) == _SHUT[feature] and says(words(step), feature)
            if (is_set and not says(words(step), "unshut")) or _shuts(words(step), feature):
                yield Trip(case.place(step), _evidence(feature))
                break
        capped = step.positions.get("port") == _SHUT["port"] or _shuts(words(step), "port")
        into_machine = says(words(step), "machine-words") or says(words(step), "machine-washing")
        if capped and into_machine and not _port_is_no_lumens(case, step):
            yield Trip(case.place(step), _evidence("port"))

    for passage in case.sentences:
        of_washing = [step for step in _steps_named(case, passage) if step.action in _IN_THE_MACHINE]
        is_note = passage.step is None or passage.step.action is Action.set_position
        for feature in ("jaw", "ratchet", "port") if of_washing and is_note else ():
            if _shuts(passage.text, feature):
                yield Trip(passage.place, _evidence(feature), (case.place(of_washing[0]),))
                break
    yield from _brushed_shut(case)


def _brushed_shut(case: Case) -> Iterator[Trip]:
    """Jaws that are brushed closed, face on face; and what a setting leaves shut for the wash."""
    for step in case.doing(Action.brush):
        is_closed = step.positions.get("jaw") == _SHUT["jaw"] and says(words(step), "jaw")
        is_closed = is_closed or _shuts(words(step), "jaw")
        if step.stage is Stage.cleaning and is_closed and not says(words(step), "unshut"):
            yield Trip(case.place(step), _evidence("jaw"))
    for one, other in itertools.pairwise(case.moments):
        for feature in _NAMED:
            is_set = (
                one.step.action is Action.set_position and one.step.positions.get(feature) == _SHUT[feature]
            )
            is_here = is_set and one.step.stage is Stage.cleaning and other.step.stage is Stage.cleaning
            still = (held := other.during.get(feature)) and held.position == _SHUT[feature]
            if (
                is_here
                and still
                and other.step.action in CLEANING_ACTIONS
                and _is_plainly_shut(one.step, feature)
            ):
                yield Trip(case.place(one.step), _evidence(feature), (case.place(other.step),))


def _is_plainly_shut(step: Step, feature: str) -> bool:
    """Whether words name what they shut, and neither try it, nor open it again, nor flush with it."""
    said = words(step)
    return says(said, feature) and not any(says(said, sense) for sense in ("tries-it", "unshut", "moving"))


def _steps_named(case: Case, passage: Passage) -> list[Step]:
    """The steps that a note is about by their numbers: "Rows 12 to 17: the ratchet is engaged"."""
    named = {number for kind, number in references(passage.text) if kind in {"row", "step"}}
    return [step for step in case.steps if (step.number or "").strip("(). ") in named]


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
    Level.note,
    title="A joint travels shut, and soil dries in it.",
    message="The {feature} travels {position}; soil dries where nothing keeps it moist.",
    remedy="Ask the maker whether the {feature} may travel open with the tips protected.",
)
def shut_for_transport(case: Case) -> Iterator[Trip]:
    """Steps that shut a jaw or engage a ratchet between use and cleaning."""
    for moment in case.moments:
        step = moment.step
        if step.stage in {Stage.point_of_use, Stage.transport}:
            for feature in ("jaw", "ratchet"):
                # A sentence that only repeats what an earlier one set is not named again.
                if moment.during.get(feature) == Held(_SHUT[feature], step.id):
                    yield Trip(case.place(step), _evidence(feature))
                    break


@rule(
    Theme.positions,
    Level.concern,
    title="A device is put together for a test, and nothing says how it is sterilized.",
    message="The device is put together here for a test; nothing says whether it is sterilized so or apart.",
    remedy="Ask the maker whether the device is sterilized assembled or taken apart.",
    source=book("iso-17664-1"),
)
def apart_or_together_in_steam(case: Case) -> Iterator[Trip]:
    """Putting together for a test alone, where the device is still together in the sterilizer."""
    if case.mentions("state-in-steam"):
        return
    for moment in case.moments:
        held = moment.during.get("part")
        if moment.step.action is Action.sterilize and held and held.position == "assembled":
            since = case.instruction.step(held.since)
            if since.stage in _TRIED and says(words(since), "for-the-test"):
                yield Trip(case.place(since), {}, (case.place(moment.step),))
                return


@rule(
    Theme.positions,
    Level.concern,
    title="A jaw is to be open against its engaged ratchet.",
    message="The jaw is to be open and the ratchet engaged at once.",
    remedy="Ask the maker which of the two positions is meant.",
)
def open_against_ratchet(case: Case) -> Iterator[Trip]:
    """Both positions asked for in the same words."""
    for step in case.steps:
        if step.positions.get("jaw") == "open" and step.positions.get("ratchet") == "engaged":
            yield Trip(case.place(step))


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


def _flush_that_it_belongs_to(case: Case, step: Step) -> Step | None:
    """The flush in front of a sentence that says how things stand during it: "the jaw must be open"."""
    at = case.index(step)
    if at == 0 or step.action is not Action.set_position or not says(words(step), "standing"):
        return None
    before = case.steps[at - 1]
    belongs = before.number == step.number and before.heading == step.heading
    return before if belongs and before.action in _NEEDS_WAY_OUT else None


def _port_is_no_lumens(case: Case, step: Step) -> bool:
    """Whether the cap is on a cable socket, by the words of the step or of the one in front."""
    at = case.index(step)
    said = " ".join(words(one) for one in case.steps[max(0, at - 1) : at + 1])
    return says(said, "dry-socket")


def _shut_in_sterilizer(case: Case, feature: str) -> Iterator[Trip]:
    """Each step that shut a feature which is then sterilized, with the sterilization steps it spoils."""
    spoiled: dict[str, list[Step]] = {}
    for moment in case.moments:
        held = moment.during.get(feature)
        # What a trial shuts is let go again: "engage the ratchet once, it must hold".
        is_tried = held is not None and _is_a_trial(case.instruction.step(held.since))
        if moment.step.action is Action.sterilize and held and not is_tried and _is_shut(case, feature, held):
            shutting = _said_in(case, feature, held, before=moment.step)
            if not _is_elsewhere(words(shutting), feature):
                spoiled.setdefault(shutting.id, []).append(moment.step)
    for since, steps in spoiled.items():
        others = tuple(case.place(step) for step in steps if step.id != since)
        yield Trip(case.place(since), _evidence(feature), more_places=others)
    if not spoiled and (case.doing(Action.sterilize) or steam_steps(case)):
        for passage in case.sentences:
            is_packing = case.stage_of(passage) in _WHERE_PACKED or says(passage.text, "wrapping")
            if is_packing and _shuts(passage.text, feature) and not says(passage.text, "tries-it"):
                yield Trip(passage.place, _evidence(feature))


def _is_a_trial(step: Step) -> bool:
    """Whether a step tries something: "engage the ratchet once, it must hold"."""
    return says(words(step), "tries-it")


def _shuts(said: str, feature: str) -> bool:
    """Whether words of packing shut a feature, by themselves and without a condition."""
    return any(
        (says(clause, f"shut-{feature}") or shuts(clause, feature))
        and not any(says(clause, sense) for sense in ("negation", "after-steam", "dry-socket", "unshut"))
        and not (feature == "port" and says(clause, "laid-aside") and says(clause, "cap-words"))
        for sentence in clauses(said)
        for clause in _PIECES.split(sentence)
    )


def _shut_beside(case: Case, step: Step, feature: str) -> Step | None:
    """The step under the same number, in front of a flush, whose words shut its way out."""
    if step.positions.get(feature) == "open" or says(words(step), "unshut"):
        return None
    for one in case.beside(step):
        is_before = case.index(one) <= case.index(step) and one.positions.get(feature) != _SHUT[feature]
        if is_before and _shuts(words(one), feature):
            return one
        is_set = one is not step and one.positions.get(feature) == _SHUT[feature]
        if is_set and case.index(one) < case.index(step) and one.action in _SETS:
            return one
    return None


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


def _is_shut(case: Case, feature: str, held: Held) -> bool:
    """Whether a feature is shut; a capped cable socket is no port that liquid or steam has to pass."""
    since = case.instruction.step(held.since)
    said = " ".join(words(step) for step in case.beside(since))
    is_socket = feature == "port" and says(said, "dry-socket")
    return _SHUT.get(feature) == held.position and not is_socket


def _evidence(feature: str) -> Evidence:
    return {"feature": feature, "position": _SHUT[feature]}


RULES = (
    flushed_with_way_out_shut,
    shut_while_cleaned,
    shut_in_bath,
    ratchet_engaged_in_steam,
    port_capped_in_steam,
    jaw_closed_in_steam,
    shut_for_transport,
    apart_or_together_in_steam,
    open_against_ratchet,
    moved_inside_pack,
)
