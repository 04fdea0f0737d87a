"""Air that is left in a chamber after pulses, if it mixes ideally with the steam."""

from __future__ import annotations

import math
from collections.abc import Sequence


def air_left_by_mixing(pulses: Sequence[tuple[float, float]]) -> float:
    """The share of the air that is left after pulses, each from a higher to a lower pressure.

    It is the best that pulses can do: packages and lumens mix worse, and a leak adds air again.

    Args:
        pulses: For each pulse the absolute pressure from which and to which gas was taken out, in any one
            unit; both above zero, the first not the lower.

    Raises:
        ValueError: if a pulse takes nothing out.

    Source: ideal gas at constant temperature, ideal mixing: each removal leaves the share low/high.

    >>> round(air_left_by_mixing([(2.0, 0.1)] * 3), 6)
    0.000125
    """
    for high, low in pulses:
        if not 0.0 < low <= high:
            raise ValueError(
                f"a pulse goes from a higher to a lower pressure above zero, not {high:g} to {low:g}"
            )
    return math.prod(low / high for high, low in pulses)
