"""The smallest changes of a department that together give a route: a cover of what is missing.

Each need that nothing here satisfies is covered by one of the changes that would satisfy it; one change may
cover several needs (a brush that two steps ask for is bought once). Which of the ways that the instruction
leaves open is taken is decided together with the changes. The cover is proved to be the smallest.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
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
    remedies = _Remedies(board, language)
    covers = (_Cover(combination, board, remedies).solved() for combination in combinations(choices))
    return min(covers, key=lambda cover: cover.size)


def remedies_of(need: Need, board: Board, language: str) -> tuple[Remedy, ...]:
    """The changes that would satisfy a need, each tried if it can be; the maker's answer if nothing else."""
    told = conflicts.changes_for(need, board.appraisal(need), language, does=board.would_do)
    return tuple(Remedy(key_of(change.sentence, change.edit), change.size, change.edit) for change in told)


def key_of(sentence: str, edit: Edit | None) -> str:
    """What a change is told apart by: the change itself, else its sentence."""
    return to_json(edit, compact=True) if edit else sentence


class _Remedies:
    """The remedies of needs on a board, found once for all covers; needs are told apart by identity."""

    def __init__(self, board: Board, language: str) -> None:
        self._board, self._language = board, language
        self._known: dict[int, tuple[Remedy, ...]] = {}

    def of(self, need: Need) -> tuple[Remedy, ...]:
        """Those of a need."""
        if id(need) not in self._known:
            self._known[id(need)] = remedies_of(need, self._board, self._language)
        return self._known[id(need)]


#: What covers some needs, and the least changes for them.
_Known = dict[frozenset[tuple[str, ...]], tuple[int, frozenset[str]]]

#: So many combinations of ways are tried one by one; the solver takes longer to load than to find more.
_MOST_TRIED: Final = 32
#: So many remainders of a cover are looked at before the solver is asked.
_MOST_REMAINDERS: Final = 2_000


class _TooMany(Exception):
    """A cover has more remainders than are tried one by one."""


class _Cover:
    """The options that keep to some cycles as a cover: which options and which changes."""

    def __init__(self, combination: Combination, board: Board, remedies: _Remedies) -> None:
        self.board = board
        self.cycles: Cycles = combination.cycles
        self.ways = [
            sorted((weigh(option, self.cycles, board) for option in options), key=lambda way: way.cost[1:])
            for options in combination.options
        ]
        failed = [need for options in self.ways for way in options for need in way.failed]
        own = {id(need): remedies.of(need) for need in failed}
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
        try:
            return self._by_search() or self._by_solver()
        except _TooMany:
            return self._by_solver()

    def _by_search(self) -> SmallestRepair | None:
        """The cover by trying everything, where that is little; else none.

        Choices that share no change are decided apart from each other, so that most covers are little.
        """
        taken: dict[int, Way] = {}
        keys: frozenset[str] = frozenset()
        size = 0
        for rows in self._sharing():
            options = [self.ways[row] for row in rows]
            if math.prod(map(len, options)) > _MOST_TRIED:
                return None
            tried = [self._covered(ways) for ways in itertools.product(*options)]
            ranks = [sum(columns) for columns in itertools.product(*(range(len(one)) for one in options))]
            _, _, best = min(
                (cover.size, rank, at) for at, (cover, rank) in enumerate(zip(tried, ranks, strict=True))
            )
            taken |= dict(zip(rows, tried[best].ways, strict=True))
            keys |= tried[best].keys
            size += tried[best].size
        return SmallestRepair(tuple(taken[row] for row in range(len(self.ways))), keys, size)

    def _sharing(self) -> list[list[int]]:
        """The choices in groups: what serves a need of one group serves none of another."""
        groups: list[tuple[set[str], list[int]]] = []
        for row, options in enumerate(self.ways):
            keys = {key for way in options for need in way.failed for key in self.covering[id(need)]}
            joined = [group for group in groups if group[0] & keys]
            groups = [group for group in groups if not group[0] & keys]
            rows = [one for _, earlier in joined for one in earlier]
            groups.append((keys.union(*(found for found, _ in joined)), [*rows, row]))
        return [rows for _, rows in groups]

    def _covered(self, ways: Sequence[Way]) -> SmallestRepair:
        """The least changes with which some ways are open."""
        covering = [tuple(self.covering[id(need)]) for way in ways for need in way.failed]
        beyond = sum(not keys for keys in covering)
        size, keys = self._least(_hardest(filter(None, covering)), {})
        return SmallestRepair(tuple(ways), keys, size + conflicts.NO_CHANGE_WOULD_DO * beyond)

    def _least(self, needs: frozenset[tuple[str, ...]], known: _Known) -> tuple[int, frozenset[str]]:
        """The size and the keys of the least changes that serve all of some needs, told by what covers each.

        `known` remembers remainders; past so many of them it is given up.
        """
        if not needs:
            return 0, frozenset()
        if needs not in known:
            if len(known) > _MOST_REMAINDERS:
                raise _TooMany
            covers = []
            for key in min(needs, key=lambda covering: (len(covering), covering)):
                left = frozenset(covering for covering in needs if key not in covering)
                size, keys = self._least(left, known)
                covers.append((size + self.remedies[key].size, keys | {key}))
            known[needs] = min(covers, key=lambda cover: cover[0])
        return known[needs]

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


def _hardest(covering: Iterable[tuple[str, ...]]) -> frozenset[tuple[str, ...]]:
    """Needs told by what covers each, without those that every cover of a harder one serves too.

    Two steps that ask for the same brush are one need here.
    """
    distinct = sorted(set(covering), key=len)
    kept: list[tuple[str, ...]] = []
    for keys in distinct:
        if not any(set(harder) <= set(keys) for harder in kept):
            kept.append(keys)
    return frozenset(kept)
