"""Two recorders of one cycle: an independent one of probes, with its own clock, laid beside the machine's.

The clocks are set against each other by the rise and fall of temperature, which both saw. Where that leaves
a choice, nothing is aligned.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from sinkside.cycles.trace import Channel, Role, Trace
from sinkside.errors import BadInput
from sinkside.science.validity import FloatArray

#: Both records are laid on one grid of so many seconds, or of the finer recorder's interval if longer.
_FINEST_GRID_S: Final = 1.0
_FEWEST_COMMON: Final = 30
_COMMON_SHARE: Final = 0.5

#: How near the aligned records must come, and how much worse they must be elsewhere, to be sure of the place.
_AGREES_K: Final = 6.0
_CLEARLY_WORSE: Final = 2.0
_APART_S: Final = 60.0
_LEAST_MOVEMENT_K: Final = 20.0


def laid_beside(machine: Trace, probes: Trace) -> Trace:
    """The machine's record with the temperatures of an independent recorder, on one clock.

    The record keeps the stamps of whichever recorder sampled less often; the readings of the other are taken
    at these moments, between its neighbouring samples, and nowhere across a gap.

    Args:
        machine: The machine's own record.
        probes: The independent recorder's.

    Raises:
        BadInput: if the temperatures of the two do not show clearly how their clocks stand.

    >>> from sinkside.cycles.trace import ChannelKind
    >>> rise = np.concatenate((np.full(60, 20.0), np.linspace(20.0, 134.0, 120), np.full(120, 134.0)))
    >>> def trace(first, last):
    ...     channel = Channel("T", ChannelKind.temperature, Role.chamber, "°C", rise[first:last])
    ...     return Trace("a", np.arange(last - first, dtype=float), (channel,))
    >>> together = laid_beside(trace(0, 300), trace(30, 300))
    >>> together.inferred[0]
    'the probe recorder began 30 s after the machine: told by the temperatures, which agree within 0.0 K'
    """
    intervals = [t.interval_s for t in (machine, probes) if np.isfinite(t.interval_s)]
    grid_s = max(_FINEST_GRID_S, min(intervals, default=_FINEST_GRID_S))
    shift_s, apart_k = _shift(machine, probes, grid_s)
    began = "after" if shift_s >= 0.0 else "before"
    note = (
        f"the probe recorder began {abs(shift_s):.0f} s {began} the machine: told by the temperatures, which "
        f"agree within {apart_k:.1f} K"
    )
    own, other = machine, replace(probes, times_s=probes.elapsed_s + shift_s)
    if other.interval_s > own.interval_s:
        moved = _at(own, other.times_s)
        channels = (*moved, *_marked(other.channels))
        times = other.times_s - other.times_s[0]
        inferred = (note, *machine.inferred, *probes.inferred)
        return replace(machine, times_s=times, channels=channels, inferred=inferred, labels=())
    channels = (*own.channels, *_marked(_at(other, own.elapsed_s)))
    return replace(machine, channels=channels, inferred=(note, *machine.inferred, *probes.inferred))


def _shift(machine: Trace, probes: Trace, grid_s: float) -> tuple[float, float]:
    """By how many seconds the second record begins after the first, and how far apart they are then."""
    first, second = _on_grid(machine, grid_s), _on_grid(probes, grid_s)
    if min(np.ptp(first), np.ptp(second)) < _LEAST_MOVEMENT_K:
        raise BadInput(
            "the two records cannot be aligned: a temperature hardly moves; expected a rise that both saw",
            resource=probes.name,
        )
    lags, apart = _distances(first, second)
    best = int(np.argmin(apart))
    away = np.abs(lags - lags[best]) * grid_s > _APART_S
    rival = float(apart[away].min()) if away.any() else np.inf
    if not (apart[best] <= _AGREES_K and rival >= _CLEARLY_WORSE * max(float(apart[best]), 1.0)):
        raise BadInput(
            "the two records cannot be aligned clearly: their temperatures agree "
            f"within {apart[best]:.1f} K at {lags[best] * grid_s:.0f} s and within {rival:.1f} K elsewhere",
            resource=probes.name,
        )
    return float(lags[best]) * grid_s, float(apart[best])


def _on_grid(trace: Trace, grid_s: float) -> FloatArray:
    """The mean of a record's chamber probes at even distances; shape (n,)."""
    times = trace.elapsed_s
    read = np.isfinite(trace.temperatures())
    counts = read.sum(axis=0)
    mean = np.where(read, trace.temperatures(), 0.0).sum(axis=0) / np.maximum(counts, 1)
    known = (counts > 0) & np.isfinite(times)
    grid = np.arange(0.0, float(times[known][-1]) + grid_s / 2.0, grid_s)
    laid: FloatArray = np.interp(grid, times[known], mean[known])
    return laid


def _distances(first: FloatArray, second: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Lags in steps of the grid at which enough of both is common, and the mean distance in K at each.

    The squares are summed by correlation, which takes a transform instead of a loop over the lags.
    """
    size = first.size + second.size - 1
    length = 1 << (size - 1).bit_length()

    def correlated(one: FloatArray, other: FloatArray) -> FloatArray:
        both = np.fft.rfft(one, length) * np.conj(np.fft.rfft(other, length))
        every = np.fft.irfft(both, length)
        return np.concatenate((every[-(second.size - 1) :] if second.size > 1 else [], every[: first.size]))

    ones_first, ones_second = np.ones(first.size), np.ones(second.size)
    middle = float(np.mean(first))
    one, other = first - middle, second - middle
    common = np.rint(correlated(ones_first, ones_second))
    squares = (
        correlated(one**2, ones_second) - 2.0 * correlated(one, other) + correlated(ones_first, other**2)
    )
    lags = np.arange(-(second.size - 1), first.size, dtype=np.float64)
    enough = common >= max(_FEWEST_COMMON, _COMMON_SHARE * min(first.size, second.size))
    if not enough.any():
        raise BadInput("the two records are too short to be aligned")
    distances: FloatArray = np.sqrt(np.maximum(squares[enough] / common[enough], 0.0))
    return lags[enough], distances


def _at(trace: Trace, moments_s: FloatArray) -> tuple[Channel, ...]:
    """A record's channels at other moments, NaN outside it and across its gaps."""
    times = trace.elapsed_s
    after = np.clip(np.searchsorted(times, moments_s), 1, times.size - 1)
    widest = 3.0 * trace.interval_s
    hidden = (times[after] - times[after - 1] > widest) | (moments_s < times[0]) | (moments_s > times[-1])
    return tuple(
        replace(channel, values=np.where(hidden, np.nan, np.interp(moments_s, times, channel.values)))
        for channel in trace.channels
    )


def _marked(channels: tuple[Channel, ...]) -> tuple[Channel, ...]:
    """The independent recorder's channels, named as such."""
    return tuple(
        replace(channel, name=f"{channel.name} (probe recorder)")
        for channel in channels
        if channel.role is Role.chamber
    )
