"""Units that contradict physics: a plateau of saturated steam that is one only in another unit."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles.middle import median_of
from sinkside.science.steam import saturation_temperature_c, standard_atmosphere
from sinkside.science.validity import FloatArray

#: So far from saturated steam no fault brings a chamber that holds its temperature; and so near it must come
#: in another unit.
_CONTRADICTS_K: Final = 8.0
_FITS_K: Final = 1.0

#: The plateau: within so much of the hottest, for so many samples.
_NEAR_THE_TOP_K: Final = 2.0
_FEWEST_SAMPLES: Final = 5
_STERILIZING_C: Final = (105.0, 145.0)

#: One unit in Pa. Source: NIST Special Publication 811, appendix B (from memory).
_UNITS_PA: Final = {
    "Pa": 1.0, "kPa": 1e3, "mbar": 1e2, "bar": 1e5, "MPa": 1e6, "psi": 6894.757, "inHg": 3386.389,
    "mmHg": 133.3224, "cmHg": 1333.224, "kgf/cm**2": 98066.5,
}  # fmt: skip


@dataclass(frozen=True)
class Held:
    """The hottest stretch of a record: its top, the medians of temperature and pressure, and their steam."""

    top_c: float
    temperature_c: float
    pressure_pa: float
    saturated_c: float


def held_by(probes_c: FloatArray, pressure_pa: FloatArray, *, up_to_c: float = math.inf) -> Held | None:
    """What a chamber held while it was hottest; None if too few samples tell.

    Args:
        probes_c: Shape (probes, n).
        pressure_pa: Shape (n,), absolute as it was said.
        up_to_c: What is hotter does not count.
    """
    if not probes_c.size:
        return None
    hottest = np.fmax.reduce(probes_c, axis=0)
    known = np.isfinite(hottest) & np.isfinite(pressure_pa) & (hottest <= up_to_c)
    top = float(hottest.max(where=known, initial=-np.inf))
    at = known & (hottest >= top - _NEAR_THE_TOP_K)
    held, level = hottest[at], pressure_pa[at]
    if held.size < _FEWEST_SAMPLES:
        return None
    pressure = median_of(level)
    return Held(top, median_of(held), pressure, _saturated_c(pressure))


def pressure_contradicted(held: Held | None, unit: str) -> str:
    """What the pressure must be instead, if it is no saturated steam as said and is one otherwise; else ''.

    Args:
        held: What the chamber held, as far as its probes can be believed, and nothing too hot for steam.
        unit: In which the pressure was recorded.

    >>> pressure_contradicted(held_by(np.full((1, 60), 134.0), np.full(60, 3040.0)), "kPa")
    'in bar, absolute'
    """
    if held is None or held.temperature_c < _STERILIZING_C[0]:
        return ""
    if abs(held.saturated_c - held.temperature_c) <= _CONTRADICTS_K:
        return ""
    others = _others(held.pressure_pa, unit)
    return next((said for said, pa in others if abs(_saturated_c(pa) - held.temperature_c) <= _FITS_K), "")


def probes_contradicted(held: Held | None) -> str:
    """The same of the temperatures: what they must be instead, with the pressure as it was said.

    >>> probes_contradicted(held_by(np.full((1, 60), 273.2), np.full(60, 304_000.0)))
    'in °F'
    """
    if held is None:
        return ""
    read, saturated = held.temperature_c, held.saturated_c
    low, high = _STERILIZING_C
    if not (low <= saturated <= high and abs(read - saturated) > _CONTRADICTS_K):
        return ""
    others = {
        "in °F": (read - 32.0) / 1.8,
        "in °C": read * 1.8 + 32.0,
        "in K": read - 273.15,
    }
    return next((said for said, other in others.items() if abs(other - saturated) <= _FITS_K), "")


def units_contradicted(recorded: FloatArray, believed: FloatArray, unit: str) -> tuple[str, str]:
    """What the temperatures, else the pressure, must be instead; '' for what does not contradict physics.

    Args:
        recorded: Shape (probes + 1, n): the probes and, last, the pressure, as recorded and said.
        believed: The same object where all of it can be believed; else as far as it can.
        unit: In which the pressure was recorded.
    """
    held = held_by(recorded[:-1], recorded[-1])
    instead = probes_contradicted(held)
    if instead:
        return instead, ""
    high = _STERILIZING_C[1]
    if believed is not recorded or (held is not None and held.top_c > high):
        held = held_by(believed[:-1], recorded[-1], up_to_c=high)
    return "", pressure_contradicted(held, unit)


def _saturated_c(pressure_pa: float) -> float:
    """NaN where no steam has that pressure."""
    return float(saturation_temperature_c(np.array([pressure_pa]), outside="nan")[0])


def _others(level_pa: float, unit: str) -> Iterator[tuple[str, float]]:
    """Every other way to read the same figure, the plainest first."""
    atmosphere = standard_atmosphere(0.0)
    yield "gauge", level_pa + atmosphere
    yield "absolute", level_pa - atmosphere
    own = _UNITS_PA.get(unit)
    for name, pascals in _UNITS_PA.items():
        if own is None or name == unit:
            continue
        yield f"in {name}, absolute", level_pa / own * pascals
        yield f"in {name}, gauge", (level_pa - atmosphere) / own * pascals + atmosphere
