"""The earliest honest time at which a set may be ready: what is left of its route, summed as a range.

Times that texts and programs state are counted as stated; work that nobody states a time for is counted by an
allowance of common practice. Nothing is shortened, and no cycle is proposed in the place of the set's own.
"""

from __future__ import annotations

import functools
import math
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from importlib import resources
from typing import Final

from sinkside.department import Department, Program, Station
from sinkside.documents import Value
from sinkside.instruction import Action, FigureRole
from sinkside.quantities import FigureQuantity
from sinkside.route import Operation, ResourceKind, Route, SetRoute

#: What the sum leaves out, said wherever the sum is shown.
NOT_COUNTED: Final = (
    "Waiting for a free machine or a full load, and anything that is sent back, is not counted."
)

_ORDER: Final = tuple(Station)
_MACHINES: Final = (Station.ultrasonic, Station.washer, Station.sterilizer)
_NOT_WORK: Final = frozenset(
    {FigureRole.time_since_use, FigureRole.life, FigureRole.total, FigureRole.drying, FigureRole.exposure}
)
_WAITS: Final = frozenset({Action.soak, Action.sonicate, Action.dry, Action.cool})

#: Where what is left begins, by the state of a set; `theatre` is the way from there.
_BEGINS: Final[Mapping[str, Station | None]] = {
    "in-use": Station.theatre,
    "soiled": Station.sink,
    "at-sink": Station.sink,
    "in-washer": Station.washer,
    "clean-side": Station.bench,
    "packing": Station.packing,
    "packed": Station.sterilizer,
    "in-sterilizer": Station.sterilizer,
    "sterilized": Station.store,
    "in-store": None,
}


class ReadyPart(Value):
    """What is left at one station: shortest and longest, in seconds, and what the figures lean on."""

    station: Station
    low_s: float
    high_s: float
    leans_on: tuple[str, ...]


class ReadyTime(Value):
    """What is left of a route: from `low_s` to `high_s` seconds, station by station."""

    parts: tuple[ReadyPart, ...] = ()

    @property
    def low_s(self) -> float:
        """The shortest: devices side by side, every allowance at its least."""
        return sum(part.low_s for part in self.parts)

    @property
    def high_s(self) -> float:
        """The longest: one pair of hands, one device after another, every allowance at its most."""
        return sum(part.high_s for part in self.parts)

    def outlook(self, left_s: float) -> str:
        """Whether so many seconds are enough: `in-time`, `tight` or `not-in-time`.

        >>> part = ReadyPart(station=Station.sink, low_s=600, high_s=1200, leans_on=())
        >>> [ReadyTime(parts=(part,)).outlook(left) for left in (1200, 900, 599)]
        ['in-time', 'tight', 'not-in-time']
        """
        if self.high_s <= left_s:
            return "in-time"
        return "tight" if self.low_s <= left_s else "not-in-time"


@dataclass(frozen=True)
class LeftOver:
    """Where a set stands on its route.

    Attributes:
        state: the state of its copy.
        done: what is done already, as pairs of member and letter.
        counts: how many of each member there are; one unless said.
        running_s: for how long the machine that it is in has been running.
        cooling_s: what the department's policy says of cooling; common practice unless told.
    """

    state: str
    done: AbstractSet[tuple[str, str]] = frozenset()
    counts: Mapping[str, int] | None = None
    running_s: float = 0.0
    cooling_s: tuple[float, float] | None = None


def ready_time(
    routes: SetRoute, members: Sequence[str], department: Department, left: LeftOver
) -> ReadyTime | None:
    """How long the rest of a set's route takes at best and at worst; None where nobody can say.

    Args:
        routes: the set's route.
        members: what the set calls its members, in the order of `routes.routes`.
        department: the department that it was fitted to.
        left: where the set stands.
    """
    if left.state not in _BEGINS or not routes.routes or any(not one.resolved for one in routes.routes):
        return None
    begins = _BEGINS[left.state]
    if begins is None:
        return ReadyTime()
    named = list(zip(members, routes.routes, strict=True))
    parts = []
    for station in _ORDER[_ORDER.index(begins) :]:
        part = _part(station, named, department, left)
        if part is not None:
            parts.append(_less_running(part, left) if station is begins else part)
    return ReadyTime(parts=tuple(parts))


def program_s(program: Program) -> float:
    """What a program states of its own length, in seconds; 0 where it states nothing.

    >>> from sinkside.quantities import Quantity
    >>> four = {"temperature": Quantity.parse("134 °C"), "time": Quantity.parse("4 min")}
    >>> program_s(Program(kind="steam-gravity", name="134", exposure=four))
    240.0
    """
    phases = sum(phase.time.to("s") for phase in program.phases if phase.time)
    exposure = program.exposure.time.to("s") if program.exposure else 0.0
    drying = program.drying.time.to("s") if program.drying else 0.0
    aeration = program.aeration.time.to("s") if program.aeration else 0.0
    return float(phases + exposure + drying + aeration)


