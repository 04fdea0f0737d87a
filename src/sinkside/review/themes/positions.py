"""Every moving feature through the steps: what each step needs, and what an earlier one left."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, FeatureKind, Stage, Step
from sinkside.instruction.positions import Held
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage, words
from sinkside.review.lexicon import clauses, references, says, sentences
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.shutting import SHUT, holds_way_out, is_shut, position_of, shut_in_words

#: What is done with a joint in the bath or the machine.
_IN_THE_MACHINE = CLEANING_ACTIONS | {Action.load}
#: Work that pushes liquid through and needs a way out at the far end.
_NEEDS_WAY_OUT = frozenset({Action.flush, Action.fill, Action.sonicate, Action.blow})
#: What puts a cap on a port, whatever it was read as.
_SETS = frozenset({Action.set_position, Action.load, Action.put_together})
_WHERE_FLUSHED = frozenset({Stage.point_of_use, Stage.preparation, Stage.cleaning, Stage.disinfection})
_NOT_CLEANED = frozenset({Stage.transport, Stage.packaging, Stage.sterilization, Stage.storage})
_NAMED = frozenset({"jaw", "ratchet"})
#: Words of a trial, of a filling that is to stay, or of a way out after all.
_NO_FLUSH = ("negation", "leak-words", "dry-socket", "only-if", "kept-full", "side-holes")
_MAY_BE_CLOSED = ("kept-full", "stays-dry-inside", "tries-it", "leak-words")
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
            is_shut = step.positions.get(feature) == SHUT[feature]
            if is_shut and not (feature == "port" and _port_is_no_lumens(case, step)):
                others = () if flush is step else (case.place(flush),)
                yield Trip(case.place(step), position_of(feature), others)
    yield from _shut_on_its_nozzle(case)
    yield from _flushed_shut_in_words(case)
    yield from _far_end_held(case)
    for step in case.steps:
        if step.action not in _NEEDS_WAY_OUT | {Action.connect} and not says(words(step), "connecting"):
            continue
        for feature in ("jaw", "port"):
            # What is shut in the words of another step under the same number stays shut for the flush.
            shutting = _shut_beside(case, step, feature)
            if shutting is not None and step.stage is Stage.cleaning:
                yield Trip(case.place(shutting), position_of(feature), (case.place(step),))


def _shut_on_its_nozzle(case: Case) -> Iterator[Trip]:
    """'Connected to a nozzle with the tap shut': of a device with one port, what is put on water is shut."""
    ports = [one for one in case.instruction.device.features if one.kind is FeatureKind.port]
    for step in case.doing(Action.connect, Action.load) if len(ports) <= 1 else ():
        said = words(step)
        connected = step.stage is Stage.cleaning and says(said, "connecting")
        if connected and shut_in_words(said, "port") and not _port_is_no_lumens(case, step):
            yield Trip(case.place(step), position_of("port"))


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
            if shut_in_words(passage.text, feature):
                yield Trip(passage.place, position_of(feature))


def _far_end_held(case: Case) -> Iterator[Trip]:
    """'Flush it with a fingertip on the cone': what is pushed in cannot leave; a test may do so."""
    for passage in case.sentences:
        if case.stage_of(passage) not in _WHERE_FLUSHED or not holds_way_out(passage.text):
            continue
        for clause in sentences(passage.text):
            pushes = says(clause, "pushes-through") and holds_way_out(clause)
            if pushes and not any(says(clause, sense) for sense in _NO_FLUSH):
                yield Trip(passage.place, {"feature": "way out", "position": "held shut"})
                break


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
        if stays and is_shut(case, feature, held):
            yield Trip(case.place(held.since), position_of(feature), (case.place(cleaning[0].step),))


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
            is_set = step.positions.get(feature) == SHUT[feature] and says(words(step), feature)
            if (is_set and not says(words(step), "unshut")) or shut_in_words(words(step), feature):
                yield Trip(case.place(step), position_of(feature))
                break
        capped = step.positions.get("port") == SHUT["port"] or shut_in_words(words(step), "port")
        into_machine = says(words(step), "machine-words") or says(words(step), "machine-washing")
        if capped and into_machine and not _port_is_no_lumens(case, step):
            yield Trip(case.place(step), position_of("port"))

    for passage in case.sentences:
        of_washing = [step for step in _steps_named(case, passage) if step.action in _IN_THE_MACHINE]
        is_note = passage.step is None or passage.step.action is Action.set_position
        for feature in ("jaw", "ratchet", "port") if of_washing and is_note else ():
            if shut_in_words(passage.text, feature):
                yield Trip(passage.place, position_of(feature), (case.place(of_washing[0]),))
                break
    yield from _brushed_shut(case)
    yield from _stoppered_in_the_bath(case)


def _stoppered_in_the_bath(case: Case) -> Iterator[Trip]:
    """Ways inside that are closed at their ends, empty, as they go into a bath."""
    for passage in case.sentences:
        if case.stage_of(passage) not in _WHERE_FLUSHED - {Stage.point_of_use}:
            continue
        for clause in clauses(passage.text):
            closed = all(says(clause, sense) for sense in ("closes-up", "ends-of-a-way"))
            closed = closed and (says(clause, "closes-with") or says(clause, "both-ends"))
            if not closed or any(says(clause, sense) for sense in ("negation", "unshut", "container-words")):
                continue
            wetted = says(passage.text, "about-to-be-wetted") or _is_bath_next(case, passage)
            if wetted and not any(says(passage.text, sense) for sense in _MAY_BE_CLOSED):
                yield Trip(passage.place, position_of("port"))
                break


def _is_bath_next(case: Case, passage: Passage) -> bool:
    """Whether the next work behind some words is a bath."""
    if passage.step is None:
        return False
    behind = case.steps[case.index(passage.step) + 1 :]
    other = next((step for step in behind if step.origin.text != passage.text), None)
    return other is not None and other.action in {Action.soak, Action.sonicate}


def _brushed_shut(case: Case) -> Iterator[Trip]:
    """Jaws that are brushed closed, face on face; and what a setting leaves shut for the wash."""
    for step in case.doing(Action.brush):
        is_closed = step.positions.get("jaw") == SHUT["jaw"] and says(words(step), "jaw")
        is_closed = is_closed or shut_in_words(words(step), "jaw")
        if step.stage is Stage.cleaning and is_closed and not says(words(step), "unshut"):
            yield Trip(case.place(step), position_of("jaw"))
    for one, other in itertools.pairwise(case.moments):
        for feature in _NAMED:
            is_set = (
                one.step.action is Action.set_position and one.step.positions.get(feature) == SHUT[feature]
            )
            is_here = is_set and one.step.stage is Stage.cleaning and other.step.stage is Stage.cleaning
            still = (held := other.during.get(feature)) and held.position == SHUT[feature]
            if (
                is_here
                and still
                and other.step.action in CLEANING_ACTIONS
                and _is_plainly_shut(one.step, feature)
            ):
                yield Trip(case.place(one.step), position_of(feature), (case.place(other.step),))


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
                if moment.during.get(feature) == Held(SHUT[feature], step.id):
                    yield Trip(case.place(step), position_of(feature))
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


def _shut_beside(case: Case, step: Step, feature: str) -> Step | None:
    """The step under the same number, in front of a flush, whose words shut its way out."""
    if step.positions.get(feature) == "open" or says(words(step), "unshut"):
        return None
    for one in case.beside(step):
        is_before = case.index(one) <= case.index(step) and one.positions.get(feature) != SHUT[feature]
        if is_before and shut_in_words(words(one), feature):
            return one
        is_set = one is not step and one.positions.get(feature) == SHUT[feature]
        if is_set and case.index(one) < case.index(step) and one.action in _SETS:
            return one
    return None


RULES = (
    flushed_with_way_out_shut,
    shut_while_cleaned,
    shut_in_bath,
    shut_for_transport,
    apart_or_together_in_steam,
    open_against_ratchet,
)
