"""Probes that stopped: one reading repeated while the chamber went on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles.spans import Span, span_ends
from sinkside.cycles.trace import Channel, ChannelKind
from sinkside.science.validity import FloatArray

#: A probe that repeats itself less often than this may just be slow or coarse.
_SAMPLES: Final = 12
_SECONDS: Final = 20.0

#: So many steps of nothing stand in the shortest stretch that is looked at.
FEWEST_REPEATED_STEPS: Final = _SAMPLES - 1

#: Alone, without another channel that shows life, it takes longer to be sure.
_SAMPLES_ALONE: Final = 60
_SECONDS_ALONE: Final = 60.0

#: Movement of another probe that a working one could not miss: in K, and in steps of its own resolution.
_MOVED_K: Final = 1.0
_MOVED_STEPS: Final = 3.0

#: A pressure this near to its lowest, in steps of its resolution, is as low as the pump goes.
_FINAL_STEPS: Final = 2.0

#: A live channel changes with at least this share of its samples; one whose readings repeat more often than
#: the second share even elsewhere is too coarse to tell.
_LIVE_SHARE: Final = 0.5
_COARSE_SHARE: Final = 0.3
_COARSE_SHARE_ALONE: Final = 0.1


def frozen_spans(channel: Channel, judged: Sequence[Channel], times_s: FloatArray) -> list[Span]:
    """Where a channel repeated one reading while others moved, or for longer than it ever does.

    Args:
        channel: The channel in question.
        judged: All channels of the chamber, itself included.
        times_s: Shape (n,).
    """
    same = np.diff(channel.values) == 0.0
    if not same.any():
        return []
    firsts, lasts = span_ends(same)
    lasts = lasts + 1
    # Readings repeat once or twice all the time; what is too short to tell is left out before it is looked
    # at.
    long_enough = (lasts - firsts >= FEWEST_REPEATED_STEPS) & (times_s[lasts] - times_s[firsts] >= _SECONDS)
    if not long_enough.any():
        return []
    long = [
        Span(first, last)
        for first, last in zip(firsts[long_enough].tolist(), lasts[long_enough].tolist(), strict=True)
    ]
    others = [other for other in judged if other is not channel and other.kind is ChannelKind.temperature]
    repeats = int(same.sum())
    return [span for span in long if _is_frozen(span, channel, others, times_s, repeats)]


def _is_frozen(
    span: Span, channel: Channel, others: list[Channel], times_s: FloatArray, repeats: int
) -> bool:
    samples = span.last + 1 - span.first
    elsewhere = channel.values.size - samples
    is_probe = channel.kind is ChannelKind.temperature
    # A pump's final vacuum may be one reading for most of a record; no plateau of temperature is.
    if not is_probe and channel.values[span.first] - np.nanmin(channel.values) <= _FINAL_STEPS * channel.step:
        return False
    enough_elsewhere = min(samples, _SAMPLES_ALONE) if is_probe else samples + 1
    share = (repeats - (samples - 1)) / elsewhere if elsewhere >= enough_elsewhere else 1.0
    windows = [other.values[span.samples] for other in others]
    if is_probe:
        enough = max(_MOVED_K, _MOVED_STEPS * channel.step)
        if any(_range_of(window) > enough for window in windows):
            return True
    if share < _COARSE_SHARE and any(_share_of_changes(window) > _LIVE_SHARE for window in windows):
        return True
    seconds = times_s[span.last] - times_s[span.first]
    return share < _COARSE_SHARE_ALONE and samples >= _SAMPLES_ALONE and bool(seconds >= _SECONDS_ALONE)


def _range_of(window: FloatArray) -> float:
    known = window[np.isfinite(window)]
    return float(np.ptp(known)) if known.size else 0.0


def _share_of_changes(window: FloatArray) -> float:
    return float((np.diff(window) != 0.0).mean())
