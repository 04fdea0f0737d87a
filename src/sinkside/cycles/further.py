"""What only a qualification, or the program itself, asks of a steam cycle beyond time in saturated steam."""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement, at_most, outcome_of, unjudged
from sinkside.cycles.reading.heads import read_head
from sinkside.cycles.spans import Span, duration_of
from sinkside.cycles.steam_phases import SteamPhases, band_of, starts_at_atmosphere
from sinkside.cycles.trace import Place
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion, PhaseSpan
from sinkside.department import Program
from sinkside.errors import BadInput
from sinkside.findings import Finding, Measure
from sinkside.limits import Limit, Profile, published
from sinkside.quantities import Quantity
from sinkside.science.steam import ICE_POINT_K, air_partial_pressure
from sinkside.science.validity import FloatArray

_PA_PER_KPA: Final = 1000.0
_MINUTE_S: Final = 60.0

#: From this usable space on, chambers may take longer to come to one temperature (HTM 2010, second-hand).
_LARGE_CHAMBER_L: Final = 800.0

#: A rate is taken over so many seconds: over less it is the gauge's noise.
_RATE_OVER_S: Final = 3.0
_SLOWEST_FOR_RATES_S: Final = 10.0


def further_criteria(
    samples: Samples, phases: SteamPhases, program: Program, *, profile: Profile, names: tuple[str, ...]
) -> list[Criterion]:
    """Criteria of exposure that the program asks for, by its own figure or by the published one in scope.

    Args:
        samples: As far as they can be believed.
        phases: Where exposure was.
        program: A program under steam.
        profile: The limits in force.
        names: Of the probes.
    """
    exposure, probes = program.exposure, program.probes
    criteria = []
    if probes.equilibration is not None or "equilibration" in program.scope:
        allowed = _own_or_published(probes.equilibration, _equilibration_limit(program), profile, "s")
        criteria.append(_judged("equilibration", allowed, _equilibration(samples, phases, program), "s"))
    if probes.fluctuation is not None or "fluctuation" in program.scope:
        allowed = _own_or_published(probes.fluctuation, "criteria-load-points-fluctuation", profile, "K")
        criteria.append(_judged("fluctuation", allowed, _fluctuation(samples, phases), "K"))
    if probes.drain is not None:
        below = _drain_below(samples, phases, names)
        criteria.append(_judged("drain-below-chamber", probes.drain.to("K"), below, "K"))
    if exposure is not None and exposure.longest is not None:
        lasted = _lasted(samples, phases.exposure)
        criteria.append(_judged("exposure-longest", exposure.longest.to("s"), lasted, "s"))
    if exposure is not None and exposure.air is not None:
        air = air_in(samples, phases.exposure)
        criteria.append(_judged("air-partial-pressure", exposure.air.to("kPa"), air, "kPa"))
    return criteria


def spread_allowed(program: Program, profile: Profile) -> float | None:
    """How far probes may be apart: the program's own, the published one in scope, or None if nobody asks."""
    if program.probes.spread is None and "spread" not in program.scope:
        return None
    return _own_or_published(program.probes.spread, "criteria-load-points-spread", profile, "K")


def come_up_criterion(samples: Samples, program: Program, spans: tuple[PhaseSpan, ...]) -> Criterion | None:
    """How long heating took, where the program says how long it may."""
    if program.exposure is None or program.exposure.come_up is None:
        return None
    longest = program.exposure.come_up.to("s")
    heating = next((span for span in spans if span.name == "heating"), None)
    if heating is None or not samples.clock_is_sound:
        return unjudged("come-up", longest, "s")
    first, last = np.searchsorted(samples.times_s, (heating.start_s, heating.end_s))
    began_before = first == 0 and not starts_at_atmosphere(samples)
    took = heating.end_s - heating.start_s
    if began_before or samples.breaks[first:last].any():
        return unjudged("come-up", longest, "s", took)
    return at_most("come-up", longest, took, "s")


def air_in(samples: Samples, stay: Span | None) -> float | None:
    """The partial pressure of air over a stay, in kPa: the mean of pressure less that of saturated steam.

    By Dalton's law and the coldest probe; below zero where steam is hotter than saturated.
    """
    if stay is None or samples.pressure_pa is None:
        return None
    cold = samples.coldest_c[stay.samples]
    air = air_partial_pressure(samples.pressure_pa[stay.samples], cold + ICE_POINT_K, outside="nan")
    return float(air.mean()) / _PA_PER_KPA if np.isfinite(air).all() else None


