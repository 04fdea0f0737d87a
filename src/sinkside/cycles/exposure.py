"""Exposure of a steam cycle: time in band at every probe, in saturated steam."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import (
    DUST,
    Requirement,
    at_most,
    outcome_of,
    time_at_least,
    unjudged,
)
from sinkside.cycles.further import come_up_criterion, further_criteria, spread_allowed
from sinkside.cycles.spans import Duration, Span, duration_of
from sinkside.cycles.steam_phases import (
    Band,
    SteamPhases,
    band_of,
    ends_at_atmosphere,
    find_exposure,
    is_settled,
)
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion, PhaseSpan
from sinkside.department import Program
from sinkside.errors import BadInput
from sinkside.findings import Finding, Measure
from sinkside.limits import Limit, Profile, published
from sinkside.science.validity import FloatArray

_TIME: Final = "exposure-time"
_SATURATION: Final = "saturation"
_SPREAD: Final = "probe-spread"
_CUT: Final = "the record ends within it"
_SATURATION_LIMIT: Final = "criteria-measured-vs-saturation"

#: Closer samples than this leave nothing to say about timing.
_FINE_INTERVAL_S: Final = 5.0
_MINUTE_S: Final = 60.0

#: So many samples at each end of an exposure of at least so many say nothing about saturation.
_EDGE_SAMPLES: Final = 3
_LONG_ENOUGH_FOR_EDGES: Final = 20

#: A chamber that was never at this pressure never had steam in it.
_STEAM_PA: Final = 130_000.0


@dataclass(frozen=True, eq=False)
class Judged:
    """What is looked at while exposure is judged."""

    samples: Samples
    phases: SteamPhases
    program: Program
    names: tuple[str, ...]
    spans: tuple[PhaseSpan, ...] = ()

    @property
    def band(self) -> Band:
        """The program's band."""
        return band_of(self.program)

    @property
    def required_s(self) -> float:
        """The program's exposure time."""
        return self.program.exposure.time.to("s") if self.program.exposure else float("inf")

    @property
    def tolerance_k(self) -> float:
        """How far a sensor may be off."""
        return self.program.probes.tolerance.to("K")


def judge_exposure(judged: Judged, profile: Profile) -> list[Requirement]:
    """Exposure with its time, spread where asked for, and saturation as a requirement of its own name.

    Saturation stands apart because a machine's record may be unable to show it (`not_recorded`); the verdict
    counts it under exposure.
    """
    time, findings, why = _time(judged)
    criteria = [time]
    allowed_k = spread_allowed(judged.program, profile)
    if allowed_k is not None:
        spread, more = _spread(judged, allowed_k)
        criteria.append(spread)
        findings += more
    further = _further(judged, profile)
    criteria += further
    findings += [_told_missed(criterion) for criterion in further if criterion.met is False]
    outcome = outcome_of(criteria)
    said = _said(judged, criteria, why)
    exposure = Requirement("exposure", outcome, tuple(criteria), said, tuple(findings))
    return [exposure, _saturation(judged, profile)]


def _further(judged: Judged, profile: Profile) -> list[Criterion]:
    """What the program asks of exposure beyond its time and spread."""
    samples, program = judged.samples, judged.program
    criteria = further_criteria(samples, judged.phases, program, profile=profile, names=judged.names)
    come_up = come_up_criterion(samples, program, judged.spans)
    return criteria if come_up is None else [*criteria, come_up]


def _told_missed(criterion: Criterion) -> Finding:
    """One of them that was missed, for people."""
    evidence: dict[str, Measure | int | str] = {
        "what": criterion.id.replace("-", " ").capitalize(),
        "measured": Measure(value=criterion.measured or 0.0, unit=criterion.unit),
        "allowed": Measure(value=criterion.required, unit=criterion.unit),
    }
    return wording.FURTHER_MISSED.finding(evidence=evidence)


