"""Stretches of samples: where something holds without a break, and for how long."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from sinkside.science.validity import FloatArray

Mask = npt.NDArray[np.bool_]
Indices = npt.NDArray[np.intp]

_ZERO: Final[Indices] = np.zeros(1, dtype=np.intp)
_NONE: Final[Indices] = np.zeros(0, dtype=np.intp)


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
    firsts, lasts = span_ends(mask, breaks)
    return [Span(first, last) for first, last in zip(firsts.tolist(), lasts.tolist(), strict=True)]


def span_ends(mask: Mask, breaks: Mask | None = None) -> tuple[Indices, Indices]:
    """The first and the last sample of each stretch where a mask holds; as `spans_of`, for many stretches.

    >>> [ends.tolist() for ends in span_ends(np.array([True, True, False, True]))]
    [[0, 3], [1, 3]]
    """
    if not mask.any():
        return _NONE, _NONE
    turns = np.flatnonzero(mask[1:] != mask[:-1]) + 1
    edges = np.concatenate((_ZERO[: int(mask[0])], turns, _ZERO[: int(mask[-1])] + mask.size))
    firsts, lasts = edges[0::2], edges[1::2] - 1
    if breaks is None:
        return firsts, lasts
    cut = np.flatnonzero(breaks & mask[1:] & mask[:-1])
    return np.sort(np.concatenate((firsts, cut + 1))), np.sort(np.concatenate((lasts, cut)))


def duration_of(span: Span, times_s: FloatArray, breaks: Mask | None = None) -> Duration:
    """How long a span was.

    Args:
        span: Of samples.
        times_s: Shape (n,).
        breaks: Shape (n - 1,); where the record hides what followed the last sample, that is not counted.

    >>> duration_of(Span(1, 2), np.array([0.0, 1.0, 2.0, 3.0]))
    Duration(measured=2.0, least=1.0, most=3.0)
    >>> hidden = np.array([False, False, True])
    >>> duration_of(Span(1, 2), np.array([0.0, 1.0, 2.0, 99.0]), hidden).measured
    1.0
    """
    before, after = max(span.first - 1, 0), min(span.last + 1, times_s.size - 1)
    least = float(times_s[span.last] - times_s[span.first])
    hides_exit = breaks is not None and span.last < breaks.size and bool(breaks[span.last])
    measured = least if hides_exit else float(times_s[after] - times_s[span.first])
    return Duration(measured, least, float(times_s[after] - times_s[before]))
