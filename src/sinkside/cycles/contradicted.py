"""Units that contradict physics: a plateau of saturated steam that is one only in another unit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
import numpy.typing as npt

from sinkside.cycles.trace import Trace
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
    "mmHg": 133.3224, "kgf/cm**2": 98066.5,
}  # fmt: skip


def pressure_contradicted(probes_c: FloatArray, pressure_pa: FloatArray, unit: str) -> str:
    """What the pressure must be instead, if it is no saturated steam as said and is one otherwise; else ''.

    Args:
        probes_c: Shape (probes, n), as far as they can be believed.
        pressure_pa: Shape (n,), absolute as it was said.
        unit: In which it was recorded.

    >>> pressure_contradicted(np.full((1, 60), 134.0), np.full(60, 3040.0), "kPa")
    'in bar, absolute'
    """
    if not probes_c.size:
        return ""
    hottest = np.fmax.reduce(probes_c, axis=0)
    low, high = _STERILIZING_C
    at = _top_of(np.where(hottest <= high, hottest, np.nan), pressure_pa)
    if at is None or not low <= float(np.median(hottest[at])):
        return ""
    held, level = float(np.median(hottest[at])), float(np.median(pressure_pa[at]))
    if not _off(level, held) > _CONTRADICTS_K:
        return ""
    return next((said for said, other in _others(level, unit) if _off(other, held) <= _FITS_K), "")


def probes_contradicted(trace: Trace) -> str:
    """The same of the temperatures: what they must be instead, with the pressure as it was said.

    >>> from sinkside.cycles.trace import Channel, ChannelKind, Role
    >>> probe = Channel("T", ChannelKind.temperature, Role.chamber, "°C", np.full(60, 273.2))
    >>> steam = Channel("P", ChannelKind.pressure, Role.chamber, "kPa", np.full(60, 304_000.0))
    >>> probes_contradicted(Trace("a", np.arange(60.0), (probe, steam)))
    'in °F'
    """
    probes, channel = trace.temperatures(), trace.pressure
    if channel is None or not probes.size:
        return ""
    hottest = np.fmax.reduce(probes, axis=0)
    at = _top_of(hottest, channel.values)
    if at is None:
        return ""
    held, level = float(np.median(hottest[at])), float(np.median(channel.values[at]))
    saturated = float(saturation_temperature_c(np.array([level]), outside="nan")[0])
    low, high = _STERILIZING_C
    if not (low <= saturated <= high and abs(held - saturated) > _CONTRADICTS_K):
        return ""
    others = {
        "in °F": (held - 32.0) / 1.8,
        "in °C": held * 1.8 + 32.0,
        "in K": held - 273.15,
    }
    return next((said for said, other in others.items() if abs(other - saturated) <= _FITS_K), "")


def _top_of(hottest_c: FloatArray, pressure_pa: FloatArray) -> npt.NDArray[np.intp] | None:
    """The samples of the hottest stretch; None if they are too few to tell anything."""
    known = np.isfinite(hottest_c) & np.isfinite(pressure_pa)
    if not known.any():
        return None
    top = float(hottest_c[known].max())
    at = np.flatnonzero(known & (hottest_c >= top - _NEAR_THE_TOP_K))
    return at if at.size >= _FEWEST_SAMPLES else None


def _off(pressure_pa: float, temperature_c: float) -> float:
    saturated = saturation_temperature_c(np.array([pressure_pa]), outside="nan")
    distance = float(np.abs(saturated - temperature_c)[0])
    return distance if np.isfinite(distance) else float("inf")


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
