"""A washer's record with its plateau, its phases and the beginning of drying found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import DUST, more_than_none, time_at_least, unjudged
from sinkside.cycles.plateau import Plateau
from sinkside.cycles.spans import Duration
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion
from sinkside.cycles.washer_phases import WATER_CHANGE_S, Stay, required_s
from sinkside.department import Program, WasherPhase, WasherPhaseName
from sinkside.findings import Finding, Measure
from sinkside.science.validity import FloatArray

#: Disinfection is over once the water is so much cooler than the plateau.
_OVER_K: Final = 5.0
_SAMPLES_OF_A_PHASE: Final = 2.0

#: No machine disinfects so much hotter than its program asks; what dries does.
_FAR_HOTTER_K: Final = 8.0
_HOT: Final = (WasherPhaseName.disinfection, WasherPhaseName.drying)
_NOTHING: Final = Duration(0.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Cycle:
    """A washer's record with its plateau and the beginning of drying found."""

    samples: Samples
    program: Program
    cold_c: FloatArray
    plateau: Plateau | None
    drying_from: int | None

    @property
    def may_be_drying(self) -> bool:
        """Whether what was found is so much hotter than disinfection that it may be the air that dries."""
        ranges = [
            phase.temperature for phase in self.program.phases if phase.name in _HOT and phase.temperature
        ]
        lows = [span.min.to("°C") for span in ranges if span.min is not None]
        if self.plateau is None or self.drying_from is not None or len(lows) < len(_HOT):
            return False
        return self.plateau.level_c >= max(lows[0] + _FAR_HOTTER_K, lows[1])

    @property
    def end(self) -> int:
        """Where what counts towards disinfection ends: the sample where drying begins, or the end."""
        if self.drying_from is not None:
            return self.drying_from
        size = self.samples.times_s.size
        if self.plateau is None:
            return size
        # Cooler air may follow without any rise; what is left of the heat then is no disinfection.
        after = self.cold_c[self.plateau.span.last :]
        fallen = np.flatnonzero(after < self.plateau.level_c - _OVER_K)
        return int(fallen[0]) + self.plateau.span.last if fallen.size else size


@dataclass(frozen=True)
class PhaseFound:
    """A phase of the program, its id, its stay without and with what cannot be believed."""

    phase: WasherPhase
    id: str
    sure: Stay | None
    possible: Stay | None

    @property
    def is_disinfection(self) -> bool:
        """Whether it is the phase that disinfects."""
        return self.phase.name is WasherPhaseName.disinfection


def phase_time(cycle: Cycle, item: PhaseFound, *, over: bool) -> tuple[Criterion, list[Finding]]:
    """A phase's longest unbroken stay against its time; `over` is whether the record goes on beyond it."""
    required = required_s(item.phase)
    criterion_id = f"{item.id}-time"
    sure = item.sure.duration if item.sure else _NOTHING
    possible = item.possible.duration if item.possible else _NOTHING
    samples = cycle.samples
    if not samples.clock_is_sound:
        return unjudged(criterion_id, required, "s", sure.measured), []
    criterion = time_at_least(criterion_id, required, sure, samples.interval_s)
    if required <= 0.0:
        criterion = more_than_none(criterion_id, sure.measured, "s")
    if criterion.met or criterion.met is None:
        return criterion, []
    hidden = possible.most >= max(required, DUST) and possible.measured > sure.measured
    # Water changes, and phases shorter than two samples, pass between the lines of a slow recorder.
    unseen = samples.interval_s > WATER_CHANGE_S and (
        item.phase.temperature is None or required < _SAMPLES_OF_A_PHASE * samples.interval_s
    )
    if hidden or unseen or not over:
        return unjudged(criterion_id, required, "s", sure.measured), []
    evidence: dict[str, Measure | int | str] = {
        "phase": item.id,
        "measured": Measure(value=sure.measured, unit="s"),
        "required": Measure(value=required, unit="s"),
    }
    return criterion, [wording.PHASE_MISSED.finding(evidence=evidence)]
