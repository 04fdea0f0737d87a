"""What the text itself allows at most or at least: temperature, pressure, time, pH, each with its words."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping

from sinkside.findings import Place
from sinkside.instruction import Action, DeviceLimit, FigureRole, Stage, StatementKind, Step
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.acidity import left_between
from sinkside.review.case import Case, Passage, place_of, words
from sinkside.review.lexicon import found, references, says, sentences
from sinkside.review.named import all_capitals
from sinkside.review.stated import exposures

_BINDING = frozenset({StatementKind.limit, StatementKind.prohibition, StatementKind.warning})
_IN_LIQUID = frozenset({Stage.point_of_use, Stage.preparation, Stage.cleaning})
_BY_MACHINE = frozenset({Action.wash, Action.disinfect})
_CLEANING_OF_SOME = frozenset({Action.wash, Action.soak, Action.brush, Action.sonicate})
_NOT_PROCESSING = frozenset({Stage.transport, Stage.storage})
_INF = math.inf
_PH_SLACK = 0.5
_WORDS_OF_A_BARE_LIMIT = 8
_LETTERS_IN_FRONT = re.compile(
    r"(?<!\w)[A-Z]\d?(?:\s*(?:,|and|&|/|\+)\s*[A-Z]\d?)*\s*(?:[:=(-]\s*)?(?:up to |to |at most |max\.? )?$"
)
_ALL_IN_A_CELL = re.compile(r"\|\s*(?:all|every|each)(?:\s+\w+)?\s*\|", re.IGNORECASE)
#: From here on water does something to a material; cooler water is asked for while protein is there.
HOT_WATER_C = 60.0

#: What a limit on time can be about, and the steps that it binds.
_TIMED: Mapping[str, Callable[[Step], bool]] = {
    "immersion": lambda step: step.action is Action.soak or _lies_in_liquid(step),
    "ultrasonic": lambda step: step.action is Action.sonicate or _in_words(step, "ultrasonic"),
    "disinfecting": lambda step: step.action is Action.disinfect,
    "sterilizing": lambda step: step.action is Action.sterilize,
}
_NOT_HELD = frozenset({FigureRole.drying, FigureRole.time_since_use, FigureRole.life, FigureRole.total})


def _in_words(step: Step, sense: str) -> bool:
    return step.stage is Stage.cleaning and says(words(step), sense)


def _lies_in_liquid(step: Step) -> bool:
    # "Lay the parts into it for 10 minutes": what is laid down for a time while cleaning lies in the bath.
    is_laid = step.action is Action.load and step.stage is Stage.cleaning
    return is_laid or (_in_words(step, "immersing") and step.action is not Action.sonicate)


def hottest_allowed(case: Case) -> Iterator[tuple[Passage, Figure]]:
    """Each upper bound on temperature that the text sets for the device, with its words."""
    instruction = case.instruction
    for limit in instruction.device.limits:
        if limit.quantity is FigureQuantity.temperature and limit.bound is not Bound.at_least:
            yield Passage(_said_of(limit), place_of(limit.origin)), limit
    for statement in instruction.statements:
        for stated in statement.figures:
            is_bound = stated.bound is Bound.at_most and statement.kind in _BINDING
            # "Above 130 °C the insulation is damaged": as worded a lower end, and the most that is allowed.
            is_harm = stated.bound is Bound.at_least and _forbids_more(statement.origin.text)
            is_named = stated.bound is Bound.value and _names_the_most(statement.origin.text)
            # "The seal is of rubber which bears not more than 140 °C": a note that sets a limit.
            borne = says(statement.origin.text, "sets-a-limit") or says(statement.origin.text, "withstanding")
            is_bound = is_bound or (stated.bound is Bound.at_most and borne)
            if stated.quantity is FigureQuantity.temperature and (is_bound or is_harm or is_named):
                owners = _owners(statement.origin.text, stated)
                yield Passage(statement.origin.text, place_of(statement.origin), about=owners), stated
    yield from _ruled_in_steps(case)


def _names_the_most(said: str) -> bool:
    """Whether words make the most of a bare figure: "greatest temperature", "withstands", "never exceeds"."""
    return says(said, "hottest") or says(said, "bears-words") or _is_not_exceeded(said)


def _is_not_exceeded(said: str) -> bool:
    return says(said, "exceeding") and says(said, "negation")


def _owners(said: str, limit: Figure) -> tuple[str, ...]:
    """The parts by letter that a limit in a list is for: "F and M 137 °C, P and Q 60 °C"."""
    in_front = _LETTERS_IN_FRONT.search(said.partition(limit.as_written)[0]) if limit.as_written else None
    return tuple(sorted(all_capitals(in_front[0]))) if in_front else ()


def _concerns(owners: tuple[str, ...], said: str, step: Step) -> bool:
    """Whether a step works on a part that a limit is for, by its letter or with all the others."""
    asked = words(step)
    named = all_capitals(asked) & all_capitals(said)
    if named:
        return not named.isdisjoint(owners)
    return _ALL_IN_A_CELL.search(asked) is not None or says(asked, "everything-of-it")


def _said_of(limit: DeviceLimit) -> str:
    """The words of a limit; of "up to 137 °C, water jet up to 1.5 bar" none behind its comma."""
    text = limit.origin.text
    pieces = [piece for piece in re.split(r"[,;]\s", text) if limit.as_written and limit.as_written in piece]
    if not pieces or text.endswith(pieces[0]):
        return f"{limit.limits} {text}"
    return text[: text.index(pieces[0]) + len(pieces[0])]


def _ruled_in_steps(case: Case) -> Iterator[tuple[Passage, Figure]]:
    for passage in _rules_read_as_steps(case):
        for stated in passage.figures if _sets_a_limit(passage) else ():
            is_bound = stated.bound in {Bound.at_most, Bound.value}
            if stated.quantity is FigureQuantity.temperature and is_bound:
                yield passage, stated


def _forbids_more(said: str) -> bool:
    """Whether words make the most of what reads as the least: "above 130 °C it melts"."""
    if says(said, "harm"):
        return True
    if says(said, "up-to-here") or any(references(said)):
        return False
    return says(said, "forbidden") or (says(said, "nothing") and says(said, "not-beyond"))


def _is_of_something_lent(said: str) -> bool:
    """Whether words are about trays, baskets or brushes, which bind nothing on the device.

    What is cleaned by itself, such as a container in a program of its own, binds no other part either.
    """
    return (says(said, "lent") and not says(said, "whole-device")) or says(said, "treated-apart")


def by_hand_only(said: str) -> bool:
    """Whether what words are about never goes into a machine: "it is cleaned by hand only".

    >>> by_hand_only("The caddy is of aluminium and is cleaned by hand only.")
    True
    """
    return any(
        says(one, "by-hand") and says(one, "only") and not says(one, "negation") for one in sentences(said)
    )


def most_c(limit: Figure) -> float:
    """The highest temperature that a limit allows, in °C."""
    low, high = limit.ends("°C")
    return low if limit.bound is Bound.at_least else high


def governs(passage: Passage, limit: Figure, step: Step) -> bool:
    """Whether a limit on temperature concerns a step: one on water says nothing of steam."""
    said = passage.text
    if passage.about and not _concerns(passage.about, said, step):
        return False
    is_dry = step.stage is Stage.drying or step.action is Action.dry
    in_liquid = step.stage in _IN_LIQUID
    in_water = in_liquid or (step.action is Action.disinfect and says(words(step), "plain-water"))
    # What hot water does to a material it does in a machine too.
    is_of_all = says(said, "for-all-cleaning") and not says(said, "by-hand")
    is_of_material = most_c(limit) >= HOT_WATER_C or is_of_all
    shares = bool(_media(said) & _media(words(step))) and (is_of_material or step.action not in _BY_MACHINE)
    # The first of these that words speak of decides; the first rinse is judged by a rule of its own.
    speaking = (
        (says(said, "not-of-steam") and step.action is Action.sterilize, False),
        (says(said, "keeping"), step.stage in _NOT_PROCESSING),
        (says(said, "first-water") or says(said, "of-a-phase"), False),
        (says(said, "enzymatic"), in_liquid and says(words(step), "enzymatic")),
        (says(said, "hot-air"), is_dry),
        (says(said, "of-the-tank"), step.action is Action.sonicate),
        (says(said, "medium"), (in_water if is_of_material else in_liquid) and shares),
        (says(said, "drying"), step.stage is Stage.drying),
    )
    return next((governed for speaks, governed in speaking if speaks), step.stage not in _NOT_PROCESSING)


def _media(said: str) -> frozenset[str]:
    """The media that words name; a detergent, a cleaner and the solution of one are one medium."""
    return frozenset("cleaner" if says(one, "detergent") else one for one in found(said, "medium"))


def pressures_allowed(case: Case) -> Iterator[tuple[Place, Figure]]:
    """Each upper bound on pressure that the text sets for the device."""
    instruction = case.instruction
    for limit in instruction.device.limits:
        is_change = says(limit.origin.text, "change")
        if limit.quantity is FigureQuantity.pressure and limit.bound is not Bound.at_least and not is_change:
            yield place_of(limit.origin), limit
    for statement in instruction.statements:
        for stated in statement.figures:
            is_bound = statement.kind in _BINDING and not says(statement.origin.text, "change")
            if stated.quantity is not FigureQuantity.pressure or not is_bound:
                continue
            named = says(statement.origin.text, "hottest") or _is_not_exceeded(statement.origin.text)
            if stated.bound is Bound.at_most or named:
                yield place_of(statement.origin), stated
    yield from _pressures_by_words(case)


def _pressures_by_words(case: Case) -> Iterator[tuple[Place, Figure]]:
    """Bounds in sentences that were read as steps, and in words of harm: "air above 3 bar damages it"."""
    for passage in _rules_read_as_steps(case):
        for stated in passage.figures if _sets_a_limit(passage) else ():
            if stated.quantity is FigureQuantity.pressure and stated.bound is Bound.at_most:
                yield passage.place, stated
    for passage in case.sentences:
        for stated in passage.figures if says(passage.text, "harm") else ():
            if stated.quantity is FigureQuantity.pressure and stated.bound is Bound.at_least:
                most = {"min": None, "max": stated.number()}
                yield passage.place, stated.model_copy(update=most)


def times_bound(case: Case, bound: Bound) -> Iterator[tuple[Passage, float, Step, Figure]]:
    """Each bound of one kind that a sentence sets on a time, in s, with every time of a step it binds."""
    for passage in (*case.statements, *_rules_read_as_steps(case)):
        # "Where prions are suspected, at least 18 min" speaks of another case and bounds nothing here.
        if says(passage.text, "special-case"):
            continue
        for limit in passage.figures:
            is_other = limit.role in _NOT_HELD and passage.step is None
            if limit.quantity is not FigureQuantity.time or is_other:
                continue
            bound_s = _bound_s(passage, limit, bound)
            if bound_s is not None:
                for step, time in _held_times(case, passage):
                    yield passage, bound_s, step, time


def _rules_read_as_steps(case: Case) -> Iterator[Passage]:
    """Sentences that were read as something to do, and rule: "may be immersed for at most 20 minutes"."""
    for passage in case.sentences:
        is_one = len({figure.quantity for figure in passage.figures}) == 1
        rules = says(passage.text, "ruling") or says(passage.text, "sets-a-limit") or _is_bare_limit(passage)
        if passage.step is not None and is_one and rules:
            yield passage


def _is_bare_limit(passage: Passage) -> bool:
    """Whether words say nothing but for how long at most: "Immerse for no longer than 5 minutes"."""
    return (
        len(passage.text.split()) <= _WORDS_OF_A_BARE_LIMIT
        and says(passage.text, "no-longer-than")
        and not any(
            says(passage.text, sense) for sense in ("detergent", "disinfecting", "component", "medium")
        )
    )


def _sets_a_limit(passage: Passage) -> bool:
    """Whether words tell what a thing withstands, or the most that is allowed, whatever they were read as."""
    return says(passage.text, "withstanding") or says(passage.text, "sets-a-limit")


def own_ph_ranges(case: Case) -> Iterator[tuple[Passage, tuple[float, float]]]:
    """The pH that the text allows anywhere, with the words that say so."""
    instruction = case.instruction
    by_words: dict[str, list[DeviceLimit]] = {}
    for limit in instruction.device.limits:
        if limit.quantity is FigureQuantity.ph and not _is_of_something_lent(limit.origin.text):
            by_words.setdefault(limit.origin.text, []).append(limit)
    for words_of_limit, limits in by_words.items():
        least, most = _ph_range(words_of_limit, limits)
        # One number alone is no range: it may be the cleaner's, or half of a range.
        if least < most and (math.isfinite(least) or math.isfinite(most)):
            yield Passage(words_of_limit, place_of(limits[0].origin)), (least, most)
    yield from _ph_ranges_of_steps(case)
    for statement in instruction.statements:
        for acidity in statement.figures if not _is_of_something_lent(statement.origin.text) else ():
            if acidity.quantity is not FigureQuantity.ph or acidity.bound is Bound.value:
                continue
            least, most = acidity.ends()
            said = statement.origin.text
            if both := left_between(said):
                yield Passage(said, place_of(statement.origin)), both
                continue
            denies = statement.kind is StatementKind.prohibition
            denies = denies or says(said, "nothing") or says(said, "forbidden")
            if denies and acidity.bound is not Bound.between:
                # "Never above pH 9.5": read as worded the figure is what is forbidden.
                least, most = (-_INF, least) if math.isfinite(least) else (most, _INF)
            yield Passage(statement.origin.text, place_of(statement.origin)), (least, most)


def leaves_range(low: float, high: float, *, least: float, most: float) -> bool:
    """Whether what is asked lies outside, or reaches well above; two ranges that overlap are common."""
    return high < least or low > most or (math.isfinite(high) and high > most + _PH_SLACK)


def ph_text(low: float, high: float) -> str:
    """A range of pH in words."""
    ends = [f"{end:g}" for end in dict.fromkeys((low, high)) if math.isfinite(end)]
    if low == -_INF:
        return f"pH up to {ends[0]}"
    return f"pH from {ends[0]}" if high == _INF else f"pH {' to '.join(ends)}"


def _ph_ranges_of_steps(case: Case) -> Iterator[tuple[Passage, tuple[float, float]]]:
    """Ranges that were read as something to do: "use a cleaner of pH 6 to 10" says what may be used."""
    for step in case.steps:
        ranges = [f for f in step.figures_of(FigureQuantity.ph) if f.bound is Bound.between]
        # "Wash the lid with a cleaner of pH 7 to 8" is for the lid.
        is_of_some = step.action in _CLEANING_OF_SOME and bool(found(words(step), "component"))
        is_of_some = is_of_some or says(words(step), "treated-apart")
        if len(step.figures) == len(ranges) == 1 and says(words(step), "detergent") and not is_of_some:
            yield Passage(words(step), place_of(step.origin, step.id)), ranges[0].ends()


def _ph_range(said: str, limits: list[DeviceLimit]) -> tuple[float, float]:
    """The pH that limits in the same words allow together; "below pH 6 attacks it" allows what is above."""
    if both := left_between(said):
        return both
    harms = says(said, "harm") or says(said, "forbidden")
    least, most = -_INF, _INF
    for limit in limits:
        if limit.bound is Bound.value:
            continue
        low, high = limit.ends()
        if limit.bound is Bound.at_least and harms:
            low, high = -_INF, low
        elif limit.bound is Bound.at_most and harms:
            low, high = high, _INF
        least, most = max(least, low), min(most, high)
    values = [limit.number() for limit in limits if limit.bound is Bound.value]
    if len(values) == 1 and math.isfinite(least) != math.isfinite(most):
        # "From pH 6 up to pH 12" is a value and a bound.
        return (values[0], most) if math.isfinite(most) else (least, values[0])
    return (min(values), max(values)) if values else (least, most)


def _bound_s(passage: Passage, limit: Figure, bound: Bound) -> float | None:
    """The bound in s; "longer than 15 min damages the seal" is, as worded a lower end, the most allowed."""
    low, high = limit.ends("s")
    forbids_longer = limit.bound is Bound.at_least and (
        says(passage.text, "harm") or says(passage.text, "negation") or says(passage.text, "forbidden")
    )
    if bound is Bound.at_most:
        return low if forbids_longer else (high if limit.bound is Bound.at_most else None)
    return low if limit.bound is Bound.at_least and not forbids_longer else None


def _held_times(case: Case, passage: Passage) -> Iterator[tuple[Step, Figure]]:
    """The times of the steps that a sentence is about; drying and storing are judged elsewhere."""
    for sense, binds in _TIMED.items():
        if says(passage.text, sense):
            for step in case.steps:
                if binds(step) and words(step) != passage.text:
                    yield from ((step, time) for time in _times(step))


def _times(step: Step) -> tuple[Figure, ...]:
    if step.action is Action.sterilize:
        return exposures(step)
    return tuple(time for time in step.figures_of(FigureQuantity.time) if time.role not in _NOT_HELD)
