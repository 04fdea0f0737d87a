"""How much steam must condense to heat a load, and what a heat balance counts with which sign.

Specific heats are arguments: a material's value comes from the maker's data or a handbook, with its source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sinkside.science.validity import refuse_negative, refuse_unless_positive


@dataclass(frozen=True, slots=True)
class Mass:
    """A part of a load that is all one material.

    Attributes:
        mass_kg: Mass in kg, zero or more.
        specific_heat_j_kgk: Specific heat in J/(kg·K), above zero.

    >>> Mass(10.0, 500.0).sensible_heat(20.0, 134.0)
    570000.0
    """

    mass_kg: float
    specific_heat_j_kgk: float

    def __post_init__(self) -> None:
        refuse_negative(mass=self.mass_kg)
        refuse_unless_positive(specific_heat=self.specific_heat_j_kgk)

    def sensible_heat(self, start_c: float, end_c: float) -> float:
        """Heat in J that takes it from one temperature in °C to another; below zero when it cools."""
        return self.mass_kg * self.specific_heat_j_kgk * (end_c - start_c)


def condensate_of_load(
    load: Iterable[Mass],
    *,
    start_c: float,
    end_c: float,
    latent_heat_j_kg: float,
    loss_w: float = 0.0,
    duration_s: float = 0.0,
) -> float:
    """Mass of steam in kg that condenses while a load is heated (batch).

    What the load takes up and what leaks to the surroundings are both paid by the steam: a loss adds. The
    condensate is taken to leave at the steam's temperature.

    Args:
        load: The parts of the load, each of one material; chamber and tray too if they are heated.
        start_c: Temperature of the load at the start, in °C.
        end_c: Temperature at the end, in °C; not below the start.
        latent_heat_j_kg: Heat that a kilogram of steam gives up, in J/kg (`steam.latent_heat`).
        loss_w: Heat lost to the surroundings, in W; zero or more.
        duration_s: How long it is lost, in s; zero or more.

    Raises:
        ValueError: if the load would cool, or a loss, duration or latent heat is out of its range.

    Source: energy balance, m_steam · h_fg = Σ m c ΔT + loss · time; example: Himmelblau, Basic Principles and
    Calculations in Chemical Engineering, Ex. 24.7.

    >>> round(condensate_of_load([Mass(10.0, 500.0)], start_c=20.0, end_c=134.0, latent_heat_j_kg=2.162e6), 3)
    0.264
    """
    if not end_c >= start_c:
        raise ValueError(f"steam of {end_c:g} °C does not condense on a load of {start_c:g} °C")
    refuse_unless_positive(latent_heat=latent_heat_j_kg)
    refuse_negative(heat_loss=loss_w, duration=duration_s)
    heat = sum(part.sensible_heat(start_c, end_c) for part in load)
    return (heat + loss_w * duration_s) / latent_heat_j_kg


def steam_rate_of_flow(
    mass_rate_kg_s: float,
    *,
    enthalpy_in_j_kg: float,
    enthalpy_out_j_kg: float,
    latent_heat_j_kg: float,
    loss_w: float = 0.0,
) -> float:
    """Steam in kg/s that heats a steady stream (continuous).

    The loss to the surroundings is paid by the steam, so it adds to what the stream takes up.

    Args:
        mass_rate_kg_s: Stream in kg/s, zero or more.
        enthalpy_in_j_kg: Its specific enthalpy at the inlet, in J/kg.
        enthalpy_out_j_kg: Its specific enthalpy at the outlet, in J/kg; not below the inlet.
        latent_heat_j_kg: Heat that a kilogram of steam gives up, in J/kg.
        loss_w: Heat lost to the surroundings, in W; zero or more.

    Raises:
        ValueError: if the stream would cool, or a rate, loss or latent heat is out of its range.

    Source: energy balance, steam · h_fg = m (h_out − h_in) + loss; example: Himmelblau, Ex. 24.8.

    >>> rate = steam_rate_of_flow(
    ...     2.5, enthalpy_in_j_kg=207.5e3, enthalpy_out_j_kg=310.3e3, latent_heat_j_kg=2163.7e3, loss_w=1630.0
    ... )
    >>> round(rate * 60, 3)
    7.172
    """
    if not enthalpy_out_j_kg >= enthalpy_in_j_kg:
        raise ValueError("steam does not condense on a stream that cools")
    refuse_unless_positive(latent_heat=latent_heat_j_kg)
    refuse_negative(mass_rate=mass_rate_kg_s, heat_loss=loss_w)
    return (mass_rate_kg_s * (enthalpy_out_j_kg - enthalpy_in_j_kg) + loss_w) / latent_heat_j_kg
