"""Heat that passes between surfaces by radiation alone."""

from __future__ import annotations

from typing import Final

from sinkside.science.steam import ICE_POINT_K
from sinkside.science.validity import Validity, refuse_negative

#: W/(m²·K⁴). Source: CODATA 2018 (exact since the SI of 2019), from memory.
STEFAN_BOLTZMANN: Final = 5.670374419e-8

_EXCHANGE: Final = Validity("radiative exchange factor", 0.0, 1.0, "")


def radiant_power(hot_c: float, cold_c: float, *, area_m2: float, exchange: float) -> float:
    """Heat in W that a hot surrounding passes to a colder surface.

    Args:
        hot_c: Temperature of the surrounding, in °C.
        cold_c: Temperature of the surface, in °C, not above it.
        area_m2: The surface, in m²; zero or more.
        exchange: Exchange factor of emissivities and view, from 0 (none) to 1 (black, all in view).

    Raises:
        OutsideValidity: if the exchange factor is none.
        ValueError: if the surface is the hotter one, or its area is out of range.

    Source: Stefan-Boltzmann law, F·A times the constant times (T1⁴ − T2⁴).

    >>> round(radiant_power(134.0, 45.8, area_m2=0.1, exchange=1.0), 1)
    97.1
    """
    if not cold_c <= hot_c:
        raise ValueError(f"a surface of {cold_c:g} °C takes up no radiant heat from {hot_c:g} °C")
    refuse_negative(area=area_m2)
    _EXCHANGE.refuse_unless_covered(exchange)
    hot_k, cold_k = hot_c + ICE_POINT_K, cold_c + ICE_POINT_K
    return exchange * STEFAN_BOLTZMANN * area_m2 * (hot_k**4 - cold_k**4)
