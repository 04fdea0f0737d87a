"""The A0 of a temperature held for a time, as instructions and programs state both."""

from __future__ import annotations

import functools

from sinkside.errors import OutsideValidity


@functools.lru_cache(maxsize=1024)
def a0_of(temperature_c: float, time_s: float) -> float:
    """The A0 of a steady temperature in °C held for a time in s; 0 where no moist heat has that temperature.

    >>> round(a0_of(90.0, 300.0), 6)
    3000.0
    """
    from sinkside.science.lethality import a0

    try:
        return a0([0.0, time_s], [temperature_c, temperature_c]).value
    except OutsideValidity:
        return 0.0
