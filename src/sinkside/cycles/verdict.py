"""A verdict: what a trace proves about a cycle, and nothing more (the shape that `judge --json` prints)."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sinkside.documents import Value
from sinkside.findings import Finding

#: What the record shows of one thing that a cycle must do.
Outcome = Literal["met", "missed", "not evidenced", "not required"]

Answer = Literal["meets", "unclear", "fails"]


class RecorderFacts(Value):
    """How the record was made, and what its file left unsaid and was told from something else."""

    probes: int
    interval_s: float | None = None
    inferred: tuple[str, ...] = ()


class PhaseSpan(Value):
    """One phase of the cycle, in seconds since the first sample."""

    name: str
    start_s: float
    end_s: float


class Criterion(Value):
    """One figure that the program requires against what was recorded.

    `measured`, `margin` and `met` are left out where the record does not let it be judged. The margin is
    positive on the good side. `start_s` and `end_s` say where in the record it was judged.
    """

    id: str
    required: float
    measured: float | None = None
    unit: str
    margin: float | None = None
    met: bool | None = None
    start_s: float | None = None
    end_s: float | None = None


class MeasuredValue(Value):
    """A value computed from the record; a lethality carries its reference and the span of the sensors."""

    value: float
    unit: str
    low: float | None = None
    high: float | None = None
    reference_c: float | None = None
    z_k: float | None = None


class Verdict(Value):
    """What a trace proves. It is evidence: a qualified person releases."""

    trace: str
    program: str
    profile: str
    verdict: Answer
    evidence: dict[str, Outcome]
    summary: str
    recorder: RecorderFacts
    phases: tuple[PhaseSpan, ...] = ()
    criteria: tuple[Criterion, ...] = ()
    values: dict[str, MeasuredValue] = Field(default={})
    findings: tuple[Finding, ...] = ()


class Unread(Value):
    """A file that could not be read or judged, and why."""

    trace: str
    error: str
