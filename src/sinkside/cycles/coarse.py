"""Probes that are recorded so coarsely that a reading says nothing about a band of a few kelvin."""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles.trace import Channel, ChannelKind

#: Recorders print whole degrees, of °F at the coarsest two at a time; half of more than this is beyond the
#: tolerance of any sensor (common practice, no source).
COARSEST_STEP_K: Final = 1.2

#: So many steps must have been seen, and every reading stand on one of them.
_FEWEST_STEPS: Final = 8
_ON_A_STEP: Final = 0.02


def is_too_coarse(channel: Channel) -> bool:
    """Whether a probe is recorded in steps so wide that its readings prove nothing.

    >>> from sinkside.cycles.trace import Role
    >>> rise = np.linspace(20.0, 134.0, 400)
    >>> probes = [Channel("T", ChannelKind.temperature, Role.chamber, "°C", step * np.round(rise / step))
    ...           for step in (1.0, 2.0)]
    >>> [is_too_coarse(probe) for probe in probes]
    [False, True]
    """
    if channel.kind is not ChannelKind.temperature or channel.step <= COARSEST_STEP_K:
        return False
    known = channel.values[np.isfinite(channel.values)]
    steps = (known - known.min()) / channel.step
    on_a_step = np.abs(steps - np.round(steps)) <= _ON_A_STEP
    return bool(on_a_step.all()) and np.unique(np.round(steps)).size >= _FEWEST_STEPS
