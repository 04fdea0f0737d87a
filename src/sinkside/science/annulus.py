"""Steady flow of a liquid around a rod that need not lie in the middle of its bore, laminar or turbulent.

A rod that lies against the wall lets more through than one in the middle, and hardly anything beside where it
lies: the same pressure then says less about what reaches the wall. So both are given, as a range.
"""

from __future__ import annotations

import math
from itertools import count
from typing import Final, NamedTuple

from sinkside.science.validity import Validity, refuse_negative, refuse_unless_positive

_RADIUS_RATIO: Final = Validity("flow around a rod, rod/bore", 1e-6, 0.9999, "")
_ECCENTRICITY: Final = Validity("flow around a rod, offset/gap", 0.0, 0.99, "")
#: Below this offset the formula for a rod off the middle loses its digits, and the difference is below 1e-8.
_IN_THE_MIDDLE: Final = 1e-4
_SMALL_ENOUGH: Final = 1e-14


class WallShear(NamedTuple):
    """Shear stress in Pa at the wall of the bore and at the surface of the rod in it."""

    bore_pa: float
    rod_pa: float


def annulus_conductance(*, bore_m: float, rod_m: float, eccentricity: float = 0.0) -> float:
    """Flow in m³/s through one metre of a bore with a rod, for 1 Pa and a liquid of 1 Pa·s; laminar, exact.

    Args:
        bore_m: Inner diameter of the bore in m.
        rod_m: Diameter of the rod in m; at most 0.9999 of the bore.
        eccentricity: How far the rod lies off the middle, over half of bore less rod; 0 to 0.99.

    Raises:
        OutsideValidity: if there is no gap, or the rod lies nearer to the wall than the series converges.
        ValueError: if the bore is not above zero.

    Source: N. A. V. Piercy, M. S. Hooper, H. F. Winny, Phil. Mag. 15 (1933) 647, as in F. M. White, Viscous
    Fluid Flow, equation 3-51 (from memory; checked against the rod in the middle, against lubrication theory
    and against a numerical solution in the tests).

    >>> middle = annulus_conductance(bore_m=2e-3, rod_m=1.5e-3)
    >>> round(annulus_conductance(bore_m=2e-3, rod_m=1.5e-3, eccentricity=0.9) / middle, 2)
    2.19
    """
    refuse_unless_positive(bore=bore_m)
    ratio = rod_m / bore_m
    _RADIUS_RATIO.refuse_unless_covered(ratio)
    _ECCENTRICITY.refuse_unless_covered(eccentricity)
    if eccentricity < _IN_THE_MIDDLE:
        shape = (1.0 - ratio**4) - (1.0 - ratio**2) ** 2 / math.log(1.0 / ratio)
    else:
        shape = _shape_off_the_middle(ratio, eccentricity * (1.0 - ratio))
    return math.pi / 8.0 * (0.5 * bore_m) ** 4 * shape


def laminar_equivalent_ratio(*, bore_m: float, rod_m: float, eccentricity: float = 0.0) -> float:
    """By what the Reynolds number on bore less rod is multiplied before a friction factor of pipes is read.

    With it the laminar friction factor 64/Re is exact. That of turbulent flow is right to some 5 % around a
    rod in the middle by the authors of the method; for a rod off the middle it is our own extension.

    Raises:
        OutsideValidity: as `annulus_conductance`.
        ValueError: if the bore is not above zero.

    Source: O. C. Jones, J. C. M. Leung, J. Fluids Eng. 103 (1981) 615 (from memory).

    >>> round(laminar_equivalent_ratio(bore_m=2e-3, rod_m=1e-3), 4)
    0.6719
    """
    conductance = annulus_conductance(bore_m=bore_m, rod_m=rod_m, eccentricity=eccentricity)
    section = math.pi / 4.0 * (bore_m**2 - rod_m**2)
    return 32.0 * conductance / (section * (bore_m - rod_m) ** 2)


