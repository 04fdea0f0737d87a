"""Stretches of samples: where something holds without a break, and for how long."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sinkside.science.validity import FloatArray

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Span:
    """Samples `first` to `last`, both included."""

    first: int
    last: int

    @property
    def samples(self) -> slice:
        """As an index."""
        return slice(self.first, self.last + 1)


@dataclass(frozen=True)
class Duration:
    """How long a span was, as recorded, and the bounds that the distance between samples leaves.

    `measured` runs from the first sample inside to the first sample outside. What began or ended between two
    samples may have been one interval longer or shorter at each end.
    """

    measured: float
    least: float
    most: float


def spans_of(mask: Mask, breaks: Mask | None = None) -> list[Span]:
    """The stretches of samples where a mask holds, in order.

    Args:
        mask: Shape (n,).
        breaks: Shape (n - 1,); true where a stretch must not run on from one sample to the next.

    >>> spans_of(np.array([True, True, False, True]))
    [Span(first=0, last=1), Span(first=3, last=3)]
    >>> spans_of(np.array([True, True, True]), np.array([False, True]))
    [Span(first=0, last=1), Span(first=2, last=2)]
    """
    if not mask.size:
        return []
    goes_on = mask[1:] & mask[:-1]
    if breaks is not None:
        goes_on &= ~breaks
    starts = mask & ~np.concatenate(([False], goes_on))
    ends = mask & ~np.concatenate((goes_on, [False]))
    pairs = zip(np.flatnonzero(starts).tolist(), np.flatnonzero(ends).tolist(), strict=True)
    return [Span(first, last) for first, last in pairs]


def duration_of(span: Span, times_s: FloatArray) -> Duration:
    """How long a span was.

    >>> duration_of(Span(1, 2), np.array([0.0, 1.0, 2.0, 3.0]))
    Duration(measured=2.0, least=1.0, most=3.0)
    """
    before, after = max(span.first - 1, 0), min(span.last + 1, times_s.size - 1)
    least = float(times_s[span.last] - times_s[span.first])
    measured = float(times_s[after] - times_s[span.first])
    return Duration(measured, least, float(times_s[after] - times_s[before]))
