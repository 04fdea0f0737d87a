"""Parts that come off, that nobody may lose, and the three kinds of single use."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Level
from sinkside.instruction import Action, FeatureKind, PartUse, Stage, Step
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage, words
from sinkside.review.lexicon import clauses, found, in_front_of, says, without
from sinkside.review.named import is_discarded_on_condition
from sinkside.review.numbered import named_by_number
from sinkside.review.rule import Theme, Trip, book, rule

_CLEANS = frozenset({Stage.cleaning, Stage.disinfection})
_STERILIZES = frozenset({Action.sterilize, Action.pack})
_WHERE_APART = frozenset({Stage.preparation, Stage.cleaning, Stage.point_of_use})
_WHERE_TRIED = frozenset({Stage.inspection, Stage.maintenance})
_NOT_CLEANED = ("removal", "replaced", "negation", "new-part")

#: "The seal cap on the port is for": what a sentence on single use is about.
_ITS_SUBJECT = re.compile(
    r"(?:(?:the|each|every|all)\s+)?((?:[a-z]+[\s-]){0,2}[a-z]+)(?:\s+(?:on|of|in|at|inside|behind|around)\s+"
    r"(?:the\s+|a\s+)?[a-z\s]{2,30})?\s+(?:is|are|come|comes|leave|leaves)\b[^,]*$",
    re.IGNORECASE,
)

#: "a sealing cap, which is intended for", "a sheath cap C (": the noun in front is meant.
_RELATIVE = re.compile(
    r"\b(?:a|an|the|its|one)\s+((?:[a-z]+[\s-])?[a-z]+),?\s+(?:which|that)\s+(?:is|are)\b[^,]*$",
    re.IGNORECASE,
)
_IN_BRACKETS = re.compile(r"\b((?:[a-z]+[\s-])?[a-z]+)(?:\s[A-Z])?\s*\([^)]*$")

#: "Twist drills: for single use."
_BEFORE_COLON = re.compile(r"^\W*([A-Z][a-z]+(?:\s[a-z]+){0,2}):\s*(?:for|a)?\s*$")

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


@dataclass(frozen=True)
class _SingleUse:
    """A part that is never cleaned, and the words that stand for it."""

    id: str
    name: str
    use: PartUse
    called: re.Pattern[str]


@rule(
    Theme.parts,
    Level.stop,
    title="A single-use part is cleaned or put back.",
    message="The {part} is for single use and is to be cleaned or put back here.",
    remedy="Get the maker's written answer: is the {part} discarded after use, or processed? "
    "Until then it is discarded.",
)
def single_use_part_used_again(case: Case) -> Iterator[Trip]:
    """Work on a single-use part, by name or letter, and sentences that say to clean it or to put it back."""
    for part in single_use(case):
        said_single_use = [p.place for p in case.passages if _says_single_use(p, part)]
        for passage in case.passages:
            worked_on = passage.step is not None and _is_worked_on(case, passage.step, part)
            if worked_on or any(_asks_again(clause, part) for clause in clauses(passage.text)):
                others = tuple(place for place in said_single_use if place.text != passage.place.text)
                yield Trip(passage.place, {"part": part.name}, others)


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
        renewed = any(_is_called(p.text, part) and says(p.text, "renewed-part") for p in case.passages)
        if not said or renewed or part.use is PartUse.sterile_at_field:
            continue
        for step in case.doing(Action.put_together):
            is_late = step.stage in _WHERE_TRIED or step.stage is Stage.packaging
            if is_late and _is_called(words(step), part) and not _is_denied(step) and not step.condition:
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
            discarded = any(part.id in step.on for step in case.doing(Action.discard_part))
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
            spoken_of = any(_is_called(p.text, part) and says(p.text, "new-part") for p in case.passages)
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
        joined = [
            p
            for p in case.sentences[_at(case, step) + 1 :]
            if p.text not in before and says(p.text, "joining") and not says(p.text, "put-into")
            if _is_whole_or(p.text, off)
        ]
        tried = [p for p in tests if case.sentences.index(p) > 0 and p.text not in before]
        if off and tried and not joined:
            # What is used in the operation alone may lie apart where the test is of something else.
            of_others = bool(found(tried[0].text, "component")) and not _is_whole_or(tried[0].text, off)
            is_doubt = step.stage is Stage.point_of_use and of_others
            yield Trip(case.place(step), {}, (tried[0].place,), doubtful=is_doubt)
            return


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


def single_use(case: Case) -> Iterator[_SingleUse]:
    """What is never cleaned: by the part list, by a feature, or by a sentence that says so of a part."""
    device = case.instruction.device
    known: set[str] = set()
    for part in device.parts:
        called = _pattern(case, part.id, part.name)
        said = _SingleUse(part.id, part.name, part.use, called)
        by_words = any(
            _is_called(clause, said) and _is_once(clause)
            for passage in case.sentences
            for clause in clauses(passage.text)
        )
        if by_words or (part.use is not PartUse.reusable and not is_discarded_on_condition(case, called)):
            known.add(part.id)
            use = PartUse.discard_after_use if part.use is PartUse.reusable else part.use
            yield _SingleUse(part.id, part.name, use, called)
    for name in _said_of(case) - {part.name.lower() for part in device.parts}:
        yield _SingleUse(name, name, PartUse.discard_after_use, _by_words(case, name))
    for feature in device.features:
        if feature.kind is FeatureKind.single_use_part and feature.part not in known and feature.name:
            called = _pattern(case, feature.id, feature.name)
            yield _SingleUse(feature.id, feature.name, PartUse.discard_after_use, called)


def _is_once(clause: str) -> bool:
    """Whether a clause says that something serves once, or is never used again."""
    is_denied = says(clause, "negation") and not says(clause, "never-again")
    return (says(clause, "single-use-strict") or says(clause, "never-again")) and not is_denied


def _said_of(case: Case) -> set[str]:
    """Components that sentences call single-use, where no list of parts names them."""
    named = set()
    for passage in case.passages:
        for clause in clauses(passage.text):
            sense = "never-again" if says(clause, "never-again") else "single-use-strict"
            if not says(clause, sense) or (sense != "never-again" and says(clause, "negation")):
                continue
            match = _ITS_SUBJECT.match(_up_to_its_verb(in_front_of(clause, sense)))
            if match and says(match[1].split()[-1], "component"):
                named.add(match[1].lower())
            for pattern in (_RELATIVE, _IN_BRACKETS):
                match = pattern.search(in_front_of(passage.text, sense))
                if match and says(match[1].split()[-1], "component"):
                    named.add(match[1].lower())
        if match := _BEFORE_COLON.match(in_front_of(passage.text, "single-use-strict")):
            named.add(match[1].lower())
    return named


def _up_to_its_verb(said: str) -> str:
    """What stands in front of "must", with the verb that the pattern of a subject wants."""
    subject, verb, _ = said.partition(" must")
    return f"{subject} is" if verb else said


def _pattern(case: Case, part_id: str, name: str) -> re.Pattern[str]:
    """The words that stand for a part: name, letter, and the last word of its name if no other has it."""
    device = case.instruction.device
    names = [part.name.lower() for part in device.parts if part.id != part_id]
    names += [feature.name.lower() for feature in device.features if feature.id != part_id]
    mine = name.lower().split()[-1:]
    names = [other for other in names if [other.removesuffix("s")] != [one.removesuffix("s") for one in mine]]
    spellings = [rf"(?i:{re.escape(name)})"] if name else []
    last = name.lower().split()[-1] if " " in name else ""
    if last and not any(last.removesuffix("s") in other for other in names):
        spellings.append(rf"(?i:{re.escape(last.removesuffix('s'))}s?)")
    if part_id.isupper():
        spellings.append(re.escape(part_id))
    return re.compile(rf"(?<!\w)(?:{'|'.join(spellings)})(?!\w)")


def _by_words(case: Case, name: str) -> re.Pattern[str]:
    """The words that stand for a thing that no list names; its last word alone where no other has it."""
    first, _, last = name.rpartition(" ")
    others = re.compile(rf"\b([a-z-]+)[\s-]{re.escape(last.removesuffix('s'))}s?\b", re.IGNORECASE)
    in_front = {one.lower() for passage in case.passages for one in others.findall(passage.text)}
    if not first or any(not says(one, "names-no-other") for one in in_front - {first.split()[-1]}):
        return re.compile(rf"(?<!\w){re.escape(name)}(?!\w)", re.IGNORECASE)
    return _pattern(case, name, name)


def _is_called(text: str, part: _SingleUse) -> bool:
    return part.called.search(text) is not None


def _says_single_use(passage: Passage, part: _SingleUse) -> bool:
    told = any(says(passage.text, sense) for sense in ("single-use", "single-use-strict", "never-again"))
    return _is_called(passage.text, part) and told


def _is_worked_on(case: Case, step: Step, part: _SingleUse) -> bool:
    """Whether a step cleans the part, or sterilizes what is discarded after use."""
    said = words(step)
    works = step.action in CLEANING_ACTIONS or step.action is Action.disinfect
    works = works or (step.action is Action.load and step.stage is Stage.cleaning)
    if works and any(_is_called(name, part) for name in named_by_number(case, said)):
        return not any(says(said, sense) for sense in _NOT_CLEANED)
    if part.use is PartUse.discard_after_use:
        works = works or step.action in _STERILIZES
    is_named = (part.id in step.on or part.id == part.name) and _is_called(said, part)
    # "Suck water through and drop the diaphragm in the waste" cleans no diaphragm.
    pieces = _PIECES.split(said)
    if any(_is_called(piece, part) and says(piece, "throws-away") for piece in pieces):
        return False
    return works and is_named and not any(says(said, sense) for sense in _NOT_CLEANED)


def _asks_again(clause: str, part: _SingleUse) -> bool:
    """Whether a clause asks to clean the part or to put it back; "taken out, cleaned and refitted" does."""
    # "Seals that are still tight may serve again": of several of them only where they are said to be old.
    several = rf"(?<!\w){re.escape(part.name)}e?s(?!\w)"
    is_called = _is_called(clause, part) or (
        says(clause, "still-good") and re.search(several, clause, re.IGNORECASE) is not None
    )
    if not is_called or not says(clause, "used-again"):
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
