"""The ways of an instruction weighed one by one: what is chosen for each need, and what it costs.

The choice is exact and in this order: no conflict, fewest concerns, least hands-on time, fewest operations by
hand (many state no time), least machine time, fewest operations, the plainest thing that does, the
department's own order. Only packaging and the cycle that it must bear depend on one another, so every
sterilizing way is tried with its packaging; all else is chosen by itself, and such a sum of smallest parts is
the smallest sum.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from sinkside.findings import Level
from sinkside.instruction import Action, FigureRole
from sinkside.quantities import FigureQuantity
from sinkside.route import conflicts, explaining
from sinkside.route.appraisal import Candidate
from sinkside.route.candidates import Board
from sinkside.route.needs import Choice, Need, PackagingNeed, SteamNeed, Task

#: Actions that wait; their time is nobody's work.
_WAITING = {
    Action.soak,
    Action.transport,
    Action.start_cleaning,
    Action.keep_moist,
    Action.cool,
    Action.store,
    Action.sonicate,
}

#: Parts that a time can play in a step of work; how long ago the device was used is none.
_WORKING = {None, FigureRole.exposure, FigureRole.drying}

Cost = tuple[float, ...]
Cycles = frozenset[str]
Option = tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """One option of a choice with what was chosen for each task, and what it costs."""

    tasks: tuple[Task, ...]
    chosen: tuple[tuple[Candidate, ...], ...]
    failed: tuple[Need, ...]
    cost: Cost


def best(choices: Sequence[Choice], board: Board) -> list[Way]:
    """The cheapest way of every choice, every combination of sterilizing options tried with its packaging.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
    """
    found: tuple[Cost, list[Way]] | None = None
    known: dict[tuple[int, Cycles], Way] = {}
    for combination in combinations(choices):
        taken = []
        for choice, options in zip(choices, combination.options, strict=True):
            key = (id(choice), combination.cycles)
            if len(options) == 1 or key not in known:
                weighed = (weigh(option, combination.cycles, board) for option in options)
                known[key] = min(weighed, key=lambda way: way.cost)
            taken.append(known[key])
        total = tuple(map(sum, zip(*(way.cost for way in taken), strict=True)))
        if found is None or total < found[0]:
            found = (total, taken)
    return found[1] if found else []


@dataclass(frozen=True, slots=True)
class Combination:
    """One option of every sterilizing choice, every option of the others, and the ways of air removal."""

    options: tuple[tuple[Option, ...], ...]
    cycles: Cycles


def combinations(choices: Sequence[Choice]) -> Iterator[Combination]:
    """Every way of sterilizing that the choices leave open, with all that is decided beside it."""
    sterilizing = [choice for choice in choices if _sterilizes(choice)]
    for picks in product(*(choice.options for choice in sterilizing)):
        fixed = dict(zip((id(choice) for choice in sterilizing), picks, strict=True))
        yield Combination(
            tuple((fixed[id(choice)],) if id(choice) in fixed else choice.options for choice in choices),
            frozenset(way for option in picks for way in _ways_of(option)),
        )


def _sterilizes(choice: Choice) -> bool:
    return any(task.action is Action.sterilize for option in choice.options for task in option)


def _ways_of(option: Sequence[Task]) -> Iterator[str]:
    """The ways of air removal that an option's cycles use."""
    for task in option:
        for need in task.needs:
            if isinstance(need, SteamNeed) and need.air_removal:
                yield need.air_removal.value


def weigh(option: Option, cycles: Cycles, board: Board) -> Way:
    """One option with the cheapest candidate for each need."""
    chosen: list[tuple[Candidate, ...]] = []
    failed: list[Need] = []
    for task in option:
        picked = []
        for need in task.needs:
            able = able_for(need, cycles, board)
            if able:
                picked.append(min(able, key=_candidate_cost))
            else:
                failed.append(need)
        chosen.append(tuple(picked))
    return Way(option, tuple(chosen), tuple(failed), _cost(option, chosen, failed, board))


def able_for(need: Need, cycles: Cycles, board: Board) -> list[Candidate]:
    """The candidates of a need; packaging only where it bears every cycle in question."""
    if conflicts.barred(need):
        return []
    able = board.appraisal(need).candidates
    if isinstance(need, PackagingNeed):
        return [candidate for candidate in able if cycles <= set(candidate.bears)]
    return able


def _candidate_cost(candidate: Candidate) -> Cost:
    return (concerns_of([candidate]), candidate.machine_s, candidate.excess)


def concerns_of(chosen: Sequence[Candidate]) -> float:
    """How many concerns a choice brings with it; notes are none."""
    return float(
        sum(remark.wording.level is not Level.note for candidate in chosen for remark in candidate.remarks)
    )


def _cost(
    option: Sequence[Task], chosen: Sequence[Sequence[Candidate]], failed: Sequence[Need], board: Board
) -> Cost:
    everything = [candidate for picked in chosen for candidate in picked]
    return (
        float(sum(conflicts.smallest_change(need, board.appraisal(need)) for need in failed)),
        concerns_of(everything),
        sum(hands_on_s(task, picked) for task, picked in zip(option, chosen, strict=True)),
        float(sum(not explaining.is_by_machine(picked) for picked in chosen)),
        sum(candidate.machine_s for candidate in everything),
        float(len(option)),
        sum(candidate.excess for candidate in everything),
    )


def hands_on_s(task: Task, picked: Sequence[Candidate]) -> float:
    """The stated time of work by hand, in s; where none is stated none is made up."""
    if explaining.is_by_machine(picked):
        return 0.0
    figures = (
        figure
        for step in task.steps
        if step.action not in _WAITING
        for figure in step.figures_of(FigureQuantity.time)
        if figure.role in _WORKING
    )
    return sum(figure.number("s") for figure in figures)
