"""Which samples can be believed: gaps, clock jumps, frozen probes, missing and impossible readings.

Nothing is repaired in silence. What is bridged or left out is a doubt with its place, and the judge either
can do without it or says that it cannot.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from sinkside.cycles.clipped import clipped_spans
from sinkside.cycles.coarse import is_too_coarse
from sinkside.cycles.contradicted import units_contradicted
from sinkside.cycles.frozen import frozen_spans
from sinkside.cycles.leaps import is_lost, leaps_of
from sinkside.cycles.noisy import noisy_spans
from sinkside.cycles.screening import surely_sound
from sinkside.cycles.spans import Mask, Span, spans_of
from sinkside.cycles.stepped import steps_of_probes
from sinkside.cycles.straight import straight_spans
from sinkside.cycles.trace import Channel, ChannelKind, Trace, coldest
from sinkside.science.steam import saturation_temperature_c
from sinkside.science.validity import FloatArray

#: A recorder that drops two or three samples a second apart hides nothing; one that drops a minute does.
_GAP_INTERVALS: Final = 3.0
_GAP_S: Final = 5.0
_GAP_INTERVALS_WHEN_SLOW: Final = 1.5

#: No machine pauses its record for so long within a cycle; a clock was set.
_CLOCK_WAS_SET_S: Final = 1800.0

#: Beyond these no probe or gauge of such machines reads anything real.
_POSSIBLE_C: Final = (-30.0, 200.0)
_POSSIBLE_PA: Final = (-2_000.0, 1_000_000.0)

#: In steam the pressure bears witness to a probe that is alone.
_STEAM_C: Final = 105.0

#: Of one kind on one channel; more say nothing new.
_DOUBTS_KEPT: Final = 20


class DoubtKind(StrEnum):
    """Why samples cannot be leaned on."""

    gap = "gap"
    clock = "clock-jump"
    repeated = "repeated-stamps"
    frozen = "frozen"
    missing = "missing"
    bridged = "bridged"
    impossible = "impossible"
    noisy = "noisy"
    clipped = "clipped"
    units = "units"
    straight = "straight"
    coarse = "coarse"
    stepped = "stepped"


@dataclass(frozen=True)
class Doubt:
    """One stretch that cannot be leaned on.

    `channel` is '' where all are meant; `instead` is what the channel must be for physics to hold.
    """

    kind: DoubtKind
    start_s: float
    end_s: float
    channel: str = ""
    instead: str = ""


@dataclass(frozen=True, eq=False)
class Samples:
    """A trace as far as it can be believed.

    Attributes:
        times_s: Shape (n,), never running backwards.
        probes_c: Shape (probes, n); NaN where not to be believed.
        pressure_pa: Shape (n,), absolute; None where none is recorded.
        breaks: Shape (n - 1,); true where what lies between two samples is hidden.
        interval_s: Median time between samples.
        clock_is_sound: False once the clock was set during the record: no duration can be leaned on.
        doubts: What was found.
    """

    times_s: FloatArray
    probes_c: FloatArray
    pressure_pa: FloatArray | None
    breaks: Mask
    interval_s: float
    clock_is_sound: bool
    doubts: tuple[Doubt, ...]

    @property
    def last(self) -> int:
        """Index of the last sample."""
        return self.times_s.size - 1

    @functools.cached_property
    def hottest_c(self) -> FloatArray:
        """Shape (n,), the hottest probe that is known at each moment; minus infinity where none is."""
        hottest: FloatArray = np.fmax.reduce(self.probes_c, axis=0, initial=-np.inf)
        return hottest

    @functools.cached_property
    def coldest_c(self) -> FloatArray:
        """Shape (n,), the coldest probe at each moment; NaN where one is missing: it may be the coldest."""
        return coldest(self.probes_c)

    @functools.cached_property
    def every_probe_is_known(self) -> bool:
        """Whether every probe has a believable reading at every moment."""
        return bool(self.probes_c.size) and not np.isnan(self.coldest_c).any()

    @functools.cached_property
    def is_whole(self) -> bool:
        """Whether every probe has a believable reading at every moment, and nothing is hidden."""
        return self.every_probe_is_known and not self.breaks.any()

    @functools.cached_property
    def saturated_c(self) -> FloatArray:
        """Shape (n,), the temperature of saturated steam; NaN where the pressure is that of no steam.

        Source: as in `sinkside.science.steam.saturation_temperature`.
        """
        if self.pressure_pa is None:
            return np.full(self.times_s.shape, np.nan)
        return saturation_temperature_c(self.pressure_pa, outside="nan")

    @functools.cached_property
    def coldest_known_c(self) -> FloatArray:
        """Shape (n,), the coldest probe that is known at each moment; infinity where none is."""
        known: FloatArray = np.fmin.reduce(self.probes_c, axis=0, initial=np.inf)
        return known


def believable(trace: Trace) -> Samples:
    """The samples of a trace that can be believed, and every doubt.

    >>> from sinkside.cycles.trace import Role
    >>> probe = Channel("T1", ChannelKind.temperature, Role.chamber, "°C", np.array([20.0, 20.1, 20.3, 20.2]))
    >>> found = believable(Trace("a", np.array([0.0, 1.0, 61.0, 62.0]), (probe,)))
    >>> found.breaks.tolist(), found.doubts[0].kind.value
    ([False, True, False], 'gap')
    """
    breaks, sound, doubts = _time_doubts(trace)
    channels = [*trace.probes, *([trace.pressure] if trace.pressure else [])]
    recorded = np.array([channel.values for channel in channels]).reshape(len(channels), trace.times_s.size)
    believed, found = _believed_of(channels, recorded, trace)
    doubts += found
    for span in straight_spans(recorded[: len(trace.probes)], recorded, trace.elapsed_s):
        breaks[span.first : span.last] = True
        start, end = trace.elapsed_s[[span.first, span.last]]
        doubts.append(Doubt(DoubtKind.straight, float(start), float(end)))
    believed, found = _without_stepped(trace, recorded, believed)
    doubts += found
    probes_c, pressure_pa = believed[: len(trace.probes)], None
    if trace.pressure is not None:
        probes_c, pressure_pa, found = _in_doubted_units(trace, recorded, believed)
        doubts += found
    return Samples(
        trace.elapsed_s, probes_c, pressure_pa, breaks, trace.interval_s, sound, doubts=tuple(doubts)
    )


def _believed_of(
    channels: list[Channel], recorded: FloatArray, trace: Trace
) -> tuple[FloatArray, list[Doubt]]:
    """The channels' believable values, shape (channels, n), and the doubts; `recorded` itself if all are."""
    ranges = [_possible(channel) for channel in channels]
    sound = surely_sound(channels, recorded, possible=ranges)
    if all(sound):
        return recorded, []
    believed, doubts = recorded.copy(), list[Doubt]()
    longest_bridge_s = gap_from(trace.interval_s)
    for at in (at for at, is_sound in enumerate(sound) if not is_sound):
        believed[at], found = _believed(channels[at], channels, trace.elapsed_s, longest_bridge_s)
        doubts += found
    return believed, doubts


