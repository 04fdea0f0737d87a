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
from typing import Final

from sinkside.findings import Level
from sinkside.instruction import Action, FigureRole
from sinkside.quantities import FigureQuantity
from sinkside.route import conflicts, explaining
from sinkside.route.appraisal import Candidate
from sinkside.route.candidates import Board
from sinkside.route.needs import Choice, Need, PackagingNeed, Task
from sinkside.route.packing import NamedCycle, bears_all, named_cycle

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

#: So many sets of cycles are tried: all there are of six cycles.
_MOST_UNIONS: Final = 64

Cost = tuple[float, ...]
Cycles = frozenset[NamedCycle]
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
    packing = {id(choice) for choice in choices if _packs(choice)}
    known: dict[tuple[int, Cycles | None], Way] = {}
    for combination in combinations(choices):
        taken = []
        for choice, options in zip(choices, combination.options, strict=True):
            # Only packaging hangs on the cycles; everything else is weighed once, whatever they are.
            cycles = combination.cycles if id(choice) in packing else None
            for option in options:
                if (id(option), cycles) not in known:
                    known[id(option), cycles] = weigh(option, combination.cycles, board)
            taken.append(min((known[id(option), cycles] for option in options), key=lambda way: way.cost))
        total = tuple(map(sum, zip(*(way.cost for way in taken), strict=True)))
        if found is None or total < found[0]:
            found = (total, taken)
    return found[1] if found else []


@dataclass(frozen=True, slots=True)
class Combination:
    """The options of every choice that name no other cycles than these, which packaging must bear."""

    options: tuple[tuple[Option, ...], ...]
    cycles: Cycles


def combinations(choices: Sequence[Choice]) -> Iterator[Combination]:
    """Every set of cycles that the choices can come to, with the options that keep to it.

    Packaging alone hangs on the cycles, and what bears several bears each of them. So the cheapest of all
    ways is among the cheapest for each set, and no pick of single options need be tried by itself.
    """
    sterilizing = {id(choice) for choice in choices if _sterilizes(choice)}
    named = {
        id(option): frozenset(cycles_of(option))
        for choice in choices
        if id(choice) in sterilizing
        for option in choice.options
    }
    for cycles in _unions([[named[id(o)] for o in c.options] for c in choices if id(c) in sterilizing]):
        yield Combination(
            tuple(
                tuple(o for o in choice.options if named.get(id(o), cycles) <= cycles) for choice in choices
            ),
            cycles,
        )


def _unions(named: Sequence[Sequence[Cycles]]) -> list[Cycles]:
    """What the cycles of one option of each choice come to together; of very many only some, and all of them.

    Beyond that many the least way may be missed, and every way that is found is still one.
    """
    unions: dict[Cycles, None] = {frozenset(): None}
    for options in named:
        unions = {union | cycles: None for union in unions for cycles in options}
        everything = frozenset[NamedCycle]().union(*unions)
        unions = {**dict.fromkeys(list(unions)[:_MOST_UNIONS]), everything: None}
    return list(unions)


def _packs(choice: Choice) -> bool:
    return any(
        isinstance(need, PackagingNeed) for option in choice.options for task in option for need in task.needs
    )


def _sterilizes(choice: Choice) -> bool:
    return any(task.action is Action.sterilize for option in choice.options for task in option)


def cycles_of(tasks: Sequence[Task]) -> Iterator[NamedCycle]:
    """The cycles that tasks name, as far as packaging must bear them."""
    named = (named_cycle(need) for task in tasks for need in task.needs)
    return (cycle for cycle in named if cycle is not None)


def weigh(option: Option, cycles: Cycles, board: Board) -> Way:
    """One option with the cheapest candidate for each need."""
    chosen: list[tuple[Candidate, ...]] = []
    failed: list[Need] = []
    for task in option:
        picked = []
        for need in task.needs:
            able = able_for(need, cycles, board)
            if able:
                picked.append(able[0] if len(able) == 1 else min(able, key=_candidate_cost))
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
        return [candidate for candidate in able if bears_all(candidate, cycles)]
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