def judge_rates(samples: Samples, program: Program) -> Requirement:
    """How fast the pressure rose and fell, where the program says how fast it may."""
    if program.rates is None:
        return Requirement("rates", "not required")
    steepest = _steepest(samples)
    criteria = []
    for name, asked, measured in zip(
        ("pressure-rise", "pressure-fall"), (program.rates.rise, program.rates.fall), steepest, strict=True
    ):
        if asked is not None:
            criteria.append(_judged(name, asked.to("kPa/min"), measured, "kPa/min"))
    outcome = outcome_of(criteria)
    findings: tuple[Finding, ...] = ()
    if outcome == "missed":
        worst = min((c for c in criteria if c.met is False), key=lambda c: c.margin or 0.0)
        evidence = {
            "measured": Measure(value=worst.measured or 0.0, unit="kPa/min"),
            "allowed": Measure(value=worst.required, unit="kPa/min"),
        }
        findings = (wording.RATE_HIGH.finding(evidence=evidence),)
    return Requirement("rates", outcome, tuple(criteria), f"pressure rates {outcome}", findings)


def _judged(name: str, allowed: float, measured: float | None, unit: str) -> Criterion:
    return unjudged(name, allowed, unit) if measured is None else at_most(name, allowed, measured, unit)


def _own_or_published(own: Quantity | None, limit_id: str, profile: Profile, unit: str) -> float:
    return own.to(unit) if own is not None else _limit(limit_id, profile).ends(unit)[1]


def _limit(limit_id: str, profile: Profile) -> Limit:
    """The profile's own, else as it was published elsewhere."""
    try:
        return profile.limit(limit_id)
    except BadInput:
        return published(limit_id)


def _equilibration_limit(program: Program) -> str:
    """By the chamber's usable space; an unsaid one is held to the shorter time."""
    volume = program.chamber.volume if program.chamber else None
    is_large = volume is not None and volume.to("L") > _LARGE_CHAMBER_L
    return f"criteria-equilibration-{'large' if is_large else 'small'}-chamber"


def _equilibration(samples: Samples, phases: SteamPhases, program: Program) -> float | None:
    """From the first probe's entry into the band to the last one's; None if it cannot be told."""
    stay = phases.exposure
    if stay is None or samples.probes_c.shape[0] <= 1 or not samples.clock_is_sound:
        return None
    before = samples.probes_c[:, : stay.first]
    low = band_of(program).low
    cool = np.flatnonzero((before < low).all(axis=0))
    first = int(cool[-1]) + 1 if cool.size else 0
    if not cool.size or np.isnan(before[:, first:]).any() or samples.breaks[first : stay.first].any():
        return None
    return float(samples.times_s[stay.first] - samples.times_s[first])


def _fluctuation(samples: Samples, phases: SteamPhases) -> float | None:
    if phases.exposure is None:
        return None
    held = samples.probes_c[:, phases.exposure.samples]
    if np.isnan(held).any():
        return None
    return float(np.abs(held - held.mean(axis=1, keepdims=True)).max())


def _drain_below(samples: Samples, phases: SteamPhases, names: tuple[str, ...]) -> float | None:
    """How far the drain was below the hottest other probe: condensate that does not run off, or air."""
    at_drain = np.array([read_head(name).place is Place.drain for name in names], dtype=np.bool_)
    if phases.exposure is None or not at_drain.any() or at_drain.all():
        return None
    held = samples.probes_c[:, phases.exposure.samples]
    if np.isnan(held).any():
        return None
    return float(np.median(held[~at_drain].max(axis=0) - held[at_drain].min(axis=0)))


def _lasted(samples: Samples, stay: Span | None) -> float | None:
    sound = stay is not None and samples.clock_is_sound
    return duration_of(stay, samples.times_s).measured if stay and sound else None


def _steepest(samples: Samples) -> tuple[float | None, float | None]:
    """The steepest rise and fall in kPa/min over a few seconds; None where the record cannot show them."""
    pressure: FloatArray | None = samples.pressure_pa
    if pressure is None or samples.interval_s > _SLOWEST_FOR_RATES_S or samples.breaks.any():
        return None, None
    apart = max(int(np.ceil(_RATE_OVER_S / samples.interval_s)), 1)
    if pressure.size <= apart or np.isnan(pressure).any() or not samples.clock_is_sound:
        return None, None
    seconds = np.maximum(samples.times_s[apart:] - samples.times_s[:-apart], samples.interval_s)
    rate = (pressure[apart:] - pressure[:-apart]) / seconds * _MINUTE_S / _PA_PER_KPA
    return max(float(rate.max()), 0.0), max(float(-rate.min()), 0.0)