def pressure_drop_annulus(
    flow_m3_s: float,
    *,
    bore_m: float,
    rod_m: float,
    length_m: float,
    viscosity_pa_s: float,
    eccentricity: float = 0.0,
) -> float:
    """Pressure in Pa that drives a laminar flow around a rod in a bore; exact.

    Args:
        flow_m3_s: Volume per second in m³/s.
        bore_m: Inner diameter of the bore in m.
        rod_m: Diameter of the rod in m; at most 0.9999 of the bore.
        length_m: Length in m.
        viscosity_pa_s: Dynamic viscosity in Pa·s.
        eccentricity: How far the rod lies off the middle, over half of bore less rod; 0 to 0.99.

    Raises:
        OutsideValidity: as `annulus_conductance`.
        ValueError: if the bore, length or viscosity is not above zero, or the flow is below zero.

    Valid for laminar flow (Reynolds number on bore less rod).
    Source: in the middle Bird, Stewart, Lightfoot, Transport Phenomena, §2.4 (from memory):
    Q = π Δp R⁴/(8 µ L) · ((1 − κ⁴) − (1 − κ²)²/ln(1/κ)), κ = rod/bore; else as `annulus_conductance`.

    >>> sizes = {"bore_m": 2e-3, "rod_m": 1e-3, "length_m": 0.3, "viscosity_pa_s": 1e-3}
    >>> drops = [pressure_drop_annulus(1e-6, eccentricity=off, **sizes) for off in (0.0, 0.9)]
    >>> [round(drop) for drop in drops]
    [6064, 2909]
    """
    refuse_unless_positive(length=length_m, viscosity=viscosity_pa_s)
    refuse_negative(flow=flow_m3_s)
    conductance = annulus_conductance(bore_m=bore_m, rod_m=rod_m, eccentricity=eccentricity)
    return flow_m3_s * viscosity_pa_s * length_m / conductance


def wall_shear_annulus(pressure_drop_pa: float, *, bore_m: float, rod_m: float, length_m: float) -> WallShear:
    """Shear stress at the bore and at the rod for laminar flow around a rod in the middle; exact.

    Raises:
        OutsideValidity: if the gap is too narrow for the formula's arithmetic, or there is no gap.
        ValueError: if the bore or length is not above zero.

    Source: as `pressure_drop_annulus`; the velocity is greatest, and the shear nil, at the radius λR with
    λ² = (1 − κ²)/(2 ln(1/κ)).

    >>> shear = wall_shear_annulus(6064.0, bore_m=2e-3, rod_m=1e-3, length_m=0.3)
    >>> round(shear.bore_pa, 2), round(shear.rod_pa, 2)
    (4.64, 5.88)
    """
    refuse_unless_positive(bore=bore_m, length=length_m)
    ratio = rod_m / bore_m
    _RADIUS_RATIO.refuse_unless_covered(ratio)
    fastest = (1.0 - ratio**2) / (2.0 * math.log(1.0 / ratio))
    scale = pressure_drop_pa * bore_m / (4.0 * length_m)
    return WallShear(scale * (1.0 - fastest), scale * (fastest / ratio - ratio))


def _shape_off_the_middle(rod: float, offset: float) -> float:
    """The bracket of White's equation 3-51, all lengths over the bore's radius."""
    foot = (1.0 - rod**2 + offset**2) / (2.0 * offset)
    pole = math.sqrt(foot**2 - 1.0)
    outer = 0.5 * math.log((foot + pole) / (foot - pole))
    inner = 0.5 * math.log((foot - offset + pole) / (foot - offset - pole))
    series = 0.0
    for n in count(1):
        term = n * math.exp(-n * (inner + outer)) / math.sinh(n * (inner - outer))
        series += term
        if term <= _SMALL_ENOUGH * series:
            break
    squared = (offset * pole) ** 2
    return 1.0 - rod**4 - 4.0 * squared / (inner - outer) - 8.0 * squared * series
