"""Cleaning: a washer's record says nothing of it but what was dosed, where that is recorded."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement, at_least, more_than_none, outcome_of
from sinkside.cycles.trace import Channel
from sinkside.cycles.verdict import Criterion
from sinkside.department import Program, WasherPhaseName
from sinkside.errors import BadQuantity
from sinkside.findings import Finding, Measure

_CRITERION: Final = "detergent-dose"
_DETERGENT: Final = re.compile(r"deterg|reinig|clean|enzym|alk|dos|wash|chem|limpi|lavag", re.IGNORECASE)


def judge_cleaning(
    program: Program, doses: Sequence[Channel], phases: Requirement, sprayed: Requirement
) -> Requirement:
    """Cleaning: missed where nothing was dosed, nothing was sprayed or a phase was missed.

    It is met only where the program itself says what of it a record must show; a dose alone cleans nothing.

    Args:
        program: What the cycle had to do.
        doses: Volumes that the machine recorded as dosed; none where the record ends before washing is over.
        phases: What came of pre-rinse, wash and rinse.
        sprayed: What came of spray arms, pump, ports and conductivity.
    """
    dosed, findings = _dosed(program, doses)
    criteria = (*dosed, *sprayed.criteria)
    findings += sprayed.findings
    outcome = outcome_of(criteria)
    if outcome == "missed":
        return Requirement("cleaning", "missed", criteria, _why_missed(dosed, sprayed), tuple(findings))
    if phases.outcome == "missed":
        return Requirement("cleaning", "missed", criteria, "cleaning not met", blocking=False)
    if sprayed.blocking and sprayed.outcome == "not evidenced":
        return Requirement("cleaning", "not evidenced", criteria, sprayed.said)
    if program.cleaning is not None and dosed and outcome == "met":
        return Requirement("cleaning", "met", criteria, "cleaning met as far as the program asks a record")
    beyond = " beyond " + " and ".join(_shown(dosed, sprayed)) if criteria else ""
    said = f"cleaning not evidenced{beyond}"
    return Requirement("cleaning", "not evidenced", criteria, said, blocking=False)


def _dosed(program: Program, doses: Sequence[Channel]) -> tuple[tuple[Criterion, ...], list[Finding]]:
    criteria, findings = [], []
    for channel in _detergents(doses):
        required = _required_ml(program)
        dosed = float(np.nanmax(channel.values))
        criterion = at_least(_CRITERION, required, dosed, "mL") if required else None
        criteria.append(criterion or more_than_none(_CRITERION, dosed, "mL"))
        if not criteria[-1].met:
            findings.append(_nothing(channel, dosed, required))
    return tuple(criteria), findings


def _why_missed(dosed: Sequence[Criterion], sprayed: Requirement) -> str:
    short = [criterion.measured or 0.0 for criterion in dosed if criterion.met is False]
    return f"cleaning not met ({min(short):g} mL of detergent dosed)" if short else sprayed.said


def _shown(dosed: Sequence[Criterion], sprayed: Requirement) -> list[str]:
    return (["the dose"] if dosed else []) + (["the spray"] if sprayed.criteria else [])


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
