"""What one place rules out, or calls not validated, and another asks for or lets in."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level
from sinkside.instruction import Action
from sinkside.review.asking import ASKS, NAMES, parts_named
from sinkside.review.case import Case, words
from sinkside.review.lexicon import (
    bans,
    clauses,
    found,
    negated,
    says,
    sentences,
    singular,
    subjects,
    without,
)
from sinkside.review.named import all_capitals
from sinkside.review.rule import Theme, Trip, book, rule

#: What is done to the device as a whole, so that words which rule it out rule it out everywhere.
_WAYS = (
    "ultrasonic",
    "gravity",
    "machine-washing",
    "immersion",
    "steaming",
    "dry-heat",
    "ethylene-oxide",
    "peroxide",
    "formaldehyde",
    "immediate-use",
    "compressed-air",
    "lubrication",
    "taking-apart",
)
_AND = re.compile(r"\s+(?:and|so|therefore|hence)\s+|[,;]\s+")
_FIGURE = re.compile(r"\d")
_WORD = re.compile(r"[A-Za-z]+|\d+(?:[.,]\d+)?")
_EVERY = frozenset(
    {"four", "three", "two", "brush", "inside", "each", "both", "every", "its", "their", "has"}
)
_NO_THING = re.compile(
    r"\b(?:no|never|not|without)\s+(?:any\s+|use\s+|in\s+|into\s+)?(?P<thing>[a-z]{4,})\s*"
    r"(?:(?:in|on|into|for|with|at|round|around|over|under)\s+(?:this|these|the|here|it|them)\b[^|;,.]*|here|$)"
)
_LESS_THAN = 3


@rule(
    Theme.contradictions,
    Level.concern,
    title="What the text calls not validated is asked for.",
    message="The text says of {what} that it was not validated, and asks for it here.",
    remedy="Get the maker's written answer: whether it was validated; until then it is left out.",
    source=book("iso-17664-1"),
)
def not_validated_and_asked(case: Case) -> Iterator[Trip]:
    """Ways of processing that words call untested or useless against the steps that ask for them."""
    for sense in _WAYS:
        told = [(p, one) for p in case.sentences if (one := _calls_untested(p.text, sense))]
        for passage, clause in told:
            for step in case.steps:
                said = words(step)
                is_asked = ASKS[sense](step) and not says(said, "not-validated") and bans(said, sense) is None
                if is_asked and said != passage.text and not _are_of_others(case, clause, said):
                    yield Trip(case.place(step), {"what": NAMES[sense]}, (passage.place,))


def _calls_untested(text: str, sense: str) -> str | None:
    """The piece of a sentence that calls a way of processing untested; a figure makes a bound of it."""
    for clause in clauses(text):
        if not says(clause, sense) or not says(clause, "not-validated") or bans(clause, sense) is not None:
            continue
        pieces = [piece for piece in _AND.split(clause) if says(piece, "not-validated")]
        if pieces and not _FIGURE.search(clause) and not says(clause, "hard-condition"):
            return pieces[-1]
    return None


@rule(
    Theme.contradictions,
    Level.concern,
    title="What the text rules out may stand in for something else.",
    message="The text rules out {what}, and “{words}” lets it in here.",
    remedy="Get the maker's written answer; until then what is ruled out is not done.",
    source=book("iso-17664-1"),
)
def ruled_out_and_let_in(case: Case) -> Iterator[Trip]:
    """Ways of processing that are ruled out against words that let them stand in for another."""
    for sense in _WAYS:
        out = [(p, one) for p in case.sentences if (one := _rules_out(p.text, sense))]
        for passage in case.sentences if out else ():
            said = next((one for one in sentences(passage.text) if _lets_in(one, sense)), None)
            if said is None:
                continue
            for ruling, clause in out:
                if ruling.text != passage.text and not _are_of_others(case, clause, said):
                    evidence: Evidence = {"what": NAMES[sense], "words": min(found(said, "stands-in"))}
                    yield Trip(passage.place, evidence, (ruling.place,))
                    break


def _rules_out(text: str, sense: str) -> str | None:
    if (ban := bans(text, sense)) is not None:
        return ban
    is_out = says(text, sense) and (says(text, "ruled-out") or says(text, "not-validated"))
    is_plain = not _FIGURE.search(text) and not says(text, "stands-in") and not says(text, "condition-strict")
    return text if is_out and is_plain else None


def _lets_in(said: str, sense: str) -> bool:
    """Whether a sentence lets a way of processing stand in, and does not deny it."""
    if not (says(said, sense) and says(said, "stands-in")) or negated(said, sense):
        return False
    return not any(says(said, one) for one in ("negation", "forbidden", "ruled-out", "not-validated"))


def _are_of_others(case: Case, clause: str, said: str) -> bool:
    """Whether two pieces of a text name parts by name, letter or kind, and none in common."""
    mine, others = (
        parts_named(case, text)
        | found(text, "component") - found(case.instruction.device.name, "component")
        | (all_capitals(text) & _letters(case))
        for text in (clause, said)
    )
    return bool(mine and others and not mine & others)


def _letters(case: Case) -> frozenset[str]:
    return frozenset(part.id for part in case.instruction.device.parts)


@rule(
    Theme.contradictions,
    Level.concern,
    title="A row uses what the same row forbids.",
    message="This row says “{words}”, and names {thing} beside it.",
    remedy="Ask the maker which of the two holds; until then what is forbidden is left out.",
)
def row_forbids_its_own(case: Case) -> Iterator[Trip]:
    """Cells that forbid a thing against the other cells of their row."""
    for passage in case.sentences:
        cells = [cell.strip().lower() for cell in passage.text.strip().strip("|").split("|")]
        if len(cells) < _LESS_THAN:
            continue
        for at, cell in enumerate(cells):
            for match in _NO_THING.finditer(cell):
                thing = match["thing"].removesuffix("s")
                others = [one for n, one in enumerate(cells) if n != at]
                if not says(thing, "thing-used"):
                    continue
                beside = [one for one in others if re.search(rf"\b{re.escape(thing)}", one)]
                if any(not says(one, "negation") for one in beside):
                    yield Trip(passage.place, {"words": match[0].strip(), "thing": thing})


@rule(
    Theme.contradictions,
    Level.concern,
    title="What is too narrow for a brush is brushed inside.",
    message="By the text itself no brush fits the {thing}, and it is brushed here.",
    remedy="Ask the maker how the {thing} is cleaned, and with which brush if any.",
    source=book("iso-17664-1"),
)
def brushed_where_no_brush_fits(case: Case) -> Iterator[Trip]:
    """Holes that words call too narrow for any brush against the steps that brush inside them."""
    for at, passage in enumerate(case.sentences):
        if not _takes_no_brush(passage.text):
            continue
        before = case.sentences[at - 1].text if at else ""
        holes = _holes(passage.text) or (_holes(before) if says(passage.text, "stands-for-it") else {})
        for step in case.doing(Action.brush) if holes else ():
            said = words(step)
            meant = {
                one for one, which in _holes(said).items() if one in holes and _may_be(which, holes[one])
            }
            is_inside = any(says(said, one) for one in ("inside-of", "through-hole"))
            if meant and said != passage.text and is_inside and not says(said, "mouth-of"):
                yield Trip(case.place(step), {"thing": min(meant)}, (passage.place,))


def _takes_no_brush(text: str) -> bool:
    """'Too narrow for any brush', 'takes no brush', 'cannot be brushed'."""
    if says(text, "no-brush-fits"):
        return True
    return says(text, "too-narrow") and says(text, "brush-words")


def _holes(text: str) -> dict[str, frozenset[str]]:
    """The holes that words name, each with the words in front of it that say which: "suction" ports."""
    named: dict[str, frozenset[str]] = {}
    told = _WORD.findall(text)
    for at, word in enumerate(told):
        if says(word, "hole"):
            before = told[max(0, at - 2) : at]
            # "The 0.5 mm channel" is told apart by its width.
            widths = {one for one in before if _FIGURE.match(one)}
            named[singular(word)] = (subjects(" ".join(before), "hole") - _EVERY) | widths
    return named


def _may_be(which: frozenset[str], other: frozenset[str]) -> bool:
    """Whether two holes of one kind can be one: both are told apart by the same words, or by none."""
    return bool(which & other) or not (which or other)


@rule(
    Theme.contradictions,
    Level.concern,
    title="What belongs together by the text itself is sorted apart.",
    message="The text keeps what belongs together together, and “{words}” mixes it.",
    remedy="Ask the maker how pieces of one instrument are kept together; until then they are not mixed.",
    source=book("iso-17664-1"),
)
def sets_kept_and_mixed(case: Case) -> Iterator[Trip]:
    """Words that keep the pieces of one instrument together against words that sort pieces by their kind."""
    kept = [p for p in case.sentences if says(p.text, "stays-with-its-own") and not _mixes(p.text)]
    for passage in case.sentences if kept else ():
        for sentence in sentences(passage.text):
            if _mixes(sentence):
                said = min(found(sentence, "mixes-sets"))
                yield Trip(passage.place, {"words": said}, tuple(p.place for p in kept))


def _mixes(sentence: str) -> bool:
    """Whether words mix sets; "numbers need not agree" does so by its own negation, "never mix" does not."""
    rest = without(sentence, "mixes-sets")
    return says(sentence, "mixes-sets") and not any(says(rest, sense) for sense in ("forbidden", "negation"))


RULES = (
    not_validated_and_asked,
    ruled_out_and_let_in,
    row_forbids_its_own,
    brushed_where_no_brush_fits,
    sets_kept_and_mixed,
)
