"""Judging a steam cycle: what each requirement, phase and value comes to."""

from __future__ import annotations

from dataclasses import replace

from sinkside.cycles.air_removal import judge_air_removal
from sinkside.cycles.criteria import Requirement
from sinkside.cycles.drying import judge_steam_drying
from sinkside.cycles.exposure import Judged, exposure_duration, judge_exposure
from sinkside.cycles.judgement import Judgement
from sinkside.cycles.lethality import f0_of, measured_lethality
from sinkside.cycles.steam_phases import band_of, find_exposure, phase_spans
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import MeasuredValue, Outcome
from sinkside.department import Program
from sinkside.limits import Profile


def judge_steam(samples: Samples, program: Program, *, profile: Profile, names: tuple[str, ...]) -> Judgement:
    """What a steam cycle's record comes to.

    Args:
        samples: As far as they can be believed.
        program: A steam program.
        profile: The limits in force.
        names: Of the probes, for people.
    """
    phases = find_exposure(samples, band_of(program))
    judged = Judged(samples, phases, program, names)
    requirements = [
        judge_air_removal(samples, phases, program),
        *judge_exposure(judged, profile),
        judge_steam_drying(samples, phases, program),
    ]
    values: dict[str, MeasuredValue] = {}
    lethality = f0_of(samples)
    if lethality is not None:
        values["f0"] = measured_lethality(lethality, judged.tolerance_k)
    duration = exposure_duration(judged)
    if duration is not None:
        values["exposure"] = MeasuredValue(value=duration.measured, unit="s")
    for requirement in requirements:
        for criterion in requirement.criteria:
            if criterion.measured is not None and criterion.id != "exposure-time":
                values[criterion.id] = MeasuredValue(value=criterion.measured, unit=criterion.unit)
    told = _in_words(_excused(requirements, program))
    return Judgement(told, phase_spans(samples, phases, program), values)


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
    return {
        "air_removal": outcomes["air_removal"],
        "exposure": exposure,
        "saturation": saturation.outcome,
        "drying": outcomes["drying"],
    }
