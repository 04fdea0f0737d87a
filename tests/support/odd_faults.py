"""Faults of machines and recorders that the simulator does not know, put into a simulated recording.

Like the invented recorders they were written down before it was tried what becomes of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from sinkside.cycles import Recording
from sinkside.cycles.spans import Indices, Mask
from sinkside.science.validity import FloatArray

Spoiler = Callable[[Recording, float], Recording]


def _hot(recording: Recording, set_c: float) -> Indices:
    """The samples in which every probe is as hot as was asked for."""
    hot: Indices = np.flatnonzero(recording.probes_c.min(axis=0) >= set_c)
    return hot


def _middle(recording: Recording, set_c: float, seconds: float) -> slice:
    """So long a stretch in the middle of exposure."""
    hot = _hot(recording, set_c)
    step = float(np.median(np.diff(recording.times_s)))
    half = max(int(seconds / step / 2.0), 1)
    centre = int(hot[hot.size // 2])
    return slice(centre - half, centre + half)


def _pressure(recording: Recording) -> FloatArray:
    assert recording.pressure_kpa is not None
    return recording.pressure_kpa


def door_opened_early(recording: Recording, set_c: float) -> Recording:
    """Right after exposure the door is opened: no drying, and the probes fall to the room."""
    end = int(_hot(recording, set_c)[-1]) + 5
    since = np.maximum(np.arange(recording.times_s.size) - end, 0)
    probes = 30.0 + (recording.probes_c[:, end : end + 1] - 30.0) * np.exp(-since / 60.0)
    probes = np.where(since > 0, probes + 0.03 * np.sin(since * 1.7), recording.probes_c)
    pressure = np.where(since > 0, 101.3 + 0.02 * np.sin(since * 1.3), _pressure(recording))
    return replace(recording, probes_c=probes, pressure_kpa=pressure)


def coarse_probe(recording: Recording, _: float) -> Recording:
    """One probe is recorded in steps of 2 K only."""
    probes = recording.probes_c.copy()
    probes[-1] = 2.0 * np.round(probes[-1] / 2.0)
    return replace(recording, probes_c=probes)


def cold_drain(recording: Recording, set_c: float) -> Recording:
    """Condensate stands at the drain: 4 K colder all through exposure."""
    probes = recording.probes_c.copy()
    probes[-1] -= 4.0 * (recording.probes_c.min(axis=0) >= set_c - 5.0)
    return replace(recording, probes_c=probes)


def shifted_pressure(recording: Recording, _: float) -> Recording:
    """The transducer reads 28 kPa too high, some 3 K of saturated steam."""
    return replace(recording, pressure_kpa=_pressure(recording) + 28.0)


def two_cold_samples(recording: Recording, set_c: float) -> Recording:
    """In the middle of exposure two samples of every probe are 2 K below the band."""
    probes = recording.probes_c.copy()
    centre = _middle(recording, set_c, 2.0).start
    probes[:, centre : centre + 2] = set_c - 2.0
    return replace(recording, probes_c=probes)


def stamps_backward(recording: Recording, set_c: float) -> Recording:
    """The clock is put back by three seconds in the middle of exposure."""
    times = recording.times_s.copy()
    times[_middle(recording, set_c, 2.0).start :] -= 3.0
    return replace(recording, times_s=times)


def blocks_exchanged(recording: Recording, set_c: float) -> Recording:
    """Two buffers of thirty lines are written in the wrong order."""
    order = np.arange(recording.times_s.size)
    start = _middle(recording, set_c, 2.0).start
    order[start : start + 60] = np.roll(order[start : start + 60], 30)
    return replace(
        recording,
        times_s=recording.times_s[order],
        probes_c=recording.probes_c[:, order],
        pressure_kpa=_pressure(recording)[order],
    )


def lines_held(recording: Recording, set_c: float) -> Recording:
    """The recorder hangs for forty seconds: its clock goes on, all its readings are the last ones."""
    at = _middle(recording, set_c, 40.0)
    probes, pressure = recording.probes_c.copy(), _pressure(recording).copy()
    probes[:, at], pressure[at] = probes[:, at.start : at.start + 1], pressure[at.start]
    return replace(recording, probes_c=probes, pressure_kpa=pressure)


def lines_filled(recording: Recording, set_c: float) -> Recording:
    """Forty seconds that were not recorded are filled with straight lines in every channel."""
    at = _middle(recording, set_c, 40.0)
    kept = np.ones(recording.times_s.size, dtype=np.bool_)
    kept[at] = False
    return replace(
        recording,
        probes_c=np.array([_filled(row, kept) for row in recording.probes_c]),
        pressure_kpa=_filled(_pressure(recording), kept),
    )


def _filled(values: FloatArray, kept: Mask) -> FloatArray:
    at = np.arange(values.size, dtype=np.float64)
    return np.interp(at, at[kept], values[kept])


def probes_stretched(recording: Recording, _: float) -> Recording:
    """An amplifier reads every temperature two per cent too high."""
    return replace(recording, probes_c=recording.probes_c * 1.02)


def vacuum_not_shown(recording: Recording, _: float) -> Recording:
    """The gauge ends at 22 kPa absolute: deeper vacuum is written as that."""
    return replace(recording, pressure_kpa=np.maximum(_pressure(recording), 22.0))


def probe_fallen_out(recording: Recording, set_c: float) -> Recording:
    """One probe hangs out of the chamber from the middle of exposure on."""
    probes = recording.probes_c.copy()
    start = _middle(recording, set_c, 2.0).start
    since = np.arange(probes.shape[1] - start)
    probes[-1, start:] = 25.0 + (probes[-1, start] - 25.0) * np.exp(-since / 40.0)
    return replace(recording, probes_c=probes)


#: By name, with the verdict that is right; where a careful person may say either, "not meets".
ODD_FAULTS: Final[dict[str, tuple[Spoiler, str]]] = {
    "door opened early": (door_opened_early, "fails"),
    "coarse probe": (coarse_probe, "not meets"),
    "cold drain": (cold_drain, "fails"),
    "shifted pressure": (shifted_pressure, "fails"),
    "two cold samples": (two_cold_samples, "fails"),
    "stamps backward": (stamps_backward, "unclear"),
    "blocks exchanged": (blocks_exchanged, "unclear"),
    "lines held": (lines_held, "unclear"),
    "lines filled": (lines_filled, "unclear"),
    "probes stretched": (probes_stretched, "fails"),
    "vacuum not shown": (vacuum_not_shown, "not meets"),
    "probe fallen out": (probe_fallen_out, "not meets"),
}
