"""What steps do, by action or by words: drying, rinsing, using a cleaner, telling a time nearby."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Place
from sinkside.instruction import Action, FigureRole, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import says, without

_DRIES = frozenset({Action.dry, Action.blow})
_RINSES = frozenset({Action.rinse, Action.pre_rinse, Action.wash, Action.repeat, Action.disinfect})
_WITH_CLEANER = frozenset(
    {Action.soak, Action.brush, Action.sonicate, Action.flush, Action.wash, Action.fill}
)
_DOSES = frozenset({FigureQuantity.concentration, FigureQuantity.percent, FigureQuantity.ratio})

_DOSE_IN_WORDS = re.compile(
    r"\b(?:ml|millilit\w+|grams?|g)\s+(?:of\s+\w+\s+)?"
    r"(?:per|to the|to a|to each|in a|in one|in each|for each|for every)\s+(?:l|lit\w+)\b",
    re.IGNORECASE,
)

#: Work that a cleaner is there for.
_BRINGS_CLEANER = frozenset({Action.soak, Action.sonicate, Action.wash})

#: Work with a time of its own, which is not the time of the work in front of it.
_HAS_ITS_OWN_TIME = frozenset(
    {
        Action.rinse,
        Action.pre_rinse,
        Action.brush,
        Action.flush,
        Action.sonicate,
        Action.wipe,
        Action.dry,
        Action.blow,
        Action.sterilize,
        Action.cool,
        Action.transport,
        Action.start_cleaning,
    }
)

#: What a sentence that was read as a wash may be: a wash, a bath of ultrasound, or water.
_TOLD_AS_WASH = ("speaks-of-cleaning", "ultrasonic", "good-water", "poor-water")

#: What a machine does can be told in the phases behind "Start the program"; what a bath does cannot.
_IN_A_BATH = frozenset({Action.soak, Action.sonicate, Action.disinfect})
_NOT_IN_A_BATH = frozenset(
    {Action.wash, Action.disinfect, Action.soak, Action.actuate, Action.store, Action.test, Action.fill}
)

#: A card or a column sets what belongs together on lines as near as this.
_LINES_NEARBY = 6


def dries(step: Step) -> bool:
    """Whether a step dries the device; "a dry place" and "dried blood" dry nothing."""
    said = without(without(words(step), "dry-heat"), "dry-already")
    if says(words(step), "dry-heat") or says(words(step), "dry-already"):
        return says(said, "drying")
    return step.action in _DRIES or step.stage is Stage.drying or says(said, "drying")


def dries_in_the_washer(step: Step) -> bool:
    """Whether a drying is with hot air: a table of the washer's phases may be printed behind the steam."""
    is_hot = bool(step.figures_of(FigureQuantity.temperature))
    said = f"{step.with_ or ''} {words(step)}"
    return step.stage is Stage.drying and is_hot and says(said, "air-words")


def times_written(case: Case, step: Step) -> int:
    """How many times the words of a step hold, whichever of the steps read from them carry them."""
    own = step.figures_of(FigureQuantity.time)
    return max(
        len(own),
        len(
            {
                t.as_written
                for s in case.steps
                if s is step or s.origin == step.origin
                for t in s.figures_of(FigureQuantity.time)
            }
        ),
    )


def rinses(step: Step) -> bool:
    """Whether a step rinses what an earlier one left."""
    return step.action in _RINSES or says(words(step), "rinsing")


def uses_cleaner(step: Step) -> bool:
    """Whether a step brings a cleaner to the device."""
    said = f"{step.with_ or ''} {words(step)}"
    return step.action in _WITH_CLEANER and says(said, "detergent")


def sonicated(case: Case) -> tuple[Step, ...]:
    """The steps in ultrasound: those that sonicate, and those that lay something into its bath for a time."""
    return tuple(
        step
        for step in case.steps
        if step.action is Action.sonicate
        or (
            step.action is Action.load
            and step.stage is Stage.cleaning
            and says(words(step), "ultrasonic")
            and step.figures_of(FigureQuantity.time)
            and not any(other.action is Action.sonicate for other in case.beside(step))
        )
    )


def dose_stated(passage: Passage) -> bool:
    """Whether words state a dose, in figures or as "five millilitres to the litre"."""
    return _DOSE_IN_WORDS.search(passage.text) is not None or any(
        figure.quantity in _DOSES for figure in passage.figures
    )


def nearby(case: Case, place: Place) -> Iterator[Passage]:
    """The passages that stand on the lines just below a place, on its page."""
    if place.line is None:
        return
    for passage in case.passages:
        line = passage.place.line
        is_below = line is not None and 0 <= line - place.line <= _LINES_NEARBY
        if is_below and passage.place.page == place.page and passage.place != place:
            yield passage


def time_told_nearby(case: Case, step: Step) -> bool:
    """Whether words just below a step give a time that is no other work's."""
    return any(
        figure.quantity in {FigureQuantity.time, FigureQuantity.lethality}
        for passage in nearby(case, case.place(step))
        if passage.step is None or not _has_its_own_time(passage.step, step)
        for figure in passage.figures
    )


def _has_its_own_time(other: Step, step: Step) -> bool:
    """Whether the time of another step is that of its own work: 'Wash for 5 min', not '10 min are needed'."""
    if other.action is Action.wash and not any(says(words(other), sense) for sense in _TOLD_AS_WASH):
        return False
    own = _HAS_ITS_OWN_TIME | (_NOT_IN_A_BATH if step.action in _IN_A_BATH else frozenset())
    return other.action in own - {step.action}


def is_by_machine(step: Step | None) -> bool:
    """Whether a step is the work of a washer: its words and its heading do not tell of hands."""
    if step is None or step.action not in {Action.wash, Action.disinfect, Action.pre_rinse}:
        return False
    return not (says(words(step), "by-hand") or says(step.heading or "", "by-hand"))


def until_cleaner(case: Case) -> Iterator[Step]:
    """The steps before the first one in which the device meets a cleaner, on each way of cleaning."""
    met = False
    route: str | None = None
    for step in case.steps:
        if step.heading != route and step.heading and says(step.heading, "by-hand"):
            met = False  # cleaning by hand is often printed behind the machine, and is another way
        route = step.heading
        tells = step.with_ or any(figure.role != FigureRole.time_since_use for figure in step.figures)
        is_water = step.action is Action.wash and not uses_cleaner(step) and says(words(step), "plain-water")
        if step.action in _BRINGS_CLEANER and step.stage is Stage.cleaning and tells and not is_water:
            met = True
        # A machine's pre-rinse is the first water of its way, whatever was done by hand before.
        if not met or step.action is Action.pre_rinse:
            yield step
