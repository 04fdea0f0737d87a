"""The median of samples, as often as judging asks for it."""

from __future__ import annotations

import numpy as np

from sinkside.science.validity import FloatArray


def median_of(values: FloatArray) -> float:
    """The median of an array of any shape; NaN if any value is, or there is none.

    The same to the last bit as the library's, whose preparations cost more than the few hundred samples of a
    plateau.

    >>> median_of(np.array([3.0, 1.0, 2.0])), median_of(np.array([4.0, 1.0, 2.0, 3.0]))
    (2.0, 2.5)
    """
    if not values.size:
        return float("nan")
    ordered = np.sort(values, axis=None)
    # What is missing is sorted to the end.
    if np.isnan(ordered[-1]):
        return float("nan")
    return float(0.5 * (ordered[(ordered.size - 1) // 2] + ordered[ordered.size // 2]))
