"""The stays of a washer cycle in the ranges of its phases, and where the water changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles.criteria import DUST
from sinkside.cycles.spans import Duration, Mask, Span, duration_of, spans_of
from sinkside.cycles.trust import Samples
from sinkside.department import WasherPhase

#: New water changes the temperature by so much in so short a time; heating is slower.
_WATER_CHANGE_K: Final = 5.0
WATER_CHANGE_S: Final = 10.0

#: More stays than this for one phase are noise at the edge of its range; the longest are kept.
_MOST_STAYS: Final = 24


@dataclass(frozen=True)
class Stay:
    """An unbroken stay in a phase's range."""

    span: Span
    duration: Duration


@dataclass(frozen=True, eq=False)
class WaterChanges:
    """Where new water came in: between which samples (shape (n - 1,)), and which of them made it colder."""

    at: Mask
    colder: tuple[int, ...]


def required_s(phase: WasherPhase) -> float:
    """How long a phase must last; one without a time must only be there."""
    return phase.time.to("s") if phase.time else 0.0


def stays_of(
    samples: Samples,
    phases: Sequence[WasherPhase],
    index: int,
    *,
    changes: WaterChanges,
    end: int,
    doubtful: bool,
) -> list[Stay]:
    """The stays that may be a phase's, the longest first.

    Args:
        samples: As far as they can be believed.
        phases: Of the program, in order.
        index: Of the phase in question.
        changes: Of the water.
        end: Stays end before this sample.
        doubtful: Whether a gap or a reading that cannot be believed counts as in range.
    """
    phase = phases[index]
    inside = in_range(samples, phase, doubtful_counts=doubtful)
    inside[end:] = False
    breaks = None if doubtful else samples.breaks
    spans = set(spans_of(inside, changes.at if breaks is None else changes.at | breaks))
    if phase.temperature is not None:
        # A range can hold through a water change that no phase needs.
        spans |= set(spans_of(inside, breaks))
    else:
        spans |= _beside(spans, samples, phases, index)
    spans |= _shared(spans, phases, index, samples)
    stays = [Stay(span, duration_of(span, samples.times_s, breaks)) for span in spans]
    stays.sort(key=lambda stay: (-stay.duration.measured, stay.span.first))
    return stays[:_MOST_STAYS]


def _beside(spans: set[Span], samples: Samples, phases: Sequence[WasherPhase], index: int) -> set[Span]:
    """Parts of the stays of a phase without a range, up to or from a stay of its neighbours.

    New water at nearly the old temperature cannot be seen; the neighbour in its range can.
    """
    parts = set()
    for neighbour in (index - 1, index + 1):
        if not 0 <= neighbour < len(phases) or phases[neighbour].temperature is None:
            continue
        long = [
            other
            for other in spans_of(in_range(samples, phases[neighbour], doubtful_counts=True))
            if samples.times_s[other.last] - samples.times_s[other.first] > WATER_CHANGE_S
        ]
        for span in spans:
            for other in long[:_MOST_STAYS]:
                if neighbour > index and span.first < other.first <= span.last:
                    parts.add(Span(span.first, other.first - 1))
                if neighbour < index and span.first <= other.last < span.last:
                    parts.add(Span(other.last + 1, span.last))
    return parts


def _shared(spans: set[Span], phases: Sequence[WasherPhase], index: int, samples: Samples) -> set[Span]:
    """Parts of stays, for two phases of one name whose waters no temperature tells apart."""
    times = samples.times_s
    parts = set()
    for span in spans:
        if index + 1 < len(phases) and phases[index + 1].name is phases[index].name:
            cut = int(
                np.searchsorted(
                    times, times[span.first] + required_s(phases[index]) + 2.0 * samples.interval_s
                )
            )
            parts.add(Span(span.first, min(max(cut - 1, span.first), span.last)))
        if index > 0 and phases[index - 1].name is phases[index].name:
            cut = int(
                np.searchsorted(
                    times, times[span.first] + required_s(phases[index - 1]) + 2.0 * samples.interval_s
                )
            )
            if cut <= span.last:
                parts.add(Span(cut, span.last))
    return parts


def in_range(samples: Samples, phase: WasherPhase, *, doubtful_counts: bool) -> Mask:
    """Where every probe is in a phase's range."""
    low, high = phase.temperature.bounds("°C") if phase.temperature else (-np.inf, np.inf)
    within = (samples.probes_c >= low - DUST) & (samples.probes_c <= high + DUST)
    if doubtful_counts:
        within |= np.isnan(samples.probes_c)
    return np.asarray(within.all(axis=0))


def water_changes(samples: Samples) -> WaterChanges:
    """Where the water changed, told by a change quicker than any heating."""
    with np.errstate(invalid="ignore"):
        mean = samples.probes_c.mean(axis=0)
    times = samples.times_s
    ahead = np.minimum(np.searchsorted(times, times + WATER_CHANGE_S), times.size - 1)
    ahead = np.maximum(ahead, np.minimum(np.arange(times.size) + 1, times.size - 1))
    change = mean[ahead] - mean
    quick = (times[ahead] - times) <= WATER_CHANGE_S
    falls, rises = change < -_WATER_CHANGE_K, (change > _WATER_CHANGE_K) & quick
    at = np.zeros(times.size - 1, dtype=np.bool_)
    colder = []
    for span in spans_of((falls | rises)[:-1]):
        steps = np.diff(mean[span.first : int(ahead[span.last]) + 1])
        if np.isfinite(steps).any():
            steepest = span.first + int(np.nanargmax(np.abs(steps)))
            at[steepest] = True
            if bool(falls[span.first]):
                colder.append(steepest + 1)
    return WaterChanges(at, tuple(colder))
