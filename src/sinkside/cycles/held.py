"""Something that must hold without a break for a time: in range, in all that is asked, at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import DUST, Requirement, at_least, at_most, outcome_of, time_at_least, unjudged
from sinkside.cycles.spans import Duration, Mask, Span, duration_of, spans_of
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion
from sinkside.findings import Finding, Measure
from sinkside.science.validity import FloatArray

#: As for steam: a stay shorter than this share of the longest one is a touch of the range and no stay.
_TOUCH_SHARE: Final = 1 / 3
_NOTHING: Final = Duration(0.0, 0.0, 0.0)
_CUT: Final = "the record ends within it"


@dataclass(frozen=True, eq=False)
class Condition:
    """What must lie in a range: values of shape (k, n), None if not recorded, and both ends."""

    name: str
    values: FloatArray | None
    low: float
    high: float
    unit: str

    @property
    def inside(self) -> Mask:
        """Shape (n,): where all of it is in range, or not known to be outside."""
        values = np.empty((0, 0)) if self.values is None else self.values
        outside = (values < self.low - DUST) | (values > self.high + DUST)
        return np.asarray(~outside.any(axis=0))


@dataclass(frozen=True)
class Held:
    """A stay in range and what it comes to."""

    span: Span | None
    duration: Duration
    requirement: Requirement


def judge_held(
    samples: Samples, name: str, required_s: float, conditions: Sequence[Condition], *, start: int = 0
) -> Held:
    """Whether everything that is recorded stayed in range together for a time, from a sample on.

    Args:
        samples: As far as they can be believed.
        name: Of the requirement; `name`-time is the criterion of its length.
        required_s: How long.
        conditions: What must be in range; one that is not recorded leaves the requirement open.
        start: The first sample that counts.
    """
    recorded = [item for item in conditions if item.values is not None and item.values.size]
    absent = [item for item in conditions if item not in recorded]
    if not recorded:
        what = ", ".join(item.name for item in conditions) or "what it asks"
        criteria: tuple[Criterion, ...] = (unjudged(f"{name}-time", required_s, "s"),)
        said = f"{name} not evidenced (no record of {what})"
        return Held(None, _NOTHING, Requirement(name, "not evidenced", criteria, said))
    span = _stay(samples, recorded, start)
    duration = duration_of(span, samples.times_s) if span else _NOTHING
    time, why = _time(samples, f"{name}-time", required_s, span=span, conditions=recorded, start=start)
    criteria_of = [*_figures(recorded, span, start), *_open_figures(absent)]
    if time.met is None:
        criteria_of = [_left_open(criterion) for criterion in criteria_of]
    criteria = (time, *criteria_of)
    outcome = outcome_of(criteria)
    if not why and absent:
        why = f"no record of {', '.join(item.name for item in absent)}"
    findings = _findings(name, time, cut=why == _CUT)
    said = _said(name, outcome, time, why)
    return Held(span, duration, Requirement(name, outcome, criteria, said, findings))


def _stay(samples: Samples, recorded: Sequence[Condition], start: int) -> Span | None:
    """The first stay that is more than a touch; None if nothing was ever in range."""
    possible = np.logical_and.reduce([item.inside for item in recorded])
    possible[:start] = False
    seen = np.logical_and.reduce(
        [np.isfinite(item.values).any(axis=0) for item in recorded if item.values is not None]
    )
    stays = [span for span in spans_of(possible) if seen[span.samples].any()]
    if not stays:
        return None
    lengths = [float(samples.times_s[stay.last] - samples.times_s[stay.first]) for stay in stays]
    enough = _TOUCH_SHARE * max(lengths)
    return next(stay for stay, length in zip(stays, lengths, strict=True) if length >= enough)


def _time(
    samples: Samples,
    name: str,
    required_s: float,
    *,
    span: Span | None,
    conditions: Sequence[Condition],
    start: int,
) -> tuple[Criterion, str]:
    """The stay against its time, and why it cannot be judged, if so."""
    if not samples.clock_is_sound:
        return unjudged(name, required_s, "s"), "the clock was set"
    if span is None:
        return _never_in_range(samples, name, required_s, start)
    duration = duration_of(span, samples.times_s)
    criterion = time_at_least(name, required_s, duration, samples.interval_s)
    hidden_why = _hidden(samples, span, conditions)
    if hidden_why and duration.most >= required_s - DUST:
        return unjudged(name, required_s, "s", duration.measured), hidden_why
    if criterion.met:
        return criterion, ""
    if span.last == samples.last or (span.first == 0 and start == 0):
        why = _CUT if span.last == samples.last else "the record begins within it"
        return unjudged(name, required_s, "s", duration.measured), why
    return criterion, "samples too far apart" if criterion.met is None else ""


def _never_in_range(samples: Samples, name: str, required_s: float, start: int) -> tuple[Criterion, str]:
    """Nothing was in range: missed, if the record was long enough for it and hides nothing."""
    lasted = float(samples.times_s[-1] - samples.times_s[min(start, samples.last)])
    if lasted < required_s or bool(samples.breaks[start:].any()):
        return unjudged(name, required_s, "s"), "the record shows none"
    return at_least(name, required_s, 0.0, "s"), ""


def _hidden(samples: Samples, span: Span, conditions: Sequence[Condition]) -> str:
    around = slice(max(span.first - 1, 0), span.last + 1)
    if samples.breaks[around].any():
        return "the record has a gap there"
    edges = slice(max(span.first - 1, 0), span.last + 2)
    unknown = any(item.values is not None and np.isnan(item.values[:, edges]).any() for item in conditions)
    return "some of it cannot be relied on there" if unknown else ""


def _figures(recorded: Sequence[Condition], span: Span | None, start: int) -> list[Criterion]:
    """How far each thing was from the ends of its range: at worst in the stay, else at its best."""
    criteria = []
    for item in recorded:
        values = np.empty((1, 1)) if item.values is None else item.values
        within = values[:, span.samples] if span else values[:, start:]
        if not np.isfinite(within).any():
            continue
        lowest, highest = np.nanmin(within, axis=0), np.nanmax(within, axis=0)
        worst = (np.nanmin(lowest), np.nanmax(highest)) if span else (np.nanmax(lowest), np.nanmin(highest))
        if math.isfinite(item.low):
            criteria.append(at_least(f"{item.name}-least", item.low, float(worst[0]), item.unit))
        if math.isfinite(item.high):
            criteria.append(at_most(f"{item.name}-most", item.high, float(worst[1]), item.unit))
    return criteria


def _open_figures(absent: Sequence[Condition]) -> list[Criterion]:
    return [
        unjudged(f"{item.name}-{end}", value, item.unit)
        for item in absent
        for end, value in (("least", item.low), ("most", item.high))
        if math.isfinite(value)
    ]


def _left_open(criterion: Criterion) -> Criterion:
    """A figure of a stay that cannot be judged; it was seen and settles nothing."""
    return criterion.model_copy(update={"met": None, "margin": None})


def _findings(name: str, time: Criterion, *, cut: bool) -> tuple[Finding, ...]:
    if cut:
        return (wording.CUT_OFF.finding(evidence={"phase": name}),)
    if time.met is not False:
        return ()
    evidence: dict[str, Measure | int | str] = {
        "phase": name,
        "measured": Measure(value=time.measured or 0.0, unit="s"),
        "required": Measure(value=time.required, unit="s"),
    }
    return (wording.STAY_SHORT.finding(evidence=evidence),)


def _said(name: str, outcome: str, time: Criterion, why: str) -> str:
    if outcome == "not evidenced":
        return f"{name} not evidenced ({why or 'part of it cannot be judged'})"
    return f"{name} {outcome} ({time.measured or 0.0:.0f} s in range; {time.required:.0f} s required)"
