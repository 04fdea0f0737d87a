"""The figures of one cycle that move before anything fails, for the charts of its machine and program.

Each is a plain number of one record. A figure is left out where the record hides what it is made of: a chart
is better off without a point than with a wrong one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from sinkside.cycles.air_removal import BETWEEN_FALLS_PA, Pulses, pulses_of
from sinkside.cycles.exposure import saturation_limit
from sinkside.cycles.middle import median_of
from sinkside.cycles.spans import Span
from sinkside.cycles.steam_phases import starts_at_atmosphere
from sinkside.cycles.trace import Channel, ChannelKind
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import MeasuredValue, PhaseSpan
from sinkside.department import Program, WasherPhaseName
from sinkside.errors import BadInput
from sinkside.limits import Limit, Profile, published
from sinkside.science.lethality import A0_FROM_C
from sinkside.science.validity import FloatArray

_PA_PER_KPA: Final = 1000.0
_KPA_PER_MBAR: Final = 0.1
_LEAK_LIMIT: Final = "air-leak-rate-mbar"
_MICROSIEMENS: Final = {"µS/cm": 1.0, "mS/cm": 1000.0}
_FEWEST_PROBES: Final = 2
_FEWEST_SAMPLES: Final = 3

#: Where the load is meant to be hot.
_PLATEAUS: Final = frozenset({"exposure", "disinfection"})
_LOOKED_AT: Final = _PLATEAUS | {"heating"}


@dataclass(frozen=True)
class TrendFigure:
    """A figure that is followed from cycle to cycle.

    Attributes:
        title: For people, with its article.
        unit: Of its values.
        worse: Which way it goes when a machine wears, where no limit says.
        least_sigma: Scatter below which nothing of interest moves, in `unit`; readings are rounded, and
            twenty equal ones would else make any change an alarm (Sinkside's own choice).
        decimals: As people read it.
    """

    title: str
    unit: str
    worse: Literal["higher", "lower"]
    least_sigma: float
    decimals: int = 2


#: By the name under which a verdict's values carry it.
TREND_FIGURES: Final[Mapping[str, TrendFigure]] = {
    "come-up": TrendFigure("the come-up time", "s", "higher", 1.0, decimals=0),
    "pulse-depth": TrendFigure("the pressure left by the shallowest vacuum pulse", "kPa", "higher", 0.05),
    "pulse-height": TrendFigure("the pressure reached by the lowest pulse", "kPa", "lower", 0.5),
    "leak-rate": TrendFigure("the leak rate", "kPa/min", "higher", 0.005, decimals=3),
    "plateau-margin": TrendFigure("the margin of the coldest probe", "K", "lower", 0.02),
    "probe-spread": TrendFigure("the spread of the probes", "K", "higher", 0.02),
    "saturation-gap": TrendFigure("the distance from saturated steam", "K", "lower", 0.02),
    "drying-vacuum": TrendFigure("the drying vacuum", "kPa", "higher", 0.05),
    "conductivity": TrendFigure("the conductivity of the last rinse", "µS/cm", "higher", 0.1),
}


def figures_for_trend(
    samples: Samples, program: Program, phases: Sequence[PhaseSpan], channels: Sequence[Channel]
) -> dict[str, MeasuredValue]:
    """The figures of one cycle, as far as its record shows them.

    * come-up: from the last vacuum, or from 65 °C in a washer, to the plateau.
    * pulse-depth, pulse-height: of the pulses that the program asks for, the one that went least far.
    * plateau-margin: the median of the coldest probe over the plateau, above the set temperature.
    * probe-spread: the widest at any moment of the plateau.
    * saturation-gap: the median over exposure of the coldest probe above (below: negative) saturated steam.
    * drying-vacuum: the lowest pressure after exposure.
    * conductivity: the median over the plateau of a washer, which stands in its last rinse.

    Args:
        samples: As far as they can be believed.
        program: What the cycle had to do.
        phases: As they were found.
        channels: Of the record.
    """
    spans = {phase.name: _span(phase, samples) for phase in phases if phase.name in _LOOKED_AT}
    plateau = next((span for name, span in spans.items() if name in _PLATEAUS), None)
    if plateau is None or not samples.clock_is_sound or plateau.last - plateau.first < _FEWEST_SAMPLES:
        return {}
    found = {
        "come-up": _come_up(samples, spans.get("heating"), plateau),
        **_pulses(samples, program, plateau),
        **_on_the_plateau(samples, program, plateau),
        "conductivity": _conductivity(channels, plateau),
    }
    if program.drying is not None and samples.pressure_pa is not None:
        found["drying-vacuum"] = _lowest(samples.pressure_pa[plateau.last + 1 :]) / _PA_PER_KPA
    return {
        name: MeasuredValue(value=value, unit=TREND_FIGURES[name].unit)
        for name, value in found.items()
        if np.isfinite(value)
    }


def trend_limits(program: Program, profile: Profile) -> dict[str, tuple[float, float]]:
    """The lowest and the highest that each figure may be, where the program or the profile says."""
    limits: dict[str, tuple[float, float]] = {}
    removal = program.air_removal
    if removal is not None and removal.vacuum is not None:
        limits["pulse-depth"] = (0.0, removal.vacuum.to("kPa"))
    if removal is not None and removal.pressure is not None:
        limits["pulse-height"] = (removal.pressure.to("kPa"), np.inf)
    if program.exposure is not None:
        limits["plateau-margin"] = (0.0, program.exposure.band.to("K"))
    if program.probes.spread is not None:
        limits["probe-spread"] = (-np.inf, program.probes.spread.to("K"))
    if program.kind.is_steam:
        allowed_k = saturation_limit(profile).ends("K")[1]
        limits["saturation-gap"] = (-allowed_k, allowed_k)
        limits["leak-rate"] = (-np.inf, _leak_limit(profile).ends()[1] * _KPA_PER_MBAR)
    if program.drying is not None:
        limits["drying-vacuum"] = (-np.inf, program.drying.vacuum.to("kPa"))
    return limits


def _leak_limit(profile: Profile) -> Limit:
    """The profile's own, else as it was published elsewhere."""
    try:
        return profile.limit(_LEAK_LIMIT)
    except BadInput:
        return published(_LEAK_LIMIT)


def _span(phase: PhaseSpan, samples: Samples) -> Span:
    """A phase as samples; its end is the first sample beyond it, or the record's last."""
    first, end = np.searchsorted(samples.times_s, (phase.start_s, phase.end_s))
    return Span(int(first), max(int(end) - 1, int(first)))


def _come_up(samples: Samples, heating: Span | None, plateau: Span) -> float:
    """Seconds; NaN where the record hides the beginning or a part."""
    first = heating.first if heating is not None else _last_cool(samples, plateau)
    began_before = first == 0 and not (heating and starts_at_atmosphere(samples))
    if began_before or samples.breaks[first : plateau.first].any():
        return float("nan")
    return float(samples.times_s[plateau.first] - samples.times_s[first])


def _last_cool(samples: Samples, plateau: Span) -> int:
    """The last sample before the plateau that was below the temperature from which A0 counts; 0 if none."""
    cool = np.flatnonzero(samples.coldest_c[: plateau.first] < A0_FROM_C)
    return int(cool[-1]) if cool.size else 0


def _pulses(samples: Samples, program: Program, plateau: Span) -> dict[str, float]:
    removal, pressure = program.air_removal, samples.pressure_pa
    pulses = pulses_of(removal, program.kind) if removal is not None else None
    if pulses is None or pressure is None or samples.breaks[: plateau.first].any():
        return {}
    name = "pulse-height" if pulses.rising else "pulse-depth"
    reached = _reached(pulses, pressure[: plateau.first])
    return {name: reached / _PA_PER_KPA}


def _reached(pulses: Pulses, before_pa: FloatArray) -> float:
    """How far the least of the pulses asked for went; NaN where there were not so many.

    >>> falls = Pulses(required=2, threshold_pa=15e3, back_pa=50e3, rising=False)
    >>> _reached(falls, np.array([100e3, 12e3, 10e3, 60e3, 14e3, 13e3, 90e3, 9e3, 70e3]))
    10000.0
    """
    past = np.flatnonzero(pulses.past(before_pa))
    if not past.size:
        return float("nan")
    back = before_pa < pulses.back_pa if pulses.rising else before_pa > pulses.back_pa
    returns = np.cumsum(back)[past]
    first_of_each = np.flatnonzero(np.concatenate(([True], np.diff(returns) > 0)))
    furthest = np.maximum if pulses.rising else np.minimum
    turns = np.sort(furthest.reduceat(before_pa[past], first_of_each))
    if pulses.rising:
        # The last rise is the heating itself, which the plateau cuts off.
        turns = turns[::-1][1:]
    return float(turns[pulses.required - 1]) if turns.size >= pulses.required else float("nan")


def _on_the_plateau(samples: Samples, program: Program, plateau: Span) -> dict[str, float]:
    probes = samples.probes_c[:, plateau.samples]
    cold = samples.coldest_c[plateau.samples]
    if np.isnan(cold).any() or samples.breaks[plateau.first : plateau.last].any():
        return {}
    found = {"plateau-margin": median_of(cold) - _set_temperature_c(program)}
    if probes.shape[0] >= _FEWEST_PROBES:
        found["probe-spread"] = float(np.ptp(probes, axis=0).max())
    if program.kind.is_steam and samples.pressure_pa is not None:
        found["saturation-gap"] = median_of(cold - samples.saturated_c[plateau.samples])
    return found


def _set_temperature_c(program: Program) -> float:
    """What the plateau must reach; NaN where the program does not say."""
    if program.exposure is not None:
        return program.exposure.temperature.to("°C")
    asked = (phase for phase in program.phases if phase.name is WasherPhaseName.disinfection)
    ranges = (phase.temperature for phase in asked)
    lowest = (each.min.to("°C") for each in ranges if each is not None and each.min is not None)
    return next(lowest, float("nan"))


def _conductivity(channels: Sequence[Channel], plateau: Span) -> float:
    for channel in channels:
        factor = _MICROSIEMENS.get(channel.unit)
        if channel.kind is ChannelKind.conductivity and factor is not None:
            return median_of(channel.values[plateau.samples]) * factor
    return float("nan")


def _lowest(pressure_pa: FloatArray) -> float:
    """The deepest vacuum; NaN where there was none, as where the record ends before it."""
    vacuum = pressure_pa[pressure_pa < BETWEEN_FALLS_PA]
    return float(vacuum.min()) if vacuum.size else float("nan")