def _without_stepped(
    trace: Trace, recorded: FloatArray, believed: FloatArray
) -> tuple[FloatArray, list[Doubt]]:
    """The believed table without probes that moved to another level for no reason, and the doubts."""
    steps = steps_of_probes(recorded[: len(trace.probes)])
    if len(trace.probes) == 1 and trace.pressure is not None:
        saturated_c = saturation_temperature_c(recorded[-1], outside="nan")
        saturated_c[~(saturated_c > _STEAM_C)] = np.nan
        witness = steps_of_probes(np.array([recorded[0], saturated_c]))
        steps = [(probe, at) for probe, at in witness if probe == 0]
    if not steps:
        return believed, []
    rest = believed.copy()
    rest[[probe for probe, _ in steps]] = np.nan
    times = trace.elapsed_s
    return rest, [
        Doubt(DoubtKind.stepped, float(times[at]), float(times[at + 1]), trace.probes[probe].name)
        for probe, at in steps[:_DOUBTS_KEPT]
    ]


def _in_doubted_units(
    trace: Trace, recorded: FloatArray, believed: FloatArray
) -> tuple[FloatArray, FloatArray, list[Doubt]]:
    """Probes and pressure; where their unit contradicts physics they count for nothing, and which they are.

    Both tables have the pressure as their last row.
    """
    channel, probes_c, pressure_pa = trace.pressure, believed[:-1], believed[-1]
    if channel is None:
        return probes_c, pressure_pa, []
    temperatures, pressure = units_contradicted(recorded, believed, channel.unit)
    if temperatures:
        doubts = [_everywhere(trace, probe, temperatures) for probe in trace.probes]
        return np.full_like(probes_c, np.nan), pressure_pa, doubts
    if pressure:
        return probes_c, np.full_like(pressure_pa, np.nan), [_everywhere(trace, channel, pressure)]
    return probes_c, pressure_pa, []


def _everywhere(trace: Trace, channel: Channel, instead: str) -> Doubt:
    times = trace.elapsed_s
    return Doubt(DoubtKind.units, float(times[0]), float(times[-1]), channel.name, instead)


def gap_from(interval_s: float) -> float:
    """From how many seconds without a sample on something may be hidden."""
    if interval_s >= _GAP_S:
        return _GAP_INTERVALS_WHEN_SLOW * interval_s
    return max(_GAP_INTERVALS * interval_s, _GAP_S) if np.isfinite(interval_s) else _GAP_S


