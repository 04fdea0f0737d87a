"""F0 and A0 of a trace, with the span that the sensors leave."""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import MeasuredValue
from sinkside.department import Indicator
from sinkside.science.indicators import log_reduction
from sinkside.science.lethality import (
    F0_REFERENCE_C,
    F0_Z_K,
    Lethality,
    equivalent_time,
    f0,
    integration_excess,
)

#: Below this a gap hides less than a thousandth of any F0 that matters.
_COUNTS_FROM_C: Final = 90.0
_FEWEST: Final = 2


def measured_lethality(lethality: Lethality, tolerance_k: float) -> MeasuredValue:
    """A lethality as verdicts carry it."""
    low, high = lethality.bounds(tolerance_k)
    return MeasuredValue(
        value=lethality.value,
        unit=lethality.unit,
        low=low,
        high=high,
        reference_c=lethality.reference_c,
        z_k=lethality.z_k,
    )


def f0_of(samples: Samples) -> Lethality | None:
    """F0 of the whole record by its coldest probe at each moment; None where the record hides a part of it.

    Source: as in `sinkside.science.lethality.f0`; the trapezoid rule on the rate.
    """
    if not samples.probes_c.size or not samples.clock_is_sound:
        return None
    cold = samples.coldest_c
    if samples.is_whole and cold.size >= _FEWEST:
        return f0(samples.times_s, cold)
    # A probe without a reading may have been hot.
    counts = np.asarray((~(samples.probes_c < _COUNTS_FROM_C)).any(axis=0))
    hidden = samples.breaks & (counts[1:] | counts[:-1])
    known = np.isfinite(cold)
    # The coldest probe is no hotter than any that is known.
    unknown = ~known & ~(samples.probes_c < _COUNTS_FROM_C).any(axis=0)
    if hidden.any() or unknown.any() or int(known.sum()) < _FEWEST:
        return None
    return f0(samples.times_s[known], cold[known])


def coarse_excess(samples: Samples) -> float:
    """By what share the rule of integration alone moves F0; 0 where the record has none."""
    cold = samples.coldest_c
    known = np.isfinite(cold)
    if int(known.sum()) < _FEWEST:
        return 0.0
    return integration_excess(samples.times_s[known], cold[known], reference_c=F0_REFERENCE_C, z_k=F0_Z_K)


def reduction_of(samples: Samples, indicator: Indicator) -> MeasuredValue:
    """By how many decades the record reduces an indicator's spores, by the coldest probe at each moment."""
    cold = samples.coldest_c
    known = np.isfinite(cold)
    reference, z = indicator.reference.to("°C"), indicator.z.to("K")
    counted = equivalent_time(samples.times_s[known], cold[known], reference_c=reference, z_k=z)
    decades = log_reduction(counted.seconds, indicator.d_value.to("s"))
    return MeasuredValue(value=decades, unit="1", reference_c=reference, z_k=z)
