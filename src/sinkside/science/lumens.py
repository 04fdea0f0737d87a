"""What rinsing a lumen comes to: its volume, how fast the water moves, what pressure and shear that takes.

No published limit of wall shear for cleaning a lumen is known here; the numbers compare one way of rinsing
with another and say what a thumb or a port must deliver.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from sinkside.science.annulus import wall_shear_annulus
from sinkside.science.pipe_flow import (
    Regime,
    Transition,
    flow_regime,
    laminar_entry_length,
    reynolds_number,
    wall_shear,
)
from sinkside.science.pipe_network import Channel, Liquid, channel_loss
from sinkside.science.validity import refuse_negative, refuse_unless_positive
from sinkside.science.water import water_density_kell_1975, water_viscosity_iapws_2008


class Span(NamedTuple):
    """Lowest and highest that the models give; the same where there is one answer."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class LumenFlow:
    """Water rinsed steadily through one lumen.

    Attributes:
        bore_m: Inner diameter in m.
        length_m: Length in m.
        rod_m: Diameter in m of a rod along the axis, 0 without one.
        flow_m3_s: Volume per second in m³/s.
        temperature_c: Temperature of the water in °C.
        volume_m3: Volume of water in the lumen in m³.
        velocity_m_s: Mean velocity in m/s.
        reynolds: Reynolds number on bore less rod.
        regime: Laminar, transitional or turbulent; around a rod told by the equivalent Reynolds number.
        pressure_drop_pa: Pressure along the lumen in Pa, without connectors, entrance and bends. In the
            transition it may be anything from the laminar value to that with the friction factor of
            turbulent flow at Reynolds number 4,000.
        wall_shear_pa: Shear stress in Pa at the wall of the bore, as the pressure; around a rod off the
            middle or in turbulent flow the mean of both walls.
        entry_length_m: Length in m until laminar flow is developed; None unless laminar and without a rod.
    """

    bore_m: float
    length_m: float
    rod_m: float
    flow_m3_s: float
    temperature_c: float
    volume_m3: float
    velocity_m_s: float
    reynolds: float
    regime: Regime
    pressure_drop_pa: Span
    wall_shear_pa: Span
    entry_length_m: float | None

    @property
    def exchange_s(self) -> float:
        """Seconds in which as much water enters as the lumen holds."""
        return self.volume_m3 / self.flow_m3_s

    def exchanges(self, flushed_m3: float) -> float:
        """How often a flushed volume fills this lumen.

        >>> flow = lumen_flow(bore_m=2e-3, length_m=0.3, flow_m3_s=2e-6, temperature_c=20.0)
        >>> round(flow.exchanges(60e-6), 1)
        63.7
        """
        return exchanges(flushed_m3, self.volume_m3)


def lumen_volume(bore_m: float, length_m: float, *, rod_m: float = 0.0) -> float:
    """Volume in m³ between a bore and a rod in it.

    Raises:
        ValueError: if the bore or length is not above zero, or the rod does not leave a gap.

    >>> round(lumen_volume(2e-3, 0.3) * 1e6, 3)
    0.942
    """
    refuse_unless_positive(length=length_m)
    return _cross_section(bore_m, rod_m) * length_m


def exchanges(flushed_m3: float, volume_m3: float) -> float:
    """How often a flushed volume fills a lumen; plain arithmetic, no promise that all of it was reached.

    Raises:
        ValueError: if the lumen has no volume or the flushed volume is below zero.

    >>> round(exchanges(60e-6, 1.5e-6), 6)
    40.0
    """
    refuse_unless_positive(volume=volume_m3)
    refuse_negative(flushed_volume=flushed_m3)
    return flushed_m3 / volume_m3


def syringe_force(pressure_pa: float, barrel_m: float) -> float:
    """Force in N on the plunger of a syringe that holds a pressure above the surroundings.

    The friction of the plunger, some newtons, comes on top.

    Args:
        pressure_pa: Pressure above the surroundings in Pa.
        barrel_m: Inner diameter of the barrel in m.

    Raises:
        ValueError: if the barrel is not above zero or the pressure is below zero.

    Source: force = pressure × area.

    >>> round(syringe_force(100_000.0, 0.029), 1)
    66.1
    """
    refuse_unless_positive(barrel=barrel_m)
    refuse_negative(pressure=pressure_pa)
    return pressure_pa * math.pi / 4.0 * barrel_m**2