def _part(
    station: Station, named: Sequence[tuple[str, Route]], department: Department, left: LeftOver
) -> ReadyPart | None:
    if station is Station.theatre:
        return _allowed(station, "on_the_way")
    if station is Station.transport:
        return None  # on the way from theatre, counted there
    if station is Station.store:
        return _cooling(named, left)
    todo = [(name, operation) for name, route in named for operation in _todo(name, route, station, left)]
    if not todo:
        return None
    cycles = _cycles(todo, department) if station in _MACHINES else {}
    by_hand = [(name, one) for name, one in todo if _cycle_of(one) not in cycles]
    hands = _by_hand(by_hand, left.counts or {})
    low = max((cycle.low_s for cycle in cycles.values()), default=0.0)
    high = sum(cycle.high_s for cycle in cycles.values())
    leans_on = [name for cycle in cycles.values() for name in cycle.leans_on]
    if hands is not None:
        low, high = low + hands.low_s, high + hands.high_s
        leans_on += hands.leans_on
    return ReadyPart(station=station, low_s=low, high_s=high, leans_on=tuple(dict.fromkeys(leans_on)))


def _todo(name: str, route: Route, station: Station, left: LeftOver) -> list[Operation]:
    return [one for one in route.operations if one.station is station and (name, one.letter) not in left.done]


@dataclass(frozen=True)
class _Span:
    low_s: float
    high_s: float
    leans_on: tuple[str, ...]


def _cycle_of(operation: Operation) -> tuple[str, str] | None:
    for one in operation.bindings:
        if one.kind is ResourceKind.program and one.program:
            return one.id, one.program
    return None


def _cycles(
    todo: Iterable[tuple[str, Operation]], department: Department
) -> dict[tuple[str, str] | None, _Span]:
    """Each machine cycle once, however many members share it."""
    found: dict[tuple[str, str] | None, _Span] = {}
    for _, operation in todo:
        cycle = _cycle_of(operation)
        if cycle is None or cycle in found:
            continue
        stated = max(program_s(_program(department, *cycle)), _stated_s(operation)[0])
        low, high = _minutes("by_machine", operation.station.value)
        found[cycle] = _Span(stated + low, stated + high, ("the program", "common practice"))
    return found


def _program(department: Department, machine_id: str, name: str) -> Program:
    return next(
        program
        for machine in department.machines
        if machine.id == machine_id
        for program in machine.programs
        if program.name == name
    )


def _by_hand(todo: Sequence[tuple[str, Operation]], counts: Mapping[str, int]) -> _Span | None:
    """Devices side by side at best, one after another at worst; what soaks together waits together."""
    if not todo:
        return None
    lows: dict[str, float] = {}
    high, leans_on = 0.0, ["common practice"]
    for name, operation in todo:
        stated, longest = _stated_s(operation)
        least, most = _minutes("by_hand", operation.action.value)
        count = counts.get(name, 1)
        lows[name] = lows.get(name, 0.0) + stated + least
        # Devices of one kind lie in one bath together, but each is brushed by itself.
        times = 1 if operation.action in _WAITS else count
        high += longest * times + most * count
        if stated:
            leans_on.append("the text")
    return _Span(max(lows.values()), high, tuple(leans_on))


def _stated_s(operation: Operation) -> tuple[float, float]:
    """The time that the text states for doing an operation once, and as often as it says."""
    figures = [one.required for one in operation.figures]
    once = sum(
        _lowest_s(chosen.required.ends("s"))
        for chosen in operation.figures
        if chosen.required.quantity is FigureQuantity.time and chosen.required.role not in _NOT_WORK
    )
    repeats = [one.number() for one in figures if one.role == FigureRole.repeats]
    return once, once * max([1.0, *repeats])


def _lowest_s(ends: tuple[float, float]) -> float:
    low, high = ends
    return low if math.isfinite(low) else high if math.isfinite(high) else 0.0


def _cooling(named: Sequence[tuple[str, Route]], left: LeftOver) -> ReadyPart:
    stated = [
        _stated_s(operation)[0]
        for name, route in named
        for operation in _todo(name, route, Station.store, left)
        if operation.action is Action.cool
    ]
    longest = max(stated, default=0.0)
    low, high = left.cooling_s or _minutes("cooling", Station.store.value)
    said = "this department's policy" if left.cooling_s else "common practice"
    leans_on = (said, "the text") if longest else (said,)
    return ReadyPart(
        station=Station.store, low_s=max(low, longest), high_s=max(high, longest), leans_on=leans_on
    )


def _allowed(station: Station, table: str) -> ReadyPart:
    low, high = _minutes(table, station.value)
    return ReadyPart(station=station, low_s=low, high_s=high, leans_on=("common practice",))


def _less_running(part: ReadyPart, left: LeftOver) -> ReadyPart:
    rest = {name: max(0.0, getattr(part, name) - left.running_s) for name in ("low_s", "high_s")}
    return part.model_copy(update=rest)


def _minutes(table: str, name: str) -> tuple[float, float]:
    """An allowance from the table, in seconds."""
    known = _allowances()[table]
    low, high = known.get(name) or known["any-other"]
    return low * 60.0, high * 60.0


@functools.cache
def _allowances() -> Mapping[str, Mapping[str, tuple[float, float]]]:
    text = resources.files("sinkside.bench").joinpath("ready_time.toml").read_text(encoding="utf-8")
    found = tomllib.loads(text)
    return {name: table for name, table in found.items() if isinstance(table, dict)}
