"""Two statements about one thing."""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, Step
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.asking import ASKS, NAMES, asks_in_words, concerns, may_be_of_another_part, parts_named
from sinkside.review.case import Case, Passage, words
from sinkside.review.labels import bare_number
from sinkside.review.lexicon import bans, clauses, in_front_of, references, says, subjects
from sinkside.review.named import is_of_another
from sinkside.review.own_limits import pressures_allowed, times_bound
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.stated import ends_in, shown

#: What cannot both be true of one thing.
_SUPPLIED = ("supplied-sterile", "supplied-non-sterile")

#: The methods of sterilization, as words say them and as we name them.
_METHODS = {
    "steam": "steam",
    "dry-heat": "dry heat",
    "ethylene-oxide": "ethylene oxide",
    "peroxide": "hydrogen peroxide",
    "formaldehyde": "formaldehyde",
}

#: What stands in front of the number of a row, a step or a line of a table.
_ROWS = frozenset({"step", "row", "line", "point", "item", "task", "operation"})

_PRONOUNS = frozenset({"they", "these", "those", "them"})
_ROUNDING = 1e-6
_WORDS_OF_A_BARE_BAN = 4
_PRONOUN = re.compile(r"\W*(?:it|they|this|these)\b", re.IGNORECASE)
_HEAD_ENDS = re.compile(r"[,;:.(]|\d")


@rule(
    Theme.contradictions,
    Level.stop,
    title="A step asks for what the text forbids.",
    message="The text forbids {what} and asks for it.",
    remedy="Get the maker's written answer; until then what is forbidden is not done.",
)
def prohibited_then_asked(case: Case) -> Iterator[Trip]:
    """Everything forbidden without a condition against every step that asks for it, part by part."""
    for sense, asks in ASKS.items():
        for banning in case.passages:
            banned = bans(banning.text, sense)
            if banned is None:
                continue
            is_of_flash = sense in {"steaming", "sterilizing"} and says(banned, "immediate-use")
            if _is_of_another_text(case, banning) or is_of_flash:
                continue
            ban, clause = _with_its_subject(case, banning, banned)
            for step in case.steps:
                if not asks(step) or bans(words(step), sense) is not None:
                    continue
                is_other = is_of_another(case, ban, clause, words(step))
                if concerns(case, ban, clause, sense=sense, step=step) and not is_other:
                    evidence: Evidence = {"what": NAMES[sense], "forbidden_by": clause}
                    unknown = may_be_of_another_part(case, ban, clause, step)
                    yield Trip(case.place(step), evidence, (ban.place,), doubtful=unknown)


@rule(
    Theme.contradictions,
    Level.stop,
    title="A step asks for a higher pressure than the device's own limit.",
    message="This step asks for {pressure}; the text itself sets {limit} as the most.",
    remedy="Get the maker's written answer; until then the lower pressure holds.",
)
def pressure_above_own_limit(case: Case) -> Iterator[Trip]:
    """Pressures at the sink against the device's own upper bounds; steam is judged elsewhere."""
    for place, limit in pressures_allowed(case):
        most_kpa = limit.ends("kPa")[1]
        for step in case.steps:
            for asked in step.figures_of(FigureQuantity.pressure):
                low, high = asked.ends("kPa")
                is_steam = step.action is Action.sterilize
                if not is_steam and min(high, max(low, 0.0) or high) > most_kpa * (1 + _ROUNDING):
                    evidence: Evidence = {
                        "pressure": shown(asked),
                        "limit": Measure(value=limit.ends()[1], unit=limit.unit),
                    }
                    yield Trip(case.place(step), evidence, (place,))


@rule(
    Theme.contradictions,
    Level.concern,
    title="A step takes longer than the text itself allows.",
    message="This step asks for {time}; the text itself sets {limit} as the most.",
    remedy="Ask the maker which of the two times holds; until then the shorter one does.",
)
def longer_than_own_limit(case: Case) -> Iterator[Trip]:
    """Times of soaking, ultrasound, disinfection and sterilization against the text's upper bounds."""
    for passage, most_s, step, time in times_bound(case, Bound.at_most):
        low, high = time.ends("s")
        if (low if math.isfinite(low) else high) > most_s * (1 + _ROUNDING):
            yield _two_times(case, passage, step, time, seconds=most_s)


@rule(
    Theme.contradictions,
    Level.concern,
    title="A step takes less time than the text itself asks for elsewhere.",
    message="This step asks for {time}; the text itself sets {limit} as the least.",
    remedy="Ask the maker which of the two times holds; until then the longer one does.",
)
def shorter_than_own_minimum(case: Case) -> Iterator[Trip]:
    """Times of soaking, ultrasound, disinfection and sterilization against the text's lower bounds."""
    for passage, least_s, step, time in times_bound(case, Bound.at_least):
        if time.number("s") < least_s * (1 - _ROUNDING) and not step.condition:
            yield _two_times(case, passage, step, time, seconds=least_s)