def exposure_duration(judged: Judged) -> Duration | None:
    """How long every probe was in band; None without an exposure."""
    stay = judged.phases.exposure or max(
        judged.phases.stays, key=lambda span: span.last - span.first, default=None
    )
    return None if stay is None else duration_of(stay, judged.samples.times_s)


def _time(judged: Judged) -> tuple[Criterion, list[Finding], str]:
    """The time in band; with why it could not be judged, if so."""
    required, interval_s = judged.required_s, judged.samples.interval_s
    duration = exposure_duration(judged) or Duration(0.0, 0.0, 0.0)
    criterion = time_at_least(_TIME, required, duration, interval_s)
    why = _why_open(judged, criterion, duration)
    if why:
        cut = [wording.CUT_OFF.finding(evidence={"phase": "exposure"})] if why == _CUT else []
        return unjudged(_TIME, required, "s", criterion.measured), cut, why
    findings = [] if criterion.met else _short(judged, duration)
    return criterion, findings + _near_band(judged, met=bool(criterion.met)), ""


def _why_open(judged: Judged, criterion: Criterion, duration: Duration) -> str:
    """Why the record does not settle the exposure time; '' if it does."""
    samples, stay = judged.samples, judged.phases.exposure
    hidden = _hidden_in(stay or judged.phases.plateau, samples)
    if stay is None:
        return hidden or _why_no_exposure(judged)
    if not samples.clock_is_sound:
        return "the clock was set"
    if hidden and duration.most >= judged.required_s - DUST:
        return hidden
    if criterion.met:
        return ""
    if stay.first == 0 or stay.last == samples.last:
        return _CUT if stay.last == samples.last else "the record begins within it"
    far_apart = f"samples {samples.interval_s:g} s apart do not settle it"
    return far_apart if criterion.met is None else ""


def _hidden_in(stay: Span | None, samples: Samples) -> str:
    """What hides a part of a stay, its entry or its exit; '' if nothing does."""
    if stay is None:
        return ""
    around = slice(max(stay.first - 1, 0), stay.last + 1)
    if samples.breaks[around].any():
        return "the record has a gap there"
    edges = slice(max(stay.first - 1, 0), stay.last + 2)
    is_known = samples.every_probe_is_known or not np.isnan(samples.probes_c[:, edges]).any()
    return "" if is_known else "a probe cannot be relied on there"


def _why_no_exposure(judged: Judged) -> str:
    """Why the record cannot show whether there was an exposure; '' if it shows that there was none."""
    samples, plateau = judged.samples, judged.phases.plateau
    if plateau is None:
        pressure = samples.pressure_pa
        ran = pressure is not None and bool((pressure > _STEAM_PA).any())
        whole = ran and ends_at_atmosphere(samples) and is_settled(samples)
        whole = whole and not np.isnan(samples.probes_c).any() and not samples.breaks.any()
        return "" if whole else "the record shows none"
    return _CUT if plateau.last == samples.last else ""


def _short(judged: Judged, duration: Duration) -> list[Finding]:
    """What a person should see about an exposure that was missed."""
    samples, phases, band = judged.samples, judged.phases, judged.band
    evidence = {
        "measured": Measure(value=duration.measured, unit="s"),
        "required": Measure(value=judged.required_s, unit="s"),
    }
    findings = [wording.EXPOSURE_SHORT.finding(evidence=evidence)]
    if phases.plateau is not None:
        tried = samples.probes_c[:, phases.plateau.samples]
        coldest = float(np.nanmin(np.nanmedian(tried, axis=1))) if np.isfinite(tried).any() else band.low
        if coldest < band.low:
            findings.append(
                wording.BELOW_BAND.finding(
                    evidence={
                        "coldest": Measure(value=coldest, unit="°C"),
                        "required": Measure(value=band.low, unit="°C"),
                    }
                )
            )
        findings += _air(judged, phases.plateau)
    hottest = float(np.nanmax(samples.probes_c))
    if hottest > band.high + DUST:
        evidence = {
            "hottest": Measure(value=hottest, unit="°C"),
            "top": Measure(value=band.high, unit="°C"),
        }
        findings.append(wording.ABOVE_BAND.finding(evidence=evidence))
    return findings + _resumed(judged)


