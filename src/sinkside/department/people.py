"""Who works when, and what they can do: shifts, opening hours, skills by device family; never who they are.

Names of people stand in the archive's one table, from which they can be erased. Here are heads, not names.
"""

from __future__ import annotations

import re
from collections.abc import Set as AbstractSet
from enum import StrEnum
from typing import Annotated, Final

from pydantic import BeforeValidator, Field, model_validator

from sinkside.documents import Value
from sinkside.instruction import FeatureKind


class Weekday(StrEnum):
    """Days of the week."""

    monday = "monday"
    tuesday = "tuesday"
    wednesday = "wednesday"
    thursday = "thursday"
    friday = "friday"
    saturday = "saturday"
    sunday = "sunday"


class Station(StrEnum):
    """Where the work is done, in the order a device passes."""

    theatre = "theatre"
    transport = "transport"
    sink = "sink"
    ultrasonic = "ultrasonic"
    washer = "washer"
    bench = "bench"
    packing = "packing"
    sterilizer = "sterilizer"
    store = "store"


#: Where the department's own people work on a device, in its order; the rest is others' or nobody's work.
WORKED_AT: Final = (
    Station.sink,
    Station.ultrasonic,
    Station.washer,
    Station.bench,
    Station.packing,
    Station.sterilizer,
)

_CLOCK: Final = r"^([01][0-9]|2[0-3]):[0-5][0-9]$"


def _as_a_clock_shows(value: object) -> object:
    if isinstance(value, str) and re.search(_CLOCK, value):
        return value
    # YAML reads a bare 06:00 as the number 360.
    quoted = "" if isinstance(value, str) else " in quotes"
    raise ValueError(f"'{value}'; expected a time of the day{quoted} such as '06:30'")


#: Hours and minutes as a clock shows them: 06:30.
ClockTime = Annotated[str, BeforeValidator(_as_a_clock_shows), Field(json_schema_extra={"pattern": _CLOCK})]


class Opening(Value):
    """When the department is open on a day; a day may open twice."""

    day: Weekday
    opens: ClockTime
    closes: ClockTime

    @model_validator(mode="after")
    def _has_hours(self) -> Opening:
        _refuse_no_time(self.opens, self.closes, "opens")
        return self


class Shift(Value):
    """A shift, on some days or on every working day; one that ends before it begins runs overnight."""

    id: str
    name: str
    days: tuple[Weekday, ...] = ()
    begins: ClockTime
    ends: ClockTime

    @model_validator(mode="after")
    def _has_hours(self) -> Shift:
        _refuse_no_time(self.begins, self.ends, "begins")
        return self


def _refuse_no_time(first: str, last: str, name: str) -> None:
    if first == last:
        raise ValueError(f"{name} is '{first}', and so is its end; expected two times of the day")


class DeviceFamily(Value):
    """Devices that ask for the same skill, told by features that all of them have, or by words of names."""

    id: str
    name: str
    features: tuple[FeatureKind, ...] = ()
    words: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _tells_its_devices(self) -> DeviceFamily:
        if not (self.features or self.words):
            raise ValueError("a device family needs features or words of names that tell its devices")
        return self

    def has(self, features: AbstractSet[FeatureKind], name: str) -> bool:
        """Whether a device is of the family: it has every feature, and one of the words in its name.

        >>> hooks = DeviceFamily(id="hooks", name="hooks", words=("hook",))
        >>> hooks.has(frozenset(), "Quarl 3 hook"), hooks.has(frozenset(), "Quarl 3 forceps")
        (True, False)
        """
        said = name.casefold()
        named = not self.words or any(word.casefold() in said for word in self.words)
        return named and set(self.features) <= features


class Staff(Value):
    """So many people of a role on a shift who can do the same: at these stations, with these families.

    No family named means every device. People have no names here.
    """

    id: str
    shift: str
    role: str
    count: int = Field(ge=0, le=999)
    stations: tuple[Station, ...]
    families: tuple[str, ...] = ()
