"""No figure where one is needed, and no criterion that two people would judge alike."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage
from sinkside.quantities import Bound, FigureQuantity
from sinkside.review.case import WET_ACTIONS, Case, Passage, words
from sinkside.review.lexicon import found, one_behind_the_other, says, without
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.stated import exposures, shown, steam_steps

#: Work that a time, a volume or a count measures.
_MEASURED = WET_ACTIONS | {Action.dry, Action.blow, Action.wipe}

_ASK_CRITERION = "Ask the maker for a figure or a criterion that two people would judge alike."


@rule(
    Theme.vagueness,
    Level.concern,
    title="A sterilization time is a range, and nothing says when which end holds.",
    message="The exposure is {time}, and nothing says when which end holds.",
    remedy="Get the maker's written answer: one exposure for each cycle; until then it is not run.",
)
def exposure_is_a_range(case: Case) -> Iterator[Trip]:
    """Exposures of steam with two ends and no condition."""
    for step in steam_steps(case):
        for time in exposures(step):
            if time.bound is Bound.between and not step.condition:
                yield Trip(case.place(step), {"time": shown(time)})


@rule(
    Theme.vagueness,
    Level.note,
    title="Words stand where a figure or a criterion is needed.",
    message="“{words}” cannot be checked.",
    remedy=_ASK_CRITERION,
)
def wording_cannot_be_checked(case: Case) -> Iterator[Trip]:
    """Words that measure nothing, and vague ones in passages that carry no figure of their own."""
    for passage in case.passages:
        vague = found(passage.text, "unmeasured") | _how_well(passage)
        if not passage.figures:
            vague |= found(passage.text, "vague") | found(without(passage.text, "as-soon-as"), "soon")
        vague |= found(passage.text, "vague-always") | _open_words(passage) | _how_thoroughly(case, passage)
        if vague:
            yield Trip(passage.place, {"words": min(vague)})


@rule(
    Theme.vagueness,
    Level.note,
    title="Cleaning ends when no soil is left, and nothing says how that is seen.",
    message="“{words}” says when to stop, and nothing says how that is seen.",
    remedy="Ask the maker with what light and magnification soil is looked for, and for the shortest time.",
    source=book("iso-17664-1"),
)
def end_cannot_be_seen(case: Case) -> Iterator[Trip]:
    """Ends of cleaning that are soil gone, with neither a figure nor a way of looking beside them."""
    for passage in case.passages:
        ends = found(passage.text, "until-clean")
        step = passage.step
        is_cleaning = step is None or step.stage in {Stage.cleaning, Stage.point_of_use}
        if ends and is_cleaning and not passage.figures and not says(passage.text, "means-of-looking"):
            yield Trip(passage.place, {"words": min(ends)})


@rule(
    Theme.vagueness,
    Level.note,
    title="Water is warm or hot in words, and no figure says how warm.",
    message="“{words}” may be any temperature.",
    remedy="Ask the maker for the temperature.",
    source=book("iso-17664-1"),
)
def temperature_in_words(case: Case) -> Iterator[Trip]:
    """Warm and hot liquids in steps that give no temperature."""
    for step in case.doing(*WET_ACTIONS, Action.prepare_solution):
        warm = found(words(step), "warm-in-words")
        if (
            warm
            and not step.figures_of(FigureQuantity.temperature)
            and not says(words(step), "machine-phase")
        ):
            yield Trip(case.place(step), {"words": min(warm)})


@rule(
    Theme.vagueness,
    Level.note,
    title="Something is to be done several times, and nothing says how often.",
    message="“{words}” is no number.",
    remedy="Ask the maker how often.",
    source=book("iso-17664-1"),
)
def count_in_words(case: Case) -> Iterator[Trip]:
    """Words of repetition in steps that count nothing and end at nothing."""
    for step in case.steps:
        several = found(words(step), "several-times")
        if several and not step.figures_of(FigureQuantity.counted) and not step.until:
            yield Trip(case.place(step), {"words": min(several)})


@rule(
    Theme.vagueness,
    Level.note,
    title="The text leaves a choice and no reason to choose by.",
    message="“{words}” leaves a choice, and nothing says when which is right.",
    remedy="Ask the maker which is meant, and when.",
)
def choice_without_reason(case: Case) -> Iterator[Trip]:
    """Open choices in words, where no condition stands beside them."""
    for passage in case.passages:
        choices = found(passage.text, "open-choice")
        if says(passage.text, "whichever-first"):
            continue
        if choices and not says(passage.text, "condition-strict") and not says(passage.text, "deferred"):
            yield Trip(passage.place, {"words": min(choices)})


@rule(
    Theme.vagueness,
    Level.concern,
    title="A condition says nothing, because it asks for what it grants.",
    message="This holds only if it holds already.",
    remedy="Ask the maker when this applies.",
)
def condition_says_nothing(case: Case) -> Iterator[Trip]:
    """Conditions whose words are those of the sentence that they govern: "need not be shut if it is shut"."""
    for passage in case.passages:
        if _is_empty(passage):
            yield Trip(passage.place)


def _how_well(passage: Passage) -> frozenset[str]:
    """The words that stand for the criterion of a check: "the scissors must cut properly"."""
    step = passage.step
    is_check = step is not None and step.stage in {Stage.inspection, Stage.maintenance}
    if not is_check or not says(passage.text, "demanding"):
        return frozenset()
    return found(passage.text, "how-well")


def _open_words(passage: Passage) -> frozenset[str]:
    """Open words in front of what a figure or a name tells: "a suitable brush"."""
    if says(passage.text, "told-after-all"):
        return frozenset()
    open_ = one_behind_the_other(passage.text, "open-word", "wants-a-figure")
    # "A time that is reasonable", and how the gloss of a Romance language has it: "a time reasonable".
    open_ |= one_behind_the_other(passage.text, "of-time", "judged-fit")
    return frozenset(words for words in open_ if not any(letter.isdigit() for letter in words))


def _how_thoroughly(case: Case, passage: Passage) -> frozenset[str]:
    """The words that stand for time, volume or strokes: "rinse well" in a step that measures nothing."""
    step = passage.step
    if step is None or step.action not in _MEASURED:
        return frozenset()
    told = any(one.figures or one.until for one in case.beside(step))
    return frozenset() if told else found(passage.text, "thoroughly")


def _is_empty(passage: Passage) -> bool:
    """Whether the words behind "if" all stand in front of it too, where they ask for nothing new."""
    before, condition, after = passage.text.lower().partition(" if ")
    told = {word.strip(".,;:()") for word in before.split()}
    asked = {word.strip(".,;:()") for word in after.split()} - {"it", "is", "they", "are", "the", "this", ""}
    return bool(condition and asked) and asked <= told


RULES = (
    exposure_is_a_range,
    wording_cannot_be_checked,
    end_cannot_be_seen,
    temperature_in_words,
    count_in_words,
    choice_without_reason,
    condition_says_nothing,
)