@rule(
    Theme.contradictions,
    Level.concern,
    title="A note gives another figure than the step it speaks of.",
    message="The note gives {theirs} for {kind} {number}, and that {kind} says {mine}.",
    remedy="Ask the maker which of the two figures holds.",
)
def note_overrides_step(case: Case) -> Iterator[Trip]:
    """Words that name another, numbered step and give a figure, against the figures of that step."""
    for passage in case.passages:
        named = [(kind, number) for kind, number in references(passage.text) if kind in _ROWS]
        if len(named) != 1 or says(passage.text, "as-before"):
            continue
        ((kind, number),) = named
        is_special = says(passage.text, "special-case")
        if passage.step is not None and (passage.step.action is Action.repeat or passage.step.number):
            continue
        for step in _numbered(case, number):
            for theirs, mine in _unequal(passage.figures, step):
                # "If there is no time, 1 min is enough in row 17": nothing is special about such a case.
                if is_special and not (says(passage.text, "is-enough") and _is_less(theirs, mine)):
                    continue
                evidence: Evidence = {
                    "theirs": shown(theirs),
                    "kind": kind,
                    "number": number,
                    "mine": shown(mine),
                }
                yield Trip(passage.place, evidence, (case.place(step),))


@rule(
    Theme.contradictions,
    Level.concern,
    title="A note takes a part out of a step that names the part.",
    message="The note says that {kind} {number} is not for {part}, and that {kind} names it.",
    remedy="Ask the maker whether {kind} {number} is for {part} too.",
)
def note_excepts_part(case: Case) -> Iterator[Trip]:
    """Sentences that deny a numbered step to a part, where the step works on that part."""
    for passage in case.statements:
        for clause in clauses(passage.text):
            if not says(clause, "not-for") or says(clause, "condition-strict"):
                continue
            for kind, number in references(clause):
                for step in _numbered(case, number):
                    for part in sorted(parts_named(case, clause) & set(step.on)):
                        evidence: Evidence = {"kind": kind, "number": number, "part": part}
                        yield Trip(case.place(step), evidence, (passage.place,))


@rule(
    Theme.contradictions,
    Level.stop,
    title="One method only is allowed, and another is asked for.",
    message="The text allows {allowed} only and asks for {asked}.",
    remedy="Get the maker's written answer: which methods of sterilization were validated.",
)
def another_than_the_only_method(case: Case) -> Iterator[Trip]:
    """Words that allow one method of sterilization alone, against the cycles that name another."""
    for passage in case.passages:
        for clause in clauses(passage.text):
            allowed = [method for method in _METHODS if says(clause, method)]
            is_rule = says(clause, "only") and says(clause, "sterilizing") and not says(clause, "negation")
            if len(allowed) != 1 or not is_rule:
                continue
            for step in case.doing(Action.sterilize):
                asked = [method for method in _METHODS if asks_in_words(step, method)]
                if asked and allowed[0] not in asked and not says(words(step), "not-tested"):
                    evidence: Evidence = {"allowed": _METHODS[allowed[0]], "asked": _METHODS[asked[0]]}
                    yield Trip(case.place(step), evidence, (passage.place,))


@rule(
    Theme.contradictions,
    Level.concern,
    title="One thing is said to be supplied sterile and to be supplied non-sterile.",
    message="The text says that it is supplied sterile and that it is not.",
    remedy="Ask the maker how the device is supplied; until then it is processed before its first use.",
)
def sterile_and_not_sterile(case: Case) -> Iterator[Trip]:
    """Both kinds of supply, said of things that are called alike."""
    said: dict[str, list[Passage]] = {sense: [] for sense in _SUPPLIED}
    for passage in case.passages:
        for clause in clauses(passage.text):
            is_not = says(clause, "supplied-non-sterile")
            if is_not or says(clause, "supplied-sterile"):
                sense = _SUPPLIED[is_not]
                if is_not or not says(clause, "after-the-cycle"):
                    said[sense].append(Passage(in_front_of(clause, sense) or clause, passage.place))
    whole = subjects(case.instruction.device.name)
    for one in said["supplied-sterile"]:
        for other in said["supplied-non-sterile"]:
            about, others = (subjects(p.text, *_SUPPLIED, "whole-device") - whole for p in (one, other))
            is_all = not others - _PRONOUNS or _is_everything(case, other)
            are_alike = _letters(case, one) == _letters(case, other)
            is_same = are_alike and (about == others or about & others)
            if is_same or (is_all and not _letters(case, one) and _is_no_part(one)):
                yield Trip(one.place, {}, (other.place,))


def _is_everything(case: Case, passage: Passage) -> bool:
    """Whether words are about all that is supplied."""
    named = says(passage.text, "whole-device") or says(passage.text, "everything-of-it")
    mine = {word.removesuffix("s") for word in subjects(passage.text)}
    return named or bool(mine & {word.removesuffix("s") for word in subjects(case.instruction.device.name)})


