"""The earliest honest time at which a set may be ready: what is left of its route, summed as a range.

Times that texts and programs state are counted as stated; work that nobody states a time for is counted by an
allowance of common practice. Nothing is shortened, and no cycle is proposed in the place of the set's own.
"""

from __future__ import annotations

import functools
import itertools
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from importlib import resources
from typing import Final

from sinkside.bench.plan import Task
from sinkside.department import Department, Program, Station
from sinkside.documents import Value
from sinkside.instruction import Action

#: What the sum leaves out, said wherever the sum is shown.
NOT_COUNTED: Final = (
    "Waiting for a free machine or a full load, and anything that is sent back, is not counted."
)

_ORDER: Final = tuple(Station)
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
        done: the ids of the tasks that are done already.
        counts: how many of each member there are; one unless said.
        running_s: for how long the machine that it is in has been running.
        cooling_s: what the department's policy says of cooling; common practice unless told.
    """

    state: str
    done: AbstractSet[str] = frozenset()
    counts: Mapping[str, int] | None = None
    running_s: float = 0.0
    cooling_s: tuple[float, float] | None = None


def ready_time(tasks: Sequence[Task], department: Department, left: LeftOver) -> ReadyTime | None:
    """How long the rest of a set's route takes at best and at worst; None where nobody can say.

    Args:
        tasks: everything that the set goes through.
        department: the department that does it.
        left: where the set stands.
    """
    if left.state not in _BEGINS:
        return None
    begins = _BEGINS[left.state]
    if begins is None:
        return ReadyTime()
    todo = [one for one in tasks if one.required and one.id not in left.done]
    parts = []
    for station in _ORDER[_ORDER.index(begins) :]:
        part = _part(station, [one for one in todo if one.station is station], department, left)
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


def _part(station: Station, todo: Sequence[Task], department: Department, left: LeftOver) -> ReadyPart | None:
    if station is Station.theatre:
        return _allowed(station, "on_the_way")
    if station is Station.transport:
        return None  # on the way from theatre, counted there
    if station is Station.store:
        return _cooling(todo, left)
    if not todo:
        return None
    cycles = _cycles(todo, department)
    hands = _by_hand([one for one in todo if one.whose == "hand"], left.counts or {})
    low = max((cycle.low_s for cycle in cycles), default=0.0)
    high = sum(cycle.high_s for cycle in cycles)
    leans_on = [name for cycle in cycles for name in cycle.leans_on]
    if hands is not None:
        low, high = low + hands.low_s, high + hands.high_s
        leans_on += hands.leans_on
    return ReadyPart(station=station, low_s=low, high_s=high, leans_on=tuple(dict.fromkeys(leans_on)))


@dataclass(frozen=True)
class _Span:
    low_s: float
    high_s: float
    leans_on: tuple[str, ...]


def _cycles(todo: Iterable[Task], department: Department) -> list[_Span]:
    """Each machine cycle once, however many members share it."""
    found: dict[tuple[str, str], _Span] = {}
    for task in todo:
        cycle = (task.machine, task.program)
        if task.whose == "hand" or cycle in found:
            continue
        program = _program(department, *cycle)
        stated = max(program_s(program) if program else 0.0, task.at_least_s)
        low, high = _seconds("by_machine", task.station.value)
        found[cycle] = _Span(stated + low, stated + high, ("the program", "common practice"))
    return list(found.values())


def _program(department: Department, machine_id: str, name: str) -> Program | None:
    """A program of a machine; None once the department has it no more."""
    programs = (one.programs for one in department.machines if one.id == machine_id)
    return next((one for one in itertools.chain.from_iterable(programs) if one.name == name), None)


def _by_hand(todo: Sequence[Task], counts: Mapping[str, int]) -> _Span | None:
    """Devices side by side at best, one after another at worst; what soaks together waits together."""
    if not todo:
        return None
    lows: dict[str, float] = {}
    high, leans_on = 0.0, ["common practice"]
    for task in todo:
        least, most = _seconds("by_hand", task.action.value)
        count = counts.get(task.member, 1)
        lows[task.member] = lows.get(task.member, 0.0) + task.at_least_s + least
        # Devices of one kind lie in one bath together, but each is brushed by itself.
        high += task.at_least_s * (1 if task.action in _WAITS else count) + most * count
        if task.at_least_s:
            leans_on.append("the text")
    return _Span(max(lows.values()), high, tuple(leans_on))


def _cooling(todo: Sequence[Task], left: LeftOver) -> ReadyPart:
    longest = max((one.at_least_s for one in todo if one.action is Action.cool), default=0.0)
    low, high = left.cooling_s or _seconds("cooling", Station.store.value)
    said = "this department's policy" if left.cooling_s else "common practice"
    leans_on = (said, "the text") if longest else (said,)
    return ReadyPart(
        station=Station.store, low_s=max(low, longest), high_s=max(high, longest), leans_on=leans_on
    )


def _allowed(station: Station, table: str) -> ReadyPart:
    low, high = _seconds(table, station.value)
    return ReadyPart(station=station, low_s=low, high_s=high, leans_on=("common practice",))


def _less_running(part: ReadyPart, left: LeftOver) -> ReadyPart:
    rest = {name: max(0.0, getattr(part, name) - left.running_s) for name in ("low_s", "high_s")}
    return part.model_copy(update=rest)


def _seconds(table: str, name: str) -> tuple[float, float]:
    """An allowance from the table, in seconds."""
    known = _allowances()[table]
    low, high = known.get(name) or known["any-other"]
    return low * 60.0, high * 60.0


@functools.cache
def _allowances() -> Mapping[str, Mapping[str, tuple[float, float]]]:
    text = resources.files("sinkside.bench").joinpath("ready_time.toml").read_text(encoding="utf-8")
    found = tomllib.loads(text)
    return {name: table for name, table in found.items() if isinstance(table, dict)}
