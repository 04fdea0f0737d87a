"""A trace: what a recorder wrote during a machine cycle, in one set of units and otherwise as it stands.

Nothing is repaired: missing values stay NaN, stamps that repeat or run backwards stay where they are. What
they are worth is for the judge to say (`trust.py`).
"""

from __future__ import annotations

import functools
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

import numpy as np

from sinkside.science.validity import FloatArray

_PA_PER_KPA = 1000.0

#: Two readings closer than this are one reading; conversion between units leaves such dust.
_SAME_READING = 1e-9


class ChannelKind(StrEnum):
    """What a channel measures."""

    temperature = "temperature"
    pressure = "pressure"
    volume = "volume"
    conductivity = "conductivity"
    flow = "flow"
    speed = "speed"
    concentration = "concentration"
    humidity = "humidity"
    lethality = "lethality"  # F0 or A0 as the machine counts it: compared, never believed
    counted = "count"
    other = "other"


class Role(StrEnum):
    """Where a channel measures; only what stands in the chamber says anything about the load."""

    chamber = "chamber"
    elsewhere = "elsewhere"  # jacket, generator, supply, waste, room, set point, spray arm
    dosing = "dosing"


class Place(StrEnum):
    """Where exactly a channel measures, as far as its head says."""

    unsaid = "unsaid"
    chamber = "chamber"
    drain = "drain"
    load = "load"
    jacket = "jacket"
    generator = "generator"
    supply = "supply"
    waste = "waste"
    door = "door"
    room = "room"
    set_point = "set-point"
    spray_arm = "spray-arm"
    pump = "pump"
    port = "port"
    tank = "tank"


@dataclass(frozen=True)
class Label:
    """A stretch that the machine itself gives a name, in seconds on the axis of `Trace.elapsed_s`.

    It is what the machine says of its phases; the judge finds them by the physics and compares.
    """

    text: str
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Remark:
    """A line of the recorder between its samples; `at_s` is NaN where it carries no time."""

    at_s: float
    text: str


@dataclass(frozen=True, eq=False)
class Channel:
    """One column of a record.

    Attributes:
        name: As the head of the column says.
        kind: What it measures.
        role: Where.
        unit: As recorded.
        values: Shape (n,); temperatures in °C, pressures in Pa absolute, volumes in mL, else as recorded.
            NaN where nothing, or nothing readable, was recorded.
        place: Where exactly, as far as its head says.
        step: Smallest step between two different recorded values, in the units of `values`.
    """

    name: str
    kind: ChannelKind
    role: Role
    unit: str
    values: FloatArray
    place: Place = Place.unsaid

    @functools.cached_property
    def step(self) -> float:
        """The finest step that the channel shows, which is the recorder's resolution; 0 if it never moves."""
        changes = np.abs(np.diff(self.values))
        changes = changes[changes > _SAME_READING]
        return float(changes.min()) if changes.size else 0.0


@dataclass(frozen=True, eq=False)
class Trace:
    """One recorder file.

    Attributes:
        name: The file's name, for people; it means nothing.
        times_s: Shape (n,), seconds since the first stamp, as stamped: NaN, repeats and steps back included.
        channels: In the order of the file.
        inferred: What the file does not say and was told from something else, a sentence each.
        labels: The machine's own names for stretches of the record, in order.
        remarks: Lines of the recorder between its samples, in order.
        first_stamp: What the recorder's clock showed at `times_s` 0; aware where its stamps say how far they
            are from UTC, and None where they name no day, or one that reads in several ways.

    >>> probe = Channel("T1", ChannelKind.temperature, Role.chamber, "°C", np.array([20.0, 21.0, 22.0]))
    >>> trace = Trace("a.csv", np.array([0.0, 1.0, 2.0]), (probe,))
    >>> trace.interval_s, trace.temperatures().shape, trace.pressure_kpa is None
    (1.0, (1, 3), True)
    """

    name: str
    times_s: FloatArray
    channels: tuple[Channel, ...]
    inferred: tuple[str, ...] = ()
    labels: tuple[Label, ...] = ()
    remarks: tuple[Remark, ...] = ()
    first_stamp: datetime | None = None

    @functools.cached_property
    def interval_s(self) -> float:
        """Median time between two samples, in seconds; NaN where no stamp follows another."""
        steps = np.diff(self.times_s)
        if steps.size and 0.0 < steps.min() == steps.max():
            return float(steps[0])
        forward = steps[steps > 0.0]
        return float(np.median(forward)) if forward.size else float("nan")

    @functools.cached_property
    def elapsed_s(self) -> FloatArray:
        """Shape (n,): the stamps with every step back, and every missing stamp, counted as one interval.

        The same as `times_s` where the clock is sound. Phases are given on this axis.
        """
        steps = np.diff(self.times_s)
        unsound = ~(steps >= 0.0)
        if not unsound.any():
            return self.times_s
        interval = self.interval_s if np.isfinite(self.interval_s) else 0.0
        return np.concatenate(([0.0], np.cumsum(np.where(unsound, interval, steps))))

    @property
    def probes(self) -> tuple[Channel, ...]:
        """The temperature probes in the chamber."""
        return self._in_chamber(ChannelKind.temperature)

    @property
    def pressure(self) -> Channel | None:
        """The chamber's pressure, if it is recorded."""
        return next(iter(self._in_chamber(ChannelKind.pressure)), None)

    @property
    def doses(self) -> tuple[Channel, ...]:
        """Volumes of chemistry that the machine recorded as dosed."""
        return tuple(channel for channel in self.channels if channel.role is Role.dosing)

    @property
    def counters(self) -> tuple[Channel, ...]:
        """Lethalities that the machine counted by itself."""
        return tuple(channel for channel in self.channels if channel.kind is ChannelKind.lethality)

    def at(self, place: Place, kind: ChannelKind | None = None) -> tuple[Channel, ...]:
        """The channels that measure at a place, of one kind if asked for."""
        return tuple(c for c in self.channels if c.place is place and kind in {None, c.kind})

    @functools.cached_property
    def _probe_table(self) -> FloatArray:
        probes = self.probes
        if not probes:
            return np.empty((0, self.times_s.size))
        return np.vstack([probe.values for probe in probes])

    def temperatures(self) -> FloatArray:
        """The chamber's probes in °C, shape (probes, n), in the order of `probes`; NaN where missing."""
        return self._probe_table

    @property
    def pressure_kpa(self) -> FloatArray | None:
        """The chamber's pressure in kPa absolute, shape (n,); None where none is recorded."""
        return None if self.pressure is None else self.pressure.values / _PA_PER_KPA

    def _in_chamber(self, kind: ChannelKind) -> tuple[Channel, ...]:
        return tuple(c for c in self.channels if c.kind is kind and c.role is Role.chamber)


def coldest(temperatures_c: FloatArray) -> FloatArray:
    """The coldest probe at each moment, shape (n,); NaN where any probe is missing, as it may be the coldest.

    >>> coldest(np.array([[90.0, 91.0], [89.5, np.nan]]))
    array([89.5,  nan])
    """
    lowest: FloatArray = temperatures_c.min(axis=0)
    return lowest


def named(channels: Iterable[Channel]) -> str:
    """The channels' names, for a sentence."""
    return ", ".join(channel.name for channel in channels)
