"""A water event: what happened to the water, which machines stand still, what is shown before they go on."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Final, Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.programmes.words import LONGEST, Words
from sinkside.documents import Value
from sinkside.errors import BadInput


class WaterEventKind(StrEnum):
    """What happened to the water."""

    outage = "outage"
    boil_notice = "boil-notice"
    main_works = "main-works"
    treatment_failed = "treatment-failed"


class WaterRule(Value):
    """What one kind of event asks for (`kinds` of the policy).

    Attributes:
        name: what it is called.
        first: what is done at once, in a sentence.
        before: what is done before anything is tested, in a sentence.
        point_checks: which checks of the water points must pass after it is over.
        machine_checks: which checks of the machines.
        how_read: how we came by it.
    """

    name: str
    first: str
    before: str
    point_checks: tuple[str, ...]
    machine_checks: tuple[str, ...]
    how_read: str = "common-practice"


class WaterPolicy(Value):
    """What each kind of water event asks for."""

    kinds: dict[WaterEventKind, WaterRule]


class Touched(Value):
    """A water point or machine that the event concerns: its id, and its name then."""

    id: str
    name: str


class Allowed(Value):
    """One load that goes on in spite of the event: its machine, its exception, and which load it became."""

    machine: str
    exception: str
    load: str = ""


class Ended(Value):
    """That the water is back, or that everything may go on: whose word, in words; when; who wrote it down."""

    said_by: Words
    words: Words = ""
    by: str
    at: AwareDatetime


class WaterEvent(Value):
    """A water event (`sinkside/water-event-1`).

    Attributes:
        kind: what happened.
        words: the same in a few words.
        told_by: who says so: the supplier, the building's engineer; never a name.
        points: the water points it concerns.
        machines: the machines that stand still.
        begin: since when.
        by: who wrote it down.
        at: when.
        allowed: loads that go on by an exception.
        over: that the water is back; tests after that count.
        closed: that everything may go on.
    """

    format: Literal["sinkside/water-event-1"] = "sinkside/water-event-1"
    kind: WaterEventKind
    words: Words = ""
    told_by: str = Field(min_length=1, max_length=LONGEST)
    points: tuple[Touched, ...] = Field(min_length=1)
    machines: tuple[Touched, ...] = ()
    begin: AwareDatetime
    by: str
    at: AwareDatetime
    allowed: tuple[Allowed, ...] = ()
    over: Ended | None = None
    closed: Ended | None = None

    @property
    def what(self) -> str:
        """What happened and where, in a clause."""
        return f"{KIND_WORDS[self.kind]} at {', '.join(one.name for one in self.points)}"

    def stops(self, machine: str, at: datetime) -> bool:
        """Whether a machine stands still by it at a moment."""
        begun = self.begin <= at and (self.closed is None or at < self.closed.at)
        return begun and any(one.id == machine for one in self.machines)

    def says_as_much_as(self, other: WaterEvent) -> bool:
        """Whether it is the same, and nothing more stands still by the other, nor since earlier.

        Water that was back and is gone again is another event.
        """
        points, machines = {one.id for one in self.points}, {one.id for one in self.machines}
        return (
            self.over is None
            and self.closed is None
            and self.kind is other.kind
            and self.begin <= other.begin
            and points >= {one.id for one in other.points}
            and machines >= {one.id for one in other.machines}
        )


#: What happened, as people say it.
KIND_WORDS: Final[dict[WaterEventKind, str]] = {
    WaterEventKind.outage: "no water",
    WaterEventKind.boil_notice: "boil-water notice",
    WaterEventKind.main_works: "works on the main",
    WaterEventKind.treatment_failed: "water treatment failed",
}


def allowed_for(event: WaterEvent, machine: str, load: str) -> WaterEvent | None:
    """The event with an exception taken up by a load; the same where it has one already; none without.

    One exception is for one load.
    """
    own = [one for one in event.allowed if one.machine == machine]
    if any(one.load == load for one in own):
        return event
    free = next((one for one in own if not one.load), None)
    if free is None:
        return None
    taken = tuple(one.model_copy(update={"load": load}) if one is free else one for one in event.allowed)
    return event.model_copy(update={"allowed": taken})


def refuse_moment(at: datetime, *, after: datetime | None, now: datetime, field: str) -> None:
    """Let nothing begin in the future, or be over before it began.

    Raises:
        BadInput: if it would.
    """
    if at > now:
        raise BadInput("expected a moment that has come", resource=field)
    if after is not None and at < after:
        raise BadInput("expected a moment after it began", resource=field)
