"""Judging a steam cycle: what each requirement, phase and value comes to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from sinkside.cycles import wording
from sinkside.cycles.air_removal import air_left, judge_air_removal
from sinkside.cycles.criteria import Requirement
from sinkside.cycles.drying import judge_steam_drying
from sinkside.cycles.exposure import Judged, exposure_duration, judge_exposure
from sinkside.cycles.further import air_in, judge_rates
from sinkside.cycles.judgement import Judgement
from sinkside.cycles.lethality import coarse_excess, f0_of, measured_lethality, reduction_of
from sinkside.cycles.steam_phases import band_of, find_exposure, hottest_stretch, phase_spans
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import MeasuredValue, Outcome
from sinkside.department import Program
from sinkside.findings import Finding, Measure
from sinkside.limits import Profile, published
from sinkside.science.lethality import Lethality

_BELOW_MODEL: Final = "f0-low-temperature-caution"

#: Samples closer than this leave nothing to the rule of integration; beyond this share it is told.
_COARSE_S: Final = 2.0
_COARSE_EXCESS: Final = 0.01


def judge_steam(samples: Samples, program: Program, *, profile: Profile, names: tuple[str, ...]) -> Judgement:
    """What a steam cycle's record comes to.

    Args:
        samples: As far as they can be believed.
        program: A steam program.
        profile: The limits in force.
        names: Of the probes, for people.
    """
    phases = find_exposure(samples, band_of(program), hottest_stretch(samples))
    spans = phase_spans(samples, phases, program)
    judged = Judged(samples, phases, program, names, spans)
    left = air_left(samples, phases, program)
    requirements = [
        judge_air_removal(samples, phases, program, left=left),
        *judge_exposure(judged, profile),
        judge_steam_drying(samples, phases, program),
        judge_rates(samples, program),
    ]
    lethality = f0_of(samples)
    values = _values(judged, lethality, left)
    for requirement in requirements:
        for criterion in requirement.criteria:
            if criterion.measured is not None and criterion.id != "exposure-time":
                values[criterion.id] = MeasuredValue(value=criterion.measured, unit=criterion.unit)
    told = _in_words(_excused(requirements, program))
    return Judgement(told, spans, values, tuple(_notes(judged, lethality)))


def _values(judged: Judged, lethality: Lethality | None, left: float | None) -> dict[str, MeasuredValue]:
    """F0 and what it does to an indicator, the time of exposure, and the air that is or may be left."""
    samples, program = judged.samples, judged.program
    values: dict[str, MeasuredValue] = {}
    if lethality is not None:
        values["f0"] = measured_lethality(lethality, judged.tolerance_k)
    duration = exposure_duration(judged)
    if duration is not None:
        values["exposure"] = MeasuredValue(value=duration.measured, unit="s")
    air = air_in(samples, judged.phases.exposure)
    if air is not None:
        values["air-partial-pressure"] = MeasuredValue(value=air, unit="kPa")
    if left is not None:
        values["air-left"] = MeasuredValue(value=100.0 * left, unit="%")
    if program.indicator is not None and lethality is not None:
        values["log-reduction"] = reduction_of(samples, program.indicator)
    return values


def _notes(judged: Judged, lethality: Lethality | None) -> Iterator[Finding]:
    """What belongs to no criterion: where F0 stands for little, and what a cycle without drying is for."""
    samples, program = judged.samples, judged.program
    bound = published(_BELOW_MODEL)
    if judged.band.low < bound.value[0]:
        evidence = {
            "set": Measure(value=judged.band.low, unit="°C"),
            "bound": Measure(value=bound.value[0], unit="°C"),
        }
        yield wording.BELOW_MODEL.finding(evidence=evidence, source=bound.source)
    if lethality is not None and samples.interval_s > _COARSE_S:
        excess = coarse_excess(samples)
        if excess > _COARSE_EXCESS:
            yield wording.COARSE_INTEGRAL.finding(
                evidence={"excess": Measure(value=100.0 * excess, unit="%")}
            )
    if program.use == "immediate-use":
        yield wording.IMMEDIATE_USE.finding()


def _in_words(requirements: tuple[Requirement, ...]) -> tuple[Requirement, ...]:
    """The requirements; a sterilized load that may be wet is told in one breath, with what to do."""
    by_name = {item.name: item for item in requirements}
    exposure, drying = by_name["exposure"], by_name["drying"]
    if [item.name for item in requirements if item.outcome == "missed"] != ["drying"]:
        return requirements
    if exposure.outcome != "met":
        return requirements
    said = f"{exposure.said}, {drying.said}: hold, look for moisture, a person decides"
    clauses = {"exposure": "", "drying": said}
    return tuple(replace(item, said=clauses.get(item.name, item.said)) for item in requirements)


def _excused(requirements: list[Requirement], program: Program) -> tuple[Requirement, ...]:
    """What the machine's record cannot show is named and does not block; what it shows all the same is told.

    Without a pressure neither air removal nor saturation shows, and both ask the same: whether air was left.
    A machine whose air removal is evidenced otherwise has its saturation evidenced with it.
    """
    excused = set(program.not_recorded)
    air = next(item for item in requirements if item.name == "saturation")
    if "air_removal" in excused and air.outcome == "not evidenced" and "no pressure" in air.said:
        excused.add("saturation")
    kept = []
    for item in requirements:
        if item.name not in excused or item.outcome in {"met", "not required"}:
            kept.append(item)
            continue
        word = item.name.replace("_", " ")
        kept.append(
            replace(item, outcome="not evidenced", said=f"{word} not evidenced", findings=(), blocking=False)
        )
    return tuple(kept)


def steam_evidence(requirements: tuple[Requirement, ...]) -> dict[str, Outcome]:
    """The evidence of a steam verdict; without saturated steam there was no exposure to it either."""
    outcomes = {item.name: item.outcome for item in requirements}
    saturation = next(item for item in requirements if item.name == "saturation")
    exposure = "missed" if saturation.outcome == "missed" else outcomes["exposure"]
    rates: dict[str, Outcome] = {} if outcomes["rates"] == "not required" else {"rates": outcomes["rates"]}
    return {
        "air_removal": outcomes["air_removal"],
        "exposure": exposure,
        "saturation": saturation.outcome,
        "drying": outcomes["drying"],
        **rates,
    }
