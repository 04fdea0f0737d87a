"""What can be done at a bench with one tap: each act with what it carries."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AwareDatetime, Field

from sinkside.department import Station
from sinkside.documents import Value

Words = Annotated[str, Field(max_length=500)]
Code = Annotated[str, Field(min_length=1, max_length=120)]
Name = Annotated[str, Field(min_length=1, max_length=80)]


class ActOnCopy(Value):
    """An act on one copy, which its scanned code names; `act` is the act's own name."""

    act: str
    code: Code


class TakeUp(ActOnCopy):
    """Take a soiled set up at the sink."""

    act: Literal["take-up"] = "take-up"


class StartTask(ActOnCopy):
    """Begin a timed task."""

    act: Literal["start-task"] = "start-task"
    task: Name


class StartStation(ActOnCopy):
    """Begin every timed task of a station at once."""

    act: Literal["start-station"] = "start-station"
    station: Station


class FinishTask(ActOnCopy):
    """Say that a task is done: how often, and that its end was seen, where it asks for that."""

    act: Literal["finish-task"] = "finish-task"
    task: Name
    times: Annotated[int, Field(ge=0, le=999)] = 0
    seen: bool = False


class FinishStation(ActOnCopy):
    """Say that everything at a station was done as written; only for whoever works alone there."""

    act: Literal["finish-station"] = "finish-station"
    station: Station


class Deviate(ActOnCopy):
    """Say that something was not done as written, and why; the task stays open."""

    act: Literal["deviate"] = "deviate"
    task: Annotated[str, Field(max_length=80)] = ""
    what: Annotated[str, Field(min_length=1, max_length=120)]
    reason: Annotated[str, Field(min_length=1, max_length=500)]


class Pause(ActOnCopy):
    """Stop where one is, or hand over; whoever scans the set next goes on from there."""

    act: Literal["pause"] = "pause"
    note: Words = ""


class ToCleanSide(ActOnCopy):
    """Take a set up on the clean side."""

    act: Literal["to-clean-side"] = "to-clean-side"


class Look(ActOnCopy):
    """What the look at one line showed; where it failed, what is wrong and what follows."""

    act: Literal["look"] = "look"
    line: Name
    passed: bool
    fault: Words = ""
    then: Literal["", "reprocess-set", "set-aside", "repair", "replace"] = ""


class LookAll(ActOnCopy):
    """Everything in the set passed inspection; only for whoever works alone there."""

    act: Literal["look-all"] = "look-all"


class ToPacking(ActOnCopy):
    """Take an inspected set on to packing."""

    act: Literal["to-packing"] = "to-packing"


class Count(ActOnCopy):
    """How many of each line there are; `substitutes` says what stands in for a missing one."""

    act: Literal["count"] = "count"
    station: Station = Station.packing
    found: dict[Name, Annotated[int, Field(ge=0, le=9_999)]]
    substitutes: dict[Name, Words] = Field(default={})


class CountAll(ActOnCopy):
    """Everything is there, as the list says."""

    act: Literal["count-all"] = "count-all"
    station: Station = Station.packing


class Pack(ActOnCopy):
    """Close the pack: what in, what it weighs, the number of its label."""

    act: Literal["pack"] = "pack"
    packaging: Annotated[str, Field(max_length=120)] = ""
    mass_kg: Annotated[float, Field(gt=0, le=50)] | None = None
    label: Annotated[str, Field(max_length=120)] = ""


class SendBack(ActOnCopy):
    """Send the whole set back to the sink, and why."""

    act: Literal["send-back"] = "send-back"
    reason: Annotated[str, Field(min_length=1, max_length=500)]


class HoldRun(ActOnCopy):
    """Let a set go no further, and why."""

    act: Literal["hold"] = "hold"
    why: Annotated[str, Field(min_length=1, max_length=500)]


class LiftHold(ActOnCopy):
    """Let a held set go on, and why; for whoever decides."""

    act: Literal["lift-hold"] = "lift-hold"
    hold: Name
    why: Annotated[str, Field(min_length=1, max_length=500)]


class Arrive(ActOnCopy):
    """A used set arrives without a report of theatre: last used when, by what is known."""

    act: Literal["arrive"] = "arrive"
    last_used: AwareDatetime | None = None


OfTheRun = (
    TakeUp
    | StartTask
    | StartStation
    | FinishTask
    | FinishStation
    | Deviate
    | Pause
    | ToCleanSide
    | Look
    | LookAll
    | ToPacking
    | Count
    | CountAll
    | Pack
    | SendBack
    | HoldRun
    | LiftHold
    | Arrive
)
