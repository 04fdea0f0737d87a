"""Parts that come off, that nobody may lose, and the three kinds of single use."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, PartUse, Stage, Step
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage, words
from sinkside.review.lexicon import clauses, found, says, without
from sinkside.review.named import all_capitals
from sinkside.review.numbered import named_by_number
from sinkside.review.once import SingleUse, is_called, letters_of, single_use
from sinkside.review.rule import Theme, Trip, book, rule

_CLEANS = frozenset({Stage.cleaning, Stage.disinfection})
_STERILIZES = frozenset({Action.sterilize, Action.pack})
_WHERE_APART = frozenset({Stage.preparation, Stage.cleaning, Stage.point_of_use})
_WHERE_TRIED = frozenset({Stage.inspection, Stage.maintenance})
_NOT_CLEANED = ("removal", "replaced", "negation", "new-part")

#: Where a sentence begins to take something off, and from what.
_TAKES_OFF = re.compile(
    r"\b(?:pull|take|lift|unscrew|turn|draw|slide|remove|detach|unclip|separate|unplug)\b", re.IGNORECASE
)
_COMES_FROM = re.compile(
    r"\b(?:from|out of|off|of)\s+(?:the\s+|its\s+|both\s+|each\s+)[a-z\s-]+", re.IGNORECASE
)

_PIECES = re.compile(r"[,;.]\s|\band\b|\bthen\b")
_FEWEST_STEPS = 3
_FEWEST_PARTS = 2


@rule(
    Theme.parts,
    Level.stop,
    title="A single-use part is cleaned or put back.",
    message="The {part} is for single use and is to be cleaned or put back here.",
    remedy="Get the maker's written answer: is the {part} discarded after use, or processed? "
    "Until then it is discarded.",
)
def single_use_part_used_again(case: Case) -> Iterator[Trip]:
    """Work on a single-use part, by name or letter, and sentences that say to clean it or to put it back.

    A part is told once, at the first of these, with the others beside it.
    """
    for part in single_use(case):
        said_single_use = [p.place for p in case.passages if _says_single_use(p, part)]
        again = [passage.place for passage in case.passages if _is_used_again(case, passage, part)]
        if again:
            beside = (*said_single_use, *again[1:])
            others = tuple(place for place in beside if place.text != again[0].text)
            # That a new one is fitted may have been read from words on a worn one.
            is_unsure = part.use is PartUse.new_at_assembly and not said_single_use
            yield Trip(again[0], {"part": part.name}, others, unsure=is_unsure)


def _is_used_again(case: Case, passage: Passage, part: SingleUse) -> bool:
    worked_on = passage.step is not None and _is_worked_on(case, passage.step, part)
    return worked_on or any(_asks_again(clause, part) for clause in clauses(passage.text))


@rule(
    Theme.parts,
    Level.concern,
    title="A part for one use is put together with the cleaned parts.",
    message="The {part} is for one use, and goes in here after cleaning without being a new one.",
    remedy="Ask the maker whether a new {part} goes in here.",
    source=book("iso-17664-1"),
)
def single_use_part_put_in(case: Case) -> Iterator[Trip]:
    """Putting together that names a single-use part, in a text that speaks of no new one."""
    for part in single_use(case):
        said = [p for p in case.passages if _says_single_use(p, part)]
        renewed = any(is_called(p.text, part) and says(p.text, "renewed-part") for p in case.passages)
        if not said or renewed or part.use is PartUse.sterile_at_field:
            continue
        for step in case.doing(Action.put_together):
            is_late = step.stage in _WHERE_TRIED or step.stage is Stage.packaging
            if is_late and is_called(words(step), part) and not _is_denied(step) and not step.condition:
                yield Trip(case.place(step), {"part": part.name}, tuple(p.place for p in said))
                break


@rule(
    Theme.parts,
    Level.concern,
    title="Nothing says when a single-use part is discarded.",
    message="The {part} is discarded after use, but no step says where.",
    remedy="Ask the maker where the {part} is taken off and discarded.",
)
def single_use_part_never_discarded(case: Case) -> Iterator[Trip]:
    """Parts to be discarded after use that no step and no sentence discards."""
    for part in single_use(case):
        if part.use is PartUse.discard_after_use and part.id != part.name:
            letters = letters_of(case, part)
            discarded = any(
                part.id in step.on or letters & all_capitals(words(step))
                for step in case.doing(Action.discard_part)
            )
            if not discarded and not any(_says_single_use(passage, part) for passage in case.passages):
                yield Trip(case.heading_for(Stage.preparation), {"part": part.name})


@rule(
    Theme.parts,
    Level.note,
    title="A part that is new at every assembly is never put in.",
    message="The {part} is to be new at every assembly, and nothing says where it goes in.",
    remedy="Ask the maker where the new {part} is put in.",
)
def new_part_never_put_in(case: Case) -> Iterator[Trip]:
    """Parts that are new at assembly where no step replaces them and no words speak of a new one."""
    for part in single_use(case):
        if part.use is PartUse.new_at_assembly:
            replaced = any(part.id in step.on for step in case.doing(Action.replace_part))
            spoken_of = any(is_called(p.text, part) and says(p.text, "new-part") for p in case.passages)
            if not replaced and not spoken_of:
                yield Trip(case.heading_for(Stage.packaging), {"part": part.name})


@rule(
    Theme.parts,
    Level.concern,
    title="What is taken apart is never put together again.",
    message="The device is taken apart here and no step puts it together or says that it stays apart.",
    remedy="Ask the maker where the device is put together: before packing, or at the field.",
)
def never_put_together(case: Case) -> Iterator[Trip]:
    """Taking apart without putting together, where no words speak of assembling.

    It is more than a doubt where known parts come off and a test of function needs them together.
    """
    apart = [step for step in case.doing(Action.take_apart) if not _only_opens(step)]
    said = case.mentions("assembling") or any("part" in step.positions for step in case.steps)
    said = said or any(says(heading.text, "assembling") for heading in case.instruction.headings)
    if apart and not case.doing(Action.put_together) and not said:
        reusable = {p.id for p in case.instruction.device.parts if p.use is PartUse.reusable}
        off = [step for step in apart if not _is_denied(step)]
        comes_off = [s for s in off if set(s.on) & reusable or _what_comes_off(words(s))]
        joined = any(
            says(p.text, "joining") and not says(p.text, "put-into") and case.stage_of(p) in _WHERE_TRIED
            for p in case.sentences
        )
        tried = case.doing(Action.test) or case.mentions("works-when-whole")
        is_sure = bool(len(reusable) >= _FEWEST_PARTS and comes_off and tried) and not joined
        yield Trip(case.place((comes_off or apart)[0]), doubtful=not is_sure)
    else:
        yield from _tried_in_pieces(case)


@rule(
    Theme.parts,
    Level.concern,
    title="A device is put together again that was never taken apart.",
    message="The device is put together again here, and nothing says that it comes apart.",
    remedy="Ask the maker where and how the device is taken apart before cleaning.",
    source=book("iso-17664-1"),
)
def never_taken_apart(case: Case) -> Iterator[Trip]:
    """Reassembling in a text that never takes anything apart, off or out."""
    again = [step for step in case.doing(Action.put_together) if says(words(step), "again")]
    if again and not case.doing(Action.take_apart) and not case.mentions("taking-apart", "removal"):
        yield Trip(case.place(again[0]))


@rule(
    Theme.parts,
    Level.concern,
    title="A part is lost on the way: no step of a stage names it.",
    message="Every step of {stage} names its parts, and none names {part}.",
    remedy="Ask the maker how {part} is processed.",
    source=book("iso-17664-1"),
)
def part_left_out(case: Case) -> Iterator[Trip]:
    """Reusable parts that no cleaning step is for, where each cleaning step says which parts it is for."""
    parts = [part for part in case.instruction.device.parts if part.use is PartUse.reusable]
    ids = {part.id for part in parts}
    steps = [step for step in case.steps if step.stage is Stage.cleaning and step.action in CLEANING_ACTIONS]
    if len(steps) < _FEWEST_STEPS or len(parts) < _FEWEST_PARTS:
        return
    if all(ids & set(step.on) for step in steps):
        named = {part_id for step in case.steps if step.stage in _CLEANS for part_id in step.on}
        for part in parts:
            if part.id not in named:
                off = [step for step in case.steps[: case.index(steps[0])] if part.id in step.on][-1:]
                places = [case.place(step) for step in (*off, steps[0])]
                evidence = {"stage": Stage.cleaning.value, "part": part.name}
                yield Trip(places[0], evidence, tuple(places[1:]))


def _tried_in_pieces(case: Case) -> Iterator[Trip]:
    """Things that come off by name and that no sentence puts on again, where a test needs them whole."""
    apart = [s for s in case.doing(Action.take_apart) if s.stage in _WHERE_APART and not _is_denied(s)]
    # "Draw it out again" says that it had been put in.
    apart = [step for step in apart if not says(words(step), "once-more")]
    tests = [
        p for p in case.sentences if case.stage_of(p) in _WHERE_TRIED and says(p.text, "works-when-whole")
    ]
    if not apart or not tests or case.mentions("put-together-anywhere"):
        return
    before = [p.text for p in case.sentences if p.step is not None and p.step in apart]
    for step in apart:
        # A stylet only fills a lumen while it is used, and lies beside it in the pack.
        alone = says(words(step), "fills-a-lumen") or _only_opens(step)
        off = frozenset() if alone else _what_comes_off(words(step))
        tried = [p for p in tests if case.sentences.index(p) > 0 and p.text not in before]
        if off and tried and not _is_joined_again(case, step, off, before):
            # What is used in the operation alone may lie apart where the test is of something else.
            of_others = bool(found(tried[0].text, "component")) and not _is_whole_or(tried[0].text, off)
            is_doubt = step.stage is Stage.point_of_use and of_others
            yield Trip(case.place(step), {}, (tried[0].place,), doubtful=is_doubt)
            return


def _is_joined_again(case: Case, step: Step, off: frozenset[str], before: list[str]) -> bool:
    """Whether words below a step, or a later step, put on again what it takes off.

    In newspaper columns what comes later may stand higher up.
    """
    by_words = any(
        passage.text not in before
        and says(passage.text, "joining")
        and not says(passage.text, "put-into")
        and _is_whole_or(passage.text, off)
        for passage in case.sentences[_at(case, step) + 1 :]
    )
    return by_words or any(
        later.action is Action.put_together and _is_whole_or(words(later), off)
        for later in case.steps[case.index(step) + 1 :]
    )


def _only_opens(step: Step) -> bool:
    """Whether nothing but a cap or plug comes off its port: the device works without it."""
    off = _what_comes_off(words(step))
    return bool(off) and all(says(part, "cap-words") for part in off)


def _what_comes_off(said: str) -> frozenset[str]:
    """The components that a sentence takes off; what they come from, and what is pressed for it, stays."""
    match = _TAKES_OFF.search(said)
    behind = _COMES_FROM.sub(" ", said[match.start() :]) if match else said
    return frozenset(one for one in found(behind, "component") if not says(one, "pressed"))


def _at(case: Case, step: Step) -> int:
    """Where the words of a step stand among the sentences."""
    return next((n for n, one in enumerate(case.sentences) if one.text == words(step)), 0)


def _is_whole_or(text: str, off: frozenset[str]) -> bool:
    """Whether words name one of some things, in one or many, or the device as a whole."""
    named = {word.removesuffix("s") for word in found(text, "component")}
    return says(text, "whole-device") or bool(named & {word.removesuffix("s") for word in off})


def _says_single_use(passage: Passage, part: SingleUse) -> bool:
    told = any(says(passage.text, sense) for sense in ("single-use", "single-use-strict", "never-again"))
    return is_called(passage.text, part) and told


def _is_worked_on(case: Case, step: Step, part: SingleUse) -> bool:
    """Whether a step cleans the part, or sterilizes what is discarded after use."""
    said = words(step)
    works = step.action in CLEANING_ACTIONS or step.action is Action.disinfect
    works = works or (step.action is Action.load and step.stage is Stage.cleaning)
    if works and any(is_called(name, part) for name in named_by_number(case, said)):
        return not any(says(said, sense) for sense in _NOT_CLEANED)
    if part.use is PartUse.discard_after_use:
        works = works or step.action in _STERILIZES
    is_named = (part.id in step.on or part.id == part.name) and is_called(said, part)
    # "Suck water through and drop the diaphragm in the waste" cleans no diaphragm.
    pieces = _PIECES.split(said)
    if any(is_called(piece, part) and says(piece, "throws-away") for piece in pieces):
        return False
    return works and is_named and not any(says(said, sense) for sense in _NOT_CLEANED)


def _asks_again(clause: str, part: SingleUse) -> bool:
    """Whether a clause asks to clean the part or to put it back; "taken out, cleaned and refitted" does."""
    # "Seals that are still tight may serve again": of several of them only where they are said to be old.
    several = rf"(?<!\w){re.escape(part.name)}e?s(?!\w)"
    is_named = is_called(clause, part) or (
        says(clause, "still-good") and re.search(several, clause, re.IGNORECASE) is not None
    )
    if not is_named or not says(clause, "used-again"):
        return False
    if says(clause, "surely-again"):
        # "Hook it in again after cleaning" renews nothing.
        renewed = says(without(clause, "around-cleaning"), "replaced")
        return not (renewed or says(clause, "negation") or says(clause, "new-part"))
    return not any(says(clause, sense) for sense in ("negation", "removal", "replaced", "single-use"))


def _is_denied(step: Step) -> bool:
    return says(words(step), "negation")


RULES = (
    single_use_part_used_again,
    single_use_part_put_in,
    single_use_part_never_discarded,
    new_part_never_put_in,
    never_put_together,
    never_taken_apart,
    part_left_out,
)
