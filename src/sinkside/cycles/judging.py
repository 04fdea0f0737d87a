"""From a trace and a program to a verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.baths import judge_bath, judge_ultrasonic
from sinkside.cycles.criteria import Requirement, answer_of
from sinkside.cycles.figures_for_trend import figures_for_trend
from sinkside.cycles.gas import judge_cabinet, judge_gas
from sinkside.cycles.judgement import Judgement
from sinkside.cycles.labels import counter_findings, label_findings, remark_findings
from sinkside.cycles.leak import judge_leak
from sinkside.cycles.one_cycle import judge_one_cycle
from sinkside.cycles.placing import placed
from sinkside.cycles.reading import Reading, read_trace
from sinkside.cycles.steam import judge_steam, steam_evidence
from sinkside.cycles.trace import Trace
from sinkside.cycles.trust import Doubt, DoubtKind, Samples, believable
from sinkside.cycles.verdict import Answer, RecorderFacts, Verdict
from sinkside.cycles.washer import judge_washer
from sinkside.department import Program, ProgramKind
from sinkside.findings import Finding, Measure, worst_first
from sinkside.limits import Profile
from sinkside.limits import profile as limits_profile

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
        BadInput: if the file cannot be read, or its units cannot be told.
    """
    needed = replace(reading or Reading(), needs_pressure=program.needs_pressure)
    return judge(read_trace(path, needed), program, profile=profile)


def judge(trace: Trace, program: Program, *, profile: str | Profile = "eu") -> Verdict:
    """What a trace proves about a cycle of a program. It is evidence: a qualified person releases.

    Args:
        trace: What the recorder wrote.
        program: What the cycle had to do.
        profile: The limits in force, by name or as a profile with a department's own overrides.

    Raises:
        BadInput: if the profile is unknown.
    """
    in_force = limits_profile(profile) if isinstance(profile, str) else profile
    samples = believable(trace)
    judgement = _judgement(samples, program, trace, in_force)
    evidence = steam_evidence(judgement.requirements) if program.under_steam else judgement.evidence
    further = judge_one_cycle(samples, program, judgement.phases)
    judgement = replace(judgement, requirements=(*judgement.requirements, *further))
    answer = answer_of(judgement.requirements)
    if trace.labels or trace.remarks or trace.counters:
        said = [
            *label_findings(trace, samples, judgement.phases),
            *remark_findings(trace, answer),
            *counter_findings(trace, judgement.values),
        ]
        judgement = replace(judgement, findings=(*judgement.findings, *said))
    criteria = (criterion for item in judgement.requirements for criterion in item.criteria)
    return Verdict(
        trace=trace.name,
        program=program.name,
        profile=in_force.name,
        verdict=answer,
        evidence=evidence,
        summary=_summary(answer, judgement.requirements),
        recorder=_recorder(trace),
        phases=judgement.phases,
        criteria=tuple(placed(criteria, judgement.phases, samples)),
        values=figures_for_trend(samples, program, judgement.phases, trace.channels) | judgement.values,
        findings=_findings(judgement, samples),
    )


def _judgement(samples: Samples, program: Program, trace: Trace, in_force: Profile) -> Judgement:
    """What the record comes to by the program's kind."""
    kind = program.kind
    if program.under_steam:
        names = tuple(probe.name for probe in trace.probes)
        return judge_steam(samples, program, profile=in_force, names=names)
    if kind is ProgramKind.washer_disinfector:
        return judge_washer(samples, program, trace)
    if kind is ProgramKind.leak_rate:
        return judge_leak(samples, program, in_force)
    if kind is ProgramKind.thermal_disinfection:
        return judge_bath(samples, program)
    judges = {ProgramKind.ultrasonic: judge_ultrasonic, ProgramKind.drying_cabinet: judge_cabinet}
    return judges.get(kind, judge_gas)(samples, program, trace)


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
    findings += judgement.findings
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
    if doubt.instead:
        evidence["instead"] = doubt.instead
    return wording.DOUBTS[doubt.kind.value].finding(evidence=evidence)
