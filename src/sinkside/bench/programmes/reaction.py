"""What follows a test that did not pass: tested again, the whole family, work stopped; by policy."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Literal

from pydantic import Field, model_validator

from sinkside.bench.programmes.due import Due, due_days, in_order
from sinkside.bench.programmes.programme import Lift, Method, Programme, TestedDevice
from sinkside.documents import Value


class Step(Value):
    """What a failure asks for (`steps` of the policy); each asks for what the one before asks, and more.

    Attributes:
        name: what it is called.
        what: what is done, in a sentence.
        in_a_row: after how many failures of a device without one that passed between them.
        in_period: or after how many within one period of the programme; none where only a row counts.
        holds: what is held: the tested `set`, or all of its washer `load`.
        family: whether every device of the same family is tested at once.
        stops: whether work on the device stops until somebody who may decides.
        how_read: how we came by it.
    """

    name: str
    what: str
    in_a_row: int = Field(ge=1)
    in_period: int | None = Field(default=None, ge=2)
    holds: Literal["set", "load"]
    family: bool = False
    stops: bool = False
    how_read: str = "common-practice"


class VerificationPolicy(Value):
    """Methods, how often, what follows a failure: the policy that comes with the program."""

    period_days: int = Field(ge=1)
    times: int = Field(ge=1)
    times_difficult: int = Field(ge=1)
    how_often_read: str
    product_period_days: int = Field(ge=1)
    hard_places: dict[str, str]
    difficult: tuple[str, ...]
    methods: dict[str, Method]
    steps: tuple[Step, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _grows(self) -> VerificationPolicy:
        if any(one.in_a_row >= other.in_a_row for one, other in pairwise(self.steps)):
            raise ValueError("steps must ask for more failures one after the other")
        return self


@dataclass(frozen=True)
class Outcome:
    """One result as far as it matters here: which device, when, on which day, whether it passed."""

    device: str
    at: datetime
    day: date
    passed: bool


@dataclass(frozen=True)
class Standing:
    """How a device stands: what its last failure asks for and since when; none where it passed since."""

    step: Step | None = None
    at: datetime | None = None
    day: date | None = None
    family_at: datetime | None = None
    family_day: date | None = None

    @property
    def is_stopped(self) -> bool:
        """Whether work on the device is stopped."""
        return self.step is not None and self.step.stops


def standing_of(
    outcomes: Iterable[Outcome], lifts: Iterable[Lift], steps: Sequence[Step], *, period_days: int
) -> Standing:
    """How one device stands after everything that was found of it.

    A passed test ends a row of failures, but not a stop: only somebody who may lifts that.

    Args:
        outcomes: the device's own, in any order.
        lifts: the decisions by which work on it went on.
        steps: of the policy, the mildest first.
        period_days: of the programme.
    """
    told: list[tuple[datetime, Outcome | None]] = [(one.at, one) for one in outcomes]
    told += [(one.at, None) for one in lifts]
    now, row, failed = Standing(), 0, list[date]()
    for _, outcome in sorted(told, key=lambda one: one[0]):
        if outcome is None:
            now, row, failed = Standing(family_at=now.family_at, family_day=now.family_day), 0, []
        elif outcome.passed:
            row = 0
            now = now if now.is_stopped else Standing(family_at=now.family_at, family_day=now.family_day)
        else:
            row += 1
            failed.append(outcome.day)
            now = _after(now, outcome, _asked(steps, row, _within(failed, outcome.day, period_days)))
    return now


def asked_next(
    programme: Programme, outcomes: Sequence[Outcome], steps: Sequence[Step]
) -> tuple[dict[str, Standing], tuple[Due, ...]]:
    """How each device stands, and when each is due with what failures ask for; the earliest first."""
    own = {one.id: [each for each in outcomes if each.device == one.id] for one in programme.devices}
    standings = {
        key: standing_of(
            found,
            [lift for lift in programme.lifts if lift.device == key],
            steps,
            period_days=programme.period_days,
        )
        for key, found in own.items()
    }
    last = {key: max(found, key=lambda one: one.at) for key, found in own.items() if found}
    days = due_days(programme, {key: one.day for key, one in last.items()})
    return standings, in_order(_sooner(one, programme, standings, last) for one in days)


def _sooner(
    due: Due, programme: Programme, standings: Mapping[str, Standing], last: Mapping[str, Outcome]
) -> Due:
    """A device's due day, brought forward by what failed."""
    own = standings[due.device.id]
    if own.step is not None and own.day is not None:
        return Due(due.device, min(own.day, due.day), due.last, own.step.name)
    tested = last.get(due.device.id)
    for other in programme.devices:
        asked = standings[other.id]
        if asked.family_at is None or asked.family_day is None or not _related(due.device, other):
            continue
        if tested is None or tested.at < asked.family_at:
            return Due(due.device, min(asked.family_day, due.day), due.last, f"{other.name} failed")
    return due


def _related(one: TestedDevice, other: TestedDevice) -> bool:
    return one.id != other.id and bool(set(one.family) & set(other.family))


def _after(before: Standing, outcome: Outcome, step: Step | None) -> Standing:
    if step is None or before.is_stopped:
        return before
    family_at = outcome.at if step.family else before.family_at
    family_day = outcome.day if step.family else before.family_day
    return Standing(step, outcome.at, outcome.day, family_at, family_day)


def _asked(steps: Sequence[Step], row: int, in_period: int) -> Step | None:
    """The gravest step that so many failures reach."""
    reached = [one for one in steps if row >= one.in_a_row or in_period >= (one.in_period or math.inf)]
    return reached[-1] if reached else None


def _within(failed: Sequence[date], day: date, period_days: int) -> int:
    return sum(1 for one in failed if day - one < timedelta(days=period_days))
