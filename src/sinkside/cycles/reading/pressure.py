"""Absolute or gauge: by the word, by a value that only one can have, or by agreement with saturated steam."""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.spelling import PressureReference
from sinkside.cycles.trace import Channel, Trace
from sinkside.errors import BadInput
from sinkside.science.steam import saturation_temperature_c, standard_atmosphere
from sinkside.science.validity import FloatArray

#: How far a record may be from saturated steam and still tell, and how much further the other reading of it
#: must be. Mistaking one for the other moves the saturation temperature by ten kelvin and more.
_AGREES_K: Final = 4.0
_DISAGREES_K: Final = 8.0

#: Steam well above the boiling point; below it both readings can be near saturation by chance.
_HOT_C: Final = 110.0
_NEAR_THE_HOTTEST_K: Final = 4.0

#: No absolute pressure is below zero; a sensor's zero may be off by this much.
_BELOW_ZERO_PA: Final = -2_000.0


#: The atmosphere from 4,000 m up to a high at the sea; a vented chamber is within a little of it.
_LOWEST_ATMOSPHERE_PA: Final = 60_000.0
_HIGHEST_ATMOSPHERE_PA: Final = 108_000.0
_NO_GAUGE_PA: Final = 3_000.0
_NOT_YET_HOT_C: Final = 95.0
_STEAM_C: Final = 105.0


def absolute_pressure(
    channel: Channel, *, said: PressureReference | None, trace: Trace, reading: Reading
) -> tuple[FloatArray, PressureReference, tuple[str, ...]]:
    """A chamber's pressure in Pa absolute, what it was recorded as, and what was inferred for it.

    Args:
        channel: As recorded, in Pa.
        said: What the head of the column says.
        trace: The record that it belongs to.
        reading: What a person said, and the site's altitude.

    Raises:
        BadInput: if it cannot be told; names the option.
    """
    atmosphere = standard_atmosphere(reading.altitude_m)
    at_site = f"{atmosphere / 1000.0:.1f} kPa at {reading.altitude_m:g} m"
    values_pa, reference = channel.values, said or reading.pressure
    notes: tuple[str, ...] = ()
    if reference is None:
        reference, reason = _told_by_the_record(values_pa, trace.temperatures(), atmosphere, channel.name)
        notes = (f"pressure {reference}: {reason}",)
    elif said is None:
        notes = (f"pressure {reference}: said by the option",)
    if reference == "absolute":
        return values_pa, "absolute", notes
    return values_pa + atmosphere, "gauge", (*notes, f"atmosphere {at_site}, added to the gauge pressure")


def _told_by_the_record(
    values_pa: FloatArray, probes_c: FloatArray, atmosphere: float, name: str
) -> tuple[PressureReference, str]:
    known = values_pa[np.isfinite(values_pa)]
    if known.size and float(np.quantile(known, 0.01)) < _BELOW_ZERO_PA:
        return "gauge", "it goes below zero"
    away: dict[PressureReference, float] = {
        "absolute": _away_from_saturation(values_pa, probes_c),
        "gauge": _away_from_saturation(values_pa + atmosphere, probes_c),
    }
    nearer: PressureReference = "absolute" if away["absolute"] <= away["gauge"] else "gauge"
    other: PressureReference = "gauge" if nearer == "absolute" else "absolute"
    agrees = away[nearer] <= _AGREES_K and away[other] >= _DISAGREES_K
    begins = _begins_as(values_pa, probes_c)
    if agrees and begins in {nearer, None}:
        return nearer, f"agrees with saturated steam within {away[nearer]:.1f} K"
    if begins is not None and not agrees:
        return begins, "it begins at the atmosphere, in a chamber that is not yet hot"
    raise BadInput(
        f"the column '{name}' does not say whether its pressure is absolute or gauge, and the record "
        "does not settle it; say which with --pressure absolute|gauge"
    )


def _begins_as(values_pa: FloatArray, probes_c: FloatArray) -> PressureReference | None:
    """What the first sample is, if it is the atmosphere as one of the two; None if it may be either.

    A chamber is loaded open. Only a record that comes to steam later tells anything by its beginning.
    """
    if not probes_c.size or not float(np.nanmax(np.nan_to_num(probes_c, nan=0.0))) > _STEAM_C:
        return None
    first, hottest = float(values_pa[0]), float(np.nan_to_num(probes_c[:, 0], nan=np.inf).max())
    if not hottest < _NOT_YET_HOT_C:
        return None
    if _LOWEST_ATMOSPHERE_PA < first < _HIGHEST_ATMOSPHERE_PA:
        return "absolute"
    return "gauge" if abs(first) < _NO_GAUGE_PA else None


def _away_from_saturation(pressure_pa: FloatArray, probes_c: FloatArray) -> float:
    """Median distance in K of the hottest stretch from the saturation temperature; infinite without one."""
    if not probes_c.size:
        return float("inf")
    hottest = np.where(np.isfinite(probes_c), probes_c, -np.inf).max(axis=0)
    top = float(hottest.max())
    hot = (hottest >= max(_HOT_C, top - _NEAR_THE_HOTTEST_K)) & np.isfinite(pressure_pa)
    if not hot.any():
        return float("inf")
    saturated = saturation_temperature_c(pressure_pa[hot], outside="nan")
    distance = np.abs(hottest[hot] - saturated)
    return float(np.median(np.where(np.isfinite(distance), distance, np.inf)))
