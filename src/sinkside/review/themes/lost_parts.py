"""Single parts that get lost on the way: taken off and never put on, or named by no pack."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.findings import Level
from sinkside.instruction import Action, PartUse, Stage, Step
from sinkside.review.case import Case, Passage, words
from sinkside.review.inserted import lies_inside
from sinkside.review.lexicon import clauses, found, negated, says, singular
from sinkside.review.named import all_capitals, explained_capitals
from sinkside.review.once import single_use
from sinkside.review.rule import Theme, Trip, book, rule

_WHERE_OFF = frozenset({Stage.point_of_use, Stage.preparation, Stage.cleaning})
_WHERE_JOINED = frozenset({Stage.drying, Stage.inspection, Stage.maintenance, Stage.packaging, Stage.storage})
#: Where a part that is named is with the others; one that is looked at still lies by itself.
_WHERE_KEPT = frozenset({Stage.packaging, Stage.sterilization, Stage.storage})
_WHERE_TRIED = frozenset({Stage.inspection, Stage.maintenance})
_PACKS = (Stage.packaging, Stage.sterilization)

#: What stands behind these is where a part comes from, or what it is moved past.
_FROM = re.compile(
    r"\b(?:from|out of|off(?!\s*(?:[.,;:)]|$|toward|and\b))|of|onto|into|over|through|behind|until|so that|"
    r"square to|while|without|by)\b[^,;.]*?(?=,|;|\.|\band\b|$)",
    re.IGNORECASE,
)
_NOUN = re.compile(
    r"\b(?:the|its|an?)\s+(?P<words>[a-z-]+(?:\s(?!(?:off|out|up|down|and|in|on|at|to|toward|towards|from|with|first"
    r"|carefully|upward|upwards|is|are|by|for)\b)[a-z-]+){0,3})(?:\s+\(?(?P<letter>[A-Z])\)?(?!\w))?"
)
#: "Spann nut against the stop release and remove": a sentence with its verb at the end, as glosses have it.
_VERB_LAST = re.compile(
    r"^\W*(?P<words>[A-Z][\w-]+(?:\s[a-z-]+)?)(?:\s+\(?(?P<letter>[A-Z])\)?(?!\w))?\b"
    r"(?=.*\b(?:remove|removed|taken off|pull off)\W*$)"
)
#: "Turn the nut and draw the insert out": what is only moved to let another thing go stays on.
_LETS_GO = re.compile(
    r"\b(?:turn|loosen|release|undo|open|press|push|squeeze|slacken|rotate)\s+(?:the|its|a)\s+"
    r"(?:[\w-]+\s+){1,3}?(?=and\b|to\b|until\b|,)",
    re.IGNORECASE,
)
#: "Put together a rasp" has one thing joined, and not all.
_ONE_THING = re.compile(r"\b(?:put together|assemble)\s+an?\s", re.IGNORECASE)
_STAYS = ("only-cover", "put-into", "fills-a-lumen", "pressed", "single-use", "soil", "outer-side")
_FEWEST_PARTS = 2


def _is_row(text: str) -> bool:
    """Whether words stand in a row of a table."""
    return text.startswith("|")


@dataclass(frozen=True)
class _Off:
    """A part that a sentence takes off: what it is called, and the pattern of its name."""

    name: str
    called: re.Pattern[str]
    step: Step

    def is_in(self, text: str) -> bool:
        """Whether words name it."""
        return self.called.search(text) is not None


@rule(
    Theme.parts,
    Level.concern,
    title="A part that comes off is not put on again.",
    message="{part} comes off here. Other parts are put together again, and nothing puts {part} back.",
    remedy="Ask the maker where {part} goes back, or whether it stays off.",
    source=book("iso-17664-1"),
)
def part_not_put_back(case: Case) -> Iterator[Trip]:
    """Parts by letter or name that come off, where later sentences join others of them by letter or name."""
    off = list(_taken_off(case))
    joins = [p for p in case.sentences if _joins(case, p)]
    named = [p for p in joins if any(one.is_in(p.text) for one in off)]
    if len(off) < _FEWEST_PARTS or not named or any(_joins_all(case, p) for p in case.sentences):
        return
    # "Refit T and B" may name by its letter what came off by its name.
    lettered = any(_lettered(case) & all_capitals(p.text) for p in joins)
    for one in off:
        behind = [p for p in case.sentences if _is_behind(p, one.step)]
        if not any(one.is_in(p.text) and _is_accounted_for(case, p, one) for p in behind):
            # What has no letter may come back under another name.
            unknown = not one.name.isupper() and (lettered or not says(one.name, "belongs-on"))
            yield Trip(case.place(one.step), {"part": one.name}, (named[-1].place,), doubtful=unknown)


@rule(
    Theme.parts,
    Level.concern,
    title="A part is lost on the way to the sterilizer: no step of a stage names it.",
    message="The steps of {stage} name {named} and not {part}.",
    remedy="Ask the maker how {part} is packed and sterilized.",
    source=book("iso-17664-1"),
)
def part_not_packed(case: Case) -> Iterator[Trip]:
    """Reusable parts by letter that were cleaned, where packing or sterilizing names others of them only."""
    letters = _lettered(case)
    handled = {one for step in case.steps if step.stage not in _PACKS for one in step.on} & letters
    told: set[str] = set()
    for stage in _PACKS:
        steps = [step for step in case.steps if step.stage is stage and step.action in _ACTIONS[stage]]
        # A remark below the table on wet packs packs nothing.
        steps = [step for step in steps if _is_row(words(step))] or steps
        packed = {one for step in steps for one in set(step.on) & letters}
        is_whole = any(not set(step.on) & letters or _is_of_all(step) for step in steps)
        if len(letters) <= _FEWEST_PARTS or len(packed) < _FEWEST_PARTS or is_whole:
            continue
        joined = _joined_to(case, packed, case.index(steps[0]))
        on_others = {p.id for p in case.instruction.device.parts if says(p.name, "belongs-on")}
        on_others = on_others if joined is None or joined else set()
        on_others |= {p.id for p in case.instruction.device.parts if says(p.name, "cap-words")}
        for lost in sorted(handled - packed - (joined or set()) - on_others - told):
            told.add(lost)
            evidence = {"stage": stage.value, "named": ", ".join(sorted(packed)), "part": lost}
            yield Trip(case.place(steps[0]), evidence, tuple(case.place(step) for step in steps[1:]))


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="What fills a lumen lies in it in the pack.",
    message="{part} fills the lumen in the pack, where steam and air must pass.",
    remedy="Ask the maker whether the device is sterilized with {part} in place; else it lies beside.",
    source=book("iso-17664-1"),
)
def lumen_filled_in_pack(case: Case) -> Iterator[Trip]:
    """Stylets and the like, by name or letter, that go into something in words of packing."""
    called = {p.id for p in case.instruction.device.parts if says(p.name, "fills-a-lumen") and p.id.isupper()}
    yield from _left_in_when_tried(case)
    for passage in case.sentences:
        # "Slide the stylet back in and pack the two" was read as putting together.
        is_packed = case.stage_of(passage) in _WHERE_TRIED and says(passage.text, "packs-words")
        if case.stage_of(passage) not in _PACKS and not is_packed:
            continue
        if part := lies_inside(passage.text):
            yield Trip(passage.place, {"part": part})
            continue
        if not says(passage.text, "goes-inside-it"):
            continue
        for clause in clauses(passage.text):
            named = found(clause, "fills-a-lumen") or frozenset(
                one for one in called if re.search(rf"(?<![\w°.-]){re.escape(one)}(?![\w-])", clause)
            )
            is_denied = any(says(clause, s) for s in ("negation", "apart-words", "after-steam", "unshut"))
            if named and says(clause, "goes-inside-it") and not is_denied:
                yield Trip(passage.place, {"part": min(named)})


def _left_in_when_tried(case: Case) -> Iterator[Trip]:
    """What words of testing and care leave inside, where nothing takes it out before the pack is closed."""
    before = ""
    for passage in case.sentences:
        if case.stage_of(passage) not in _WHERE_TRIED:
            before = passage.text
            continue
        part = lies_inside(passage.text) if says(passage.text, "stays-words") else None
        if says(passage.text, "leave-it-there") and not says(passage.text, "negation"):
            part = part or min(found(before, "fills-a-lumen"), default=None)
        before = passage.text
        if part and not any(
            _is_behind_words(other, passage)
            and (says(other.text, "comes-out-again") or says(other.text, "apart-words"))
            for other in case.sentences
        ):
            yield Trip(passage.place, {"part": part})


def _is_behind_words(passage: Passage, other: Passage) -> bool:
    """Whether a sentence stands on a later line than another."""
    return (passage.place.page or 0, passage.place.line or 0) > (other.place.page or 0, other.place.line or 0)


def _is_of_all(step: Step) -> bool:
    """Whether a step says that it is for the whole set; "lay the parts apart" in a row of K and H is not."""
    return says(words(step), "every-piece" if _is_row(words(step)) else "whole-set")


def _joined_to(case: Case, packed: set[str], at: int) -> set[str] | None:
    """What was put onto or into a part and goes with it; None where no step in front puts any together.

    What is taken apart again in front of the packing goes by itself.
    """
    joined: set[str] | None = None
    for step in case.steps[:at]:
        if step.action is Action.put_together and set(step.on) & packed:
            joined = (joined or set()) | set(step.on)
        elif step.action is Action.take_apart and joined is not None:
            joined = set()
    return joined


_ACTIONS = {
    Stage.packaging: frozenset({Action.pack, Action.load}),
    Stage.sterilization: frozenset({Action.sterilize}),
}


def _lettered(case: Case) -> set[str]:
    """The letters of the parts that are used again, whatever list or sentence says of the others."""
    once = {part.id for part in single_use(case)}
    reusable = (p for p in case.instruction.device.parts if p.use is PartUse.reusable)
    explained = frozenset().union(*(explained_capitals(passage.text) for passage in case.sentences))
    return ({part.id for part in reusable if part.id.isupper()} | explained) - once


def _taken_off(case: Case) -> Iterator[_Off]:
    """What comes off in the steps before and during cleaning, each part once, where it first comes off."""
    seen: set[str] = set()
    letters = _lettered(case)
    for step in case.doing(Action.take_apart):
        said = words(step)
        if step.stage not in _WHERE_OFF or says(said, "once-more") or negated(said, "taking-off"):
            continue
        moved = _FROM.sub(" ", _LETS_GO.sub(" ", said))
        for letter in sorted(letters):
            called = re.compile(rf"(?<![\w°.-]){re.escape(letter)}(?![\w.-]*\w)")
            if letter not in seen and called.search(moved):
                seen.add(letter)
                yield _Off(letter, called, step)
        for name in _things(moved, letters):
            if name not in seen:
                seen.add(name)
                yield _Off(f"the {name}", _by_noun(name), step)


def _things(moved: str, letters: set[str]) -> Iterator[str]:
    """Components without a letter that words move."""
    for match in itertools.chain(_NOUN.finditer(moved), _VERB_LAST.finditer(moved)):
        head = match["words"].split()[-1]
        is_part = says(head, "component") or says(head, "small-part")
        is_named = match["letter"] in letters
        if is_part and not is_named and not any(says(match["words"], sense) for sense in _STAYS):
            yield singular(head)


def _by_noun(name: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![\w-]){re.escape(name)}(?:s|es)?(?![\w-])", re.IGNORECASE)


def _joins(case: Case, passage: Passage) -> bool:
    """Whether a sentence behind the cleaning puts something on something."""
    is_step = passage.step is not None and passage.step.action in {Action.put_together, Action.connect}
    is_told = says(passage.text, "joining") and not says(passage.text, "put-into")
    return case.stage_of(passage) in _WHERE_JOINED and (is_step or is_told)


def _joins_all(case: Case, passage: Passage) -> bool:
    """Whether a sentence has the whole device put together without naming its parts."""
    if case.stage_of(passage) not in _WHERE_JOINED or not says(passage.text, "assembles-whole"):
        return False
    if _ONE_THING.search(passage.text):
        return False
    letters = {part.id for part in case.instruction.device.parts if part.id.isupper()}
    named = re.findall(r"(?<![\w°.-])[A-Z](?![\w.-]*\w)", passage.text)
    return not (set(named) & letters) and len(found(passage.text, "component")) < _FEWEST_PARTS


def _is_behind(passage: Passage, step: Step) -> bool:
    """Whether a sentence stands behind a step, and is none that takes things off as well."""
    if passage.text == words(step):
        return False
    here = (step.origin.page or 0, step.origin.line or 0)
    is_off = passage.step is not None and passage.step.action is Action.take_apart
    return (passage.place.page or 0, passage.place.line or 0) >= here and not is_off


def _is_accounted_for(case: Case, passage: Passage, part: _Off) -> bool:
    """Whether words say what becomes of a part: it is joined, packed, replaced, thrown away or stays off."""
    if case.stage_of(passage) in _WHERE_KEPT or _joins(case, passage):
        return True
    # In a row each cell speaks for itself: "V, C | new detergent" renews no V.
    is_row = passage.text.startswith("|")
    mine = [clause for clause in clauses(passage.text) if not is_row or part.is_in(clause)]
    # "A split ring is replaced" puts back none that is whole.
    mine = [clause for clause in mine if not says(clause, "only-when-damaged")]
    told = any(says(clause, sense) for clause in mine for sense in _BECOMES)
    return told and not says(passage.text, "taking-off")


_BECOMES = ("single-use", "new-part", "stays-off", "replaced")

RULES = (part_not_put_back, part_not_packed, lumen_filled_in_pack)
