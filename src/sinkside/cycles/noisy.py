"""Probes whose connection is bad: readings that jump to and fro by more than any chamber does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles.spans import Span, spans_of
from sinkside.cycles.trace import Channel, ChannelKind
from sinkside.science.validity import FloatArray

#: Noise is looked at in blocks of so many samples, and told from movement while they are this close.
_BLOCK: Final = 30
_CLOSEST_S: Final = 10.0

#: A sound probe's noise is a tenth of this; programs allow sensors ±0.5 K (common practice, no source).
_NOISY_K: Final = 0.7
_NOISY_STEPS: Final = 3.0
_BESIDE: Final = 0.5

#: The other probes stay this much quieter; what all of them do is the chamber's doing.
_QUIETER: Final = 2.0

#: Of second differences of pure noise: their median over their deviation, and that over the noise's own.
_MEDIAN_OF_NORMAL: Final = 0.6745
_OF_SECOND_DIFFERENCES: Final = np.sqrt(6.0)

#: Half the second differences of a block are above this where it is loud; a hair less, as they may be taken
#: in another order.
FEWEST_LOUD: Final = _BLOCK // 2
LOUD_SECOND_DIFFERENCE_K: Final = float(_NOISY_K * _MEDIAN_OF_NORMAL * _OF_SECOND_DIFFERENCES) * (1.0 - 1e-9)


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
    if channel.kind is not ChannelKind.temperature or channel.values.size < _BLOCK + 2:
        return []
    if not float(np.median(np.diff(times_s))) <= _CLOSEST_S:
        return []
    noise = _noise_k(channel.values)
    loud = noise > max(_NOISY_K, _NOISY_STEPS * channel.step)
    if not loud.any():
        return []
    for other in judged:
        if other is not channel and other.kind is ChannelKind.temperature:
            quiet = _noise_k(other.values)
            loud &= ~(quiet * _QUIETER > noise)
    # Bad connections come and go: what lies beside a loud block, and is half as loud, belongs to it.
    beside = np.concatenate((loud[1:], [False])) | np.concatenate(([False], loud[:-1]))
    loud |= beside & (noise > _BESIDE * _NOISY_K)
    last = channel.values.size - 1
    return [
        Span(span.first * _BLOCK, last if span.last == loud.size - 1 else (span.last + 1) * _BLOCK + 1)
        for span in spans_of(loud)
    ]


def _noise_k(values: FloatArray) -> FloatArray:
    """The deviation of a probe's noise in each block; steady rise and fall have none."""
    second = np.abs(values[2:] - 2.0 * values[1:-1] + values[:-2])
    blocks = second.size // _BLOCK
    medians = np.median(second[: blocks * _BLOCK].reshape(blocks, _BLOCK), axis=1)
    noise: FloatArray = medians / (_MEDIAN_OF_NORMAL * _OF_SECOND_DIFFERENCES)
    return noise
