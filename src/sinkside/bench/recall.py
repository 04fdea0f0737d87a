"""Recall: how far it reaches by policy, and what is to be done about each thing that it finds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final

from sinkside.bench.run import AWAY, IN_USE, Place
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

_ISSUED: Final = frozenset({Place.issued.value})
_USED: Final = frozenset({"used"})


class Reaching(Value):
    """How far a recall reaches (`reach` of a policy): its name, what it takes in, and who says so.

    Attributes:
        name: what it is called.
        what: what it takes in, in a sentence.
        whole_machine: whether every load of the machine since the last good evidence, or the one load only.
        implants_only: whether of the rest only loads with implants.
        source: the key of what it is published in; empty for a rule of the trade.
        clause: where there.
        how_read: how we came by it.
        narrows: whether only infection prevention chooses it, with a reason.
    """

    name: str
    what: str
    whole_machine: bool
    implants_only: bool = False
    source: str = ""
    clause: str = ""
    how_read: str = "common-practice"
    narrows: bool = True


@dataclass(frozen=True)
class Touched:
    """A run that a recall reaches: its copy, where that is, and the cases that it was made ready for."""

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
        return tuple(dict.fromkeys(number for one in self.touched for number in one.used_in))

    @property
    def sets(self) -> int:
        """How many sets it reaches; one that was processed twice in the time counts once."""
        return len({one.copy for one in self.touched})

    def of(self, fate: Fate) -> tuple[Touched, ...]:
        """Those that are somewhere."""
        return tuple(one for one in self.touched if one.fate is fate)


def in_order_of_need(touched: Iterable[Touched]) -> tuple[Touched, ...]:
    """What is to be done first at the head: what may be opened next, then what is here."""
    order = list(TO_DO)
    return tuple(sorted(touched, key=lambda one: (order.index(one.fate), one.at, one.code)))


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
