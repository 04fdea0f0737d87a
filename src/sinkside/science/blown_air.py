"""Air blown through a lumen: how much goes through, what film of water stays behind, and how that dries."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from sinkside.errors import OutsideValidity
from sinkside.science.humid_air import HumidAir, saturated_humidity_ratio
from sinkside.science.pipe_flow import friction_factor
from sinkside.science.validity import Validity, refuse_negative, refuse_unless_positive
from sinkside.science.water import water_density_kell_1975

_GAS_CONSTANT: Final = 287.042  # J/(kg·K), dry air; ASHRAE Handbook Fundamentals 2017, ch. 1, equation 1
_ZERO_C: Final = 273.15
#: Less than that of any flow that the formulas cover.
_LEAST_FRICTION: Final = 1e-3
_HALVINGS: Final = 34
_CAPILLARY: Final = Validity("film behind a long bubble, capillary number", 0.0, 1.4, "")
_WETTED_TO: Final = 35_000.0
_TURBULENT_AIR: Final = Validity("drying in turbulent air, Reynolds number", 2000.0, 120_000.0, "")
_SURFACE_TENSION: Final = Validity("surface tension of water, temperature", 0.01, 370.0, "°C")
_CRITICAL_K: Final = 647.096
#: Sherwood number of developed laminar flow at a wall that is wet all round. Source: as the Nusselt number of
#: a constant wall temperature, Incropera, Fundamentals of Heat and Mass Transfer, §8.4 (from memory).
_LAMINAR_SHERWOOD: Final = 3.66


def air_viscosity_sutherland(temperature_c: float) -> float:
    """Dynamic viscosity of air in Pa·s.

    Source: Sutherland's law, 1.716e-5 Pa·s at 273.15 K with 110.4 K; F. M. White, Viscous Fluid Flow (from
    memory), within 2 % from 170 to 1,900 K.

    >>> round(air_viscosity_sutherland(20.0) * 1e6, 2)
    18.13
    """
    kelvin = temperature_c + _ZERO_C
    return 1.716e-5 * math.pow(kelvin / _ZERO_C, 1.5) * (_ZERO_C + 110.4) / (kelvin + 110.4)


def vapour_diffusivity(temperature_c: float, pressure_pa: float = 101_325.0) -> float:
    """Diffusion coefficient of water vapour in air in m²/s.

    Source: T. R. Marrero, E. A. Mason, J. Phys. Chem. Ref. Data 1 (1972) 3, 1.87e-10 T^2.072 / p with p in
    atm, 282 to 450 K (from memory).

    >>> round(vapour_diffusivity(25.0) * 1e6, 1)
    25.1
    """
    return 1.87e-10 * math.pow(temperature_c + _ZERO_C, 2.072) / (pressure_pa / 101_325.0)


def surface_tension_iapws(temperature_c: float) -> float:
    """Surface tension of water in N/m.

    Raises:
        OutsideValidity: if the temperature is not 0.01 to 370 °C.

    Source: IAPWS R1-76(2014), 235.8e-3 τ^1.256 (1 − 0.625 τ) (from memory; checked against CoolProp).

    >>> round(surface_tension_iapws(20.0) * 1000, 2)
    72.74
    """
    _SURFACE_TENSION.refuse_unless_covered(temperature_c)
    cold = 1.0 - (temperature_c + _ZERO_C) / _CRITICAL_K
    return 235.8e-3 * math.pow(cold, 1.256) * (1.0 - 0.625 * cold)


def film_behind_bubble(
    speed_m_s: float, *, bore_m: float, viscosity_pa_s: float, surface_tension_n_m: float
) -> float:
    """Thickness in m of the film of liquid that air leaves at the wall when it pushes a plug out slowly.

    Args:
        speed_m_s: Speed of the front of the air.
        bore_m: Inner diameter in m.
        viscosity_pa_s: Of the liquid.
        surface_tension_n_m: Of the liquid.

    Raises:
        OutsideValidity: if viscosity times speed over surface tension exceeds 1.4: fast air tears the film.
        ValueError: if an argument is not above zero.

    Valid where viscosity leads, not inertia; gravity and what wets badly are not in it.
    Source: P. Aussillous, D. Quéré, Phys. Fluids 12 (2000) 2367, equation 3, after G. I. Taylor (1961) and
    F. P. Bretherton (1961): h/r = 1.34 Ca^(2/3) / (1 + 3.35 Ca^(2/3)) (from memory).

    >>> sizes = {"bore_m": 2e-3, "viscosity_pa_s": 1e-3, "surface_tension_n_m": 0.0727}
    >>> round(film_behind_bubble(0.5, **sizes) * 1e6)
    43
    """
    refuse_unless_positive(
        speed=speed_m_s, bore=bore_m, viscosity=viscosity_pa_s, surface_tension=surface_tension_n_m
    )
    capillary = viscosity_pa_s * speed_m_s / surface_tension_n_m
    _CAPILLARY.refuse_unless_covered(capillary)
    power = math.pow(capillary, 2.0 / 3.0)
    return 0.5 * bore_m * 1.34 * power / (1.0 + 3.35 * power)


@dataclass(frozen=True, slots=True)
class AirFlow:
    """Air that goes steadily through a bore.

    Attributes:
        mass_kg_s: Mass per second in kg/s.
        reynolds: Reynolds number.
        speed_out_m_s: Speed where it comes out, in m/s.
        choked: Whether more pressure behind it would be needed for more air, and none in front would help.
    """

    mass_kg_s: float
    reynolds: float
    speed_out_m_s: float
    choked: bool


def air_through_bore(
    *, bore_m: float, length_m: float, pressure_in_pa: float, pressure_out_pa: float, temperature_c: float
) -> AirFlow:
    """Dry air through a smooth bore at one temperature.

    Args:
        bore_m: Inner diameter in m.
        length_m: Length in m.
        pressure_in_pa: Absolute pressure at the inlet in Pa, above that at the outlet.
        pressure_out_pa: Absolute pressure at the outlet in Pa.
        temperature_c: Temperature in °C, taken as the same all along.

    Raises:
        ValueError: if a size or pressure is not above zero, or the air would be pushed back.

    Source: compressible flow of an ideal gas at constant temperature with friction, Crane TP-410, equation
    1-6: m² = A² ρ₁ (p₁² − p₂²) / (p₁ (f L/D + 2 ln(p₁/p₂))); no more than where it is greatest over p₂.
    Friction as in `pipe_flow.friction_factor`, with the early transition.

    >>> air = air_through_bore(
    ...     bore_m=2e-3, length_m=0.3, pressure_in_pa=201_325.0, pressure_out_pa=101_325.0, temperature_c=20.0
    ... )
    >>> round(air.mass_kg_s * 1e3, 2), round(air.speed_out_m_s)
    (0.85, 225)
    """
    refuse_unless_positive(bore=bore_m, length=length_m, pressure_out=pressure_out_pa)
    if not pressure_in_pa > pressure_out_pa:
        raise ValueError("air flows only from the higher to the lower pressure")
    bore = _Bore(bore_m, length_m, temperature_c, pressure_in_pa)
    low, high = 0.0, bore.most(pressure_out_pa, _LEAST_FRICTION)
    for _ in range(_HALVINGS):
        mass = 0.5 * (low + high)
        # More air means less friction for each, and no more than that friction lets through.
        low, high = (low, mass) if mass > bore.most(pressure_out_pa, bore.friction(mass)) else (mass, high)
    least_out = max(pressure_out_pa, bore.critical_pressure(bore.friction(mass)))
    density_out = least_out / (_GAS_CONSTANT * (temperature_c + _ZERO_C))
    return AirFlow(
        mass_kg_s=mass,
        reynolds=bore.reynolds(mass),
        speed_out_m_s=mass / (density_out * bore.section_m2),
        choked=least_out > pressure_out_pa,
    )


def drying_time(
    *,
    bore_m: float,
    length_m: float,
    film_m: float,
    air: HumidAir,
    mass_kg_s: float,
) -> float:
    """Seconds in which air that is blown through dries an even film of water; at least so long.

    The wall is taken at the wet bulb of the air, the film as even and wetting all of the wall; drops in
    threads, branches and dead ends take longer, without a bound that is known here.

    Args:
        bore_m: Inner diameter in m.
        length_m: Length in m.
        film_m: Thickness of the film in m.
        air: The air as it comes in; its pressure is that in the lumen.
        mass_kg_s: Dry air per second.

    Raises:
        OutsideValidity: if the Reynolds number is above 120,000, or the air can take nothing up.
        ValueError: if a size is not above zero.

    Source: vapour balance; Sherwood number 3.66 in laminar flow, else that of E. R. Gilliland and T. K.
    Sherwood, Ind. Eng. Chem. 26 (1934) 516, 0.023 Re^0.83 Sc^0.44, Reynolds number 2,000 to 35,000 (from
    memory); above it 0.023 Re^0.8 Sc^0.4 by the analogy with heat, Incropera §8.5 and 8.9 (from memory).

    >>> air = HumidAir(20.0, 0.4)
    >>> round(drying_time(bore_m=2e-3, length_m=0.3, film_m=20e-6, air=air, mass_kg_s=0.2e-3))
    61
    """
    refuse_unless_positive(bore=bore_m, length=length_m, dry_air=mass_kg_s)
    refuse_negative(film=film_m)
    wet_c = air.wet_bulb_c
    reached = 1.0 - math.exp(-_transfer_units(bore_m, length_m, air, mass_kg_s))
    taken_up = mass_kg_s * reached * (saturated_humidity_ratio(wet_c, air.pressure_pa) - air.humidity_ratio)
    water = math.pi * bore_m * length_m * film_m * water_density_kell_1975(wet_c)
    if taken_up <= 0.0:
        raise OutsideValidity("air that is saturated dries nothing", resource="drying by air")
    return water / taken_up


def _transfer_units(bore_m: float, length_m: float, air: HumidAir, mass_kg_s: float) -> float:
    """How often the difference in vapour falls by the factor e along the bore."""
    diffusivity = vapour_diffusivity(air.temperature_c, air.pressure_pa)
    viscosity = air_viscosity_sutherland(air.temperature_c)
    section = math.pi / 4.0 * bore_m**2
    reynolds = mass_kg_s / section * bore_m / viscosity
    schmidt = viscosity / (air.dry_air_density * diffusivity)
    sherwood = _LAMINAR_SHERWOOD
    if reynolds >= _TURBULENT_AIR.low:
        _TURBULENT_AIR.refuse_unless_covered(reynolds)
        measured = reynolds <= _WETTED_TO
        sherwood = 0.023 * (reynolds**0.83 * schmidt**0.44 if measured else reynolds**0.8 * schmidt**0.4)
    speed = mass_kg_s / (air.dry_air_density * section)
    return 4.0 * length_m / bore_m * sherwood * diffusivity / (bore_m * speed)


@dataclass(frozen=True, slots=True)
class _Bore:
    """A bore with air at its inlet."""

    bore_m: float
    length_m: float
    temperature_c: float
    pressure_in_pa: float

    @property
    def section_m2(self) -> float:
        return math.pi / 4.0 * self.bore_m**2

    def reynolds(self, mass_kg_s: float) -> float:
        return mass_kg_s / self.section_m2 * self.bore_m / air_viscosity_sutherland(self.temperature_c)

    def friction(self, mass_kg_s: float) -> float:
        return friction_factor(self.reynolds(mass_kg_s))

    def most(self, pressure_out_pa: float, factor: float) -> float:
        """Mass per second that a friction factor lets through, choked or not."""
        return self.mass_flow(max(pressure_out_pa, self.critical_pressure(factor)), factor)

    def mass_flow(self, pressure_out_pa: float, factor: float) -> float:
        density = self.pressure_in_pa / (_GAS_CONSTANT * (self.temperature_c + _ZERO_C))
        resistance = factor * self.length_m / self.bore_m + 2.0 * math.log(
            self.pressure_in_pa / pressure_out_pa
        )
        driving = (self.pressure_in_pa**2 - pressure_out_pa**2) / self.pressure_in_pa
        return self.section_m2 * math.sqrt(density * driving / resistance)

    def critical_pressure(self, factor: float) -> float:
        """The pressure at the outlet below which no more goes through: where the flow over it is greatest.

        With r = p₂/p₁ and K = f L/D the slope is nil where r² (K − 2 ln r) = 1 − r².
        """
        friction = factor * self.length_m / self.bore_m
        low, high = 1e-6, 1.0
        for _ in range(_HALVINGS):
            ratio = 0.5 * (low + high)
            rising = ratio**2 * (friction - 2.0 * math.log(ratio)) < 1.0 - ratio**2
            low, high = (ratio, high) if rising else (low, ratio)
        return 0.5 * (low + high) * self.pressure_in_pa
