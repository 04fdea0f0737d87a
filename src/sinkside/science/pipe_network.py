"""Steady flow of a liquid through channels that meet: which takes how much, and what pressure stands where.

Friction is known below and above the transition of the flow and not in it. So a network is solved twice: with
the transition as early as it may be, which takes the most pressure, and as late.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.errors import OutsideValidity
from sinkside.science.annulus import laminar_equivalent_ratio
from sinkside.science.pipe_flow import (
    Transition,
    friction_factor,
    pressure_drop_darcy_weisbach,
    reynolds_number,
)
from sinkside.science.validity import FloatArray, refuse_negative, refuse_unless_positive

_ROUNDS: Final = 200
_HALVINGS: Final = 20
_SETTLED: Final = 1e-9
#: A channel in which nothing moves has no slope of its friction to solve with but that of laminar flow.
_STEP: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Liquid:
    """A liquid: density in kg/m³ and viscosity in Pa·s."""

    density_kg_m3: float
    viscosity_pa_s: float

    def __post_init__(self) -> None:
        refuse_unless_positive(density=self.density_kg_m3, viscosity=self.viscosity_pa_s)


@dataclass(frozen=True, slots=True)
class Channel:
    """A straight channel from one place to another.

    Attributes:
        start: The place where it begins.
        end: The place where it ends; flow is counted from start to end.
        bore_m: Inner diameter in m.
        length_m: Length in m.
        rod_m: Diameter in m of a rod in it, 0 without one.
        eccentricity: How far the rod lies off the middle, over half of bore less rod.
        roughness_m: Height of the wall's roughness in m.
        loss: What entrance, exit and bends take, in velocity heads.
    """

    start: str
    end: str
    bore_m: float
    length_m: float
    rod_m: float = 0.0
    eccentricity: float = 0.0
    roughness_m: float = 0.0
    loss: float = 0.0

    def __post_init__(self) -> None:
        refuse_unless_positive(bore=self.bore_m, length=self.length_m)
        refuse_negative(rod=self.rod_m, roughness=self.roughness_m, loss=self.loss)
        if not self.rod_m < self.bore_m:
            raise ValueError(f"a rod of {self.rod_m:g} m leaves no gap in a bore of {self.bore_m:g} m")

    @property
    def section_m2(self) -> float:
        """Area in m² between bore and rod."""
        return math.pi / 4.0 * (self.bore_m**2 - self.rod_m**2)

    @property
    def equivalent_ratio(self) -> float:
        """By what the Reynolds number on bore less rod is multiplied to read the friction of a pipe."""
        return _equivalent_ratio(self.bore_m, self.rod_m, self.eccentricity)


@dataclass(frozen=True, slots=True)
class NetworkFlow:
    """What flows.

    Attributes:
        flows_m3_s: Volume per second in each channel in m³/s, in the order given; below zero: end to start.
        pressures_pa: Pressure above the surroundings at each place, in Pa.
    """

    flows_m3_s: tuple[float, ...]
    pressures_pa: Mapping[str, float]


def solve_network(
    channels: Sequence[Channel],
    liquid: Liquid,
    *,
    held_pa: Mapping[str, float],
    inflow_m3_s: Mapping[str, float] | None = None,
    transition: Transition = Transition.early,
) -> NetworkFlow:
    """Flows and pressures of channels that meet.

    Args:
        channels: The channels; places that they share are joined.
        liquid: What flows.
        held_pa: Places where the pressure is known, in Pa above the surroundings: 0 where it runs out freely.
        inflow_m3_s: Places where so much is pushed in, in m³/s; nothing enters or leaves elsewhere.
        transition: Where laminar flow is taken to turn turbulent.

    Raises:
        OutsideValidity: if a channel is outside what its friction was published for.
        ValueError: if a channel has no way to a place where the pressure is known.

    Source: E. Todini, S. Pilati (1988), the gradient method for pipe networks, in which what enters a place
    also leaves it at every round; friction as in `pipe_flow.friction_factor`, around a rod with the Reynolds
    number of `annulus.laminar_equivalent_ratio`.

    >>> water = Liquid(998.2, 1.0016e-3)
    >>> fork = [Channel("hub", "tip", 2e-3, 0.3), Channel("hub", "side", 1e-3, 0.3)]
    >>> found = solve_network(fork, water, held_pa={"tip": 0.0, "side": 0.0}, inflow_m3_s={"hub": 2e-6})
    >>> [round(flow * 1e6, 3) for flow in found.flows_m3_s], round(found.pressures_pa["hub"])
    ([1.882, 0.118], 1440)
    """
    free, ends = _joined(channels, held_pa)
    pushed = np.array([(inflow_m3_s or {}).get(place, 0.0) for place in free])
    held = np.array([held_pa.get(one.start, 0.0) - held_pa.get(one.end, 0.0) for one in channels])
    laws = _Laws(channels, liquid, transition)
    flows, pressures = _balanced(ends, pushed, held, laws.laminar, np.zeros(len(channels)))
    for _ in range(_ROUNDS):
        slopes = laws.slopes(flows)
        wanted, pressures = _balanced(ends, pushed, held, slopes, flows - laws.losses(flows) / slopes)
        step = wanted - flows
        flows = flows + _share(laws, flows, step, held + ends @ pressures) * step
        if np.abs(step).max() <= _SETTLED * max(np.abs(flows).max(), _SETTLED):
            known = dict(zip(free, map(float, pressures), strict=True))
            return NetworkFlow(tuple(map(float, flows)), {**known, **held_pa})
    raise OutsideValidity("the flows do not settle", resource="flow through channels that meet")


def channel_loss(
    channel: Channel, flow_m3_s: float, liquid: Liquid, *, transition: Transition = Transition.early
) -> float:
    """Pressure in Pa that a flow takes from the start of a channel to its end; below zero for the other way.

    Source: as `solve_network`.

    >>> round(channel_loss(Channel("hub", "tip", 2e-3, 0.3), 2e-6, Liquid(998.2, 1.0016e-3)))
    1530
    """
    if flow_m3_s == 0.0:
        return 0.0
    speed = abs(flow_m3_s) / channel.section_m2
    head = 0.5 * liquid.density_kg_m3 * speed**2
    friction = _friction(channel, abs(flow_m3_s), liquid, transition)
    return math.copysign(friction + channel.loss * head, flow_m3_s)


def _joined(channels: Sequence[Channel], held_pa: Mapping[str, float]) -> tuple[list[str], FloatArray]:
    """The places whose pressure is sought, and for each channel where it starts (1) and ends (-1) of them."""
    reached = set(held_pa)
    waiting = list(channels)
    while touching := [one for one in waiting if one.start in reached or one.end in reached]:
        reached |= {place for one in touching for place in (one.start, one.end)}
        waiting = [one for one in waiting if one not in touching]
    if waiting:
        raise ValueError(f"nothing can run out behind {waiting[0].start}: no way leads to an open end")
    places = {place: None for one in channels for place in (one.start, one.end) if place not in held_pa}
    free = list(places)
    ends = np.zeros((len(channels), len(free)))
    for row, one in enumerate(channels):
        for place, sign in ((one.start, 1.0), (one.end, -1.0)):
            if place in places:
                ends[row, free.index(place)] += sign
    return free, ends


def _balanced(
    ends: FloatArray, pushed: FloatArray, held: FloatArray, slopes: FloatArray, flows: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Flows that balance at every place, and its pressure, for channels whose loss is linear: one round."""
    conductances = 1.0 / slopes
    start = flows + conductances * held
    solved = np.linalg.solve(ends.T * conductances @ ends, pushed - ends.T @ start)
    pressures: FloatArray = np.asarray(solved, dtype=np.float64)
    return start + conductances * (ends @ pressures), pressures


