"""Each way of cleaning by itself: what it leaves on the device, whatever another chapter does."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, words
from sinkside.review.doing import uses_cleaner
from sinkside.review.lexicon import negated, says
from sinkside.review.rule import Theme, Trip, book, rule

_IN_CLEANER = frozenset({Action.soak, Action.brush, Action.sonicate, Action.flush, Action.fill, Action.wash})
#: A word, and no unit.
_WORD = re.compile(r"[^\W\d_]{4}")
_PHASES = frozenset(
    {Action.pre_rinse, Action.wash, Action.rinse, Action.disinfect, Action.dry, Action.soak, Action.repeat}
)
_BATHS = (Action.soak, Action.disinfect, Action.fill, Action.flush)
_WET = frozenset({Stage.cleaning, Stage.disinfection})
_PACKED = frozenset({Stage.packaging, Stage.sterilization, Stage.storage})
_TAKES_OFF = frozenset({Action.rinse, Action.pre_rinse, Action.wash, Action.repeat})
#: Agents of high-level disinfection, which patients must not meet (CDC 2008, from memory).
_DISINFECTANT = re.compile(
    r"phthalaldehyde|\bOPA\b|glutar(?:al|aldehyde)\b|per(?:oxy)?acetic|chlorine dioxide|formaldehyde",
    re.IGNORECASE,
)
_OF_MACHINES = ("by-machine-words", "machine-words", "machine-washing")
_NUMBERED_WATER = re.compile(r"\bW\d\b")
_FEWEST_TIMED = 2
_FEWEST_STEPS = 2


@rule(
    Theme.completeness,
    Level.concern,
    title="Cleaner is left on at the end of a way of cleaning.",
    message="This chapter ends in cleaner, and the next does not begin with a rinse.",
    remedy="Ask the maker with what water, and for how long, the cleaner is rinsed off here.",
    source=book("iso-17664-1"),
)
def way_ends_in_cleaner(case: Case) -> Iterator[Trip]:
    """Chapters by hand with no rinse behind their last cleaner, where the next work rinses nothing off."""
    chapters = list(_chapters(case))
    for chapter, behind in itertools.pairwise(chapters):
        used = [n for n, step in enumerate(chapter) if _is_in_cleaner(step)]
        # A row of a table under a word of its own is no chapter.
        is_row = len({step.origin.text for step in chapter}) < _FEWEST_STEPS
        if is_row or not used or _is_of_machine(chapter):
            continue
        rest = chapter[used[-1] :]
        first = behind[0]
        # A machine rinses before it washes.
        is_next = (
            _is_of_machine(behind)
            or _rinses(first)
            or says(words(first), "detergent")
            or first.action in {Action.pre_rinse, Action.repeat}
            # An ultrasonic bath is of cleaner too.
            or says(first.heading or "", "ultrasonic-bath")
        )
        if not any(_rinses(step) for step in rest) and not is_next and not _is_told(case, rest[0], first):
            yield Trip(case.place(chapter[used[-1]]), {}, (case.place(first),))


@rule(
    Theme.completeness,
    Level.concern,
    title="The machine disinfects without rinsing the cleaner off.",
    message="The machine goes from the wash straight to the disinfection, without a rinse.",
    remedy="Ask the maker for the rinse between washing and disinfection.",
    source=book("iso-17664-1"),
)
def machine_never_rinses(case: Case) -> Iterator[Trip]:
    """Programs told phase by phase in which a wash with cleaner stands right in front of hot water."""
    for wash, hot in itertools.pairwise(s for s in case.steps if s.action in _PHASES):
        is_program = wash.heading == hot.heading and wash.origin != hot.origin
        if not is_program or wash.action is not Action.wash or hot.action is not Action.disinfect:
            continue
        between = case.steps[case.index(wash) + 1 : case.index(hot)]
        is_told = bool(wash.figures) and uses_cleaner(wash) and not says(words(wash), "rinsing")
        # '55 °C, 5 min; 93 °C, 3 min' gives no more than settings, of which a rinse has none.
        is_thermal = bool(hot.figures_of(FigureQuantity.temperature)) and bool(_WORD.search(words(hot)))
        if is_told and is_thermal and not any(says(words(s), "rinsing") for s in (*between, hot)):
            yield Trip(case.place(wash), {}, (case.place(hot),))


@rule(
    Theme.completeness,
    Level.concern,
    title="One phase of a program has neither time nor temperature.",
    message="Other phases of the program have their times; this one has neither time nor temperature.",
    remedy="Ask the maker for the temperature and time of each phase.",
    source=book("iso-17664-1"),
)
def phase_without_figures(case: Case) -> Iterator[Trip]:
    """A wash or a thermal disinfection without its figures among phases that have them."""
    phases = [step for step in case.steps if step.action in _PHASES]
    for _, group in itertools.groupby(phases, key=lambda step: step.heading):
        program = list(group)
        timed = [s for s in program if s.figures_of(FigureQuantity.time)]
        if len({words(step) for step in timed}) < _FEWEST_TIMED or not _is_of_machine(program):
            continue
        for step in program:
            is_bare = step.action in {Action.wash, Action.disinfect} and not _has_figures(case, step)
            is_named = says(words(step), "phase-words") or bool(step.figures)
            is_named = is_named and not step.figures_of(FigureQuantity.pressure)
            if is_bare and is_named and not says(words(step), "deferred") and not step.condition:
                yield Trip(case.place(step), {}, (case.place(timed[0]),))


def _has_figures(case: Case, step: Step) -> bool:
    wanted = (FigureQuantity.time, FigureQuantity.temperature, FigureQuantity.lethality)
    return any(one.figures_of(quantity) for one in case.beside(step) for quantity in wanted)


def _chapters(case: Case) -> Iterator[list[Step]]:
    """The steps of each heading of cleaning, drying and what follows, in order."""
    for _, group in itertools.groupby(case.steps, key=lambda step: step.heading):
        steps = list(group)
        if any(step.stage is Stage.cleaning for step in steps) or steps[0].stage is Stage.drying:
            yield steps


def _is_in_cleaner(step: Step) -> bool:
    said = f"{step.with_ or ''} {words(step)}"
    works = step.action in _IN_CLEANER and step.stage is Stage.cleaning
    return (
        works
        and says(said, "detergent")
        and not says(words(step), "rinsing")
        and not says(words(step), "of-a-sheet")
        and not negated(said, "detergent")
    )


@rule(
    Theme.completeness,
    Level.concern,
    title="A chemical disinfectant is not rinsed off.",
    message="The device lies in a disinfectant here, and nothing rinses it off before the device is packed.",
    remedy="Ask the maker with what water, and how often, the disinfectant is rinsed off.",
    source=book("iso-17664-1"),
)
def disinfectant_left_on(case: Case) -> Iterator[Trip]:
    """The last bath of a disinfectant, with no rinse, wash or repetition between it and the pack."""
    baths = [s for s in case.doing(*_BATHS) if s.stage in _WET and _DISINFECTANT.search(words(s))]
    if not baths:
        return
    last = baths[-1]
    behind = list(itertools.takewhile(lambda s: s.stage not in _PACKED, case.steps[case.index(last) :]))
    rinsed = any(s.action in _TAKES_OFF or says(words(s), "rinsing") for s in behind)
    told = any(says(p.text, "rinsing") and _DISINFECTANT.search(p.text) for p in case.sentences)
    if not rinsed and not told and not last.condition:
        yield Trip(case.place(last), {}, tuple(case.place(s) for s in behind[1:2]))


def _is_told(case: Case, last: Step, first: Step) -> bool:
    """Whether a sentence that is no step rinses between the last cleaner and the next work."""
    texts = [passage.text for passage in case.sentences]
    known = words(last) in texts and words(first) in texts
    between = texts[texts.index(words(last)) + 1 : texts.index(words(first))] if known else []
    return any(says(text, "rinsing") or says(text, "good-water") for text in between)


def _rinses(step: Step) -> bool:
    """Whether a step rinses, or does again what does; "if soil is seen, repeat" rinses nothing."""
    if step.action is Action.repeat:
        return not (step.condition or says(words(step), "condition-strict"))
    said = words(step)
    is_water = step.action in {Action.rinse, Action.flush} or says(said, "good-water")
    # Waters that a text numbers, "W2, 1 min".
    is_water = is_water or _NUMBERED_WATER.search(said) is not None
    return says(said, "rinsing") or (is_water and not says(said, "detergent"))


def _is_of_machine(steps: list[Step]) -> bool:
    said = " ".join([steps[0].heading or "", *(words(step) for step in steps)])
    return any(says(said, sense) for sense in _OF_MACHINES)


RULES = (way_ends_in_cleaner, machine_never_rinses, phase_without_figures, disinfectant_left_on)
