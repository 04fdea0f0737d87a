"""Steady flow of a liquid through a straight, full, round bore, with or without a rod along its axis.

All formulas are for developed flow. What the entrance, bends, valves and connectors add is not in them, so
a real lumen needs at least the pressure that they give.
"""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

from sinkside.errors import OutsideValidity
from sinkside.science.validity import Validity, refuse_negative, refuse_unless_positive

#: Textbook bounds of the transition in a round pipe (common practice; single sources differ by hundreds).
LAMINAR_BELOW: Final = 2300.0
TURBULENT_FROM: Final = 4000.0

_COLEBROOK_REYNOLDS: Final = Validity("turbulent friction, Reynolds number", TURBULENT_FROM, 1e8, "")
_COLEBROOK_ROUGHNESS: Final = Validity("turbulent friction, roughness/bore", 0.0, 0.05, "")
_RADIUS_RATIO: Final = Validity("flow around a rod, rod/bore", 1e-6, 0.9999, "")

Regime = Literal["laminar", "transitional", "turbulent"]


class WallShear(NamedTuple):
    """Shear stress in Pa at the wall of the bore and at the surface of the rod in it."""

    bore_pa: float
    rod_pa: float


def reynolds_number(
    velocity_m_s: float, hydraulic_diameter_m: float, density_kg_m3: float, viscosity_pa_s: float
) -> float:
    """Reynolds number of a flow; the hydraulic diameter is the bore, or bore less rod around a rod.

    Raises:
        ValueError: if a density, viscosity or diameter is not above zero, or the velocity is below zero.

    >>> round(reynolds_number(1.0, 0.002, 998.2, 1.0016e-3))
    1993
    """
    refuse_unless_positive(
        hydraulic_diameter=hydraulic_diameter_m, density=density_kg_m3, viscosity=viscosity_pa_s
    )
    refuse_negative(velocity=velocity_m_s)
    return density_kg_m3 * velocity_m_s * hydraulic_diameter_m / viscosity_pa_s


def flow_regime(reynolds: float) -> Regime:
    """Laminar below 2300, turbulent from 4000, and in between nobody can say.

    Source: textbook convention (common practice).

    >>> flow_regime(2040.0), flow_regime(3000.0), flow_regime(4000.0)
    ('laminar', 'transitional', 'turbulent')
    """
    if reynolds < LAMINAR_BELOW:
        return "laminar"
    return "transitional" if reynolds < TURBULENT_FROM else "turbulent"


def pressure_drop_hagen_poiseuille(
    flow_m3_s: float, *, bore_m: float, length_m: float, viscosity_pa_s: float
) -> float:
    """Pressure in Pa that drives a laminar flow through a round bore; exact.

    Args:
        flow_m3_s: Volume per second in m³/s.
        bore_m: Inner diameter in m.
        length_m: Length in m.
        viscosity_pa_s: Dynamic viscosity in Pa·s.

    Raises:
        ValueError: if the bore, length or viscosity is not above zero, or the flow is below zero.

    Valid for Reynolds numbers below 2300; the caller tells the regime by `flow_regime`.
    Source: Hagen-Poiseuille law, Δp = 128 µ L Q / (π D⁴); example: Fox & McDonald, ch. 8.

    >>> round(pressure_drop_hagen_poiseuille(1e-6, bore_m=2e-3, length_m=0.3, viscosity_pa_s=1e-3))
    764
    """
    refuse_unless_positive(bore=bore_m, length=length_m, viscosity=viscosity_pa_s)
    refuse_negative(flow=flow_m3_s)
    return 128.0 * viscosity_pa_s * length_m * flow_m3_s / (math.pi * bore_m**4)


def friction_factor_colebrook_1939(reynolds: float, *, relative_roughness: float = 0.0) -> float:
    """Darcy friction factor of turbulent flow in a round pipe.

    Args:
        reynolds: Reynolds number; 4,000 to 1e8.
        relative_roughness: Height of the roughness over the bore; 0 to 0.05, 0 for a smooth bore.

    Raises:
        OutsideValidity: outside these ranges.

    Source: C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133, 1/√f = −2 lg(ε/(3.7 D) + 2.51/(Re √f)), solved
    by Newton's method from the explicit formula of S. E. Haaland (1983); formulas and range from memory,
    checked against the package fluids in the reference tests. The formula itself is good to some 5 %.

    >>> round(friction_factor_colebrook_1939(1e5), 5)
    0.01799
    """
    _COLEBROOK_REYNOLDS.refuse_unless_covered(reynolds)
    _COLEBROOK_ROUGHNESS.refuse_unless_covered(relative_roughness)
    rough, smooth = relative_roughness / 3.7, 2.51 / reynolds
    inverse_root = -1.8 * math.log10(rough**1.11 + 6.9 / reynolds)
    # Haaland starts within 2 %; every step doubles the digits, so four are more than a float holds.
    for _ in range(4):
        inside = rough + smooth * inverse_root
        slope = 1.0 + 2.0 * smooth / (math.log(10.0) * inside)
        inverse_root -= (inverse_root + 2.0 * math.log10(inside)) / slope
    return 1.0 / inverse_root**2


