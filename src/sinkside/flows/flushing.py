"""What a flush of a lumen comes to: exchanges, speed, pressure, pull at the wall, and a thumb's force."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.flows.conditions import Conditions
from sinkside.flows.formulas import Computed, Formula
from sinkside.flows.lumens import LumenSize
from sinkside.instruction import FigureRole, Step
from sinkside.quantities import FigureQuantity
from sinkside.science.lumens import exchanges, lumen_flow, lumen_volume, syringe_force
from sinkside.science.pipe_flow import Transition
from sinkside.science.pipe_network import Channel, Liquid, solve_network
from sinkside.science.washout import exchanges_wanted_laminar, old_share_left_laminar
from sinkside.science.water import water_density_kell_1975, water_viscosity_iapws_2008

_ML = 1e6
_LITRE = 1e-3
_MINUTE = 60.0
_KILO = 1e3


@dataclass(frozen=True)
class Flush:
    """What a step says of a flush.

    Attributes:
        each_m3: Volume of one push in m³; none where no volume is told.
        total_m3: Volume of all pushes in m³.
        time_s: How long one push takes, least and most, in s; none where no time is told.
        flow_m3_s: Volume per second, least and most; none where it is neither told nor follows.
        pressure_pa: Pressure above the surroundings behind it, least and most, in Pa.
        water_c: Coldest and warmest water, in °C.
    """

    each_m3: float | None
    total_m3: float | None
    time_s: tuple[float, float] | None
    flow_m3_s: tuple[float, float] | None
    pressure_pa: tuple[float, float] | None
    water_c: tuple[float, float]


def flush_of(step: Step, conditions: Conditions) -> Flush:
    """What a step says of its flush, in SI units; open ends of a range count as its other end."""
    volumes = [f for f in step.figures_of(FigureQuantity.volume) if f.role != FigureRole.total]
    total = step.figure(FigureQuantity.volume, FigureRole.total)
    repeats = step.figure(FigureQuantity.counted, FigureRole.repeats)
    each = volumes[0].number("L") * _LITRE if volumes else None
    times = repeats.number() if repeats else 1.0
    told = total.number("L") * _LITRE if total else (each * times if each is not None else None)
    flow = _ends(step, FigureQuantity.flow, "L/min")
    pressure = _ends(step, FigureQuantity.pressure, "Pa")
    return Flush(
        each_m3=each if each is not None else told,
        total_m3=told,
        time_s=_ends(step, FigureQuantity.time, "s"),
        flow_m3_s=(flow[0] * _LITRE / _MINUTE, flow[1] * _LITRE / _MINUTE) if flow else None,
        pressure_pa=pressure,
        water_c=_ends(step, FigureQuantity.temperature, "°C") or conditions.water_c,
    )


def _ends(step: Step, quantity: FigureQuantity, unit: str) -> tuple[float, float] | None:
    figure = step.figure(quantity)
    if figure is None:
        return None
    ends = figure.ends(unit)
    closed = [end for end in ends if abs(end) != float("inf")]
    return closed[0], closed[-1]


def shares_of(
    lumens: tuple[LumenSize, ...], flow_m3_s: float, conditions: Conditions
) -> tuple[dict[str, float], ...]:
    """Which share of one flush each of some lumens takes that begin at the same place, by id.

    One answer for each way in which the transition may lie and a rod may lie in its bore.
    """
    liquid = _water(sum(conditions.water_c) / 2.0)
    open_ends = {one.id: 0.0 for one in lumens}
    found = []
    for off, transition in itertools.product(conditions.off_middle, Transition):
        channels = [_channel(one, "hub", one.id, off) for one in lumens]
        solved = solve_network(
            channels, liquid, held_pa=open_ends, inflow_m3_s={"hub": flow_m3_s}, transition=transition
        )
        shares = (flow / flow_m3_s for flow in solved.flows_m3_s)
        found.append(dict(zip(open_ends, shares, strict=True)))
    return tuple(found)


def flushed_values(
    lumen: LumenSize, flush: Flush, conditions: Conditions, *, share: tuple[float, float] = (1.0, 1.0)
) -> Iterator[Computed]:
    """Everything that can be computed of a flush through one lumen whose sizes are known.

    Args:
        lumen: The lumen.
        flush: What the step says.
        conditions: What is taken where it says nothing.
        share: The least and the greatest share of the flush that goes through this lumen.

    Raises:
        OutsideValidity: if a figure lies outside what the formulas were published for.
    """
    bore, length = lumen.bore_m or 0.0, lumen.length_m or 0.0
    holds = lumen_volume(bore, length, rod_m=lumen.rod_m)
    yield Computed.of("Holds", (holds * _ML, holds * _ML), "mL", Formula.volume)
    if share != (1.0, 1.0):
        yield Computed.of("Share of the flush", (share[0] * 100.0, share[1] * 100.0), "%", Formula.shares)
    if flush.total_m3:
        least, most = (exchanges(part * flush.total_m3, holds) for part in share)
        yield Computed.of("Exchanges", (least, most), "×", Formula.exchanges)
        left = (old_share_left_laminar(most) * 100.0, old_share_left_laminar(least) * 100.0)
        yield Computed.of("Still the old liquid", left, "%", Formula.washout)
    wanted = exchanges_wanted_laminar(conditions.old_share) * holds * _ML
    name = f"Volume until {conditions.old_share * 100.0:g} % is old"
    yield Computed.of(name, (wanted / share[1], wanted / share[0]), "mL", Formula.washout)
    flows = _flows(lumen, flush, conditions)
    if flows:
        yield from _moving(lumen, (flows[0] * share[0], flows[1] * share[1]), flush, conditions)


def flow_is_assumed(flush: Flush) -> bool:
    """Whether only the volume of a flush is told, and its time by hand is assumed."""
    told = flush.flow_m3_s or flush.pressure_pa or flush.time_s
    return flush.each_m3 is not None and not told


def whole_flow(lumen: LumenSize, flush: Flush, conditions: Conditions) -> float | None:
    """A flow in m³/s in the middle of what the whole flush may have, to share it by."""
    flows = _flows(lumen, flush, conditions)
    return (flows[0] * flows[1]) ** 0.5 if flows else None


def _flows(lumen: LumenSize, flush: Flush, conditions: Conditions) -> tuple[float, float] | None:
    """Least and most volume per second of the flush, in m³/s; none where nothing tells it."""
    if flush.flow_m3_s:
        return flush.flow_m3_s
    if flush.each_m3 is not None:
        quickest, slowest = flush.time_s or conditions.by_hand_s
        return flush.each_m3 / slowest, flush.each_m3 / quickest
    if flush.pressure_pa:
        flows = [
            _driven(lumen, pressure, water_c, off, transition)
            for pressure, water_c, off, transition in itertools.product(
                set(flush.pressure_pa), set(flush.water_c), _off_middle(lumen, conditions), Transition
            )
        ]
        return min(flows), max(flows)
    return None


def _driven(lumen: LumenSize, pressure: float, water_c: float, off: float, transition: Transition) -> float:
    channel = _channel(lumen, "in", "out", off)
    held = {"in": pressure, "out": 0.0}
    return solve_network([channel], _water(water_c), held_pa=held, transition=transition).flows_m3_s[0]


def _moving(
    lumen: LumenSize, flows: tuple[float, float], flush: Flush, conditions: Conditions
) -> Iterator[Computed]:
    """Speed, Reynolds number, pressure, pull at the wall and force, over all corners of what is open."""
    corners = itertools.product(set(flows), set(flush.water_c), _off_middle(lumen, conditions))
    found = [
        lumen_flow(
            bore_m=lumen.bore_m or 0.0,
            length_m=lumen.length_m or 0.0,
            flow_m3_s=flow,
            temperature_c=water_c,
            rod_m=lumen.rod_m,
            eccentricity=off,
        )
        for flow, water_c, off in corners
    ]
    drops = [end for one in found for end in one.pressure_drop_pa]
    pulls = [end for one in found for end in one.wall_shear_pa]
    yield _between("Speed", [one.velocity_m_s for one in found], "m/s", Formula.speed)
    yield _between("Reynolds number", [one.reynolds for one in found], "1", Formula.reynolds)
    yield _between("Pressure", [drop / _KILO for drop in drops], "kPa", Formula.friction)
    yield _between("Pull at the wall", pulls, "Pa", Formula.shear)
    if flow_is_assumed(flush):
        forces = [syringe_force(drop, conditions.barrel_m) for drop in drops]
        yield _between("Force on the plunger", forces, "N", Formula.plunger)


def _between(what: str, found: list[float], unit: str, formula: Formula) -> Computed:
    return Computed.of(what, (min(found), max(found)), unit, formula)


def _off_middle(lumen: LumenSize, conditions: Conditions) -> tuple[float, ...]:
    """How far a rod may lie off the middle of a lumen; nowhere where there is none."""
    return conditions.off_middle if lumen.rod_m else (0.0,)


def _channel(lumen: LumenSize, start: str, end: str, off: float) -> Channel:
    return Channel(
        start,
        end,
        lumen.bore_m or 0.0,
        lumen.length_m or 0.0,
        rod_m=lumen.rod_m,
        eccentricity=off if lumen.rod_m else 0.0,
    )


def _water(temperature_c: float) -> Liquid:
    return Liquid(water_density_kell_1975(temperature_c), water_viscosity_iapws_2008(temperature_c))
