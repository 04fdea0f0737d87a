"""The smallest changes of a department that together give a route: a cover of what is missing.

Each need that nothing here satisfies is covered by one of the changes that would satisfy it; one change may
cover several needs (a brush that two steps ask for is bought once). Which of the ways that the instruction
leaves open is taken is decided together with the changes. The cover is proved to be the smallest.
"""

from __future__ import annotations

import importlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from sinkside.department import Edit
from sinkside.documents import to_json
from sinkside.route import conflicts
from sinkside.route.candidates import Board
from sinkside.route.needs import Choice, Need
from sinkside.route.weighing import Combination, Cycles, Way, able_for, combinations, weigh

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

#: Each is larger than what comes after it can sum up to: first the size of the changes, then the rank of the
#: ways, then the department's own order, so that of two machines alike the first is proposed.
_SIZE_FIRST: Final = 10_000_000
_RANK_NEXT: Final = 10_000


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change with what it costs; the same change for two needs is one."""

    key: str
    size: int
    edit: Edit | None


@dataclass(frozen=True, slots=True)
class SmallestRepair:
    """The way of each choice that comes nearest, the keys of the changes that it takes, their total size."""

    ways: tuple[Way, ...]
    keys: frozenset[str]
    size: int


def smallest_repair(choices: Sequence[Choice], board: Board, language: str = "en") -> SmallestRepair:
    """The changes of least total size with which every choice has a way.

    Among equals the ways with the fewest concerns, then the least work, are taken, choice by choice; then
    what stands first in the department.

    Args:
        choices: What an instruction leaves open, with every need; at least one.
        board: The department, held against it.
        language: Of the sentences that tell changes apart which are no data.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
        BadInput: if the language is unknown.
    """
    covers = (_Cover(combination, board, language).solved() for combination in combinations(choices))
    return min(covers, key=lambda cover: cover.size)


def remedies_of(need: Need, board: Board, language: str) -> tuple[Remedy, ...]:
    """The changes that would satisfy a need, each tried if it can be; the maker's answer if nothing else."""
    told = conflicts.changes_for(need, board.appraisal(need), language, does=board.would_do)
    return tuple(Remedy(key_of(change.sentence, change.edit), change.size, change.edit) for change in told)


def key_of(sentence: str, edit: Edit | None) -> str:
    """What a change is told apart by: the change itself, else its sentence."""
    return to_json(edit, compact=True) if edit else sentence


def load_solver() -> None:
    """Load the solver beforehand, which takes a second, so that nobody waits for it."""
    importlib.import_module("ortools.sat.python.cp_model")


class _Cover:
    """One combination of sterilizing options as a cover: which options and which changes."""

    def __init__(self, combination: Combination, board: Board, language: str) -> None:
        self.board = board
        self.cycles: Cycles = combination.cycles
        self.ways = [
            sorted((weigh(option, self.cycles, board) for option in options), key=lambda way: way.cost[1:])
            for options in combination.options
        ]
        failed = [need for options in self.ways for way in options for need in way.failed]
        own = {id(need): remedies_of(need, board, language) for need in failed}
        every = {remedy.key: (need, remedy) for need in failed for remedy in own[id(need)]}
        self.remedies = {key: remedy for key, (_, remedy) in every.items()}
        self.covering = {
            id(need): [
                key
                for key, (asking, remedy) in every.items()
                if remedy in own[id(need)] or self._covers(need, asking, remedy)
            ]
            for need in failed
        }

    def _covers(self, need: Need, asking: Need, remedy: Remedy) -> bool:
        """Whether a change that another need asks for satisfies this one too."""
        if remedy.edit is None or type(need) is not type(asking):
            return False
        return bool(able_for(need, self.cycles, self.board.with_change(remedy.edit)))

    def solved(self) -> SmallestRepair:
        """The cover of least size."""
        return self._plain() or self._by_solver()

    def _plain(self) -> SmallestRepair | None:
        """The cover where no change serves two needs, so that each choice can be decided alone; else none."""
        needs = [need for options in self.ways for way in options for need in way.failed]
        covering = [key for need in needs for key in self.covering[id(need)]]
        if len(covering) != len(set(covering)):
            return None
        prices = [[self._price(way) for way in options] for options in self.ways]
        best = [row.index(min(row)) for row in prices]
        ways = tuple(options[column] for options, column in zip(self.ways, best, strict=True))
        keys = frozenset(key for way in ways for need in way.failed for key in self._cheapest(need)[1])
        return SmallestRepair(ways, keys, sum(row[column] for row, column in zip(prices, best, strict=True)))

    def _price(self, way: Way) -> int:
        return sum(self._cheapest(need)[0] for need in way.failed)

    def _cheapest(self, need: Need) -> tuple[int, tuple[str, ...]]:
        """What the smallest change for a need costs, and its key; no key where no change would do."""
        priced = [(self.remedies[key].size, (key,)) for key in self.covering[id(need)]]
        beyond: tuple[int, tuple[str, ...]] = (conflicts.NO_CHANGE_WOULD_DO, ())
        return min([*priced, beyond], key=lambda one: one[0])

    def _by_solver(self) -> SmallestRepair:
        # Loaded here alone: it takes a second, and most departments never need it.
        from ortools.sat.python import cp_model

        model = cp_model.CpModel()
        made = {key: model.new_bool_var(f"change {number}") for number, key in enumerate(self.remedies)}
        taken = [
            [model.new_bool_var(f"way {row}.{column}") for column in range(len(options))]
            for row, options in enumerate(self.ways)
        ]
        without = self._bind(model, taken, made)
        sizes = [self.remedies[key].size * variable for key, variable in made.items()]
        size = sum([*sizes, *(conflicts.NO_CHANGE_WOULD_DO * variable for variable in without)])
        rank = sum(column * variable for options in taken for column, variable in enumerate(options))
        order = sum(number * variable for number, variable in enumerate(made.values()))
        model.minimize(size * _SIZE_FIRST + rank * _RANK_NEXT + order)
        solver = cp_model.CpSolver()
        # One worker and one seed: the same question always has the same answer.
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.solve(model)
        ways = tuple(
            options[next(column for column, variable in enumerate(row) if solver.value(variable))]
            for options, row in zip(self.ways, taken, strict=True)
        )
        keys = frozenset(key for key, variable in made.items() if solver.value(variable))
        return SmallestRepair(ways, keys, solver.value(size))

    def _bind(
        self,
        model: cp_model.CpModel,
        taken: Sequence[Sequence[cp_model.IntVar]],
        made: Mapping[str, cp_model.IntVar],
    ) -> list[cp_model.IntVar]:
        """One way of each choice; each need of a taken way covered, or told to be beyond any change."""
        without = []
        for row, options in zip(taken, self.ways, strict=True):
            model.add_exactly_one(row)
            for variable, way in zip(row, options, strict=True):
                for need in way.failed:
                    beyond = model.new_bool_var("beyond any change")
                    without.append(beyond)
                    covering = [made[key] for key in self.covering[id(need)]]
                    model.add_bool_or([*covering, beyond, ~variable])
        return without