def lumen_flow(
    *,
    bore_m: float,
    length_m: float,
    flow_m3_s: float,
    temperature_c: float,
    rod_m: float = 0.0,
    eccentricity: float = 0.0,
    roughness_m: float = 0.0,
) -> LumenFlow:
    """Water rinsed steadily through one lumen, filled to its whole section.

    Args:
        bore_m: Inner diameter in m.
        length_m: Length in m.
        flow_m3_s: Volume per second in m³/s.
        temperature_c: Temperature of the water in °C; 0 to 110 °C.
        rod_m: Diameter in m of a rod in the bore, 0 without one.
        eccentricity: How far the rod lies off the middle, over half of bore less rod; 0 to 0.99.
        roughness_m: Height of the wall's roughness in m, 0 for a smooth bore; matters in turbulent flow.

    Raises:
        OutsideValidity: if the temperature, roughness, Reynolds number or gap is outside the models used.
        ValueError: if the bore, length or flow is not above zero, or the rod leaves no gap.

    Source: the models named in `pipe_flow` and `water`; regimes from 2300 and 4000 (common practice).

    >>> flow = lumen_flow(bore_m=2e-3, length_m=0.3, flow_m3_s=2e-6, temperature_c=20.0)
    >>> flow.regime, round(flow.velocity_m_s, 3), round(flow.reynolds), round(flow.pressure_drop_pa.high)
    ('laminar', 0.637, 1269, 1530)
    """
    refuse_unless_positive(flow=flow_m3_s)
    volume = lumen_volume(bore_m, length_m, rod_m=rod_m)
    velocity = flow_m3_s * length_m / volume
    density = water_density_kell_1975(temperature_c)
    viscosity = water_viscosity_iapws_2008(temperature_c)
    reynolds = reynolds_number(velocity, bore_m - rod_m, density, viscosity)
    channel = Channel(
        "in", "out", bore_m, length_m, rod_m=rod_m, eccentricity=eccentricity, roughness_m=roughness_m
    )
    regime = flow_regime(reynolds * channel.equivalent_ratio)
    drop = Span(
        *(
            channel_loss(channel, flow_m3_s, Liquid(density, viscosity), transition=transition)
            for transition in (Transition.late, Transition.early)
        )
    )
    plain_laminar = rod_m == 0.0 and regime == "laminar"
    return LumenFlow(
        bore_m=bore_m,
        length_m=length_m,
        rod_m=rod_m,
        flow_m3_s=flow_m3_s,
        temperature_c=temperature_c,
        volume_m3=volume,
        velocity_m_s=velocity,
        reynolds=reynolds,
        regime=regime,
        pressure_drop_pa=drop,
        wall_shear_pa=Span(*(_shear_at_bore(channel, end, regime) for end in drop)),
        entry_length_m=(laminar_entry_length(reynolds, bore_m=bore_m) if plain_laminar else None),
    )


def _cross_section(bore_m: float, rod_m: float) -> float:
    """Area in m² between bore and rod."""
    refuse_unless_positive(bore=bore_m)
    if not 0.0 <= rod_m < bore_m:
        raise ValueError(f"a rod of {rod_m:g} m leaves no gap in a bore of {bore_m:g} m")
    return math.pi / 4.0 * (bore_m**2 - rod_m**2)


def _shear_at_bore(channel: Channel, pressure_drop_pa: float, regime: Regime) -> float:
    """Shear at the bore; around a rod off the middle or in turbulent flow, the mean of both walls."""
    bore, length, rod = channel.bore_m, channel.length_m, channel.rod_m
    if rod == 0.0 or channel.eccentricity > 0.0 or regime != "laminar":
        return wall_shear(pressure_drop_pa, bore_m=bore - rod, length_m=length)
    return wall_shear_annulus(pressure_drop_pa, bore_m=bore, rod_m=rod, length_m=length).bore_pa
