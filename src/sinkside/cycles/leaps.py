"""Readings that leap away for one sample and back: a reading that was lost, or a bad connection."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles.spans import Mask
from sinkside.cycles.trace import Channel, ChannelKind
from sinkside.science.validity import FloatArray


@dataclass(frozen=True)
class Leap:
    """What no chamber does between samples so close: away by so much and nearly back.

    Attributes:
        away: From what step on; K or Pa.
        returns: How near to the reading before it is again.
        interval_s: Samples further apart may miss what happened.
        lost: A recorder that loses a reading writes a zero, in whatever unit: at most this. The rest is a bad
            connection, and what lies beneath is not known.
    """

    away: float
    returns: float
    interval_s: float
    lost: float


#: Nothing in a chamber moves so far and back within one sample (common practice, no source).
_LEAPS: Final = {
    ChannelKind.temperature: Leap(away=15.0, returns=5.0, interval_s=5.0, lost=0.5),
    ChannelKind.pressure: Leap(away=40_000.0, returns=10_000.0, interval_s=1.1, lost=500.0),
}
_SAMPLES: Final = 2


def smallest_leap(kind: ChannelKind) -> float:
    """From what step on a channel of a kind may have leapt."""
    return _LEAPS[kind].away


def leaps_of(channel: Channel, times_s: FloatArray) -> Mask:
    """Where a channel leapt, shape (n,).

    >>> from sinkside.cycles.trace import Role
    >>> probe = Channel("T", ChannelKind.temperature, Role.chamber, "°C", np.array([134.0, 172.0, 134.1]))
    >>> leaps_of(probe, np.arange(3.0)).tolist()
    [False, True, False]
    """
    leap, values = _LEAPS[channel.kind], channel.values
    mask: Mask = np.zeros(values.shape, dtype=np.bool_)
    if values.size <= _SAMPLES:
        return mask
    steps = np.diff(values)
    if max(-steps.min(), steps.max()) <= leap.away:
        return mask
    far = np.abs(steps) > leap.away
    there_and_back, returns = far[:-1] & far[1:], np.abs(values[2:] - values[:-2])
    quick = (times_s[2:] - times_s[:-2]) <= 2.0 * leap.interval_s
    mask[1:-1] = there_and_back & (returns < leap.returns) & quick
    return mask


def is_lost(channel: Channel) -> Mask:
    """Where what leapt is only a reading that was lost, and its neighbours say what it was; shape (n,)."""
    return np.asarray(channel.values <= _LEAPS[channel.kind].lost)
