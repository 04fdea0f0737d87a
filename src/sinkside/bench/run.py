"""A run: one set on its way along its route, once; what was done to it, and what holds it."""

from __future__ import annotations

from enum import StrEnum
from typing import Final, Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.plan import Plan, Task
from sinkside.department import Station
from sinkside.documents import Value


class Place(StrEnum):
    """How far a run is; in the order of the way."""

    soiled = "soiled"
    at_sink = "at-sink"
    in_washer = "in-washer"
    clean_side = "clean-side"
    packing = "packing"
    packed = "packed"
    in_sterilizer = "in-sterilizer"
    sterilized = "sterilized"
    in_store = "in-store"
    issued = "issued"


#: What a scanner finds of a copy beside how far its run is: in theatre, taken out of use, elsewhere.
IN_USE: Final = "in-use"
SET_ASIDE: Final = "set-aside"
AWAY: Final = "away"
HELD: Final = "held"

#: Where people work on a run at each place.
STATIONS_AT: Final[dict[Place, tuple[Station, ...]]] = {
    Place.at_sink: (Station.sink, Station.ultrasonic, Station.washer),
    Place.in_washer: (Station.washer,),
    Place.clean_side: (Station.bench,),
    Place.packing: (Station.packing,),
    Place.sterilized: (Station.sterilizer,),
}

#: How a load ended for what lay in it: nobody decided yet; a named person released it; it is held or failed.
LoadEnd = Literal["open", "released", "held"]


class Done(Value):
    """That a task was done: when, by whom, how often, and whether its end was seen.

    `began` is when its timer began, for one that is timed.
    """

    at: AwareDatetime
    by: str
    times: int = 0
    seen: bool = False
    began: AwareDatetime | None = None


class Timer(Value):
    """That a timed task began, when, and who began it."""

    at: AwareDatetime
    by: str


class InLoad(Value):
    """One load of a run: where, which machine and program, when it went in, how it ended and cooled.

    `members` are those of the set that went in; each text was held against that very program before.
    """

    load: str
    station: Station
    machine: str
    program: str
    members: tuple[str, ...] = ()
    at: AwareDatetime
    end: LoadEnd = "open"
    ended: AwareDatetime | None = None
    cooled: AwareDatetime | None = None


class Looked(Value):
    """What the look at one line of the list showed."""

    passed: bool
    fault: str = ""
    then: str = ""
    at: AwareDatetime
    by: str


class Counted(Value):
    """How many of a line were counted where, and what stands in for those that are missing."""

    found: int = Field(ge=0)
    at_station: Station
    substitute: str = ""
    at: AwareDatetime
    by: str


class Deviation(Value):
    """That something was not done as written: which task, what, and why.

    `fault` is its kind and `line` the line of the list; runs of earlier days have neither.
    """

    id: str
    task: str
    what: str
    reason: str
    at: AwareDatetime
    by: str
    fault: str = ""
    line: str = ""


class Hold(Value):
    """Why a run may not go on, since when; `lifted` says by whom and why."""

    id: str
    why: str
    at: AwareDatetime
    by: str
    lifted: str = ""


class Packed(Value):
    """How a set was packed: what in, what it weighed, under which label."""

    packaging: str
    mass_kg: float | None = None
    label: str = ""
    at: AwareDatetime
    by: str


class Run(Value):
    """One set along its route, once (`sinkside/run-1`); what it must go through stands in its plan.

    `round` counts how often it began at the sink: what was done in an earlier round counts no more.
    `reported` is what theatre said is wrong, line by line; each is looked at on its own.
    `uses` is how often each line was processed before this run; `pieces` are the marked instruments put in.
    `last_at` is when the last thing was done; nothing is done before it, unless entered from paper.
    """

    format: Literal["sinkside/run-1"] = "sinkside/run-1"
    id: str
    copy_id: str
    plan: str
    place: Place = Place.soiled
    round: int = 1
    last_used: AwareDatetime | None = None
    clean_by: AwareDatetime | None = None
    done: dict[str, Done] = Field(default={})
    timers: dict[str, Timer] = Field(default={})
    reported: dict[str, str] = Field(default={})
    looked: dict[str, Looked] = Field(default={})
    counted: dict[str, Counted] = Field(default={})
    uses: dict[str, int] = Field(default={})
    pieces: tuple[str, ...] = ()
    loads: tuple[InLoad, ...] = ()
    deviations: tuple[Deviation, ...] = ()
    holds: tuple[Hold, ...] = ()
    packed: Packed | None = None
    paused: str = ""
    last_at: AwareDatetime
    exceptions: tuple[str, ...] = ()

    def open_holds(self) -> tuple[Hold, ...]:
        """What holds it now."""
        return tuple(one for one in self.holds if not one.lifted)

    @property
    def is_held(self) -> bool:
        """Whether it goes no further: somebody holds it, or a load of it; what is out is called back."""
        of_a_load = any(one.end == "held" for one in self.loads)
        return bool(self.open_holds()) or (of_a_load and self.place is not Place.issued)

    def is_done(self, task: Task) -> bool:
        """Whether a task is done: by a person, or in a load that somebody released."""
        if task.whose == "hand":
            return task.id in self.done
        return any(_does(one, task) and one.end == "released" for one in self.loads)

    def still_open(self, plan: Plan, *stations: Station) -> tuple[Task, ...]:
        """The required tasks at some stations that are not done."""
        return tuple(
            one for one in plan.tasks if one.required and one.station in stations and not self.is_done(one)
        )

    def missing(self, plan: Plan) -> tuple[tuple[str, int, bool], ...]:
        """Lines that were counted short: what, how many are missing, whether it is critical."""
        short = []
        for line in plan.lines:
            known = self.counted.get(line.id)
            if known is not None and known.found < line.expected and not known.substitute:
                short.append((line.words, line.expected - known.found, line.critical))
        return tuple(short)


def _does(load: InLoad, task: Task) -> bool:
    """Whether a load does a machine's task: the route's own machine is not the only one that a text bears."""
    return load.station is task.station and task.member in load.members
