"""Vacuum leak tests: what a change of temperature alone does to a pressure, and rates in other units."""

from __future__ import annotations

from sinkside.science.steam import ICE_POINT_K
from sinkside.science.validity import refuse_unless_positive


def apparent_rise(pressure_pa: float, temperature_c: float, warmer_k: float) -> float:
    """How much a closed chamber's pressure rises, in Pa, because its gas got warmer.

    Args:
        pressure_pa: Absolute pressure at the start in pascal.
        temperature_c: Temperature at the start in °C.
        warmer_k: How many kelvin warmer it is at the end; negative where it cooled.

    Raises:
        ValueError: if the pressure is not above zero, or the temperature not above absolute zero.

    Source: ideal gas at constant volume (Amontons' law), p proportional to absolute temperature.

    >>> round(apparent_rise(4000.0, 100.0, 10.0))
    107
    """
    kelvin = temperature_c + ICE_POINT_K
    refuse_unless_positive(pressure=pressure_pa, absolute_temperature=kelvin)
    return pressure_pa * warmer_k / kelvin


def leak_flow(rate_pa_per_s: float, volume_m3: float) -> float:
    """Throughput of a leak in Pa·m³/s: how much air comes in, whatever the chamber's size.

    Raises:
        ValueError: if the volume is not above zero.

    Source: definition of throughput, V·dp/dt at constant temperature.

    >>> round(leak_flow(130.0 / 60.0, 0.45), 3)
    0.975
    """
    refuse_unless_positive(volume=volume_m3)
    return rate_pa_per_s * volume_m3
