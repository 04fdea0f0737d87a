"""A verification programme: which devices are tested for cleaning, how often, where, by what method."""

from __future__ import annotations

import math
from datetime import date
from typing import Final, Literal

from pydantic import AwareDatetime, Field, model_validator

from sinkside.bench.programmes.words import LONGEST, Words
from sinkside.documents import Value
from sinkside.errors import BadInput

#: So many places of one device are sampled at most; the form has no more lines.
MOST_PLACES: Final = 6


class Method(Value):
    """A way of finding what cleaning left (`methods` of the policy).

    Attributes:
        name: what it is called.
        how: how it is done, in a sentence.
        kind: `number`, or `seen` where the answer is whether anything is seen.
        unit: of its numbers, as the maker of the kit or meter has them; no unit of ours.
        kit: whether a lot and a last day belong to each test.
        limits: published pass marks on an instrument; the first that is in force where the department is.
        beside: published figures that are no pass marks, shown with that said.
        how_read: how we came by the method, where nobody published one.
    """

    name: str
    how: str
    kind: Literal["number", "seen"]
    unit: str = ""
    kit: bool = True
    limits: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    how_read: str = "common-practice"


class TestedDevice(Value):
    """A device of a programme.

    Attributes:
        id: its key within the programme.
        name: what people call it.
        instruction: the id of its text; empty where it is none of ours.
        family: the device families it belongs to, by their ids.
        difficult: whether it is one of the hard ones, which are tested more often.
        times: how many of it are tested in each period.
        places: where on it a sample is taken, the hard places first.
        since: from which day on it is in the programme.
    """

    __test__ = False  # not a test: pytest collects what is called so

    id: str
    name: str = Field(min_length=1, max_length=LONGEST)
    instruction: str = ""
    family: tuple[str, ...] = ()
    difficult: bool = False
    times: int = Field(ge=1, le=366)
    places: tuple[Words, ...] = Field(min_length=1, max_length=MOST_PLACES)
    since: date


class Lift(Value):
    """That somebody let the work on a device go on after it was stopped: why, who, when."""

    device: str
    reason: Words
    by: str
    at: AwareDatetime


class Programme(Value):
    """A verification programme (`sinkside/verification-programme-1`).

    Attributes:
        name: what it is called.
        method: by which method, by its id in the policy.
        at_most: the highest reading that passes; none where the method has no numbers.
        said_by: who says that pass mark: the maker of the kit or the department, in words.
        period_days: within how many days each device is tested as often as asked.
        devices: what is tested.
        lifts: decisions by which stopped work went on.
        ended: on which day it ended; none while it runs.
    """

    format: Literal["sinkside/verification-programme-1"] = "sinkside/verification-programme-1"
    name: str = Field(min_length=1, max_length=LONGEST)
    method: str
    at_most: float | None = Field(default=None, ge=0)
    said_by: Words = ""
    period_days: int = Field(ge=1, le=366)
    devices: tuple[TestedDevice, ...] = ()
    lifts: tuple[Lift, ...] = ()
    ended: date | None = None

    @model_validator(mode="after")
    def _fits(self) -> Programme:
        for one in self.devices:
            if one.times > self.period_days:
                raise ValueError(
                    f"{one.name}: {one.times} tests in {self.period_days} days; at most one a day"
                )
        if len({one.id for one in self.devices}) != len(self.devices):
            raise ValueError("two devices have the same key")
        return self

    def device(self, device: str) -> TestedDevice:
        """A device by its key.

        Raises:
            BadInput: if the programme has none of that key.
        """
        found = next((one for one in self.devices if one.id == device), None)
        if found is None:
            raise BadInput("this programme has no such device", resource="device")
        return found


class Reading(Value):
    """What one place showed: a number with its unit, or whether anything was seen; whether it passed."""

    place: str
    value: float | None = None
    unit: str = ""
    seen: bool | None = None
    met: bool


class Beside(Value):
    """Another set of the same washer load: its code, name and place when the test failed."""

    code: str
    name: str
    place: str


class TestResult(Value):
    """One piece tested once (`sinkside/verification-result-1`).

    Attributes:
        programme: in which programme.
        device: which device of it, by key.
        device_name: as it was called then.
        method: by which method.
        code: the scanned code of the set or instrument; empty where it has none.
        run: the run it was taken from.
        load: the washer load of that run.
        machine: the machine of that load.
        machine_name: as it was called then.
        readings: place by place.
        at_most: the pass mark at that time.
        kit_lot: the lot of the kit.
        kit_expires: its last day.
        note: anything else.
        passed: whether every place passed.
        since: when this device last passed before.
        beside: what else lay in that load, where the test failed.
        by: who tested.
        at: when.
        day: on which day, where the department is.
    """

    __test__ = False

    format: Literal["sinkside/verification-result-1"] = "sinkside/verification-result-1"
    programme: str
    device: str
    device_name: str
    method: str
    code: str = ""
    run: str = ""
    load: str = ""
    machine: str = ""
    machine_name: str = ""
    readings: tuple[Reading, ...] = Field(min_length=1)
    at_most: float | None = None
    kit_lot: Words = ""
    kit_expires: date | None = None
    note: Words = ""
    passed: bool
    since: AwareDatetime | None = None
    beside: tuple[Beside, ...] = ()
    by: str
    at: AwareDatetime
    day: date

    @property
    def worst(self) -> float | None:
        """The highest reading; none where the method has no numbers."""
        values = [one.value for one in self.readings if one.value is not None]
        return max(values) if values else None

    @property
    def failed_at(self) -> tuple[str, ...]:
        """The places that did not pass."""
        return tuple(one.place for one in self.readings if not one.met)


def read_value(place: str, said: str, unit: str, *, at_most: float) -> Reading:
    """A number that a meter showed at a place, and whether it passes; on the mark it passes.

    Raises:
        BadInput: if it is no number, or below zero.

    >>> read_value("lumen", "12,5", "RLU", at_most=10).met
    False
    """
    text = said.strip()
    try:
        value = float(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or value < 0:
        raise BadInput(f"{place}: expected the number that the meter shows, zero or more", resource="found")
    return Reading(place=place, value=value, unit=unit, met=value <= at_most)


def read_seen(place: str, said: str) -> Reading:
    """Whether anything was seen at a place.

    Raises:
        BadInput: if neither was said.

    >>> read_seen("hinge", "something").met
    False
    """
    if said not in {"nothing", "something"}:
        raise BadInput(f"{place}: expected nothing or something", resource="found")
    return Reading(place=place, seen=said == "something", met=said == "nothing")


def refuse_old_kit(lot: str, expires: date | None, *, day: date) -> None:
    """Take no result from a kit without a lot, or whose last day is over.

    Raises:
        BadInput: if it is so.
    """
    if not lot.strip():
        raise BadInput("expected the lot on the kit", resource="lot")
    if expires is None:
        raise BadInput("expected the last day on the kit", resource="expires")
    if expires < day:
        raise BadInput(f"this kit expired on {expires.isoformat()}; use another", resource="expires")
