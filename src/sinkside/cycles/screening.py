"""A quick look at all channels of a record at once: which of them need the slow looks.

Nearly every channel of nearly every record is sound, and the looks for what is not cost more than all the
rest of judging. What is told here is only what cannot have any of the faults looked for: a channel may be
looked at once too often, and never once too seldom.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles.clipped import FEWEST_AT_AN_END, FEWEST_FLAT_STEPS
from sinkside.cycles.coarse import COARSEST_STEP_K
from sinkside.cycles.frozen import FEWEST_REPEATED_STEPS
from sinkside.cycles.leaps import smallest_leap
from sinkside.cycles.noisy import FEWEST_LOUD, LOUD_SECOND_DIFFERENCE_K, LOUD_SECOND_DIFFERENCE_PA
from sinkside.cycles.spans import Mask
from sinkside.cycles.trace import Channel, ChannelKind
from sinkside.science.validity import FloatArray

_FEWEST_SAMPLES: Final = 3


def surely_sound(
    channels: Sequence[Channel],
    table: FloatArray,
    *,
    possible: Sequence[tuple[float, float]],
) -> list[bool]:
    """Which channels surely have every reading, all of them possible, and none frozen, noisy or cut off.

    Args:
        channels: Of the chamber: temperatures and pressure.
        table: Their values, shape (channels, n).
        possible: Between which readings each channel can lie.
    """
    if table.shape[1] < _FEWEST_SAMPLES:
        return [False] * len(channels)
    steps = table[:, 1:] - table[:, :-1]
    same = steps == 0.0
    lowest, highest = table.min(axis=1), table.max(axis=1)
    sizes = np.abs(steps)
    steepest = sizes.max(axis=1)
    coarse = sizes.min(axis=1, where=~same, initial=np.inf) > COARSEST_STEP_K
    bends = np.abs(steps[:, 1:] - steps[:, :-1])
    probes = np.array([channel.kind is ChannelKind.temperature for channel in channels], dtype=np.bool_)
    bent = bends > np.where(probes, LOUD_SECOND_DIFFERENCE_K, LOUD_SECOND_DIFFERENCE_PA)[:, None]
    loud = np.count_nonzero(bent, axis=1) >= FEWEST_LOUD
    still = _has_run(same, FEWEST_REPEATED_STEPS)
    cut_off = _may_be_cut_off(table, same, lowest, highest)
    sound = []
    for at, (channel, (low, high)) in enumerate(zip(channels, possible, strict=True)):
        # A reading that is missing makes none of these comparisons true.
        within = bool(lowest[at] >= low and highest[at] <= high) and not loud[at]
        within = within and bool(steepest[at] <= smallest_leap(channel.kind))
        if channel.kind is ChannelKind.temperature:
            within = within and not coarse[at]
        sound.append(within and not still[at] and not cut_off[at])
    return sound


def _may_be_cut_off(table: FloatArray, same: Mask, lowest: FloatArray, highest: FloatArray) -> Mask:
    """Shape (channels,): whether enough readings stand at one end of what was read."""
    flat = np.count_nonzero(same, axis=1) >= FEWEST_FLAT_STEPS
    at_low = np.count_nonzero(table == lowest[:, None], axis=1) >= FEWEST_AT_AN_END
    at_high = np.count_nonzero(table == highest[:, None], axis=1) >= FEWEST_AT_AN_END
    return np.asarray(flat & (at_low | at_high))


def _has_run(mask: Mask, length: int) -> Mask:
    """Shape (rows,): whether so many samples hold without a break in each row of a mask.

    >>> _has_run(np.array([[True, True, True], [True, False, True]]), 2).tolist()
    [True, False]
    """
    holds, reach = mask, 1
    while reach < length:
        further = min(reach, length - reach)
        holds = holds[:, further:] & holds[:, :-further]
        reach += further
    return np.asarray(holds.any(axis=1))
