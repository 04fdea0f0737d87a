"""Routes, conflicts and repairs beside an exhaustive search that knows nothing of how they are found.

The search is the outside witness: it tries every option with every candidate, and every set of changes.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from functools import reduce
from itertools import chain, combinations, product

import pytest

from sinkside.department import Department, Packaging, changed
from sinkside.instruction import Instruction
from sinkside.route import Change, Route, resolve
from sinkside.route.appraisal import Candidate
from sinkside.route.candidates import appraise
from sinkside.route.needs import GasNeed, Need, PackagingNeed, SteamNeed, Task
from sinkside.route.requirements import requirements_of
from support.random_routing import a_random_department, a_random_instruction

_CASES = 300
#: The search tries every subset of so many changes; a case with more is drawn again.
_MOST_CHANGES = 9


def _case(seed: int) -> tuple[Instruction, Department]:
    chance = random.Random(seed)  # noqa: S311 - a drawn case, no secret
    return a_random_instruction(chance), a_random_department(chance)


def _bears(pack: Packaging, cycle: SteamNeed | GasNeed) -> bool:
    """Whether packaging bears a cycle by what it says; written apart from the code under test."""
    if isinstance(cycle, SteamNeed):
        way = cycle.air_removal.value if cycle.air_removal else None
        fits = "steam" in pack.methods and way in (None, *pack.air_removal)
    else:
        fits = "hydrogen-peroxide" in pack.methods
    top = pack.temperature.max.to("°C") if pack.temperature and pack.temperature.max else math.inf
    return fits and (cycle.temperature is None or cycle.temperature.figure.number("°C") <= top)


def _picks(
    option: Sequence[Task], cycles: Sequence[SteamNeed | GasNeed], department: Department
) -> list[list[Candidate]]:
    """For each need of an option everything here that does."""
    found = []
    for need in (need for task in option for need in task.needs):
        able = appraise(need, department).candidates
        if isinstance(need, PackagingNeed):
            able = [one for one in able if one.packs and all(_bears(one.packs, cycle) for cycle in cycles)]
        found.append(able)
    return found


def _every_way(
    instruction: Instruction, department: Department
) -> Iterator[tuple[list[Task], list[Candidate]]]:
    """Every option of every choice with every candidate of every need."""
    choices = requirements_of(instruction)
    for options in product(*(choice.options for choice in choices)):
        tasks = list(chain.from_iterable(options))
        needs = (need for task in tasks for need in task.needs)
        cycles = [need for need in needs if isinstance(need, SteamNeed | GasNeed)]
        for picks in product(*_picks(tasks, cycles, department)):
            yield tasks, list(picks)


def _price(picks: Sequence[Candidate]) -> tuple[int, float]:
    """What the trade asks first and last of a choice: fewest concerns, least machine time."""
    remarks = [remark for pick in picks for remark in pick.remarks if remark.wording.level != "note"]
    return len(remarks), sum(pick.machine_s for pick in picks)


def _route_price(route: Route, instruction: Instruction, department: Department) -> tuple[int, float]:
    """The price of the way that a route takes, found again among all ways by what it binds."""
    bound = {
        (binding.kind, binding.id, binding.program) for op in route.operations for binding in op.bindings
    }
    prices = [
        _price(picks)
        for _, picks in _every_way(instruction, department)
        if {(b.kind, b.id, b.program) for pick in picks for b in pick.bindings} == bound
    ]
    assert prices, "the route binds what no way of the instruction binds"
    return min(prices)


def _gives_a_route(instruction: Instruction, department: Department) -> bool:
    return next(_every_way(instruction, department), None) is not None


def _told(route: Route) -> list[Change]:
    return [change for change in route.changes if change.edit]


@pytest.mark.parametrize("tenth", range(10))
def test_a_route_is_there_exactly_when_the_search_finds_one_and_none_is_better(tenth: int) -> None:
    """Of 300 random small cases each has a route exactly when some way works, with as few concerns as any."""
    for seed in range(tenth, _CASES, 10):
        instruction, department = _case(seed)
        route = resolve(instruction, department)
        prices = [_price(picks) for _, picks in _every_way(instruction, department)]
        assert route.resolved == bool(prices), seed
        if prices:
            found = _route_price(route, instruction, department)
            assert found[0] == min(prices)[0], seed


@pytest.mark.parametrize("tenth", range(10))
def test_the_smallest_repair_gives_a_route_and_nothing_smaller_does(tenth: int) -> None:
    """Where nothing fits, the repair works once made, and no set of the told changes of less size works."""
    for seed in range(tenth, _CASES, 10):
        instruction, department = _case(seed)
        route = resolve(instruction, department)
        if route.resolved or not all(change.edit for change in route.smallest_repair):
            continue
        mended = _made(department, route.smallest_repair)
        assert _gives_a_route(instruction, mended), (seed, [c.sentence for c in route.smallest_repair])
        least = sum(change.size for change in route.smallest_repair)
        told = _told(route)[:_MOST_CHANGES]
        for some in _subsets(told):
            if sum(change.size for change in some) < least:
                assert not _gives_a_route(instruction, _made(department, some)), (
                    seed,
                    [change.sentence for change in some],
                )


def _made(department: Department, changes: Sequence[Change]) -> Department:
    return reduce(changed, (change.edit for change in changes if change.edit), department)


def _subsets(changes: Sequence[Change]) -> Iterator[tuple[Change, ...]]:
    return chain.from_iterable(combinations(changes, count) for count in range(len(changes) + 1))


@pytest.mark.parametrize("tenth", range(10))
def test_conflicts_are_all_that_is_missing_and_each_alone_is_enough(tenth: int) -> None:
    """The conflicts of a refusal name needs that nothing satisfies; without those needs there is a way."""
    for seed in range(tenth, _CASES, 10):
        instruction, department = _case(seed)
        route = resolve(instruction, department)
        if route.resolved:
            assert not route.conflicts
            continue
        named = {step for change in route.smallest_repair for step in change.resolves}
        kept = instruction.model_copy(
            update={"steps": tuple(step for step in instruction.steps if step.id not in named)}
        )
        letters = {step.alternative for step in instruction.steps if step.id in named}
        if letters <= {None}:
            assert _gives_a_route(kept, department), seed
        for finding in route.conflicts:
            assert _is_unmet(finding.place.step, instruction, department), seed


def _is_unmet(step: str | None, instruction: Instruction, department: Department) -> bool:
    """Whether some need of a step has nothing here, by itself or in every cycle that is left."""
    needs: list[Need] = [
        need
        for choice in requirements_of(instruction)
        for option in choice.options
        for task in option
        for need in task.needs
        if step in {part.id for part in need.steps}
    ]
    alone = any(not appraise(need, department).candidates for need in needs)
    return alone or any(isinstance(need, PackagingNeed) for need in needs)
