"""Probes whose readings move to another level between two samples and stay there, while no other probe moves.

Heat moves no probe so: its calibration was changed, or its connection. Which of the two levels is the right
one, nobody can tell. A colder probe that rises to the others was behind them, which the criteria judge.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.science.validity import FloatArray

#: More than what programs allow a sensor (common practice, no source); what is apart by more than saturation
#: and spread allow is judged as it stands.
_STEP_K: Final = 0.8
_LARGEST_K: Final = 2.2

#: All others together move by less than this share of the step, and so does everything before and after it.
_QUIET: Final = 0.35
_STAYS: Final = 0.3

#: Up to this much above the others a probe that rose has come to them.
_AGREES_K: Final = 0.4

#: So many samples on either side must show that the probe was at rest and is again.
_BESIDE: Final = 15
_FEWEST_PROBES: Final = 2
_MOST_LOOKED_AT: Final = 50


def steps_of_probes(probes_c: FloatArray) -> list[tuple[int, int]]:
    """Which probe moved to another level, and the sample before it did.

    Args:
        probes_c: Shape (probes, n), as recorded.

    >>> level = np.full(60, 134.0)
    >>> steps_of_probes(np.array([level, level + np.where(np.arange(60) > 29, 1.5, 0.0)]))
    [(1, 29)]
    """
    if probes_c.shape[0] < _FEWEST_PROBES or probes_c.shape[1] < 2 * _BESIDE:
        return []
    sizes = np.abs(np.diff(probes_c, axis=1))
    largest, total = sizes.max(axis=0), sizes.sum(axis=0)
    alone = np.flatnonzero((largest >= _STEP_K) & (total - largest <= _QUIET * largest))
    alone = alone[(alone >= _BESIDE - 1) & (alone < sizes.shape[1] - _BESIDE)][:_MOST_LOOKED_AT]
    found = [(int(np.argmax(sizes[:, at])), int(at)) for at in alone]
    return [(probe, at) for probe, at in found if _stays(probes_c, probe, at)]


def _stays(probes_c: FloatArray, probe: int, at: int) -> bool:
    """Whether a probe was at rest before a step and is after it, elsewhere, and the others all along."""
    before, after = probes_c[:, at - _BESIDE + 1 : at + 1], probes_c[:, at + 1 : at + 1 + _BESIDE]
    step = abs(float(probes_c[probe, at + 1] - probes_c[probe, at]))
    levels = np.median(after, axis=1) - np.median(before, axis=1)
    moved = abs(float(levels[probe]))
    others = np.delete(levels, probe)
    was, is_now = (_above_others(np.median(part, axis=1), probe) for part in (before, after))
    scatter = max(float(before[probe].std()), float(after[probe].std()))
    return bool(
        _STEP_K <= moved <= _LARGEST_K
        and abs(moved - step) <= _STAYS * step
        and not was < is_now <= _AGREES_K
        and np.abs(others).max() <= _STAYS * moved
        and scatter <= _STAYS * moved
    )


def _above_others(levels_c: FloatArray, probe: int) -> float:
    """How far a probe is above the middle of the others."""
    return float(levels_c[probe] - np.median(np.delete(levels_c, probe)))
