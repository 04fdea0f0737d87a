"""What an instruction has to tell (after ISO 17664-1), and does not."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from sinkside.findings import Level, Place
from sinkside.instruction import STAGES, Action, FigureRole, Stage, Step
from sinkside.quantities import Bound, FigureQuantity
from sinkside.review.case import WET_ACTIONS, Case, Passage, words
from sinkside.review.doing import dries, dries_in_the_washer, rinses, time_told_nearby, times_written
from sinkside.review.lexicon import ranges, says
from sinkside.review.plausible import COOLEST_STEAM_C
from sinkside.review.rule import Theme, Trip, Unjudged, book, rule
from sinkside.review.stated import exposures, set_temperatures, steam_steps

#: Work that tells a stage wherever it is printed.
_TELLS = {
    Action.inspect: Stage.inspection,
    Action.test: Stage.inspection,
    Action.wash: Stage.cleaning,
    Action.brush: Stage.cleaning,
    Action.soak: Stage.cleaning,
    Action.sterilize: Stage.sterilization,
    Action.disinfect: Stage.disinfection,
}

#: Fewer words than this are a heading, whatever was read from them.
_FEWEST_WORDS = 3
_LINES_OF_A_CHAPTER = 8
_BARE_STEAM = re.compile(r"(?<![\d.,])(?:115|121|126|132|134|135)(?![\d.,]|\s*(?:°|deg|[CK]\b))")

#: Fewer steps than this are no instruction.
_FEWEST_STEPS = 3

_TIMED = frozenset({FigureQuantity.time, FigureQuantity.lethality})
_CLEANS = frozenset({Stage.cleaning, Stage.disinfection})
_WHERE_DRYING_COUNTS = frozenset(
    {Stage.preparation, Stage.cleaning, Stage.disinfection, Stage.drying, Stage.inspection, Stage.packaging}
)

#: Any of these stages will do, because not every device is sterilized.
_STAGES_TO_TELL: tuple[tuple[Stage, ...], ...] = (
    (Stage.cleaning,),
    (Stage.inspection,),
    (Stage.sterilization, Stage.disinfection),
)

#: "Flush with enough water, not over 25 °C": what the liquid is like, and not how much of it.
_SAYS_NOT_HOW_MUCH = frozenset(
    {
        FigureQuantity.temperature,
        FigureQuantity.concentration,
        FigureQuantity.ph,
        FigureQuantity.percent,
        FigureQuantity.ratio,
        FigureQuantity.conductivity,
    }
)
_TOLD_ELSEWHERE = ("as-before", "connecting", "deferred", "nothing")


@rule(
    Theme.completeness,
    Level.stop,
    title="A device goes wet into its pack.",
    message="Nothing dries the device between cleaning and {next}.",
    remedy="Get the maker's written answer: how the device is dried, inside and out, and for how long.",
    source=book("iso-17664-1"),
)
def drying_missing_before_packing(case: Case) -> Iterator[Trip]:
    """Wet steps and a packing or sterilizing step behind them, with no drying in between or elsewhere."""
    wet = [step for step in case.doing(*WET_ACTIONS) if step.stage in _CLEANS]
    ends = [
        step
        for step in case.doing(Action.pack, Action.sterilize)
        if step.stage in {Stage.packaging, Stage.sterilization}
        and wet
        and case.index(step) > case.index(wet[0])
    ]
    dried = [
        step
        for step in case.steps
        if step.stage in _WHERE_DRYING_COUNTS and dries(step) and not says(words(step), "storing")
    ]
    if ends and not any(
        step.stage is not Stage.packaging or step.action is not Action.pack for step in dried
    ):
        said = dried or case.mentions("drying-before", among=case.statements)
        before = case.steps[: case.index(ends[0])]
        wiped = [s for s in before if s.action is Action.wipe and s.stage in _WHERE_DRYING_COUNTS]
        near = (*[s for s in wet if s in before][-1:], *wiped[-1:])
        others = tuple(case.place(step) for step in near)
        yield Trip(case.place(ends[0]), {"next": ends[0].stage.value}, others, doubtful=bool(said))


@rule(
    Theme.completeness,
    Level.concern,
    title="No drying time is given for the sterilizer.",
    message="No drying time is given for steam sterilization; a wet pack is no sterile pack.",
    remedy="Get the maker's written answer: the drying time of each cycle.",
    source=book("iso-17664-1"),
)
def sterilizer_drying_missing(case: Case) -> Iterator[Trip]:
    """Steam cycles for packed devices of which none has a drying time."""
    cycles = [
        step
        for step in steam_steps(case)
        if set_temperatures(step) and not says(words(step), "immediate-use")
    ]
    if cycles:
        behind = case.steps[case.index(steam_steps(case)[0]) :]
        # "Steam, drying: 30 minutes or more": the heading dries.
        drying = [
            step
            for step in behind
            if (dries(step) or says(step.heading or "", "drying")) and step.stage is not Stage.storage
            if not dries_in_the_washer(step)
        ]
        timed = any(_is_drying_timed(step) or _is_left_to_others(step) for step in drying)
        # A second time in a row of a table is its drying, whatever the column is called.
        # Two times for two temperatures are two exposures.
        has_second_time = any(
            times_written(case, step) > max(1, len(set_temperatures(step))) for step in cycles
        )
        if not timed and not has_second_time:
            spoken = [p.place for p in case.sentences if _speaks_of_drying(case, p, behind)]
            rows = [step for step in steam_steps(case) if step not in cycles]
            places = [*spoken, *(case.place(step) for step in (*drying, *cycles, *rows))]
            yield Trip(places[0], more_places=tuple(places[1:]))


def _is_left_to_others(step: Step) -> bool:
    """Whether words leave a figure to other instructions; "according to experience" leaves it to nobody."""
    return says(words(step), "deferred") and not says(words(step), "by-experience")


@rule(
    Theme.completeness,
    Level.concern,
    title="A flush or a blow of air has no figure.",
    message="This step says to {action} and gives neither {missing}.",
    remedy="Ask the maker for the figures that are missing.",
    source=book("iso-17664-1"),
)
def flush_or_blow_without_figure(case: Case) -> Iterator[Trip]:
    """Flushing with no volume, time, count or end; blowing with neither pressure nor time.

    Where another step of the kind has figures they may be meant here too: a doubt.
    """
    for step in case.doing(Action.flush, Action.blow, Action.dry):
        said = words(step)
        if step.action is Action.dry and not (
            says(said, "compressed-air") and says(said, "through-lumen-only")
        ):
            continue
        if any(says(said, sense) for sense in _TOLD_ELSEWHERE) or _tells_why(said):
            continue
        quantities = {f.quantity for s in _beside(case, step) for f in s.figures}
        others = [s for s in case.doing(step.action) if s.figures and not set(step.on) - set(s.on)]
        if step.action is not Action.flush:
            alone = _clause_of_air(said)
            if alone is not None and not any(letter.isdigit() for letter in alone):
                quantities = set()
            if not quantities & {FigureQuantity.pressure, FigureQuantity.time} and not step.until:
                evidence = {"action": "blow", "missing": "pressure nor time"}
                is_vague = says(said, "vague-amount") or says(said, "vague-blow")
                yield Trip(case.place(step), evidence, doubtful=bool(others) and not is_vague)
        elif not quantities - _SAYS_NOT_HOW_MUCH and not step.until:
            evidence = {"action": "flush", "missing": "volume, time nor end"}
            is_vague = says(said, "vague-amount")
            yield Trip(case.place(step), evidence, doubtful=bool(others) and not is_vague)


def _tells_why(said: str) -> bool:
    """'No brush into the bore: flushing does it' asks for no flush of its own."""
    return says(said, "takes-no-brush") and says(said, "done-by-flushing")


@rule(
    Theme.completeness,
    Level.concern,
    title="A soak, an ultrasonic treatment or a disinfection has no time.",
    message="Nothing says for how long to {action}.",
    remedy="Ask the maker for the time.",
    source=book("iso-17664-1"),
)
def time_not_stated(case: Case) -> Iterator[Trip]:
    """Work whose effect is its time, where no step of its kind and no words beside it state one."""
    for action in (Action.soak, Action.sonicate, Action.disinfect):
        steps = [
            step
            for step in case.doing(action)
            if step.stage in _CLEANS and not _is_heading(step) and not says(words(step), "forbidden")
            if not (says(words(step), "repair") or says(words(step), "sending"))
        ]
        alike = [s for s in case.steps if s in steps or any(s.origin == step.origin for step in steps)]
        told = any(f.quantity in _TIMED for step in alike for f in step.figures)
        told = told or any(time_told_nearby(case, step) for step in steps)
        told = told or (action is Action.sonicate and any(_is_bath_with_time(step) for step in case.steps))
        if steps and not told and not any(says(words(step), "deferred") for step in alike):
            yield Trip(case.place(steps[0]), {"action": action.value})


def _is_bath_with_time(step: Step) -> bool:
    """Whether a step tells frequency and time: only an ultrasonic bath has both."""
    return bool(step.figures_of(FigureQuantity.frequency) and step.figures_of(FigureQuantity.time))


@rule(
    Theme.completeness,
    Level.stop,
    title="No steam cycle is given with its temperature and its time.",
    message="Steam sterilization is asked for, but no cycle states both temperature and time.",
    remedy="Get the maker's written answer: way of air removal, temperature, exposure and drying time.",
    source=book("iso-17664-1"),
)
def steam_cycle_not_stated(case: Case) -> Iterator[Trip]:
    """Steam steps of which none has both a set temperature and an exposure, with none elsewhere either."""
    cycles = [step for step in steam_steps(case) if not _is_heading(step) and not _only_limits(step)]
    stated = any(set_temperatures(step) and exposures(step) for step in cycles)
    told = any(_states_steam(passage) for passage in case.passages) or _told_in_two(case)
    if cycles and not stated and not told:
        # A table with its units in the head may have lost them: "saturated steam 134 5".
        is_bare = any(says(p.text, "steam") and _BARE_STEAM.search(p.text) for p in case.sentences)
        meant = next((step for step in cycles if set_temperatures(step)), cycles[0])
        yield Trip(case.place(meant), doubtful=is_bare)


@rule(
    Theme.completeness,
    Level.concern,
    title="A stage that every instruction has to tell is missing.",
    message="The text tells nothing about {stage}.",
    remedy="Ask the maker for the steps of {stage}.",
    source=book("iso-17664-1"),
)
def stage_untold(case: Case) -> Iterator[Trip | Unjudged]:
    """Cleaning, inspection, and sterilization or disinfection: each with a step or more."""
    if len(case.steps) < _FEWEST_STEPS:
        # So few are a text that was not understood, not one that says nothing.
        yield Unjudged(case.heading_for(Stage.cleaning), "steps that could be read")
        return
    told = {step.stage for step in case.steps} | {_TELLS.get(step.action) for step in case.steps}
    for stages in _STAGES_TO_TELL:
        if not told & set(stages):
            names = " or ".join(stage.value for stage in stages)
            spoken_of = case.mentions(*(f"speaks-of-{stage.value}" for stage in stages))
            place, behind = case.heading_for(stages[0]), _first_behind(case, stages[0])
            yield Trip(place, {"stage": names}, behind, doubtful=spoken_of is not None)


def _first_behind(case: Case, stage: Stage) -> tuple[Place, ...]:
    """The first step of a later stage: in front of it the missing stage belongs."""
    later = [step for step in case.steps if STAGES.index(step.stage) > STAGES.index(stage)]
    return (case.place(later[0]),) if later else ()


@rule(
    Theme.completeness,
    Level.concern,
    title="Detergent is not rinsed off.",
    message="Detergent is used here and nothing rinses it off afterwards.",
    remedy="Ask the maker with what water, and for how long, the detergent is rinsed off.",
    source=book("iso-17664-1"),
)
def detergent_not_rinsed_off(case: Case) -> Iterator[Trip]:
    """The last step with detergent, with no rinse, flush, wash or repetition behind it."""
    used = [
        step
        for step in case.doing(Action.soak, Action.brush, Action.sonicate, Action.flush)
        if says(f"{step.with_ or ''} {words(step)}", "detergent") and step.stage is Stage.cleaning
    ]
    if used:
        behind = case.steps[case.index(used[-1]) :]
        if not any(rinses(step) for step in behind):
            yield Trip(case.place(used[-1]))


@rule(
    Theme.completeness,
    Level.note,
    title="Steps that may be left out hold the only drying of a part.",
    message="Leaving out {first} to {last} leaves {parts} undried.",
    remedy="Ask the maker how what is left out is dried.",
    source=book("iso-17664-1"),
)
def only_drying_may_be_left_out(case: Case) -> Iterator[Trip]:
    """Ranges of steps that words let a person leave out, against the drying that remains."""
    drying = [step for step in case.doing(Action.dry, Action.blow) if step.stage is not Stage.sterilization]
    for passage in case.passages:
        if not says(passage.text, "left-out"):
            continue
        for first, last in ranges(passage.text):
            inside = [step for step in drying if _is_between(step, first, last)]
            kept = {thing for step in drying if step not in inside for thing in step.on}
            undried = dict.fromkeys(thing for step in inside for thing in step.on if thing not in kept)
            if undried or (inside and len(inside) == len(drying)):
                parts = ", ".join(undried) or "the device"
                yield Trip(
                    passage.place,
                    {"first": first, "last": last, "parts": parts},
                    tuple(case.place(step) for step in inside),
                )


def _is_drying_timed(step: Step) -> bool:
    """Whether a step says how long it dries; the exposure of a cycle that ends with drying does not."""
    times = step.figures_of(FigureQuantity.time)
    if step.action is Action.sterilize:
        return any(time.role != FigureRole.exposure for time in times) or not set_temperatures(step)
    return bool(times)


def _clause_of_air(said: str) -> str | None:
    """The piece between commas that blows air through a lumen, where other drying stands beside it."""
    pieces = said.split(",")
    blows = [one for one in pieces if says(one, "compressed-air") and says(one, "through-lumen-only")]
    return blows[0] if len(pieces) > 1 and len(blows) == 1 and says(said, "hot-air") else None


def _speaks_of_drying(case: Case, passage: Passage, behind: tuple[Step, ...]) -> bool:
    """Whether a sentence that is no step speaks of drying behind the steam: "Drying: until dry"."""
    line, first = passage.place.line, case.place(behind[0]).line
    is_behind = line is not None and first is not None and 0 <= line - first <= _LINES_OF_A_CHAPTER
    is_same_page = passage.place.page == case.place(behind[0]).page
    return passage.step is None and is_behind and is_same_page and says(passage.text, "drying-told")


def _told_in_two(case: Case) -> bool:
    """'At 134 °C; the exposure time shall not be less than 3 min' states a cycle in two pieces."""
    for one, other in itertools.pairwise(case.sentences):
        # The time of a drying row is no exposure: "| Dry time | 20 minutes |".
        is_drying = says(other.text, "drying") and not says(other.text, "exposing")
        figures = one.figures if is_drying else (*one.figures, *other.figures)
        hot = any(
            f.quantity is FigureQuantity.temperature and f.number("°C") >= COOLEST_STEAM_C
            for f in one.figures
        )
        timed = any(f.quantity is FigureQuantity.time for f in figures)
        is_cycle = says(one.text, "steam") or case.stage_of(one) is Stage.sterilization
        # "| Heat | 134 °C |" over "| Time | 5 minutes |": a card tells a cycle row by row.
        are_rows = one.text.startswith("|") and other.text.startswith("|")
        if hot and timed and is_cycle and (are_rows or says(f"{one.text} {other.text}", "exposing")):
            return True
    return False


def _states_steam(passage: Passage) -> bool:
    """Whether words have what a steam cycle has, whatever was read from them: a hot temperature, a time."""
    timed = any(
        figure.quantity is FigureQuantity.time and figure.role != FigureRole.drying
        for figure in passage.figures
    )
    return timed and any(
        figure.quantity is FigureQuantity.temperature and figure.number("°C") >= COOLEST_STEAM_C
        for figure in passage.figures
    )


def _only_limits(step: Step) -> bool:
    """Whether words that were read as a cycle only say how hot the device may get."""
    hot = step.figures_of(FigureQuantity.temperature)
    is_limit = bool(hot) and len(hot) == len(step.figures) and all(f.bound is Bound.at_most for f in hot)
    return says(words(step), "harm") or is_limit


def _is_heading(step: Step) -> bool:
    return 0 < len(step.origin.text.split()) < _FEWEST_WORDS


def _is_between(step: Step, first: str, last: str) -> bool:
    """Whether a step's number lies in a range of numbers."""
    return bool(step.number) and _order(first) <= _order(step.number or "") <= _order(last)


def _order(number: str) -> tuple[int, ...]:
    return tuple(int(piece) for piece in number.rstrip(".").split(".") if piece.isdigit())


def _beside(case: Case, step: Step) -> list[Step]:
    """The steps that were read from the same words, or stand under the same number."""
    return [s for s in case.steps if s is step or s.origin == step.origin]


RULES = (
    drying_missing_before_packing,
    sterilizer_drying_missing,
    flush_or_blow_without_figure,
    time_not_stated,
    steam_cycle_not_stated,
    stage_untold,
    detergent_not_rinsed_off,
    only_drying_may_be_left_out,
)
