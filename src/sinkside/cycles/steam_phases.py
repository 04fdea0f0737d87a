"""The phases of a steam cycle, found in what temperature and pressure did."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles.criteria import DUST
from sinkside.cycles.spans import Mask, Span, spans_of
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import PhaseSpan
from sinkside.department import Program
from sinkside.science.validity import FloatArray

#: A probe may touch the band in a pulse or on the way in; a stay shorter than this share of the longest one
#: is such a touch and no exposure.
_TOUCH_SHARE: Final = 1 / 3

#: The chamber's hottest stretch, within so many kelvin of its top, is where exposure was tried.
_PLATEAU_K: Final = 3.0
_PLATEAU_S: Final = 60.0
_PLATEAU_SAMPLES: Final = 3
_STEAM_C: Final = 100.0

#: A record starts and ends with the chamber near the atmosphere around it, weather and altitude included.
ATMOSPHERE_PA: Final = (58_000.0, 115_000.0)
_NEAR_ATMOSPHERE: Final = (0.85, 1.2)
_USUAL_ATMOSPHERE_PA: Final = 101_325.0

#: The chamber stood at the atmosphere when the record ended, if its pressure moved no more than this.
_SETTLED_SAMPLES: Final = 10
_SETTLED_PA: Final = 2_000.0


@dataclass(frozen=True)
class Band:
    """Temperatures from the set one up to the top of the band, in °C."""

    low: float
    high: float

    def holds(self, temperatures_c: FloatArray) -> Mask:
        """Where temperatures are in the band, its ends included."""
        return self.reaches_down_to(temperatures_c) & self.reaches_up_to(temperatures_c)

    def reaches_down_to(self, temperatures_c: FloatArray) -> Mask:
        """Where temperatures are not below the band."""
        return np.asarray(temperatures_c >= self.low - DUST)

    def reaches_up_to(self, temperatures_c: FloatArray) -> Mask:
        """Where temperatures are not above the band."""
        return np.asarray(temperatures_c <= self.high + DUST)


def band_of(program: Program) -> Band:
    """The band of a steam program's exposure."""
    if program.exposure is None:
        return Band(math.inf, math.inf)
    low = program.exposure.temperature.to("°C")
    return Band(low, low + program.exposure.band.to("K"))


@dataclass(frozen=True)
class SteamPhases:
    """Where exposure was, or was tried, and what came before and after.

    Attributes:
        exposure: Every probe in band, or not known to be outside; None if no such stay.
        hottest: The hottest stretch, if steam was there and it lasted.
        stays: All stays in band, as a later one may be told about.
    """

    exposure: Span | None
    hottest: Span | None
    stays: tuple[Span, ...]

    @property
    def plateau(self) -> Span | None:
        """The hottest stretch where there was no exposure; None if there was none either."""
        return None if self.exposure else self.hottest

    @property
    def tried(self) -> Span | None:
        """Exposure, or where it was tried."""
        return self.exposure or self.plateau


def find_exposure(samples: Samples, band: Band, hottest: Span | None) -> SteamPhases:
    """Exposure: from the last probe's entry into the band to the first exit.

    Args:
        samples: As far as they can be believed.
        band: What every probe must be in.
        hottest: The record's hottest stretch.

    >>> times = np.arange(200.0)
    >>> probe = np.where((times > 50) & (times < 150), 134.5, 90.0)
    >>> still = np.zeros(199, dtype=np.bool_)
    >>> samples = Samples(times, probe[None, :], None, still, 1.0, clock_is_sound=True, doubts=())
    >>> find_exposure(samples, Band(134.0, 137.0), hottest_stretch(samples)).exposure
    Span(first=51, last=149)
    """
    stays = _stays_in(band, samples)
    if not stays:
        return SteamPhases(None, hottest, ())
    lengths = [_length(stay, samples) for stay in stays]
    enough = _TOUCH_SHARE * max(lengths)
    exposure = next(stay for stay, length in zip(stays, lengths, strict=True) if length >= enough)
    if hottest is not None and max(lengths) < _TOUCH_SHARE * _length(hottest, samples):
        return SteamPhases(None, hottest, tuple(stays))
    return SteamPhases(exposure, hottest, tuple(stays))


def _stays_in(band: Band, samples: Samples) -> list[Span]:
    """Where every probe was in band or may have been, and one at least was seen there."""
    if samples.every_probe_is_known:
        return spans_of(band.reaches_down_to(samples.coldest_c) & band.reaches_up_to(samples.hottest_c))
    inside = band.holds(samples.probes_c)
    unknown = np.isnan(samples.probes_c)
    possible = np.asarray((inside | unknown).all(axis=0))
    seen = np.asarray(inside.any(axis=0))
    return [_trimmed(span, seen) for span in spans_of(possible) if seen[span.samples].any()]


