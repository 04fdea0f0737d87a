"""Cleaning: a washer's record says nothing of it but what was dosed, where that is recorded."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement, at_least, more_than_none
from sinkside.cycles.trace import Channel
from sinkside.department import Program, WasherPhaseName
from sinkside.errors import BadQuantity
from sinkside.findings import Finding, Measure

_CRITERION: Final = "detergent-dose"
_DETERGENT: Final = re.compile(r"deterg|reinig|clean|enzym|alk|dos|wash|chem|limpi|lavag", re.IGNORECASE)


def judge_cleaning(program: Program, doses: Sequence[Channel], phases: Requirement) -> Requirement:
    """Cleaning is never met by a record; it is missed where nothing was dosed or a phase was missed.

    Args:
        program: What the cycle had to do.
        doses: Volumes that the machine recorded as dosed; none where the record ends before washing is over.
        phases: What came of pre-rinse, wash and rinse.
    """
    criteria, findings = [], []
    for channel in _detergents(doses):
        required = _required_ml(program)
        dosed = float(np.nanmax(channel.values))
        criterion = at_least(_CRITERION, required, dosed, "mL") if required else None
        criteria.append(criterion or more_than_none(_CRITERION, dosed, "mL"))
        if not criteria[-1].met:
            findings.append(_nothing(channel, dosed, required))
    if findings:
        lowest = min(criterion.measured or 0.0 for criterion in criteria)
        said = f"cleaning not met ({lowest:g} mL of detergent dosed)"
        return Requirement("cleaning", "missed", tuple(criteria), said, tuple(findings))
    if phases.outcome == "missed":
        return Requirement("cleaning", "missed", tuple(criteria), "cleaning not met", blocking=False)
    beyond = " beyond the dose" if criteria else ""
    said = f"cleaning not evidenced{beyond}"
    return Requirement("cleaning", "not evidenced", tuple(criteria), said, blocking=False)


def _detergents(doses: Sequence[Channel]) -> list[Channel]:
    """Channels of detergent with readings; a single dose without a telling name is taken for it."""
    filled = [channel for channel in doses if np.isfinite(channel.values).any()]
    return filled if len(filled) == 1 else [c for c in filled if _DETERGENT.search(c.name)]


def _required_ml(program: Program) -> float:
    """The program's dose as a volume; 0 where it states none, or a concentration."""
    for phase in program.phases:
        if phase.name is WasherPhaseName.wash and phase.dose is not None:
            try:
                return phase.dose.to("mL")
            except BadQuantity:
                return 0.0
    return 0.0


def _nothing(channel: Channel, dosed_ml: float, required_ml: float) -> Finding:
    return wording.NOTHING_DOSED.finding(
        evidence={
            "channel": channel.name,
            "measured": Measure(value=dosed_ml, unit="mL"),
            "required": f"{required_ml:g} mL" if required_ml else "more than nothing",
        }
    )
