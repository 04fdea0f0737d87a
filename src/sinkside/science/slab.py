"""How much of its heat a wall gives up in a time, when only conduction inside it holds the heat back."""

from __future__ import annotations

import math
from typing import Final

from sinkside.science.validity import refuse_negative, refuse_unless_positive

#: Below it the first term for early times is exact to 1e-10; above it so are these terms of the series.
_EARLY: Final = 0.05
_TERMS: Final = 8


def slab_heat_given(time_s: float, *, depth_m: float, diffusivity_m2_s: float) -> float:
    """Share of its heat that a plane wall has given up, its surface held at the new temperature.

    Heat leaves at one face and none at the other; a wall that is cooled from both sides is two of these, each
    half as deep. An upper bound: any resistance between wall and water makes it less.

    Args:
        time_s: Time since the surface changed, in s; zero or more.
        depth_m: From the cooled face to where no heat passes, in m.
        diffusivity_m2_s: Thermal diffusivity k/(ρ·c) of the wall, in m²/s.

    Raises:
        ValueError: if a number is out of its range.

    Source: Carslaw and Jaeger, Conduction of Heat in Solids, §3.3-3.4; J. Crank, The Mathematics of
    Diffusion, §4.3, M/M∞ = 1 − 8/π² Σ exp(−(2n+1)² π² Fo/4)/(2n+1)², and 2·√(Fo/π) early on (both from
    memory; checked in the tests against a numerical solution of the heat equation).

    >>> round(slab_heat_given(600.0, depth_m=0.004, diffusivity_m2_s=1.2e-7), 3)
    1.0
    >>> round(slab_heat_given(600.0, depth_m=0.02, diffusivity_m2_s=1.2e-7), 3)
    0.478
    """
    refuse_negative(time=time_s)
    refuse_unless_positive(depth=depth_m, thermal_diffusivity=diffusivity_m2_s)
    fourier = diffusivity_m2_s * time_s / depth_m**2
    if fourier < _EARLY:
        return 2.0 * math.sqrt(fourier / math.pi)
    odd = (2 * n + 1 for n in range(_TERMS))
    left = sum(math.exp(-(n**2) * math.pi**2 * fourier / 4.0) / n**2 for n in odd)
    return 1.0 - 8.0 / math.pi**2 * left
