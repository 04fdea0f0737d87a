"""Pieces of a device: told as one and taken apart, counted, kept together, thrown away and used again."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage
from sinkside.instruction.part_letters import letters_alone
from sinkside.review.case import CLEANING_ACTIONS, Case, Passage
from sinkside.review.lexicon import found, says, sentences, singular
from sinkside.review.rule import Theme, Trip, book, rule

_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_PIECES = r"(?:pieces|parts|components|items)"
_NUMBER = rf"(?P<number>\d{{1,2}}|{'|'.join(_NUMBERS)})"
_COUNT = re.compile(
    rf"^(?:in all\s+|=\s*)?{_NUMBER}\s+(?:single\s+|loose\s+|separate\s+)?{_PIECES}\W*$", re.IGNORECASE
)
#: "You now have three pieces: barrel, ring and tubing."
_COUNTED_LIST = re.compile(rf"\b{_NUMBER}\s+(?:[a-z]+\s+)?{_PIECES}:\s+(?P<list>[^.;:()]+)", re.IGNORECASE)
_CLAUSES = re.compile(r"[,;:]\s+|\s+and\s+(?=(?:drop|throw|discard|put|bin|dispose)\b)")
_LIST_ENDS = re.compile(r",\s*(?:and\s+)?|\s+and\s+")
_FEWEST = 2
_MOST_WORDS_OF_A_PART = 4
_EARLY = frozenset({Stage.point_of_use, Stage.preparation, Stage.transport})
_WHERE_WORKED_ON = frozenset(
    {Stage.point_of_use, Stage.preparation, Stage.cleaning, Stage.inspection, Stage.packaging}
)
_HANDLED = CLEANING_ACTIONS | {Action.load, Action.sterilize}
#: "Unscrew the footplate", "drop the two grub screws": the thing that is moved.
_MOVED = re.compile(
    r"\b(?:the|its|an?|both|each)\s+(?:(?:two|three|four)\s+)?"
    r"(?P<words>[a-z-]+(?:\s(?!(?:off|out|up|down|and|or|in|into|on|onto|at|to|from|with|of|is|are|by|for|has|have|"
    r"must|can|may|will|as|so|then|again|together|apart|away|aside|through|over|under)\b)[a-z-]+){0,2})",
    re.IGNORECASE,
)
#: "Before the tube is pulled off": nothing comes off there.
_BESIDE_IT = re.compile(r"\b(?:before|after|once|when|while|until|as soon as)\b[^,;.]*", re.IGNORECASE)


@rule(
    Theme.parts,
    Level.concern,
    title="The text says that nothing comes off, and takes something apart.",
    message="“{words}” is said elsewhere, and something comes off or together here.",
    remedy="Ask the maker whether the device comes apart; until then nothing is forced.",
    source=book("iso-17664-1"),
)
def nothing_comes_off_and_does(case: Case) -> Iterator[Trip]:
    """Words that all is one piece, or that nothing is taken apart, against work on parts that come off."""
    for told in case.sentences:
        whole = _says_it_is_whole(told)
        if whole is None:
            continue
        for passage in case.sentences:
            if case.stage_of(passage) in _WHERE_WORKED_ON and _comes_apart(passage, told):
                yield Trip(passage.place, {"words": whole}, (told.place,))
                return


def _says_it_is_whole(passage: Passage) -> str | None:
    """The words that say it of the device, without a condition, an exception or another thing in them."""
    for sentence in sentences(passage.text):
        if says(sentence, "nothing-comes-off") and not says(sentence, "nothing-but"):
            return min(found(sentence, "nothing-comes-off"))
    return None


def _comes_apart(passage: Passage, told: Passage) -> bool:
    """Whether words take a part off the device or lay loose ones somewhere, or take or put it to pieces."""
    said = passage.text
    if passage is told or says(said, "nothing-comes-off") or says(said, "stays-alone"):
        return False
    if any(says(said, sense) for sense in ("whole-comes-apart", "whole-comes-together", "two-halves")):
        return True
    is_off = passage.step is not None and passage.step.action is Action.take_apart
    is_off = is_off and not _BESIDE_IT.match(said)
    moved = _moved(said)
    if is_off and moved and not says(moved[0], "no-part-of-it"):
        return says(moved[0], "component") or says(moved[0], "small-part")
    return says(said, "loose-in-a-basket") and any(says(one, "belongs-on") for one in moved)


def _moved(text: str) -> list[str]:
    """The last words of the things that a sentence names with an article, in its main clause."""
    return [match["words"].split()[-1].lower() for match in _MOVED.finditer(_BESIDE_IT.sub(" ", text))]


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Parts are counted, and there are more or fewer of them.",
    message="{told} parts are told, and {named} are named.",
    remedy="Ask the maker how many parts there are; until then all that are named are counted.",
)
def parts_counted_otherwise(case: Case) -> Iterator[Trip]:
    """A count in a row against the letters of the row, and a count in front of a list against the list."""
    several = {part.id for part in case.instruction.device.parts if part.count}
    for passage in case.sentences:
        told, named = _counted_in_row(passage, several) or _counted_in_list(passage) or (0, 0)
        if told != named:
            yield Trip(passage.place, {"told": told, "named": named})


def _counted_in_row(passage: Passage, several: set[str]) -> tuple[int, int] | None:
    if not passage.text.startswith("|"):
        return None
    cells = [cell.strip() for cell in passage.text.strip("| ").split("|")]
    letters = {one for cell in cells for one in letters_alone(cell)}
    counts = [match for cell in cells if (match := _COUNT.match(cell))]
    is_off = passage.step is not None and passage.step.stage is Stage.preparation
    if not is_off or len(counts) != 1 or len(letters) < _FEWEST or letters & several:
        return None
    return _value(counts[0]["number"]), len(letters)


def _counted_in_list(passage: Passage) -> tuple[int, int] | None:
    match = _COUNTED_LIST.search(passage.text)
    if match is None:
        return None
    named = [one.strip() for one in _LIST_ENDS.split(match["list"]) if one.strip()]
    is_plain = all(len(one.split()) <= _MOST_WORDS_OF_A_PART for one in named)
    is_plain = is_plain and not re.search(
        rf"\d|\b(?:{'|'.join(_NUMBERS)}|both|several|with|etc|pairs?)\b", match["list"]
    )
    return (_value(match["number"]), len(named)) if is_plain and len(named) >= _FEWEST else None


def _value(written: str) -> int:
    return _NUMBERS.index(written.lower()) + 1 if written.lower() in _NUMBERS else int(written)


@rule(
    Theme.parts,
    Level.concern,
    title="A part is thrown away after use, and is cleaned for the next.",
    message="The {part} is thrown away here, and elsewhere it is reusable or cleaned.",
    remedy="Get the maker's written answer: is the {part} for single use? Until then it is discarded.",
    source=book("iso-17664-1"),
)
def part_thrown_away_and_cleaned(case: Case) -> Iterator[Trip]:
    """Parts that are thrown away before cleaning without a condition, against later work on them by name."""
    for passage in case.sentences:
        stages = {case.stage_of(passage), case.stage_of(dataclasses.replace(passage, step=None))}
        if not stages & _EARLY or says(passage.text, "thrown-when"):
            continue
        if not says(passage.text, "thrown-away") or says(passage.text, "negation"):
            continue
        for part in _thrown(passage.text):
            again = [p for p in case.sentences if p is not passage and _is_kept(case, p, part)]
            if again:
                yield Trip(passage.place, {"part": part}, tuple(p.place for p in again))
                break


def _thrown(text: str) -> list[str]:
    """The things that a sentence throws away, by name, where they are parts."""
    # "Suck water through the tube, and drop the disc in the waste": the tube is not thrown away.
    said = [piece for piece in _CLAUSES.split(text) if says(piece, "thrown-away")] or [text]
    named = [match["words"].lower() for piece in said for match in _MOVED.finditer(piece)]
    heads = [
        name for name in named if says(name.split()[-1], "component") or says(name.split()[-1], "small-part")
    ]
    return heads[:1]


def _is_kept(case: Case, passage: Passage, part: str) -> bool:
    """Whether words call a part reusable, or a step cleans or sterilizes it by name."""
    last = singular(part.rsplit(maxsplit=1)[-1])
    whole = re.compile(rf"(?<![\w-]){re.escape(part)}(?![\w-])", re.IGNORECASE)
    # "The cap" may be one of two caps: the whole name is asked for where others share its last word.
    if not whole.search(passage.text) or says(passage.text, "new-part") or says(passage.text, "thrown-away"):
        return False
    if says(passage.text, "negation") or says(passage.text, "single-use-strict"):
        return False
    behind = passage.text.lower().partition(part)[2]
    is_of_it = not re.match(
        rf"s?\s+(?:port|seat|groove|{last}\s*holder|holder|opening|compartment|connection)", behind
    )
    works = (
        passage.step is not None and passage.step.action in _HANDLED and case.stage_of(passage) not in _EARLY
    )
    return is_of_it and (works or says(passage.text, "used-for-long"))


RULES = (
    nothing_comes_off_and_does,
    parts_counted_otherwise,
    part_thrown_away_and_cleaned,
)
