"""What a simulated recorder saw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from sinkside.cycles.spans import Mask
from sinkside.cycles.trace import Channel, ChannelKind, Role, Trace
from sinkside.science.validity import FloatArray

#: What a recorder calls that which it writes beside temperature and pressure, with the unit.
BESIDE_HEADS: Final = {
    "speed": "Spray arm [rpm]",
    "pump-pressure": "Pump pressure [kPa]",
    "conductivity": "Conductivity [µS/cm]",
    "concentration": "Concentration [mg/L]",
    "humidity": "Humidity [%]",
    "power": "Power [W]",
    "frequency": "Frequency [kHz]",
}


@dataclass(frozen=True, eq=False)
class Recording:
    """Samples of a simulated cycle.

    Attributes:
        times_s: Shape (n,), as the recorder stamps them.
        probes_c: Shape (probes, n).
        pressure_kpa: Shape (n,), absolute; None for a washer.
        dosed_ml: Shape (n,), detergent dosed so far; None where the machine does not record it.
        beside: What else is recorded, each of shape (n,), by the names of `cycles.beside.Beside`.
    """

    times_s: FloatArray
    probes_c: FloatArray
    pressure_kpa: FloatArray | None = None
    dosed_ml: FloatArray | None = None
    beside: Mapping[str, FloatArray] = field(default_factory=dict)

    def kept(self, mask: Mask) -> Recording:
        """Only the samples of a mask of shape (n,)."""
        return replace(
            self,
            times_s=self.times_s[mask],
            probes_c=self.probes_c[:, mask],
            pressure_kpa=None if self.pressure_kpa is None else self.pressure_kpa[mask],
            dosed_ml=None if self.dosed_ml is None else self.dosed_ml[mask],
            beside={name: values[mask] for name, values in self.beside.items()},
        )

    def as_trace(self, name: str) -> Trace:
        """The same as a trace, without a file between."""
        channels = [
            Channel(f"T{number}", ChannelKind.temperature, Role.chamber, "°C", values)
            for number, values in enumerate(self.probes_c, 1)
        ]
        if self.pressure_kpa is not None:
            pascals = self.pressure_kpa * 1000.0
            channels.append(Channel("p", ChannelKind.pressure, Role.chamber, "kPa", pascals))
        if self.dosed_ml is not None:
            channels.append(Channel("detergent", ChannelKind.volume, Role.dosing, "mL", self.dosed_ml))
        for what, values in self.beside.items():
            head, role = BESIDE_HEADS[what], Role.elsewhere
            channels.append(Channel(head, ChannelKind.other, role, "", values))
        return Trace(name, self.times_s - self.times_s[0], tuple(channels))


@dataclass(frozen=True)
class Windows:
    """Where in a simulated cycle the faults of a recorder bite, in seconds.

    Attributes:
        dose: Exposure or disinfection, from its entry to its end.
        undone: Up to where the cycle has surely not yet done all that it must.
    """

    dose: tuple[float, float]
    undone: float


def smooth_noise(random: np.random.Generator, size: int, *, spread: float, over: int) -> FloatArray:
    """Noise of a standard deviation that wanders over so many samples."""
    raw = random.normal(size=size + over)
    wandering = np.convolve(raw, np.ones(over) / np.sqrt(over), mode="valid")[:size]
    return spread * wandering


def uniform(random: np.random.Generator, low: float, high: float) -> float:
    """One number between two."""
    return float(random.uniform(low, high))
