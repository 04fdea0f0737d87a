"""Steady flow of a liquid through a straight, full, round bore.

All formulas are for developed flow. What the entrance, bends, valves and connectors add is not in them, so
a real lumen needs at least the pressure that they give.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Final, Literal

from sinkside.errors import OutsideValidity
from sinkside.science.validity import Validity, refuse_negative, refuse_unless_positive

#: Textbook bounds of the transition in a round pipe (common practice; single sources differ by hundreds).
LAMINAR_BELOW: Final = 2300.0
TURBULENT_FROM: Final = 4000.0

_COLEBROOK_REYNOLDS: Final = Validity("turbulent friction, Reynolds number", TURBULENT_FROM, 1e8, "")
_COLEBROOK_ROUGHNESS: Final = Validity("turbulent friction, roughness/bore", 0.0, 0.05, "")

#: Reynolds numbers over which the friction of one regime goes over into that of the other.
_CROSSING: Final = 400.0

Regime = Literal["laminar", "transitional", "turbulent"]


class Transition(StrEnum):
    """Where laminar flow turns turbulent: from Reynolds number 2,300 on, or only at 4,000."""

    early = "early"
    late = "late"

    @property
    def between(self) -> tuple[float, float]:
        """The Reynolds numbers between which one law goes over into the other."""
        if self is Transition.early:
            return LAMINAR_BELOW, LAMINAR_BELOW + _CROSSING
        return TURBULENT_FROM - _CROSSING, TURBULENT_FROM


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


def friction_factor(
    reynolds: float, *, relative_roughness: float = 0.0, transition: Transition = Transition.early
) -> float:
    """Darcy friction factor of a round pipe in every regime, without a jump.

    In the transition nobody can say; the early transition takes the most, the late the least.

    Args:
        reynolds: Reynolds number; above 0, to 1e8.
        relative_roughness: Height of the roughness over the bore; 0 to 0.05.
        transition: Where laminar flow is taken to turn turbulent.

    Raises:
        OutsideValidity: outside these ranges.
        ValueError: if the Reynolds number is not above zero.

    Source: 64/Re and Colebrook (1939), between Reynolds number 2,300 and 4,000 with the factor of 4,000, and
    over 400 from one to the other along a smooth curve (our own, so that equations can be solved).

    >>> [round(friction_factor(2700.0, transition=one), 4) for one in Transition]
    [0.0399, 0.0237]
    """
    refuse_unless_positive(reynolds=reynolds)
    laminar = 64.0 / reynolds
    begins, over = transition.between
    if reynolds <= begins:
        return laminar
    turbulent = friction_factor_colebrook_1939(
        max(reynolds, TURBULENT_FROM), relative_roughness=relative_roughness
    )
    share = min((reynolds - begins) / (over - begins), 1.0)
    share *= share * (3.0 - 2.0 * share)
    return (1.0 - share) * laminar + share * turbulent


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