def _air(judged: Judged, plateau: Span) -> list[Finding]:
    """A probe that stayed colder than the pressure says, where exposure was tried and never was."""
    samples = judged.samples
    if samples.pressure_pa is None:
        return []
    below = samples.saturated_c[plateau.samples] - samples.probes_c[:, plateau.samples]
    known = [
        (float(np.nanmedian(row)), name)
        for row, name in zip(below, judged.names, strict=True)
        if np.isfinite(row).any()
    ]
    deviation, probe = max(known, default=(0.0, ""))
    if deviation <= published(_SATURATION_LIMIT).ends("K")[1]:
        return []
    evidence: dict[str, Measure | int | str] = {
        "probe": probe,
        "deviation": Measure(value=deviation, unit="K"),
    }
    return [wording.AIR_SUSPECTED.finding(evidence=evidence, source=published(_SATURATION_LIMIT).source)]


def _resumed(judged: Judged) -> list[Finding]:
    """A stay in band after the first exit that would have been long enough."""
    exposure = judged.phases.exposure
    if exposure is None:
        return []
    later = [
        duration_of(stay, judged.samples.times_s).measured
        for stay in judged.phases.stays
        if stay.first > exposure.last
    ]
    if max(later, default=0.0) < judged.required_s:
        return []
    return [wording.EXPOSURE_RESUMED.finding(evidence={"later": Measure(value=max(later), unit="s")})]


def _near_band(judged: Judged, *, met: bool) -> list[Finding]:
    """A note where probes that are off by their tolerance would have turned the answer."""
    shift = judged.tolerance_k
    ends: tuple[tuple[str, Band], ...] = (
        ("The time at the bottom of the band", Band(judged.band.low + shift, judged.band.high)),
        ("The time at the top of the band", Band(judged.band.low, judged.band.high - shift)),
    )
    if not met:
        ends = (("The time in band", Band(judged.band.low - shift, judged.band.high + shift)),)
    notes = []
    for what, band in ends:
        stay = find_exposure(judged.samples, band, judged.phases.hottest).exposure
        lasted = duration_of(stay, judged.samples.times_s).measured if stay else 0.0
        if (lasted >= judged.required_s - DUST) is not met:
            notes.append(_within_tolerance(what, shift))
    return notes


def _within_tolerance(what: str, tolerance_k: float) -> Finding:
    return wording.WITHIN_TOLERANCE.finding(
        evidence={"what": what, "tolerance": Measure(value=tolerance_k, unit="K")}
    )


def _spread(judged: Judged, allowed_k: float) -> tuple[Criterion, list[Finding]]:
    stay = judged.phases.tried
    if stay is None or len(judged.names) <= 1:
        return unjudged(_SPREAD, allowed_k, "K"), []
    return spread_criterion(judged.samples.probes_c[:, stay.samples], allowed_k)


def spread_criterion(probes_c: FloatArray, allowed_k: float) -> tuple[Criterion, list[Finding]]:
    """How far probes were apart at any instant, where the program asks; probes has shape (probes, n)."""
    apart = np.ptp(probes_c, axis=0)
    if np.isnan(apart).all():
        return unjudged(_SPREAD, allowed_k, "K"), []
    widest = float(np.nanmax(apart))
    criterion = at_most(_SPREAD, allowed_k, widest, "K")
    if criterion.met and np.isnan(apart).any():
        return unjudged(_SPREAD, allowed_k, "K", widest), []
    if criterion.met:
        return criterion, []
    evidence = {"spread": Measure(value=widest, unit="K"), "allowed": Measure(value=allowed_k, unit="K")}
    return criterion, [wording.SPREAD_WIDE.finding(evidence=evidence)]


