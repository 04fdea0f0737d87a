"""Spray arms, pump, connected ports and the last water's conductivity, where they are recorded."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.beside import Beside, beside, unit_of, values_of
from sinkside.cycles.criteria import Requirement, at_least, at_most, outcome_of, unjudged
from sinkside.cycles.spans import Span
from sinkside.cycles.trace import Trace
from sinkside.cycles.verdict import Criterion
from sinkside.cycles.washer_cycle import Cycle, PhaseFound
from sinkside.department import Cleaning, WasherPhaseName
from sinkside.findings import Finding, Measure
from sinkside.quantities import Range
from sinkside.science.validity import FloatArray

#: So long after a phase begins and before it ends, pump and arms may be starting and stopping.
_SETTLES_SHARE: Final = 0.1

#: A stop for less than this share of a phase is a stop for a change of water.
_STOPPED_SHARE: Final = 0.1

#: What nobody asks for is missed only where it stood still: by what it is asked for at least.
_MOVES: Final = {Beside.spray_arm: 1.0, Beside.pump_pressure: 1.0}

_NAMES: Final = {
    Beside.spray_arm: "spray-arm",
    Beside.pump_pressure: "pump-pressure",
    Beside.ports: "connected-ports",
    Beside.conductivity: "conductivity",
}


def sprayed(cycle: Cycle, found: Sequence[PhaseFound], trace: Trace) -> Requirement:
    """What the record shows of spray, pump, ports and last water; asked by the program, or just recorded.

    Args:
        cycle: The washer's record.
        found: Its phases.
        trace: For the channels.
    """
    asked = cycle.program.cleaning or Cleaning()
    criteria: list[Criterion] = []
    wash = _settled(found)
    for what, span in ((Beside.spray_arm, asked.spray_arm), (Beside.pump_pressure, asked.pump_pressure)):
        criteria += _while_washing(trace, what, span, wash)
    if asked.ports is not None:
        criteria.append(_ports(trace, wash, asked.ports))
    if asked.conductivity is not None:
        criteria.append(_conductivity(cycle, trace, asked.conductivity))
    if not criteria:
        return Requirement("sprayed", "not required", blocking=False)
    outcome = outcome_of(criteria)
    missed = [criterion for criterion in criteria if criterion.met is False]
    opened = [criterion.id.replace("-", " ") for criterion in criteria if criterion.met is None]
    said = f"cleaning not met ({', '.join(c.id.replace('-', ' ') for c in missed)})"
    if outcome == "not evidenced":
        said = f"cleaning not evidenced ({', '.join(opened)} cannot be judged)"
    findings = tuple(_finding(criterion) for criterion in missed)
    asks = cycle.program.cleaning is not None
    return Requirement("sprayed", outcome, tuple(criteria), said, findings, blocking=asks or bool(missed))


def _settled(found: Sequence[PhaseFound]) -> Span | None:
    """The wash without its ends; None where it was not found."""
    wash = next((item for item in found if item.phase.name is WasherPhaseName.wash), None)
    stay = wash.possible if wash else None
    if stay is None:
        return None
    edge = int(_SETTLES_SHARE * (stay.span.last - stay.span.first))
    return Span(stay.span.first + edge, stay.span.last - edge)


def _while_washing(trace: Trace, what: Beside, asked: Range | None, wash: Span | None) -> list[Criterion]:
    """A criterion for each channel of a kind: what it was during the wash, short stops left aside."""
    unit = unit_of(what) or "1"
    low = asked.bounds(unit)[0] if asked else _MOVES[what]
    known = [values for one in beside(trace, what) if (values := values_of(one, what)) is not None]
    if not known or wash is None:
        return [unjudged(_NAMES[what], low, unit)] if asked else []
    criteria = []
    for values in known:
        within = _above_rest(values, what, recorded=asked is None)[wash.samples]
        if np.isnan(within).all():
            criteria.append(unjudged(_NAMES[what], low, unit))
            continue
        criteria.append(at_least(_NAMES[what], low, float(np.nanquantile(within, _STOPPED_SHARE)), unit))
    return criteria


def _above_rest(values: FloatArray, what: Beside, *, recorded: bool) -> FloatArray:
    """A pump's pressure above that at rest: whether it was written absolute or gauge then does not matter."""
    if what is Beside.pump_pressure and recorded and np.isfinite(values).any():
        return values - float(np.nanmin(values))
    return values


def _ports(trace: Trace, wash: Span | None, asked: int) -> Criterion:
    known = beside(trace, Beside.ports)
    if not known or wash is None or np.isnan(known[0].values[wash.samples]).any():
        return unjudged(_NAMES[Beside.ports], asked, "1")
    return at_least(_NAMES[Beside.ports], asked, float(known[0].values[wash.samples].min()), "1")


def _conductivity(cycle: Cycle, trace: Trace, asked: Range) -> Criterion:
    """Of the last water: the median over the plateau, which stands in it."""
    name, high = _NAMES[Beside.conductivity], asked.bounds("µS/cm")[1]
    known = [
        values
        for one in beside(trace, Beside.conductivity)
        if (values := values_of(one, Beside.conductivity)) is not None
    ]
    if not known or cycle.plateau is None or np.isnan(known[0][cycle.plateau.span.samples]).any():
        return unjudged(name, high, "µS/cm")
    return at_most(name, high, float(np.median(known[0][cycle.plateau.span.samples])), "µS/cm")


def _finding(criterion: Criterion) -> Finding:
    evidence: dict[str, Measure | int | str] = {
        "what": criterion.id.replace("-", " ").capitalize(),
        "measured": Measure(value=criterion.measured or 0.0, unit=criterion.unit),
        "required": Measure(value=criterion.required, unit=criterion.unit),
    }
    return wording.NOT_SPRAYED.finding(evidence=evidence)
