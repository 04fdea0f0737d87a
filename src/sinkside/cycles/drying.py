"""Drying of a steam cycle: total time after exposure below the drying vacuum."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.air_removal import BETWEEN_FALLS_PA
from sinkside.cycles.criteria import Requirement, time_at_least, unjudged
from sinkside.cycles.spans import Duration
from sinkside.cycles.steam_phases import SteamPhases, ends_at_atmosphere, is_settled
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion
from sinkside.department import Program
from sinkside.findings import Finding, Measure
from sinkside.science.validity import FloatArray

_CRITERION: Final = "drying-time"
_CUT: Final = "the record ends before"


def judge_steam_drying(samples: Samples, phases: SteamPhases, program: Program) -> Requirement:
    """Whether drying lasted as long as the program says."""
    drying = program.drying
    if drying is None:
        return Requirement("drying", "not required")
    required_s = drying.time.to("s")
    vacuum_pa = drying.vacuum.to("kPa") * 1000.0
    if samples.pressure_pa is None:
        return _open(required_s, "no pressure")
    if phases.tried is None:
        return _open(required_s, "the record shows no exposure")
    low, high = _below(samples, samples.pressure_pa, phases.tried.last + 1, vacuum_pa)
    seen = Duration(low, low - samples.interval_s, low + samples.interval_s)
    criterion = time_at_least(_CRITERION, required_s, seen, samples.interval_s)
    over = _is_over(samples, phases.tried.last + 1)
    why = _why_open(samples, criterion, over=over, could_be_enough=high >= required_s)
    if why:
        cut = [wording.CUT_OFF.finding(evidence={"phase": "drying"})] if why == _CUT else []
        return _open(required_s, why, low, cut)
    if criterion.met:
        return Requirement("drying", "met", (criterion,), f"drying met ({_minutes(low)})")
    return _missed(criterion, vacuum_pa)


def _why_open(samples: Samples, criterion: Criterion, *, over: bool, could_be_enough: bool) -> str:
    """Why the record does not settle drying; '' if it does."""
    if not samples.clock_is_sound:
        return "the clock was set"
    if criterion.met is None:
        return "samples too far apart"
    if criterion.met:
        return ""
    if not over:
        return _CUT
    return "the record hides part of it" if could_be_enough else ""


def _is_over(samples: Samples, start: int) -> bool:
    """Whether the record shows the end of drying: back at the atmosphere, out of a vacuum or to stay."""
    after = None if samples.pressure_pa is None else samples.pressure_pa[start:]
    if after is None or not after.size or not ends_at_atmosphere(samples):
        return False
    return bool((after < BETWEEN_FALLS_PA).any()) or is_settled(samples)


def _missed(criterion: Criterion, vacuum_pa: float) -> Requirement:
    measured_s = criterion.measured or 0.0
    finding = wording.DRYING_SHORT.finding(
        evidence={
            "measured": Measure(value=measured_s, unit="s"),
            "required": Measure(value=criterion.required, unit="s"),
            "vacuum": Measure(value=vacuum_pa / 1000.0, unit="kPa"),
        }
    )
    said = f"drying missed ({_minutes(measured_s)}; {_minutes(criterion.required)} required)"
    return Requirement("drying", "missed", (criterion,), said, (finding,))


def _below(samples: Samples, pressure_pa: FloatArray, start: int, vacuum_pa: float) -> tuple[float, float]:
    """Seconds below the vacuum from a sample on: as recorded, and with all that is hidden counted too."""
    steps = np.diff(samples.times_s)[start:]
    below = (pressure_pa < vacuum_pa)[start:-1]
    hidden = samples.breaks[start:] | np.isnan(pressure_pa[start:-1])
    recorded = float(steps[below & ~hidden].sum())
    return recorded, recorded + float(steps[hidden].sum())


def _open(
    required_s: float, why: str, measured_s: float | None = None, findings: Sequence[Finding] = ()
) -> Requirement:
    criteria = (unjudged(_CRITERION, required_s, "s", measured_s),)
    return Requirement("drying", "not evidenced", criteria, f"drying not evidenced ({why})", tuple(findings))


def _minutes(seconds: float) -> str:
    """Seconds for a sentence."""
    return f"{seconds / 60.0:.1f}".removesuffix(".0") + " min"
