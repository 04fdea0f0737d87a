"""Curves of a cycle's plot that stand beside probes and gauge: saturated steam, and what else was judged."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from sinkside.cycles import Trace, Verdict
from sinkside.cycles.beside import Beside, beside, unit_of, values_of
from sinkside.science.steam import saturation_temperature_c
from sinkside.science.validity import FloatArray

#: Room for so many below temperature and pressure.
_MOST: Final = 2

#: So long before and after exposure the temperature of saturated steam tells something.
_AROUND_S: Final = 30.0

#: Where criteria begin, by what they are judged on; a pump's pressure is no chamber's and has its figure.
_JUDGED_ON: Final = (
    ("concentration", Beside.concentration),
    ("humidity", Beside.humidity),
    ("power", Beside.power),
    ("frequency", Beside.frequency),
    ("spray-arm", Beside.spray_arm),
    ("conductivity", Beside.conductivity),
)


def saturated_steam(trace: Trace, verdict: Verdict) -> FloatArray | None:
    """The temperature of saturated steam at the recorded pressure, in °C around exposure, NaN elsewhere."""
    exposure = next((phase for phase in verdict.phases if phase.name == "exposure"), None)
    judged = any(criterion.id == "saturation" for criterion in verdict.criteria)
    if exposure is None or trace.pressure is None or not judged:
        return None
    times = trace.elapsed_s
    near = (times >= exposure.start_s - _AROUND_S) & (times <= exposure.end_s + _AROUND_S)
    saturated: FloatArray = saturation_temperature_c(trace.pressure.values, outside="nan")
    return np.where(near, saturated, np.nan)


def judged_beside(trace: Trace, verdict: Verdict) -> Iterator[tuple[str, list[tuple[str, FloatArray]]]]:
    """What else was recorded and judged: the unit, and each channel's name and values, for a panel each."""
    shown = 0
    for start, what in _JUDGED_ON:
        if shown == _MOST or not any(criterion.id.startswith(start) for criterion in verdict.criteria):
            continue
        known = [
            (channel.name, values)
            for channel in beside(trace, what)
            if (values := values_of(channel, what)) is not None and np.isfinite(values).any()
        ]
        if known:
            shown += 1
            yield unit_of(what) or "1", known
    doses = [(channel.name, channel.values) for channel in trace.doses if np.isfinite(channel.values).any()]
    if doses and shown < _MOST and any(c.id == "detergent-dose" for c in verdict.criteria):
        yield "mL", doses
