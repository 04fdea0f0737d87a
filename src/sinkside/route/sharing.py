"""What the members of a set share: as few sterilizing cycles, washer programs and baths as can be, proved so.

Every member keeps to its own text; where texts have no program in common the set is split, and nothing stands
in for anything. In this order: what is missing costs least to mend, fewest sterilizing cycles (each is a pack
of its own), fewest concerns, fewest washer programs, fewest baths and cabinets, least work by hand, least
machine time, every program counted once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from sinkside.department import Station
from sinkside.route import conflicts
from sinkside.route.appraisal import Candidate
from sinkside.route.candidates import Board, Cycle, program_of
from sinkside.route.needs import (
    BathNeed,
    CabinetNeed,
    Choice,
    GasNeed,
    Need,
    PackagingNeed,
    SteamNeed,
    WasherNeed,
)
from sinkside.route.packing import bears_all, named_cycle
from sinkside.route.weighing import Option, able_for, concerns_of, hands_on_s

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

#: Where a machine does the work of a need.
STATIONS: Final[Mapping[type[Need], Station]] = {
    BathNeed: Station.ultrasonic,
    WasherNeed: Station.washer,
    CabinetNeed: Station.bench,
    SteamNeed: Station.sterilizer,
    GasNeed: Station.sterilizer,
}

#: More than any sum of the measures that come after it, for sets of up to a few hundred members.
_STEP: Final = 10_000


@dataclass(frozen=True, slots=True)
class Sharing:
    """The programs of each member at each station; who has no machine work at a station is absent there."""

    programs: Mapping[Station, Mapping[str, frozenset[Cycle]]]
    unserved: frozenset[str]

    def of_member(self, name: str) -> frozenset[Cycle]:
        """Every program that a member goes through."""
        at_stations = (members.get(name, frozenset[Cycle]()) for members in self.programs.values())
        return frozenset[Cycle]().union(*at_stations)

    def groups(self, station: Station) -> dict[Cycle, tuple[str, ...]]:
        """The members of each program at a station, in the order of the set."""
        found: dict[Cycle, list[str]] = defaultdict(list)
        for name, cycles in self.programs[station].items():
            for cycle in sorted(cycles):
                found[cycle].append(name)
        return {cycle: tuple(names) for cycle, names in found.items()}


def share(members: Mapping[str, Sequence[Choice]], board: Board) -> Sharing:
    """The programs that the members of a set share.

    Args:
        members: What each member's instruction leaves open, with every need.
        board: The department; the members' needs are held against it.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
    """
    return _Model(members, board).solved()


@dataclass(frozen=True, slots=True)
class _Served:
    """A variable that says whether a member's need is served by a candidate."""

    member: str
    need: Need
    candidate: Candidate
    variable: cp_model.IntVar