def pressure_drop_darcy_weisbach(
    friction_factor: float, *, velocity_m_s: float, bore_m: float, length_m: float, density_kg_m3: float
) -> float:
    """Pressure in Pa that friction takes along a bore.

    Raises:
        ValueError: if the friction factor, bore, length or density is not above zero.

    Source: Darcy-Weisbach equation, Δp = f (L/D) ρ v²/2; example: Fox & McDonald, ch. 8.

    >>> round(
    ...     pressure_drop_darcy_weisbach(0.02, velocity_m_s=2.0, bore_m=0.01, length_m=1.0, density_kg_m3=1e3)
    ... )
    4000
    """
    refuse_unless_positive(
        friction_factor=friction_factor, bore=bore_m, length=length_m, density=density_kg_m3
    )
    return friction_factor * length_m / bore_m * 0.5 * density_kg_m3 * velocity_m_s**2


def pressure_drop_annulus(
    flow_m3_s: float, *, bore_m: float, rod_m: float, length_m: float, viscosity_pa_s: float
) -> float:
    """Pressure in Pa that drives a laminar flow around a rod in the middle of a bore; exact.

    A rod that lies against the wall lets more through: the same flow then needs less pressure, in a narrow
    gap down to 0.4 of it (from memory), and the water passes the narrow side by.

    Args:
        flow_m3_s: Volume per second in m³/s.
        bore_m: Inner diameter of the bore in m.
        rod_m: Diameter of the rod in m; at most 0.9999 of the bore.
        length_m: Length in m.
        viscosity_pa_s: Dynamic viscosity in Pa·s.

    Raises:
        OutsideValidity: if the gap is too narrow for the formula's arithmetic, or there is no gap.
        ValueError: if the bore, length or viscosity is not above zero, or the flow is below zero.

    Valid for laminar flow (Reynolds number on bore less rod).
    Source: Bird, Stewart, Lightfoot, Transport Phenomena, §2.4 (from memory):
    Q = π Δp R⁴/(8 µ L) · ((1 − κ⁴) − (1 − κ²)²/ln(1/κ)), κ = rod/bore.

    >>> drop = pressure_drop_annulus(1e-6, bore_m=2e-3, rod_m=1e-3, length_m=0.3, viscosity_pa_s=1e-3)
    >>> round(drop)
    6064
    """
    refuse_unless_positive(bore=bore_m, length=length_m, viscosity=viscosity_pa_s)
    refuse_negative(flow=flow_m3_s)
    ratio = _radius_ratio(bore_m, rod_m)
    conductance = (1.0 - ratio**4) - (1.0 - ratio**2) ** 2 / math.log(1.0 / ratio)
    return 8.0 * viscosity_pa_s * length_m * flow_m3_s / (math.pi * (0.5 * bore_m) ** 4 * conductance)


def wall_shear(pressure_drop_pa: float, *, bore_m: float, length_m: float) -> float:
    """Shear stress in Pa at the wall of a round bore, laminar or turbulent; a balance of forces, exact.

    Raises:
        ValueError: if the bore or length is not above zero.

    Source: τ = Δp D / (4 L); example: Subramanya 7.6.

    >>> round(wall_shear(179.2, bore_m=0.1, length_m=1.0), 2)
    4.48
    """
    refuse_unless_positive(bore=bore_m, length=length_m)
    return pressure_drop_pa * bore_m / (4.0 * length_m)


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
    ratio = _radius_ratio(bore_m, rod_m)
    fastest = (1.0 - ratio**2) / (2.0 * math.log(1.0 / ratio))
    scale = pressure_drop_pa * bore_m / (4.0 * length_m)
    return WallShear(scale * (1.0 - fastest), scale * (fastest / ratio - ratio))


def laminar_entry_length(reynolds: float, *, bore_m: float) -> float:
    """Length in m after which a laminar flow has its final profile.

    A lumen shorter than this takes more pressure and has more shear than the developed flow says.

    Raises:
        OutsideValidity: if the flow is not laminar.
        ValueError: if the bore is not above zero.

    Source: H. L. Langhaar, J. Appl. Mech. 9 (1942), 0.0575 Re D (from memory); for a round pipe.

    >>> round(laminar_entry_length(1000.0, bore_m=2e-3), 3)
    0.115
    """
    refuse_unless_positive(bore=bore_m)
    if flow_regime(reynolds) != "laminar":
        raise OutsideValidity(
            f"{reynolds:g} is not below {LAMINAR_BELOW:g}", resource="laminar entry length, Reynolds number"
        )
    return 0.0575 * reynolds * bore_m


def _radius_ratio(bore_m: float, rod_m: float) -> float:
    """Rod over bore, refused where the difference of nearly equal terms would lose its digits."""
    ratio = rod_m / bore_m
    _RADIUS_RATIO.refuse_unless_covered(ratio)
    return ratio