def _trimmed(span: Span, seen: Mask) -> Span:
    """A possible stay without its ends where no probe at all was seen in band."""
    at = np.flatnonzero(seen[span.samples])
    return Span(span.first + int(at[0]), span.first + int(at[-1]))


def _length(span: Span, samples: Samples) -> float:
    return float(samples.times_s[span.last] - samples.times_s[span.first])


def hottest_stretch(samples: Samples) -> Span | None:
    """The longest stretch near the hottest reading, if steam was there and it lasted."""
    hottest = samples.hottest_c
    top = float(hottest.max())
    if top < _STEAM_C:
        return None
    spans = spans_of(hottest >= top - _PLATEAU_K)
    longest = max(spans, key=lambda span: _length(span, samples))
    lasted = _length(longest, samples) >= _PLATEAU_S and longest.last - longest.first >= _PLATEAU_SAMPLES
    return longest if lasted else None


def starts_at_atmosphere(samples: Samples) -> bool:
    """Whether the record shows the cycle from its start."""
    known = _known_pressure(samples)
    return bool(known.size) and ATMOSPHERE_PA[0] <= float(known[0]) <= ATMOSPHERE_PA[1]


def ends_at_atmosphere(samples: Samples) -> bool:
    """Whether the chamber is back at the atmosphere when the record ends; else the record was cut off."""
    known = _known_pressure(samples)
    if not known.size:
        return False
    around = float(known[0]) if starts_at_atmosphere(samples) else _USUAL_ATMOSPHERE_PA
    away = float(known[-1]) / min(around, _USUAL_ATMOSPHERE_PA)
    return _NEAR_ATMOSPHERE[0] <= away <= _NEAR_ATMOSPHERE[1]


def _known_pressure(samples: Samples) -> FloatArray:
    """The pressures that are there."""
    pressure = samples.pressure_pa
    return np.empty(0) if pressure is None else pressure[np.isfinite(pressure)]


def is_settled(samples: Samples) -> bool:
    """Whether the pressure stood still when the record ended; within a pulse it only passes by."""
    pressure = samples.pressure_pa
    if pressure is None or pressure.size <= _SETTLED_SAMPLES:
        return False
    return bool(np.ptp(pressure[-_SETTLED_SAMPLES:]) < _SETTLED_PA)


def phase_spans(samples: Samples, phases: SteamPhases, program: Program) -> tuple[PhaseSpan, ...]:
    """The phases for people and plots, in seconds since the first sample."""
    tried = phases.tried
    if tried is None:
        return ()
    spans = []
    pressure = samples.pressure_pa
    heating = 0
    if pressure is not None and tried.first > 0:
        # Heating rises from the last fall; in a program without falls, from the lowest pressure.
        before = pressure[: tried.first]
        deep = _last_deep(before, program)
        heating = deep if deep is not None else 0
        if heating:
            spans.append(_named("air-removal", Span(0, heating), samples))
    if tried.first > heating:
        spans.append(_named("heating", Span(heating, tried.first), samples))
    spans.append(_named("exposure", Span(tried.first, min(tried.last + 1, samples.last)), samples))
    if pressure is not None and program.drying is not None:
        vacuum = program.drying.vacuum.to("kPa") * 1000.0
        low = np.flatnonzero(pressure[tried.last + 1 :] < vacuum) + tried.last + 1
        if low.size:
            spans.append(_named("drying", Span(int(low[0]), min(int(low[-1]) + 1, samples.last)), samples))
    return tuple(spans)


def _last_deep(before: FloatArray, program: Program) -> int | None:
    """The last sample of the last fall before heating."""
    removal = program.air_removal
    if removal is None or not np.isfinite(before).any():
        return None
    if removal.vacuum is not None:
        low = np.flatnonzero(before < removal.vacuum.to("kPa") * 1000.0)
        return int(low[-1]) if low.size else None
    rises = np.where(np.isfinite(before), before, np.inf)
    if removal.pressure is None:
        return None
    above = np.flatnonzero(rises > removal.pressure.to("kPa") * 1000.0)
    # The rise into exposure is above it too: heating starts at the lowest point after the last pulse.
    ends = above[np.flatnonzero(np.diff(above) > 1)] if above.size else above
    return int(ends[-1] + np.argmin(rises[ends[-1] :])) if ends.size else None


def _named(name: str, span: Span, samples: Samples) -> PhaseSpan:
    return PhaseSpan(
        name=name, start_s=float(samples.times_s[span.first]), end_s=float(samples.times_s[span.last])
    )
