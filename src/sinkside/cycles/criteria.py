"""What a program requires, each against what was recorded; and what that makes of the whole."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from sinkside.cycles.spans import Duration
from sinkside.cycles.verdict import Answer, Criterion, Outcome
from sinkside.findings import Finding

#: Conversion between units leaves dust below the last recorded digit; it decides nothing.
DUST = 1e-6

#: Above this share of a required time, the distance between samples decides about it.
_COARSE_SHARE = 0.02
_FINE_S = 2.0


@dataclass(frozen=True)
class Requirement:
    """One thing that a cycle must do: what the record shows of it, the arithmetic, and the words.

    Attributes:
        name: As the verdict's evidence calls it.
        outcome: What the record shows.
        criteria: The arithmetic.
        said: A clause for the summary.
        findings: What a person should see beside it.
        blocking: Whether the verdict waits for it; not for what is evidenced otherwise.
    """

    name: str
    outcome: Outcome
    criteria: tuple[Criterion, ...] = ()
    said: str = ""
    findings: tuple[Finding, ...] = field(default=())
    blocking: bool = True


def at_least(criterion: str, required: float, measured: float, unit: str) -> Criterion:
    """A criterion that asks for as much or more.

    >>> at_least("exposure-time", 240.0, 247.0, "s").met
    True
    """
    met = measured >= required - DUST
    return Criterion(
        id=criterion, required=required, measured=measured, unit=unit, margin=measured - required, met=met
    )


def at_most(criterion: str, required: float, measured: float, unit: str) -> Criterion:
    """A criterion that asks for as much or less."""
    met = measured <= required + DUST
    return Criterion(
        id=criterion, required=required, measured=measured, unit=unit, margin=required - measured, met=met
    )


def more_than_none(criterion: str, measured: float, unit: str) -> Criterion:
    """A criterion that asks for anything at all."""
    return Criterion(
        id=criterion, required=0.0, measured=measured, unit=unit, margin=measured, met=measured > DUST
    )


def unjudged(criterion: str, required: float, unit: str, measured: float | None = None) -> Criterion:
    """A criterion that the record does not let be judged; what was seen of it may be told."""
    return Criterion(id=criterion, required=required, measured=measured, unit=unit)


def time_at_least(criterion: str, required_s: float, duration: Duration, interval_s: float) -> Criterion:
    """A time of at least so long; unjudged where the samples are too far apart to tell.

    >>> time_at_least("exposure-time", 240.0, Duration(240.0, 180.0, 300.0), 60.0).met is None
    True
    """
    if math.isfinite(interval_s) and interval_s > max(_FINE_S, _COARSE_SHARE * required_s):
        if duration.least < required_s - DUST <= duration.most:
            return unjudged(criterion, required_s, "s", duration.measured)
        if duration.least >= required_s - DUST:
            return at_least(criterion, required_s, max(duration.measured, duration.least), "s")
    return at_least(criterion, required_s, duration.measured, "s")


def outcome_of(criteria: Iterable[Criterion]) -> Outcome:
    """What several criteria make together: one missed is missed, one unjudged leaves it open.

    >>> outcome_of([at_least("a", 1.0, 2.0, "s"), unjudged("b", 1.0, "s")])
    'not evidenced'
    """
    met = [criterion.met for criterion in criteria]
    if any(answer is False for answer in met):
        return "missed"
    return "met" if met and all(met) else "not evidenced"


def answer_of(requirements: Iterable[Requirement]) -> Answer:
    """The verdict that requirements make: never `meets` by default."""
    outcomes = [item.outcome for item in requirements if item.blocking and item.outcome != "not required"]
    if "missed" in outcomes:
        return "fails"
    return "meets" if outcomes and set(outcomes) == {"met"} else "unclear"
