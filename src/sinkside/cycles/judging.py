"""From a trace and a program to a verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement, answer_of
from sinkside.cycles.figures_for_trend import figures_for_trend
from sinkside.cycles.one_cycle import judge_one_cycle
from sinkside.cycles.reading import Reading, read_trace
from sinkside.cycles.steam import Judgement, judge_steam, steam_evidence
from sinkside.cycles.trace import Trace
from sinkside.cycles.trust import Doubt, DoubtKind, Samples, believable
from sinkside.cycles.verdict import Answer, RecorderFacts, Verdict
from sinkside.cycles.washer import judge_washer, washer_evidence
from sinkside.department import Program, ProgramKind
from sinkside.errors import BadInput
from sinkside.findings import Finding, Measure, worst_first
from sinkside.limits import Profile
from sinkside.limits import profile as limits_profile

_JUDGED_KINDS: Final = (
    ProgramKind.steam_prevacuum,
    ProgramKind.steam_gravity,
    ProgramKind.steam_pulse,
    ProgramKind.washer_disinfector,
)

#: Beyond this many of one kind, further doubts say nothing new.
_DOUBTS_TOLD: Final = 5

_COARSE_S: Final = 5.0


def judge_file(
    path: Path, program: Program, *, profile: str | Profile = "eu", reading: Reading | None = None
) -> Verdict:
    """What a recorder's file proves about a cycle of a program.

    Args:
        path: The recorder's file.
        program: What the cycle had to do.
        profile: The limits in force.
        reading: What a person says of the file where it is silent.

    Raises:
        BadInput: if the file cannot be read, its units cannot be told, or the kind of program is none that
            can be judged from a record yet.
    """
    refuse_unjudged_kind(program)
    needed = replace(reading or Reading(), needs_pressure=program.kind.is_steam)
    return judge(read_trace(path, needed), program, profile=profile)


def judge(trace: Trace, program: Program, *, profile: str | Profile = "eu") -> Verdict:
    """What a trace proves about a cycle of a program. It is evidence: a qualified person releases.

    Args:
        trace: What the recorder wrote.
        program: What the cycle had to do.
        profile: The limits in force, by name or as a profile with a department's own overrides.

    Raises:
        BadInput: if the profile is unknown or the kind of program is none that can be judged yet.
    """
    refuse_unjudged_kind(program)
    in_force = limits_profile(profile) if isinstance(profile, str) else profile
    samples = believable(trace)
    names = tuple(probe.name for probe in trace.probes)
    if program.kind.is_steam:
        judgement = judge_steam(samples, program, profile=in_force, names=names)
        evidence = steam_evidence(judgement.requirements)
    else:
        judgement = judge_washer(samples, program, trace.doses)
        evidence = washer_evidence(judgement.requirements)
    further = judge_one_cycle(samples, program, judgement.phases)
    judgement = replace(judgement, requirements=(*judgement.requirements, *further))
    answer = answer_of(judgement.requirements)
    return Verdict(
        trace=trace.name,
        program=program.name,
        profile=in_force.name,
        verdict=answer,
        evidence=evidence,
        summary=_summary(answer, judgement.requirements),
        recorder=_recorder(trace),
        phases=judgement.phases,
        criteria=tuple(c for item in judgement.requirements for c in item.criteria),
        values=figures_for_trend(samples, program, judgement.phases, trace.channels) | judgement.values,
        findings=_findings(judgement, samples),
    )


def refuse_unjudged_kind(program: Program) -> None:
    """Refuse a kind of program that no record can be judged against yet.

    Raises:
        BadInput: if it is one.
    """
    if program.kind not in _JUDGED_KINDS:
        kinds = ", ".join(kind.value for kind in _JUDGED_KINDS)
        raise BadInput(
            f"a record of kind '{program.kind.value}' cannot be judged yet; expected one of {kinds}",
            resource=program.name,
        )


def _recorder(trace: Trace) -> RecorderFacts:
    interval = trace.interval_s if np.isfinite(trace.interval_s) else None
    return RecorderFacts(probes=len(trace.probes), interval_s=interval, inferred=trace.inferred)


def _summary(answer: Answer, requirements: Sequence[Requirement]) -> str:
    """One sentence: what was missed first, then what was and was not seen."""
    order = ("missed", "met", "not evidenced")
    told = [item for item in requirements if item.said and item.outcome in order]
    if answer == "unclear":
        order = ("missed", "not evidenced", "met")
    told.sort(key=lambda item: order.index(item.outcome))
    sentence = "; ".join(item.said for item in told)
    return f"{sentence[:1].upper()}{sentence[1:]}."


def _findings(judgement: Judgement, samples: Samples) -> tuple[Finding, ...]:
    findings = [finding for item in judgement.requirements for finding in item.findings]
    for kind in DoubtKind:
        of_kind = [doubt for doubt in samples.doubts if doubt.kind is kind]
        findings += [_told(doubt) for doubt in of_kind[:_DOUBTS_TOLD]]
    if samples.interval_s > _COARSE_S:
        interval = Measure(value=samples.interval_s, unit="s")
        findings.append(wording.COARSE.finding(evidence={"interval": interval}))
    return tuple(worst_first(findings))


def _told(doubt: Doubt) -> Finding:
    evidence: dict[str, Measure | int | str] = {
        "start": Measure(value=doubt.start_s, unit="s"),
        "end": Measure(value=doubt.end_s, unit="s"),
    }
    if doubt.channel:
        evidence["channel"] = doubt.channel
    return wording.DOUBTS[doubt.kind.value].finding(evidence=evidence)
