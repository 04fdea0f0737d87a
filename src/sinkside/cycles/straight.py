"""Lines that nobody measured: on the plateau every channel stands still, or runs straight, all at once.

A recorder that hangs repeats its last line, and one that lost a part may fill it with straight lines. Noise
never stops in all channels together.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles.spans import Span, span_ends
from sinkside.science.validity import FloatArray

#: The plateau: so near to the hottest reading. Elsewhere a chamber may really be at rest.
_NEAR_THE_TOP_K: Final = 5.0
_HOT_C: Final = 65.0

#: Shorter stretches are looked for by nobody; and of the rest there must be enough to know its noise.
_SAMPLES: Final = 12
_SECONDS: Final = 20.0
_FEWEST_BESIDE: Final = 30
_CHANNELS: Final = 2

#: By rounding alone a straight line bends by one step of a channel's resolution, and a little dust.
_ONE_STEP: Final = 1.01
_DUST: Final = 1e-9

#: A stretch is believed to be noise if noise makes one in so many records.
_BY_CHANCE: Final = 1e-4


def straight_spans(probes_c: FloatArray, table: FloatArray, times_s: FloatArray) -> list[Span]:
    """Where on the plateau every channel runs straight for longer than noise lets it.

    Args:
        probes_c: Shape (probes, n).
        table: All channels of the chamber, shape (channels, n), as recorded.
        times_s: Shape (n,).

    >>> at = np.arange(200.0)
    >>> noise = np.round(134.5 + 0.05 * np.sin(at**2), 2), np.round(310.0 + 0.2 * np.cos(at**3), 2)
    >>> table = np.array(noise)
    >>> straight_spans(table[:1], table, at)
    []
    >>> table[:, 80:120] = table[:, 80:81]
    >>> straight_spans(table[:1], table, at)
    [Span(first=80, last=119)]
    """
    if len(table) < _CHANNELS or table.shape[1] < _SAMPLES + _FEWEST_BESIDE or not probes_c.size:
        return []
    straight = _runs_straight(table)
    firsts, lasts = span_ends(straight)
    long = (lasts - firsts + 1 >= _SAMPLES - 1) & (times_s[lasts + 2] - times_s[firsts] >= _SECONDS)
    if not long.any():
        return []
    hottest = np.fmax.reduce(probes_c, axis=0, initial=-np.inf)
    plateau = (hottest >= max(float(hottest.max()) - _NEAR_THE_TOP_K, _HOT_C))[1:-1]
    found = []
    for first, last in zip(firsts[long].tolist(), lasts[long].tolist(), strict=True):
        if not plateau[first : last + 1].all():
            continue
        rest = plateau.copy()
        rest[first : last + 1] = False
        beside, length = int(np.count_nonzero(rest)), last + 1 - first
        share = (np.count_nonzero(straight & rest) + 1) / (beside + 2)
        if beside >= max(_FEWEST_BESIDE, length) and beside * share**length < _BY_CHANCE:
            found.append(Span(first, last + 2))
    return found


def _runs_straight(table: FloatArray) -> np.ndarray:
    """Shape (n - 2,): where each sample lies between its neighbours in every channel."""
    steps = table[:, 1:] - table[:, :-1]
    sizes = np.abs(steps)
    finest = sizes.min(axis=1, where=sizes > _DUST, initial=np.inf)
    return np.asarray((np.abs(steps[:, 1:] - steps[:, :-1]) <= _ONE_STEP * finest[:, None]).all(axis=0))
