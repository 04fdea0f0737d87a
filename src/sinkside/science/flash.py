"""Water that boils off when the pressure falls: from its own heat, and from the heat of what it lies on."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.science.saturated_water import latent_heat_clapeyron, liquid_enthalpy_iapws
from sinkside.science.validity import refuse_negative


@dataclass(frozen=True, slots=True)
class Flash:
    """Saturated water brought from one temperature to a lower one by letting the pressure fall.

    Attributes:
        from_c: Temperature before, in °C.
        to_c: Temperature after, in °C, not above the one before: saturation at the lower pressure.
        heat_j_kg: Heat that each kilogram of the water gives up on the way, in J/kg.
        latent_j_kg: Heat that a kilogram needs to boil off at the lower temperature, in J/kg.
    """

    from_c: float
    to_c: float
    heat_j_kg: float
    latent_j_kg: float

    @property
    def fraction(self) -> float:
        """Share of the water that boils off from its own heat alone.

        Source: x = (h_f1 − h_f2) / h_fg2, the single-stage flash of the steam tables.

        >>> round(flash(158.83, 100.0).fraction, 3)
        0.111
        """
        return self.heat_j_kg / self.latent_j_kg

    def evaporated(self, water_kg: float, heat_j: float) -> float:
        """Mass in kg that boils off from water with its own heat and some more; never more than there is.

        All of it is counted at the latent heat of the lower temperature, which is the larger one.

        Args:
            water_kg: Water at the temperature before, in kg; zero or more.
            heat_j: Heat that reaches it from elsewhere, in J; zero or more.

        Raises:
            ValueError: if a number is out of its range.

        Source: energy balance, m_evaporated · h_fg2 = Q + m · (h_f1 − h_f2).
        """
        refuse_negative(water=water_kg, heat=heat_j)
        return min(water_kg, (heat_j + water_kg * self.heat_j_kg) / self.latent_j_kg)


def flash(from_c: float, to_c: float) -> Flash:
    """The flash of saturated water between two temperatures in °C.

    Raises:
        OutsideValidity: if a temperature is outside the range of the steam tables.
        ValueError: if the water would have to grow warmer.
    """
    if not to_c <= from_c:
        raise ValueError(f"water of {from_c:g} °C does not flash at {to_c:g} °C")
    heat = liquid_enthalpy_iapws(from_c) - liquid_enthalpy_iapws(to_c)
    return Flash(from_c, to_c, heat, latent_heat_clapeyron(to_c))