def saturation_limit(profile: Profile) -> Limit:
    """The allowed distance from saturated steam: the profile's own, else as it was published elsewhere."""
    try:
        return profile.limit(_SATURATION_LIMIT)
    except BadInput:
        return published(_SATURATION_LIMIT)


def _saturation(judged: Judged, profile: Profile) -> Requirement:
    """Every probe against the temperature of saturated steam, within exposure only."""
    limit = saturation_limit(profile)
    allowed_k = limit.ends("K")[1]
    stay, samples = judged.phases.exposure, judged.samples
    if samples.pressure_pa is None or stay is None:
        why = "no pressure" if samples.pressure_pa is None else "no exposure"
        criteria = (unjudged(_SATURATION, allowed_k, "K"),)
        return Requirement("saturation", "not evidenced", criteria, f"saturation not evidenced ({why})")
    within = _without_edges(stay)
    above = samples.probes_c[:, within.samples] - samples.saturated_c[within.samples]
    unknown = np.isnan(above)
    if unknown.all():
        criteria = (unjudged(_SATURATION, allowed_k, "K"),)
        return Requirement("saturation", "not evidenced", criteria, "saturation not evidenced")
    furthest = np.argmax(np.where(unknown, -1.0, np.abs(above)))
    probe, sample = np.unravel_index(int(furthest), above.shape)
    deviation = float(above[probe, sample])
    criterion = at_most(_SATURATION, allowed_k, abs(deviation), "K")
    if criterion.met and unknown.any():
        criterion = unjudged(_SATURATION, allowed_k, "K", abs(deviation))
    outcome = outcome_of([criterion])
    findings: tuple[Finding, ...] = ()
    if outcome == "missed":
        findings = (_unsaturated(judged.names[int(probe)], deviation, limit),)
    elif outcome == "met" and allowed_k - abs(deviation) < judged.tolerance_k:
        findings = (_within_tolerance("The distance from saturated steam", judged.tolerance_k),)
    return Requirement("saturation", outcome, (criterion,), f"saturation {outcome}", findings)


def _without_edges(stay: Span) -> Span:
    """An exposure without its very ends, where a probe trails the pressure that steam brings and takes."""
    if stay.last - stay.first < _LONG_ENOUGH_FOR_EDGES:
        return stay
    return Span(stay.first + _EDGE_SAMPLES, stay.last - _EDGE_SAMPLES)


def _unsaturated(probe: str, deviation: float, limit: Limit) -> Finding:
    hotter = deviation > 0.0
    return wording.NOT_SATURATED.finding(
        evidence={
            "probe": probe,
            "deviation": Measure(value=abs(deviation), unit="K"),
            "direction": "above" if hotter else "below",
            "allowed": Measure(value=limit.ends("K")[1], unit="K"),
            "cause": "superheated steam" if hotter else "air that was left in the chamber",
        },
        source=limit.source,
    )


def _said(judged: Judged, criteria: Sequence[Criterion], why: str) -> str:
    """The clause of the summary; the first of the criteria is the time."""
    time, outcome = criteria[0], outcome_of(criteria)
    required, measured = f"{judged.required_s:.0f} s", f"{time.measured or 0.0:.0f} s"
    if outcome == "not evidenced":
        open_ones = [criterion.id.replace("-", " ") for criterion in criteria if criterion.met is None]
        return f"exposure not evidenced ({why or f'{open_ones[0]} cannot be judged'})"
    if outcome == "missed":
        missed = [criterion.id.replace("-", " ") for criterion in criteria if criterion.met is False]
        short = f"{measured} within the band; {required} required"
        return f"exposure missed ({short if time.met is False else ', '.join(missed)})"
    seconds = judged.samples.interval_s
    if seconds > _FINE_INTERVAL_S:
        margin = f"{seconds / 60.0:g} min" if seconds >= _MINUTE_S else f"{seconds:g} s"
        return f"exposure met as recorded; timing ±{margin} at each end"
    return f"exposure met ({measured}; {required} required)"
