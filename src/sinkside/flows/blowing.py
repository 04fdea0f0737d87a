"""What air blown through a lumen comes to, and how long a film of water lasts in it."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from sinkside.department import Department
from sinkside.flows.conditions import Conditions
from sinkside.flows.formulas import Computed, Formula
from sinkside.flows.lumens import LumenSize
from sinkside.instruction import Step
from sinkside.quantities import FigureQuantity
from sinkside.science.blown_air import AirFlow, air_through_bore, drying_time
from sinkside.science.humid_air import HumidAir
from sinkside.science.steam import standard_atmosphere

_LITRES_A_MINUTE = 60_000.0
_NORMAL_DENSITY = 1.204  # kg/m³, dry air of 20 °C at one atmosphere, by the law of ideal gases


def air_pressure_of(step: Step, department: Department | None) -> tuple[float, float] | None:
    """The pressure above the surroundings of the air of a step, else of the department's line, in Pa."""
    figure = step.figure(FigureQuantity.pressure)
    if figure is not None:
        ends = [end for end in figure.ends("Pa") if abs(end) != float("inf")]
        return ends[0], ends[-1]
    lines = [line.pressure for line in department.air] if department else []
    ends = [end.to("Pa") for line in lines for end in (line.min, line.max) if end is not None]
    return (min(ends), max(ends)) if ends else None


def air_flows(
    lumen: LumenSize, pressure_pa: tuple[float, float], conditions: Conditions, *, altitude_m: float = 0.0
) -> tuple[AirFlow, AirFlow]:
    """The air that goes through a lumen at the least and at the most pressure.

    Args:
        lumen: The lumen, of known sizes; a rod in it is not reckoned with, as no formula here covers it.
        pressure_pa: Least and most pressure above the surroundings at its inlet, in Pa.
        conditions: What is taken of the air.
        altitude_m: Altitude of the department in m.

    Raises:
        OutsideValidity: if a figure lies outside what the formulas were published for.
    """
    around = standard_atmosphere(altitude_m)
    least, most = (
        air_through_bore(
            bore_m=lumen.bore_m or 0.0,
            length_m=lumen.length_m or 0.0,
            pressure_in_pa=around + gauge,
            pressure_out_pa=around,
            temperature_c=conditions.air_c,
        )
        for gauge in pressure_pa
    )
    return least, most


def air_values(flows: tuple[AirFlow, AirFlow]) -> Iterator[Computed]:
    """How much air, and how fast it leaves."""
    least, most = (flow.mass_kg_s / _NORMAL_DENSITY * _LITRES_A_MINUTE for flow in flows)
    yield Computed.of("Air, as at 20 °C", (least, most), "L/min", Formula.air)
    speeds = (flows[0].speed_out_m_s, flows[1].speed_out_m_s)
    yield Computed.of("Speed where it leaves", speeds, "m/s", Formula.air)


def drying_value(
    lumen: LumenSize, flows: tuple[AirFlow, AirFlow], conditions: Conditions, *, altitude_m: float = 0.0
) -> Computed:
    """How long an even film of water lasts in the lumen.

    Raises:
        OutsideValidity: if a figure lies outside what the formulas were published for.
    """
    around = standard_atmosphere(altitude_m)
    times = [
        drying_time(
            bore_m=lumen.bore_m or 0.0,
            length_m=lumen.length_m or 0.0,
            film_m=film,
            air=HumidAir(conditions.air_c, humidity, around),
            mass_kg_s=flow.mass_kg_s,
        )
        for flow, film, humidity in itertools.product(flows, conditions.film_m, conditions.humidity)
    ]
    return Computed.of("An even film lasts", (min(times), max(times)), "s", Formula.drying)