def _time_doubts(trace: Trace) -> tuple[Mask, bool, list[Doubt]]:
    """Where the clock hides something, whether it was set, and the doubts about it."""
    stamped = np.diff(trace.times_s)
    longest = gap_from(trace.interval_s)
    if stamped.size and stamped.min() > 0.0 and stamped.max() <= longest < _CLOCK_WAS_SET_S:
        return np.zeros(stamped.size, dtype=np.bool_), True, []
    elapsed = trace.elapsed_s
    set_back = ~(stamped >= 0.0)
    set_forward = stamped >= _CLOCK_WAS_SET_S
    gaps = (stamped > longest) & ~set_forward
    repeated = stamped == 0.0
    if repeated.any():
        repeated &= _differs(trace)
    doubts = [
        Doubt(kind, float(elapsed[index]), float(elapsed[index + 1]))
        for kind, mask in (
            (DoubtKind.clock, set_back | set_forward),
            (DoubtKind.gap, gaps),
            (DoubtKind.repeated, repeated),
        )
        for index in np.flatnonzero(mask)[:_DOUBTS_KEPT]
    ]
    breaks: Mask = set_back | set_forward | gaps | repeated
    return breaks, not bool((set_back | set_forward).any()), doubts


def _differs(trace: Trace) -> Mask:
    """Where a sample is not simply the one before written twice."""
    readings = [channel.values for channel in trace.channels if channel.kind is not ChannelKind.other]
    changed = np.array([np.diff(values) != 0.0 for values in readings])
    return np.asarray(changed.any(axis=0)) if readings else np.zeros(trace.times_s.size - 1, dtype=np.bool_)


def _believed(
    channel: Channel, judged: list[Channel], times_s: FloatArray, longest_bridge_s: float
) -> tuple[FloatArray, list[Doubt]]:
    """A channel's believable values, short holes bridged, and the doubts about it."""
    values, doubts = channel.values, list[Doubt]()
    leapt = leaps_of(channel, times_s)
    impossible = _impossible(channel) | leapt
    if impossible.any():
        values = np.where(impossible, np.nan, values)
        doubts += _doubts(DoubtKind.impossible, spans_of(impossible), channel, times_s)
    for kind, spans in (
        (DoubtKind.frozen, frozen_spans(channel, judged, times_s)),
        (DoubtKind.noisy, noisy_spans(channel, judged, times_s)),
        (DoubtKind.clipped, clipped_spans(channel)),
        (DoubtKind.coarse, [Span(0, times_s.size - 1)] if is_too_coarse(channel) else []),
    ):
        for span in spans:
            values = _without(values, span)
            doubts += _doubts(kind, [span], channel, times_s)
    holes = np.isnan(values)
    if not holes.any():
        return values, doubts
    unknown = leapt & ~is_lost(channel)
    short = [
        span
        for span in spans_of(holes)
        if _hole_s(span, times_s) <= longest_bridge_s and not unknown[span.samples].any()
    ]
    known, values = ~holes, values.copy()
    for span in short:
        values[span.samples] = np.interp(times_s[span.samples], times_s[known], values[known])
    missing = spans_of(np.isnan(values) & np.isnan(channel.values))
    doubts += _doubts(DoubtKind.bridged, short, channel, times_s)
    return values, doubts + _doubts(DoubtKind.missing, missing, channel, times_s)


def _without(values: FloatArray, span: Span) -> FloatArray:
    """The values, those of a span left out."""
    rest = values.copy()
    rest[span.samples] = np.nan
    return rest


def _hole_s(span: Span, times_s: FloatArray) -> float:
    """Time between the readings on both sides of a hole; a hole at an end has no other side."""
    if span.first == 0 or span.last == times_s.size - 1:
        return float("inf")
    return float(times_s[span.last + 1] - times_s[span.first - 1])


def _possible(channel: Channel) -> tuple[float, float]:
    return _POSSIBLE_C if channel.kind is ChannelKind.temperature else _POSSIBLE_PA


def _impossible(channel: Channel) -> Mask:
    low, high = _possible(channel)
    values = channel.values
    mask: Mask = np.zeros(values.shape, dtype=np.bool_)
    # Whole channels are mostly possible; a missing reading makes neither comparison true.
    if not (values.min(initial=high) >= low and values.max(initial=low) <= high):
        mask = (values < low) | (values > high)
    return mask


def _doubts(kind: DoubtKind, spans: list[Span], channel: Channel, times_s: FloatArray) -> list[Doubt]:
    return [
        Doubt(kind, float(times_s[span.first]), float(times_s[span.last]), channel.name)
        for span in spans[:_DOUBTS_KEPT]
    ]