def _letters(case: Case, passage: Passage) -> frozenset[str]:
    """The letters of parts that words name."""
    letters = {part.id for part in case.instruction.device.parts if part.id.isupper()}
    return frozenset(letters.intersection(re.findall(r"\b[A-Z]+\d?\b", passage.text)))


def _is_no_part(passage: Passage) -> bool:
    """Whether words are about a pack or nothing by name, and not about a part with a supply of its own."""
    return not any(
        says(passage.text, one) for one in ("component", "single-use-strict", "new-part", "needs-name")
    )


@rule(
    Theme.contradictions,
    Level.concern,
    title="Something is never done alone, and may be done alone.",
    message="{what} is never to be done alone, and is allowed alone.",
    remedy="Ask the maker whether one may be done without the other; until then both are done.",
)
def never_alone_and_alone(case: Case) -> Iterator[Trip]:
    """Words that ask for two ways of cleaning together against words that allow one of them alone."""
    for topic, name in (("machine-cleaning", "Machine cleaning"), ("hand-cleaning", "Cleaning by hand")):
        about = [passage for passage in case.passages if says(passage.text, topic)]
        together = case.mentions("needs-partner", among=about)
        alone = case.mentions("suffices-alone", among=about)
        if together and alone and together.text != alone.text:
            yield Trip(alone.place, {"what": name}, (together.place,))


def _with_its_subject(case: Case, ban: Passage, clause: str) -> tuple[Passage, str]:
    """A prohibition of a few words, such as "Do not immerse.", with the words beside it that it speaks of."""
    if len(ban.text.split()) > _WORDS_OF_A_BARE_BAN:
        # "Shaft channel 2.5 mm, filled by the rod: it cannot be brushed" forbids to brush the shaft channel.
        before = ban.text[: max(ban.text.find(clause), 0)] if _PRONOUN.match(clause) else ""
        head = _HEAD_ENDS.split(before, maxsplit=1)[0].strip()
        return ban, f"{head} {clause}" if head else clause
    if ban.step is not None:
        beside = " ".join(dict.fromkeys(words(step) for step in case.beside(ban.step)))
    else:
        beside = f"{_in_front(case, ban)} {ban.text}"
    return dataclasses.replace(ban, text=beside), beside


def _is_of_another_text(case: Case, ban: Passage) -> bool:
    """Whether a prohibition is about a thing that the text itself leaves to another instruction."""
    at = next((n for n, one in enumerate(case.sentences) if one.place == ban.place), 0)
    near = [
        ban.text,
        *(one.text for one in case.sentences[at + 1 : at + 2] if one.place.line == ban.place.line),
    ]
    return any(says(text, "not-of-this-text") for text in near)


def _in_front(case: Case, passage: Passage) -> str:
    """The sentence that stands just in front of some words, on the same line."""
    line = passage.place.line or 0
    at = next((n for n, one in enumerate(case.sentences) if one.place == passage.place), 0)
    before = case.sentences[at - 1] if at else passage
    is_near = (before.place.page, before.place.line or 0) == (passage.place.page, line)
    return before.text if is_near else ""


def _two_times(case: Case, passage: Passage, step: Step, time: Figure, *, seconds: float) -> Trip:
    in_minutes = time.unit != "s"
    limit = Measure(value=seconds / 60.0 if in_minutes else seconds, unit="min" if in_minutes else "s")
    return Trip(case.place(step), {"time": shown(time), "limit": limit}, (passage.place,))


def _numbered(case: Case, number: str) -> Iterator[Step]:
    return (step for step in case.steps if bare_number(step) == number.lower())


def _unequal(figures: tuple[Figure, ...], step: Step) -> Iterator[tuple[Figure, Figure]]:
    """Figures of a sentence and of a step that measure the same thing and leave no room for each other."""
    for theirs in figures:
        alike = [f for f in step.figures_of(theirs.quantity) if f.role in {theirs.role, None}]
        # A sentence does not say what a time is for; the cell of a row does.
        alike = alike or (list(step.figures_of(theirs.quantity)) if theirs.role is None else [])
        if theirs.quantity is FigureQuantity.counted or len(alike) != 1:
            continue
        span, (least, most) = ends_in(theirs, alike[0].unit), alike[0].ends()
        if span and (span[1] < least or span[0] > most):
            yield theirs, alike[0]


def _is_less(theirs: Figure, mine: Figure) -> bool:
    span = ends_in(theirs, mine.unit)
    return span is not None and span[1] < mine.ends()[0]


RULES = (
    prohibited_then_asked,
    pressure_above_own_limit,
    longer_than_own_limit,
    shorter_than_own_minimum,
    note_overrides_step,
    note_excepts_part,
    another_than_the_only_method,
    sterile_and_not_sterile,
    never_alone_and_alone,
)