def _share(laws: _Laws, flows: FloatArray, step: FloatArray, driving: FloatArray) -> float:
    """How much of a step is taken: all of it, or to where the work along it is least.

    The flows that balance are those for which the work done in all channels, less that of the pressures held,
    is least; friction only grows with flow, so along a step its slope changes sign once. The pressures of
    places do no work along a step, since what enters a place leaves it; they are in `driving` for the digits.
    """

    def slope(share: float) -> float:
        return float((laws.losses(flows + share * step) - driving) @ step)

    if slope(1.0) <= 0.0:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if slope(middle) > 0.0 else (middle, high)
    return 0.5 * (low + high)


class _Laws:
    """What flows take in each of some channels."""

    def __init__(self, channels: Sequence[Channel], liquid: Liquid, transition: Transition) -> None:
        self._channels, self._liquid, self._transition = channels, liquid, transition
        self.laminar: FloatArray = np.array([_laminar_slope(one, liquid) for one in channels])

    def losses(self, flows: FloatArray) -> FloatArray:
        """Pressure in Pa along each."""
        pairs = zip(self._channels, map(float, flows), strict=True)
        return np.array(
            [channel_loss(one, flow, self._liquid, transition=self._transition) for one, flow in pairs]
        )

    def slopes(self, flows: FloatArray) -> FloatArray:
        """By how much more Pa a little more flow takes, for a m³/s."""
        steps = _STEP * np.abs(flows)
        rise = np.abs(self.losses(np.abs(flows) + steps)) - np.abs(self.losses(flows))
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.fmax(rise / steps, self.laminar)


def _laminar_slope(channel: Channel, liquid: Liquid) -> float:
    """Pressure in Pa that a m³/s takes in laminar flow."""
    gap = channel.bore_m - channel.rod_m
    widened = channel.section_m2 * gap**2 * channel.equivalent_ratio
    return 32.0 * liquid.viscosity_pa_s * channel.length_m / widened


def _friction(channel: Channel, flow: float, liquid: Liquid, transition: Transition) -> float:
    """Pressure in Pa that friction takes."""
    gap, speed = channel.bore_m - channel.rod_m, flow / channel.section_m2
    reynolds = reynolds_number(speed, gap, liquid.density_kg_m3, liquid.viscosity_pa_s)
    factor = friction_factor(
        channel.equivalent_ratio * reynolds,
        relative_roughness=channel.roughness_m / gap,
        transition=transition,
    )
    return pressure_drop_darcy_weisbach(
        factor, velocity_m_s=speed, bore_m=gap, length_m=channel.length_m, density_kg_m3=liquid.density_kg_m3
    )


@functools.lru_cache(maxsize=200)
def _equivalent_ratio(bore_m: float, rod_m: float, eccentricity: float) -> float:
    if rod_m == 0.0:
        return 1.0
    return laminar_equivalent_ratio(bore_m=bore_m, rod_m=rod_m, eccentricity=eccentricity)
