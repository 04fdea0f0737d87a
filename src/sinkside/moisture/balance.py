"""One state of a set in numbers: what condenses on each thing, what boils off again, what reaches the floor.

Water and heat are kept: what condenses is what stays, drains, boils off or is left; what boils off is paid by
heat that a thing or the water had. Which numbers are put in is decided elsewhere (`bounds`).
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Final

from sinkside.moisture.tables import Material
from sinkside.science.flash import Flash, flash
from sinkside.science.heat import condensate_of_load
from sinkside.science.radiation import radiant_power
from sinkside.science.saturated_water import latent_heat_clapeyron
from sinkside.science.slab import slab_heat_given
from sinkside.science.steam import saturation_temperature_c
from sinkside.science.validity import Validity, refuse_unless_positive

#: Saturated steam as sterilizers use it, with what a band may add.
_EXPOSURE: Final = Validity("exposure of the estimate, temperature", 105.0, 138.0, "°C")

#: Above the triple point with some room, so that water boils and does not freeze; below the atmosphere.
_DRYING: Final = Validity("drying of the estimate, absolute pressure", 700.0, 50_000.0, "Pa")


@dataclass(frozen=True, slots=True)
class SteamCycle:
    """What of a cycle the estimate hangs on.

    Attributes:
        exposure_c: Temperature of the saturated steam, in °C.
        drying_c: Temperature at which water boils at the drying pressure, in °C.
        drying_s: How long it dries, in s.
        condensing_j_kg: Heat that a kilogram of steam gives up at the exposure, in J/kg.
        flash: What water does when the pressure falls from exposure to drying.
    """

    exposure_c: float
    drying_c: float
    drying_s: float
    condensing_j_kg: float
    flash: Flash


@functools.lru_cache(maxsize=1024)
def steam_cycle(exposure_c: float, *, drying_pa: float, drying_s: float) -> SteamCycle:
    """The facts of a cycle, from its exposure temperature, drying pressure (absolute) and drying time.

    Raises:
        OutsideValidity: if the exposure is not 105 to 138 °C, or the drying pressure not 0.7 to 50 kPa.
        ValueError: if the drying time is not above zero.

    >>> round(steam_cycle(134.0, drying_pa=10_000.0, drying_s=1500.0).drying_c, 1)
    45.8
    """
    _EXPOSURE.refuse_unless_covered(exposure_c)
    _DRYING.refuse_unless_covered(drying_pa)
    refuse_unless_positive(drying_time=drying_s)
    drying_c = saturation_temperature_c(drying_pa)
    return SteamCycle(
        exposure_c, drying_c, drying_s, latent_heat_clapeyron(exposure_c), flash(exposure_c, drying_c)
    )


@dataclass(frozen=True, slots=True)
class ItemState:
    """One state of a thing: its material, where it starts, and what is assumed of it.

    Attributes:
        material: what it is made of.
        start_c: its temperature when the steam reaches it, in °C.
        stays: share of its condensate that stays on it.
        reach: share of the heat that it gives up which reaches that water.
        depth_m: how far heat travels inside it, in m.
    """

    material: Material
    start_c: float
    stays: float
    reach: float
    depth_m: float


@dataclass(frozen=True, slots=True)
class ItemWater:
    """The water of a thing, in kg, and the heat in J that reached it."""

    condensed_kg: float
    stays_kg: float
    heat_j: float
    evaporated_kg: float

    @property
    def drains_kg(self) -> float:
        """What runs off to the floor."""
        return self.condensed_kg - self.stays_kg

    @property
    def left_kg(self) -> float:
        """What does not boil off."""
        return self.stays_kg - self.evaporated_kg


def item_water(kg: float, state: ItemState, cycle: SteamCycle) -> ItemWater:
    """What condenses on a thing, what stays on it, and what its own heat boils off again.

    Args:
        kg: its mass, in kg; zero or more.
        state: what it is and what is assumed of it.
        cycle: the cycle.

    Raises:
        ValueError: if it starts hotter than the steam, or a number is out of its range.
    """
    condensed = condensate_of_load(
        (state.material.mass(kg),),
        start_c=state.start_c,
        end_c=cycle.exposure_c,
        latent_heat_j_kg=cycle.condensing_j_kg,
    )
    stays = state.stays * condensed
    heat = state.reach * _heat_given(kg, state.material, state.depth_m, cycle)
    return ItemWater(condensed, stays, heat, cycle.flash.evaporated(stays, heat))


@dataclass(frozen=True, slots=True)
class FloorState:
    """One state of the packaging and its floor.

    Attributes:
        material: what the packaging is made of.
        start_c: its temperature when the steam reaches it, in °C.
        inside: share of its own condensate that forms inside and runs to the floor.
        out: share of the water on the floor that leaves the packaging before drying.
        reach: share of the heat that it gives up which reaches the water on its floor.
        depth_m: how far heat travels inside its wall, in m.
        area_m2: its floor.
        exchange: exchange factor of the radiation from the chamber's wall to the floor.
    """

    material: Material
    start_c: float
    inside: float
    out: float
    reach: float
    depth_m: float
    area_m2: float
    exchange: float


@dataclass(frozen=True, slots=True)
class FloorWater:
    """The water on the floor of the packaging, in kg, and the heat in J that reached it."""

    condensed_kg: float
    inside_kg: float
    received_kg: float
    out_kg: float
    heat_j: float
    evaporated_kg: float

    @property
    def left_kg(self) -> float:
        """What neither leaves nor boils off."""
        return self.inside_kg + self.received_kg - self.out_kg - self.evaporated_kg


def floor_water(kg: float, state: FloorState, cycle: SteamCycle, *, received_kg: float) -> FloorWater:
    """What reaches the floor of the packaging, what leaves it, and what boils off from it.

    Args:
        kg: mass of the empty packaging, in kg; zero or more.
        state: what it is and what is assumed of it.
        cycle: the cycle.
        received_kg: what drains from the things in it, in kg.

    Raises:
        ValueError: if it starts hotter than the steam, or a number is out of its range.
    """
    condensed = condensate_of_load(
        (state.material.mass(kg),),
        start_c=state.start_c,
        end_c=cycle.exposure_c,
        latent_heat_j_kg=cycle.condensing_j_kg,
    )
    inside = state.inside * condensed
    out = state.out * (inside + received_kg)
    own = state.reach * _heat_given(kg, state.material, state.depth_m, cycle)
    radiant = radiant_power(cycle.exposure_c, cycle.drying_c, area_m2=state.area_m2, exchange=state.exchange)
    heat = own + radiant * cycle.drying_s
    boiled = cycle.flash.evaporated(inside + received_kg - out, heat)
    return FloorWater(condensed, inside, received_kg, out, heat, boiled)


#: A set has few kinds of wall, and each is asked after again and again.
_share_given = functools.lru_cache(maxsize=4096)(slab_heat_given)


def _heat_given(kg: float, material: Material, depth_m: float, cycle: SteamCycle) -> float:
    """Heat in J that a thing gives up while it cools to the drying temperature in the drying time."""
    given = _share_given(cycle.drying_s, depth_m=depth_m, diffusivity_m2_s=material.diffusivity_m2_s)
    return given * material.mass(kg).sensible_heat(cycle.drying_c, cycle.exposure_c)
