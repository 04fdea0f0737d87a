"""Channels that end below what they have to show: flat tops and floors where the reading was cut off."""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles.spans import Mask, Span, spans_of
from sinkside.cycles.trace import Channel

#: A flat stretch counts from so many samples on, and not on a channel that is flat all over.
_SAMPLES: Final = 3
_FLAT_SHARE: Final = 0.6

#: The reading runs into the end of the scale and out of it again with such steps of its own resolution; a
#: vacuum that a pump can go no deeper, or a plateau that is held, is come to slowly.
_STEEP_STEPS: Final = 5.0

#: One flat stretch may be chance; so many at the very same reading are the end of the scale.
_STRETCHES: Final = 2

#: Fewer steps of nothing, or readings at an end, make no such stretches.
FEWEST_FLAT_STEPS: Final = _STRETCHES * (_SAMPLES - 1)
FEWEST_AT_AN_END: Final = _STRETCHES * _SAMPLES


def clipped_spans(channel: Channel) -> list[Span]:
    """Where a channel stands at the end of its scale, so that what it measures may be beyond.

    >>> from sinkside.cycles.trace import ChannelKind, Role
    >>> down = np.array([90.0, 60.02, 60.01, 20.0, 20.0, 20.0, 20.0, 45.0, 80.0])
    >>> wavy = np.concatenate((down, down + np.where(down > 20.0, 0.01, 0.0)))
    >>> clipped_spans(Channel("P", ChannelKind.pressure, Role.chamber, "kPa", wavy))
    [Span(first=3, last=6), Span(first=12, last=15)]
    """
    values = channel.values
    steps = np.diff(values)
    flat = steps == 0.0
    if flat.sum() < FEWEST_FLAT_STEPS:
        return []
    steep = np.abs(steps) >= _STEEP_STEPS * channel.step
    found: list[Span] = []
    for end in (np.nanmin(values), np.nanmax(values)):
        at_end = values == end
        elsewhere = ~at_end[1:]
        if not elsewhere.any() or flat[elsewhere].mean() > _FLAT_SHARE:
            continue
        stretches = [span for span in spans_of(at_end) if span.last - span.first + 1 >= _SAMPLES]
        if sum(_is_cut_off(span, steep) for span in stretches) >= _STRETCHES:
            found += stretches
    return found


def _is_cut_off(span: Span, steep: Mask) -> bool:
    """Whether the reading runs into a flat stretch and out of it again without slowing down."""
    return span.first > 0 and span.last < steep.size and bool(steep[span.first - 1] and steep[span.last])
