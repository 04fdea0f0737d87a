"""Faults of recorders, probes and clocks: they befall what was recorded, whatever the machine did."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from sinkside.cycles.simulate.faults import Fault
from sinkside.cycles.simulate.recording import Recording, Windows, uniform
from sinkside.science.validity import FloatArray

_Befall = Callable[[Recording, float, Windows, np.random.Generator], Recording]


def befallen(
    recording: Recording, fault: Fault | None, size: float, windows: Windows, random: np.random.Generator
) -> Recording:
    """The recording with a fault of its recorder; unchanged if the fault is another's."""
    befall = _BEFALLS.get(fault.name) if fault else None
    return befall(recording, size, windows, random) if befall else recording


def _gap(recording: Recording, size: float, windows: Windows, random: np.random.Generator) -> Recording:
    start, end = windows.dose
    lasts = min(size, 0.6 * (end - start))
    begins = uniform(random, start + 0.1 * (end - start), end - lasts - 0.1 * (end - start))
    times = recording.times_s
    return recording.kept((times < begins) | (times > begins + lasts))


def _truncated(
    recording: Recording, _size: float, windows: Windows, random: np.random.Generator
) -> Recording:
    ends = uniform(random, windows.dose[0], windows.undone)
    return recording.kept(recording.times_s < ends)


def _frozen(recording: Recording, size: float, windows: Windows, random: np.random.Generator) -> Recording:
    start, end = windows.dose
    begins = uniform(random, start, start + 0.5 * (end - start))
    times = recording.times_s
    probe = int(random.integers(recording.probes_c.shape[0]))
    stopped = (times >= begins) & (times < begins + size)
    return _changed(recording, probe, stopped, recording.probes_c[probe, np.flatnonzero(stopped)[0]])


def _clock_jump(
    recording: Recording, size: float, windows: Windows, random: np.random.Generator
) -> Recording:
    start, end = windows.dose
    at = uniform(random, start + 5.0, end - 5.0)
    jump = float(random.choice([-3600.0, 3600.0, -size]))
    times = recording.times_s + np.where(recording.times_s >= at, jump, 0.0)
    # Elapsed times cannot be negative: the clock was ahead from the start.
    return replace(recording, times_s=times - min(float(times.min()), 0.0))


def _offset(recording: Recording, size: float, _windows: Windows, random: np.random.Generator) -> Recording:
    probe = int(random.integers(recording.probes_c.shape[0]))
    sign = float(random.choice([-1.0, 1.0]))
    everywhere = np.ones(recording.times_s.size, dtype=np.bool_)
    return _changed(recording, probe, everywhere, recording.probes_c[probe] + sign * size)


def _drifting(recording: Recording, size: float, windows: Windows, random: np.random.Generator) -> Recording:
    probe = int(random.integers(recording.probes_c.shape[0]))
    share = np.clip((recording.times_s - windows.dose[0]) / (windows.dose[1] - windows.dose[0]), 0.0, 1.0)
    sign = float(random.choice([-1.0, 1.0]))
    everywhere = np.ones(recording.times_s.size, dtype=np.bool_)
    return _changed(recording, probe, everywhere, recording.probes_c[probe] + sign * size * share)


def _noisy(recording: Recording, size: float, windows: Windows, random: np.random.Generator) -> Recording:
    probe = int(random.integers(recording.probes_c.shape[0]))
    noise = size * random.normal(size=recording.times_s.size)
    later = recording.times_s > 0.5 * windows.dose[0]
    return _changed(recording, probe, later, recording.probes_c[probe] + noise)


def _saturated(recording: Recording, size: float, windows: Windows, random: np.random.Generator) -> Recording:
    probe = int(random.integers(recording.probes_c.shape[0]))
    values = recording.probes_c[probe]
    held = (recording.times_s >= windows.dose[0]) & (recording.times_s <= windows.dose[1])
    most = float(np.median(values[held])) - size
    everywhere = np.ones(recording.times_s.size, dtype=np.bool_)
    return _changed(recording, probe, everywhere, np.minimum(values, most))


def _wrong_unit(
    recording: Recording, _size: float, _windows: Windows, random: np.random.Generator
) -> Recording:
    if recording.pressure_kpa is None or bool(random.integers(2)):
        return replace(recording, probes_c=recording.probes_c * 1.8 + 32.0)
    factor = float(random.choice([0.01, 0.145, 10.0]))
    return replace(recording, pressure_kpa=recording.pressure_kpa * factor)


def _changed(recording: Recording, probe: int, where: np.ndarray, values: float | FloatArray) -> Recording:
    """The recording with other readings of one probe in some of its samples."""
    probes = recording.probes_c.copy()
    probes[probe, where] = values if np.ndim(values) == 0 else np.asarray(values)[where]
    return replace(recording, probes_c=probes)


_BEFALLS: Final[dict[str, _Befall]] = {
    "gap": _gap,
    "truncated": _truncated,
    "frozen-probe": _frozen,
    "clock-jump": _clock_jump,
    "probe-offset": _offset,
    "drifting-probe": _drifting,
    "noisy-probe": _noisy,
    "saturated-channel": _saturated,
    "wrong-unit": _wrong_unit,
}