class _Model:
    """The choice as a model: an option of every choice, a program for every need that a machine serves."""

    def __init__(self, members: Mapping[str, Sequence[Choice]], board: Board) -> None:
        from ortools.sat.python import cp_model

        self.model = cp_model.CpModel()
        self.board = board
        self.served: list[_Served] = []
        self.failed: list[tuple[str, Need, cp_model.IntVar]] = []
        self.work: list[tuple[int, cp_model.IntVar]] = []
        for member, choices in members.items():
            for choice in choices:
                self._add_choice(member, choice)
            self._bind_packaging(member)

    def _add_choice(self, member: str, choice: Choice) -> None:
        taken = [self.model.new_bool_var("") for _ in choice.options]
        self.model.add_exactly_one(taken)
        for option, variable in zip(choice.options, taken, strict=True):
            self.work.append((_work_s(option), variable))
            for need in (need for task in option for need in task.needs):
                self._add_need(member, need, variable)

    def _add_need(self, member: str, need: Need, taken: cp_model.IntVar) -> None:
        """Exactly one candidate or a failure, if the option is taken; only coupled needs are chosen here."""
        able = able_for(need, frozenset(), self.board)
        if able and type(need) not in STATIONS and not isinstance(need, PackagingNeed):
            return
        chosen = [_Served(member, need, candidate, self.model.new_bool_var("")) for candidate in able]
        failure = self.model.new_bool_var("")
        self.failed.append((member, need, failure))
        self.served += chosen
        self.model.add(sum((one.variable for one in chosen), start=failure) == taken)

    def _bind_packaging(self, member: str) -> None:
        """Packaging and the cycle that it does not bear exclude each other."""
        own = [one for one in self.served if one.member == member]
        packed = [one for one in own if isinstance(one.need, PackagingNeed)]
        for cycle in own:
            named = named_cycle(cycle.need)
            for pack in packed if named else ():
                if named and not bears_all(pack.candidate, (named,)):
                    self.model.add_bool_or([~cycle.variable, ~pack.variable])

    def solved(self) -> Sharing:
        """The choice, solved in two goes, because one sum of so many measures would not fit a number."""
        from ortools.sat.python import cp_model

        used = {station: self._used(station) for station in Station if station in STATIONS.values()}
        missing = sum(
            conflicts.smallest_change(need, self.board.appraisal(need)) * variable
            for _, need, variable in self.failed
        )
        packs = sum(used[Station.sterilizer].values())
        concerns = sum(int(concerns_of([one.candidate])) * one.variable for one in self.served)
        first = (missing * _STEP + packs) * _STEP + concerns
        washers = sum(used[Station.washer].values())
        baths = sum(used[Station.ultrasonic].values()) + sum(used[Station.bench].values())
        work = sum(seconds * variable for seconds, variable in self.work)
        time = sum(
            self._machine_s(cycle) * variable
            for station in used.values()
            for cycle, variable in station.items()
        )
        second = ((washers * _STEP + baths) * _STEP * 10 + work) * _STEP * 10 + time
        solver = cp_model.CpSolver()
        # One worker and one seed: the same question always has the same answer.
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        self.model.minimize(first)
        solver.solve(self.model)
        self.model.add(first <= round(solver.objective_value))
        self.model.minimize(second)
        solver.solve(self.model)
        return self._read(solver)

    def _used(self, station: Station) -> dict[Cycle, cp_model.IntVar]:
        """Whether each program of a station is used by anyone."""
        found: dict[Cycle, cp_model.IntVar] = {}
        for one in self._at(station):
            cycle = program_of(one.candidate)
            if cycle is not None:
                used = found.setdefault(cycle, self.model.new_bool_var(""))
                self.model.add_implication(one.variable, used)
        return found

    def _at(self, station: Station) -> Iterable[_Served]:
        return (one for one in self.served if STATIONS.get(type(one.need)) is station)

    def _machine_s(self, cycle: Cycle) -> int:
        times = (one.candidate.machine_s for one in self.served if program_of(one.candidate) == cycle)
        return int(max(times, default=0.0))

    def _read(self, solver: cp_model.CpSolver) -> Sharing:
        programs: dict[Station, dict[str, frozenset[Cycle]]] = {
            station: {} for station in Station if station in STATIONS.values()
        }
        for one in self.served:
            cycle, station = program_of(one.candidate), STATIONS.get(type(one.need))
            if cycle is not None and station is not None and solver.value(one.variable):
                known = programs[station].get(one.member, frozenset())
                programs[station][one.member] = known | {cycle}
        unserved = frozenset(
            member
            for member, need, variable in self.failed
            if solver.value(variable) and STATIONS.get(type(need)) is Station.sterilizer
        )
        return Sharing(programs, unserved)


def _work_s(option: Option) -> int:
    """The stated time of work by hand of an option, whatever serves its needs."""
    by_machine = tuple(STATIONS)
    return int(
        sum(
            hands_on_s(task, ())
            for task in option
            if not any(isinstance(need, by_machine) for need in task.needs)
        )
    )


def least_without_a_common_cycle(cycles: Mapping[str, frozenset[Cycle]]) -> tuple[str, ...]:
    """The fewest members that already have no cycle in common, in the order of the set.

    Args:
        cycles: The cycles here that each member's text names; together they have none in common.

    >>> first, second = ("sterilizer", "1"), ("sterilizer", "2")
    >>> least_without_a_common_cycle(
    ...     {"a": frozenset({first}), "b": frozenset({first, second}), "c": frozenset({second})}
    ... )
    ('a', 'c')
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    told = {name: model.new_bool_var(name) for name in cycles}
    model.add_bool_or(told.values())
    for cycle in frozenset[Cycle]().union(*cycles.values()):
        model.add_bool_or(told[name] for name, named in cycles.items() if cycle not in named)
    model.minimize(sum(told.values()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.solve(model)
    return tuple(name for name, variable in told.items() if solver.value(variable))
