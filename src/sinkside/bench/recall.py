"""Recall: how far it reaches by policy, and what is to be done about each thing that it finds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final

from sinkside.bench.run import AWAY, HELD, IN_USE, Place
from sinkside.documents import Value
from sinkside.errors import BadInput


class CauseKind(StrEnum):
    """What a recall may begin with."""

    indicator = "indicator"
    cycle = "cycle"
    machine = "machine"
    water = "water"
    chemical = "chemical"
    text = "text"
    person = "person"
    prion = "prion"
    product = "product"


class Fate(StrEnum):
    """Where a recalled set is: in the house, in somebody's hands, used, or back since."""

    here = "here"
    issued = "issued"
    away = "away"
    used = "used"
    came_back = "came-back"


#: What is to be done about each, in the order in which it is done.
TO_DO: Final = {
    Fate.issued: "Call for it now: it may be opened next.",
    Fate.here: "Take it out of its place and set it apart.",
    Fate.away: "Write to whoever has it.",
    Fate.used: "Tell theatre and infection prevention: the case.",
    Fate.came_back: "Nothing at the set; the case that it was used in is told.",
}

#: The same where prions are suspected: no cycle is proposed, nothing is processed before somebody decided.
TO_DO_OF_PRION: Final = {
    Fate.issued: "Call for it now: nobody opens it.",
    Fate.here: "Set it apart, closed and labelled. No cycle is proposed: a named person decides.",
    Fate.away: "Write to whoever has it: it is set apart there.",
    Fate.used: "Tell infection prevention: the case. Set the set apart as it is.",
    Fate.came_back: "Tell infection prevention: the case that it was used in.",
}


class Found(StrEnum):
    """How a set was found that a recall reaches; one that was not found stays open."""

    found = "found"
    opened = "opened"
    not_found = "not-found"


class Where(StrEnum):
    """Where somebody worked: at the sink, at inspection, at packing, with loads, in the store."""

    sink = "sink"
    inspection = "inspection"
    packing = "packing"
    loads = "loads"
    store = "store"


#: How a set may stand after somebody did something there; a hold hides where it stands and counts anywhere.
STOOD_AT: Final[Mapping[Where, frozenset[str]]] = {
    Where.sink: frozenset({Place.at_sink, Place.in_washer, HELD}),
    Where.inspection: frozenset({Place.clean_side, Place.packing, HELD}),
    Where.packing: frozenset({Place.packing, Place.packed, HELD}),
    Where.loads: frozenset({Place.in_washer, Place.in_sterilizer, HELD}),
    Where.store: frozenset({Place.sterilized, Place.in_store, Place.issued, HELD}),
}

#: How a set stands that lies in, or is worked on with, a solution.
IN_A_SOLUTION: Final = frozenset({Place.at_sink.value})

_ISSUED: Final = frozenset({Place.issued.value})
_USED: Final = frozenset({"used"})


class Reaching(Value):
    """How far a recall reaches (`reach` of a policy): its name, what it takes in, and who says so.

    Attributes:
        name: what it is called.
        what: what it takes in, in a sentence.
        whole_machine: whether every load of the machine since the last good evidence, or the one load only.
        implants_only: whether of the rest only loads with implants.
        to_next_good: whether it ends with the next good evidence, which somebody must name.
        source: the key of what it is published in; empty for a rule of the trade.
        clause: where there.
        how_read: how we came by it.
        narrows: whether only infection prevention chooses it, with a reason.
    """

    name: str
    what: str
    whole_machine: bool
    implants_only: bool = False
    to_next_good: bool = False
    source: str = ""
    clause: str = ""
    how_read: str = "common-practice"
    narrows: bool = True


@dataclass(frozen=True)
class Touched:
    """A run that a recall reaches: its copy, where that is, and the cases that it was made ready for.

    `earlier` are cases that the copy was used in before any run of it was kept.
    """

    run: str
    copy: str
    code: str
    name: str
    at: datetime
    load: str
    state: str
    place: str
    is_its_last: bool
    cases: tuple[tuple[str, str], ...]
    earlier: tuple[str, ...] = ()

    @property
    def fate(self) -> Fate:
        """Where it is, as far as is known."""
        if not self.is_its_last:
            return Fate.came_back
        if self.state in _ISSUED:
            return Fate.issued
        if self.state == AWAY:
            return Fate.away
        if self.state == IN_USE or any(state in _USED for _, state in self.cases):
            return Fate.used
        return Fate.here

    @property
    def used_in(self) -> tuple[str, ...]:
        """The numbers of the cases that it was used in."""
        return tuple(number for number, state in self.cases if state in _USED)


@dataclass(frozen=True)
class Reach:
    """Everything that a recall reaches: the loads by their ids in order, and the runs."""

    loads: tuple[str, ...]
    touched: tuple[Touched, ...]

    @property
    def cases(self) -> tuple[str, ...]:
        """The cases that something was used in, each once, in the order in which they were found."""
        return cases_of(self.touched)

    @property
    def sets(self) -> int:
        """How many sets it reaches; one that was processed twice in the time counts once."""
        return len({one.copy for one in self.touched})

    def of(self, fate: Fate) -> tuple[Touched, ...]:
        """Those that are somewhere."""
        return tuple(one for one in self.touched if one.fate is fate)


@dataclass(frozen=True)
class ReachSum:
    """How far something reaches: loads, runs, sets and cases by number, and the first runs by need."""

    loads: int
    runs: int
    sets: int
    cases: int
    touched: tuple[Touched, ...]

    @property
    def told_cases(self) -> tuple[str, ...]:
        """The cases of the runs that are shown."""
        return cases_of(self.touched)


def sum_of(reach: Reach, most: int) -> ReachSum:
    """The sum of what is known in whole, with so many runs."""
    return ReachSum(
        loads=len(reach.loads),
        runs=len(reach.touched),
        sets=reach.sets,
        cases=len(reach.cases),
        touched=reach.touched[:most],
    )


def cases_of(touched: Iterable[Touched]) -> tuple[str, ...]:
    """The cases that something was used in, each once, in the order in which they are found."""
    return tuple(dict.fromkeys(number for one in touched for number in (*one.earlier, *one.used_in)))


def to_do(kind: CauseKind, fate: Fate) -> str:
    """What is to be done about a set, by why it is called back and where it is."""
    return (TO_DO_OF_PRION if kind is CauseKind.prion else TO_DO)[fate]


def in_order_of_need(touched: Iterable[Touched]) -> tuple[Touched, ...]:
    """What is to be done first at the head: what may be opened next, then what is here."""
    place = {fate: number for number, fate in enumerate(TO_DO)}
    return tuple(sorted(touched, key=lambda one: (place[one.fate], one.at, one.code, one.run)))


def refuse_window(since: datetime | None, before: datetime, *, now: datetime) -> None:
    """Let no recall look at a stretch of time that ends before it begins.

    Raises:
        BadInput: if it does.
    """
    if since is not None and since >= before:
        raise BadInput("it ends before it begins; expected a later end", resource="until")
    if since is not None and since > now:
        raise BadInput("it begins in the future", resource="since")


def grouped(loads: Sequence[tuple[str, bool]], reaching: Reaching, *, own: str) -> tuple[str, ...]:
    """The loads, of those in the time, that a way of reaching takes in.

    Args:
        loads: each with whether an implant was in it.
        reaching: how far it goes.
        own: the load that it began with.
    """
    return tuple(
        load
        for load, has_implant in loads
        if reaching.whole_machine or load == own or (reaching.implants_only and has_implant)
    )
