"""What a cycle's record comes to, before it is put into a verdict."""

from __future__ import annotations

from dataclasses import dataclass, field

from sinkside.cycles.criteria import Requirement
from sinkside.cycles.spans import Span
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import MeasuredValue, Outcome, PhaseSpan
from sinkside.findings import Finding


@dataclass(frozen=True)
class Judgement:
    """Requirements with their outcomes, phases, values, and findings that belong to no requirement."""

    requirements: tuple[Requirement, ...]
    phases: tuple[PhaseSpan, ...]
    values: dict[str, MeasuredValue]
    findings: tuple[Finding, ...] = field(default=())

    @property
    def evidence(self) -> dict[str, Outcome]:
        """What the record shows of each requirement."""
        return {item.name: item.outcome for item in self.requirements}


def phase_of(name: str, span: Span, samples: Samples) -> PhaseSpan:
    """A phase for people and plots: from its first sample to the first one after it."""
    last = min(span.last + 1, samples.last)
    return PhaseSpan(
        name=name, start_s=float(samples.times_s[span.first]), end_s=float(samples.times_s[last])
    )
