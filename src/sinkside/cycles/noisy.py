"""Probes and gauges whose connection is bad: readings that jump to and fro by more than any chamber does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles.spans import Mask, Span, spans_of
from sinkside.cycles.trace import Channel, ChannelKind
from sinkside.science.validity import FloatArray

#: Noise is looked at in blocks of so many samples, and told from movement while they are this close.
_BLOCK: Final = 30
_CLOSEST_S: Final = 10.0

#: A sound probe's noise is a tenth of this; programs allow sensors ±0.5 K (common practice, no source).
_NOISY_K: Final = 0.7
_NOISY_STEPS: Final = 3.0
_BESIDE: Final = 0.5

#: A gauge's noise counts from so much on, or from this share of what it reads (common practice, no source):
#: it then hides for how long a drying vacuum held, and does little to a plateau. Noise alone turns about with
#: two samples of three, what pumps and valves do with far fewer.
_NOISY_PA: Final = 1_500.0
_NOISY_SHARE: Final = 0.012
_TURNS_SHARE: Final = 0.4
_CLOSEST_FOR_GAUGES_S: Final = 5.0

#: The other probes stay this much quieter, or do something else; what all of them do together is the
#: chamber's doing.
_QUIETER: Final = 2.0
_TOGETHER: Final = 0.5

#: Of second differences of pure noise: their median over their deviation, and that over the noise's own.
_MEDIAN_OF_NORMAL: Final = 0.6745
_OF_SECOND_DIFFERENCES: Final = np.sqrt(6.0)

#: Half the second differences of a block are above this where it is loud; a hair less, as they may be taken
#: in another order.
FEWEST_LOUD: Final = _BLOCK // 2
_LOUD: Final = float(_MEDIAN_OF_NORMAL * _OF_SECOND_DIFFERENCES) * (1.0 - 1e-9)
LOUD_SECOND_DIFFERENCE_K: Final = _NOISY_K * _LOUD
LOUD_SECOND_DIFFERENCE_PA: Final = _NOISY_PA * _LOUD


def noisy_spans(channel: Channel, judged: Sequence[Channel], times_s: FloatArray) -> list[Span]:
    """Where a probe's readings scatter so that single ones say nothing.

    Args:
        channel: The channel in question.
        judged: All channels of the chamber, itself included.
        times_s: Shape (n,).

    >>> scatter = 3.0 * np.sin(np.arange(120.0) ** 2)
    >>> from sinkside.cycles.trace import Role
    >>> probes = [Channel(n, ChannelKind.temperature, Role.chamber, "°C", 134.0 + v)
    ...           for n, v in (("T1", scatter), ("T2", np.zeros(120)))]
    >>> [noisy_spans(probe, probes, np.arange(120.0)) for probe in probes]
    [[Span(first=0, last=119)], []]
    """
    if channel.values.size < _BLOCK + 2:
        return []
    apart_s = float(np.median(np.diff(times_s)))
    noise = _noise_of(channel.values)
    if channel.kind is not ChannelKind.temperature:
        return _spans(_loud_gauge(channel, noise), channel) if apart_s <= _CLOSEST_FOR_GAUGES_S else []
    loud = noise > max(_NOISY_K, _NOISY_STEPS * channel.step)
    if not (loud.any() and apart_s <= _CLOSEST_S):
        return []
    for other in judged:
        if other is not channel and other.kind is ChannelKind.temperature:
            quiet = _noise_of(other.values)
            loud &= ~((quiet * _QUIETER > noise) & _move_together(channel.values, other.values))
    return _spans(_with_beside(loud, noise > _BESIDE * _NOISY_K), channel)


def _loud_gauge(channel: Channel, noise: FloatArray) -> Mask:
    """Shape (blocks,): where a gauge's readings scatter about what they follow."""
    step = np.diff(channel.values)
    turns = (step[1:] * step[:-1] < 0.0)[: noise.size * _BLOCK].reshape(noise.size, _BLOCK).mean(axis=1)
    level = channel.values[1 : noise.size * _BLOCK + 1].reshape(noise.size, _BLOCK).mean(axis=1)
    least = np.maximum(max(_NOISY_PA, _NOISY_STEPS * channel.step), _NOISY_SHARE * level)
    return _with_beside((noise > least) & (turns > _TURNS_SHARE), noise > _BESIDE * least)


def _with_beside(loud: Mask, half_as_loud: Mask) -> Mask:
    """Bad connections come and go: what lies beside a loud block, and is half as loud, belongs to it."""
    beside = np.concatenate((loud[1:], [False])) | np.concatenate(([False], loud[:-1]))
    return np.asarray(loud | (beside & half_as_loud))


def _spans(loud: Mask, channel: Channel) -> list[Span]:
    """Samples of loud blocks."""
    last = channel.values.size - 1
    return [
        Span(span.first * _BLOCK, last if span.last == loud.size - 1 else (span.last + 1) * _BLOCK + 1)
        for span in spans_of(loud)
    ]


def _move_together(one: FloatArray, other: FloatArray) -> Mask:
    """Shape (blocks,): where the quick movements of two probes are the same ones."""
    first, second = (values[2:] - 2.0 * values[1:-1] + values[:-2] for values in (one, other))
    blocks = first.size // _BLOCK
    first, second = (each[: blocks * _BLOCK].reshape(blocks, _BLOCK) for each in (first, second))
    size = np.sqrt((first**2).sum(axis=1) * (second**2).sum(axis=1))
    return np.asarray((first * second).sum(axis=1) > _TOGETHER * size)


def _noise_of(values: FloatArray) -> FloatArray:
    """The deviation of a channel's noise in each block; steady rise and fall have none."""
    second = np.abs(values[2:] - 2.0 * values[1:-1] + values[:-2])
    blocks = second.size // _BLOCK
    medians = np.median(second[: blocks * _BLOCK].reshape(blocks, _BLOCK), axis=1)
    noise: FloatArray = medians / (_MEDIAN_OF_NORMAL * _OF_SECOND_DIFFERENCES)
    return noise
