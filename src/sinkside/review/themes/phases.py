"""Phases that changed places: a program that wets what it has dried, a machine in front of the hands."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Heading, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, place_of, words
from sinkside.review.doing import dries
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, book, rule

_PHASES = frozenset({Action.pre_rinse, Action.wash, Action.rinse, Action.disinfect, Action.dry})
_WETS = frozenset({Action.rinse, Action.disinfect})
_IN_THE_WAY = frozenset({Stage.cleaning, Stage.disinfection, Stage.drying})
_NAMES = {
    Action.pre_rinse: "pre-rinse",
    Action.wash: "wash",
    Action.rinse: "rinse",
    Action.disinfect: "disinfection",
    Action.dry: "drying",
}
#: Rows of one table stand on lines as near as this.
_LINES_APART = 3
_FEWEST_PHASES = 3

#: "Always, ahead of W1", "before section 4".
_AHEAD_OF = re.compile(
    r"\b(?:ahead\s+of|before|prior\s+to|in\s+front\s+of|preceding|precedes)\s+(?:the\s+)?"
    r"(?:(?:steps?|sections?|chapters?|rows?|paragraphs?|points?|no\.?|part|block|card)\s+)?"
    r"(?P<label>[A-Z]{1,2}\d{1,2}|\d{1,2}(?:\.\d{1,2})*|[IVX]{1,4}|[A-Z])(?![\w.]*\w)"
)
_HANDS = r"(?:(?:manual|hand)[\s-]+(?:cleaning|washing|brushing)|(?:cleaning|washing)\s+by\s+hand|brushing)"
_MACHINE = (
    r"(?:(?:machine|automat\w+|mechanical)(?:[\s-]+(?:cleaning|washing|cycle|program\w*))?|washer[\s-]disinfector"
    r"|washing\s+machine|washer)"
)
_MACHINE_FIRST = re.compile(
    rf"\b{_MACHINE}\b[^.;,]{{0,40}}\b(?:before|ahead\s+of|precedes|prior\s+to|comes\s+before)\b[^.;,]{{0,25}}\b{_HANDS}"
    rf"|\b{_HANDS}\s+(?:is\s+done\s+|is\s+carried\s+out\s+|comes\s+|takes\s+place\s+)?(?:only\s+)?(?:follows|after)\s+"
    rf"(?:the\s+|an?\s+)?(?:\w+\s+)?{_MACHINE}"
    rf"|\bfirst\b[^.;]{{0,50}}\b{_MACHINE}\b[^.;]{{0,50}}\b(?:then|afterwards|only\s+then)\b[^.;]{{0,40}}"
    rf"\b(?:by\s+hand|manually|brush\w*)\b",
    re.IGNORECASE,
)


@rule(
    Theme.order,
    Level.concern,
    title="Two phases of a program stand in the wrong order.",
    message="The {first} stands in front of the {second} here; the {second} belongs in front.",
    remedy="Ask the maker in which order the phases run.",
    source=book("iso-17664-1"),
)
def phases_out_of_order(case: Case) -> Iterator[Trip]:
    """Phases side by side of which the first undoes the second, or comes too late for it."""
    for program in _programs(case):
        for at in range(1, len(program)):
            first, second = program[at - 1], program[at]
            if _is_swapped(program[: at - 1], first, second, program[at + 1 :]):
                evidence = {"first": _NAMES[first.action], "second": _NAMES[second.action]}
                yield Trip(case.place(first), evidence, (case.place(second),))
                break


def _is_swapped(before: list[Step], first: Step, second: Step, behind: list[Step]) -> bool:
    if first.action is Action.dry:
        is_dry = dries(first) and first.stage is Stage.drying and not says(words(first), "by-hand")
        return is_dry and second.action in _WETS and not says(words(second), "alcohol")
    if first.action is Action.wash and second.action is Action.pre_rinse:
        # A pre-rinse may begin the next program.
        begins = any(one.action is Action.wash for one in behind)
        # Only a machine goes on to disinfect; "first rinse it" goes back to the beginning.
        is_machine = any(one.action is Action.disinfect for one in behind)
        return is_machine and not begins and not any(one.action is Action.pre_rinse for one in before)
    if first.action is Action.disinfect and second.action is Action.wash:
        is_hot = bool(first.figures_of(FigureQuantity.temperature))
        washed = any(one.action is Action.wash for one in before)
        return is_hot and not washed and len(before) + len(behind) + 2 >= _FEWEST_PHASES
    return False


def _programs(case: Case) -> Iterator[list[Step]]:
    """The phases that stand under each other, each with figures of its own."""
    program: list[Step] = []
    for step in case.steps:
        is_phase = step.action in _PHASES and step.stage in _IN_THE_WAY and not step.condition
        if is_phase and program and step.origin == program[-1].origin:
            continue
        if is_phase and step.figures and (not program or _follows(program[-1], step)):
            program.append(step)
            continue
        yield program
        program = [step] if is_phase and step.figures else []
    yield program


def _follows(one: Step, other: Step) -> bool:
    here, there = one.origin.line_end or one.origin.line or 0, other.origin.line or 0
    is_row = words(one).startswith("|") and words(other).startswith("|")
    return one.origin.page == other.origin.page and (
        one.heading == other.heading or (is_row and 0 <= there - here <= _LINES_APART)
    )


@rule(
    Theme.order,
    Level.concern,
    title="The machine is put in front of the cleaning by hand.",
    message="The hot wash of the machine comes before the soil is taken off by hand.",
    remedy="Ask the maker whether the cleaning by hand comes first.",
    source=book("iso-17664-1"),
)
def machine_before_hands(case: Case) -> Iterator[Trip]:
    """Headings of the machine that put it ahead of earlier work by hand, and sentences that say so."""
    for heading in case.instruction.headings:
        early = _put_behind(case, heading)
        if early is not None:
            yield Trip(place_of(heading.origin), {}, (case.place(early),))
    for passage in case.sentences:
        if _MACHINE_FIRST.search(passage.text) and not says(passage.text, "negation"):
            is_choice = says(passage.text, "only-if") or says(passage.text, "allowed-words")
            yield Trip(passage.place, doubtful=is_choice)


def _put_behind(case: Case, heading: Heading) -> Step | None:
    """The step by hand, printed in front of a heading of the machine, that the heading puts behind it."""
    match = _AHEAD_OF.search(heading.text)
    mine = [s for s in case.steps if s.heading in {heading.text, heading.number}]
    is_machine = says(heading.text, "machine-words") or says(heading.text, "by-machine-words")
    if match is None or not mine or not is_machine:
        return None
    for step in case.steps[: case.index(mine[0])]:
        label = (step.number or "").strip("(). ")
        chapter = (step.heading or "").lstrip()
        is_it = label == match["label"] or re.match(rf"{re.escape(match['label'])}(?![\w.])", chapter)
        if is_it and step.stage is Stage.cleaning:
            return step
    return None


RULES = (phases_out_of_order, machine_before_hands)
