"""Air removal: how many separate pulses the record shows before exposure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.criteria import Requirement, at_least, at_most, unjudged
from sinkside.cycles.spans import Mask, spans_of
from sinkside.cycles.steam_phases import SteamPhases, starts_at_atmosphere
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion
from sinkside.department import AirRemovalPhase, Program, ProgramKind
from sinkside.findings import Measure
from sinkside.science.air import air_left_by_mixing
from sinkside.science.validity import FloatArray

#: Two falls are separate when the pressure rose above this between them (Sinkside's own rule of counting).
BETWEEN_FALLS_PA: Final = 50_000.0

#: Two rises are separate when the pressure fell between them by this share of their height above 1 bar.
_FALLS_BACK: Final = 0.25
_ONE_BAR_PA: Final = 100_000.0

#: A pulse is over in less than a minute; samples further apart than this may miss it.
_INTERVAL_THAT_SHOWS_PULSES_S: Final = 5.0

#: And samples further apart than this show pulses, but not how far each went.
_INTERVAL_THAT_SHOWS_DEPTHS_S: Final = 2.0

_CRITERION: Final = "air-removal-pulses"
_LEFT: Final = "air-left"


@dataclass(frozen=True)
class Pulses:
    """What counts as a pulse: past `threshold` on the far side of `back`, in Pa absolute."""

    required: int
    threshold_pa: float
    back_pa: float
    rising: bool

    def count(self, pressure_pa: FloatArray) -> int:
        """How many separate pulses a stretch of pressure shows; NaN is passed over.

        >>> falls = Pulses(required=2, threshold_pa=15e3, back_pa=50e3, rising=False)
        >>> falls.count(np.array([100e3, 10e3, 40e3, 12e3, 60e3, 14e3, 90e3]))
        2
        """
        past, back = self.past(pressure_pa), self._is_back(pressure_pa)
        marks = np.where(past, 1, np.where(back, -1, 0))
        marks = marks[marks != 0]
        if not marks.size:
            return 0
        return int(marks[0] == 1) + int((np.diff(marks) > 0).sum())

    def past(self, pressure_pa: FloatArray) -> Mask:
        """Where the pressure is past the threshold."""
        beyond: Mask = pressure_pa > self.threshold_pa if self.rising else pressure_pa < self.threshold_pa
        return beyond

    def _is_back(self, pressure_pa: FloatArray) -> Mask:
        back: Mask = pressure_pa < self.back_pa if self.rising else pressure_pa > self.back_pa
        return back


def pulses_of(removal: AirRemovalPhase, kind: ProgramKind) -> Pulses | None:
    """What the program counts as a pulse; None if it states no pressure for its kind."""
    by_rises = kind is ProgramKind.steam_pulse or removal.vacuum is None
    if by_rises and removal.pressure is not None:
        above = removal.pressure.to("kPa") * 1000.0
        return Pulses(removal.pulses, above, above - _FALLS_BACK * abs(above - _ONE_BAR_PA), rising=True)
    if removal.vacuum is None:
        return None
    below = removal.vacuum.to("kPa") * 1000.0
    return Pulses(removal.pulses, below, max(BETWEEN_FALLS_PA, below), rising=False)


def judge_air_removal(
    samples: Samples, phases: SteamPhases, program: Program, *, left: float | None
) -> Requirement:
    """Whether the pulses before exposure were as many and as deep (or high) as the program says.

    Args:
        samples: As far as they can be believed.
        phases: Where exposure was.
        program: A program under steam.
        left: The share of the air that the pulses leave; None where it cannot be told.
    """
    removal = program.air_removal
    if removal is None:
        if program.kind is ProgramKind.steam_gravity:
            return Requirement("air_removal", "not required")
        said = "air removal not evidenced (the program states no pulses)"
        finding = wording.PULSES_UNSTATED.finding()
        return Requirement("air_removal", "not evidenced", said=said, findings=(finding,))
    pulses = pulses_of(removal, program.kind)
    if samples.pressure_pa is None or pulses is None:
        criteria = (unjudged(_CRITERION, removal.pulses, "1"),)
        return Requirement(
            "air_removal", "not evidenced", criteria, "air removal not evidenced (no pressure)"
        )
    end = phases.tried.first if phases.tried else samples.times_s.size
    before = samples.pressure_pa[:end]
    counted = _counted(pulses, before)
    if counted >= pulses.required:
        return _met(pulses, counted, removal, left)
    reason = _why_open(samples, phases, end)
    if not reason and samples.interval_s > _INTERVAL_THAT_SHOWS_DEPTHS_S:
        reason = _between_samples(pulses, before, samples.interval_s)
    if reason:
        criteria = (unjudged(_CRITERION, pulses.required, "1", counted),)
        return Requirement("air_removal", "not evidenced", criteria, f"air removal not evidenced ({reason})")
    return _missed(pulses, counted, before)


def _met(pulses: Pulses, counted: int, removal: AirRemovalPhase, left: float | None) -> Requirement:
    """Pulses enough; whether they leave no more air than the program allows, where it says."""
    criteria: tuple[Criterion, ...] = (at_least(_CRITERION, pulses.required, counted, "1"),)
    if removal.left is None:
        return Requirement("air_removal", "met", criteria, f"air removal met ({counted} pulses)")
    allowed = removal.left.to("%")
    if left is None:
        criteria = (*criteria, unjudged(_LEFT, allowed, "%"))
        return Requirement("air_removal", "not evidenced", criteria, "air removal not evidenced (air left)")
    share = at_most(_LEFT, allowed, 100.0 * left, "%")
    if share.met:
        said = f"air removal met ({counted} pulses)"
        return Requirement("air_removal", "met", (*criteria, share), said)
    evidence = {"left": Measure(value=100.0 * left, unit="%"), "allowed": Measure(value=allowed, unit="%")}
    finding = wording.AIR_LEFT.finding(evidence=evidence)
    said = f"air removal missed ({100.0 * left:.2g} % of the air left by ideal mixing)"
    return Requirement("air_removal", "missed", (*criteria, share), said, (finding,))


def air_left(samples: Samples, phases: SteamPhases, program: Program) -> float | None:
    """The share of the air that the pulses leave if it mixes ideally; None where the record hides a part.

    Every pulse counts that the pressure shows, deep enough or not.
    """
    pressure, removal = samples.pressure_pa, program.air_removal
    pulses = pulses_of(removal, program.kind) if removal else None
    if pressure is None or pulses is None or phases.tried is None or not starts_at_atmosphere(samples):
        return None
    before = pressure[: phases.tried.first]
    if samples.breaks[: phases.tried.first].any() or np.isnan(before).any():
        return None
    turns = _rises(pulses, before) if pulses.rising else _falls(pulses, before)
    return air_left_by_mixing(turns) if turns else None


def _falls(pulses: Pulses, before: FloatArray) -> list[tuple[float, float]]:
    """Each fall past the threshold: the highest pressure since the one before, and its lowest."""
    turns: list[tuple[float, float]] = []
    start = 0
    for run in spans_of(pulses.past(before)):
        high, low = float(before[start : run.last + 1].max()), _above_nothing(before[run.samples])
        if turns and high < pulses.back_pa:
            turns[-1] = (turns[-1][0], min(turns[-1][1], low))
        else:
            turns.append((high, low))
        start = run.last + 1
    return turns


def _above_nothing(pressure_pa: FloatArray) -> float:
    """The lowest pressure; a gauge whose zero is off may read less than none."""
    return max(float(pressure_pa.min()), 1.0)


def _rises(pulses: Pulses, before: FloatArray) -> list[tuple[float, float]]:
    """Each rise past the threshold: its highest pressure, and the lowest before the next."""
    runs = spans_of(pulses.past(before))
    ends = [run.first for run in runs[1:]] + [before.size] * bool(runs)
    turns = [
        (float(before[run.samples].max()), _above_nothing(before[run.last : end]))
        for run, end in zip(runs, ends, strict=True)
    ]
    return [(high, low) for high, low in turns if low < pulses.back_pa]


def _counted(pulses: Pulses, before: FloatArray) -> int:
    """Pulses before exposure; of rises the last one is the heating itself, and never falls back."""
    if not pulses.rising:
        return pulses.count(before)
    back = np.flatnonzero(before < pulses.back_pa)
    return pulses.count(before[: int(back[-1]) + 1]) if back.size else 0


def _why_open(samples: Samples, phases: SteamPhases, end: int) -> str:
    """Why pulses may have been missed by the record and not by the machine; '' if none were."""
    if phases.tried is None:
        return "the record shows no exposure"
    if samples.breaks[:end].any():
        return "the record has a gap there"
    pressure = samples.pressure_pa
    if pressure is not None and np.isnan(pressure[:end]).any():
        return "the pressure cannot be relied on there"
    if samples.interval_s > _INTERVAL_THAT_SHOWS_PULSES_S:
        return f"samples {samples.interval_s:g} s apart do not show pulses"
    return "" if starts_at_atmosphere(samples) else "the record begins within it"


def _between_samples(pulses: Pulses, before: FloatArray, interval_s: float) -> str:
    """Whether enough pulses may have gone far enough between two samples; '' if they cannot have."""
    steps = np.diff(before)
    to, off = np.abs(steps[:-1]), np.abs(steps[1:])
    # Two straight lines as steep as the steps on both sides meet so far beyond a turn.
    beyond = np.where(steps[:-1] * steps[1:] < 0.0, to * off / np.maximum(to + off, 1.0), 0.0)
    may_be = before.copy()
    may_be[1:-1] += beyond * np.sign(steps[:-1])
    if _counted(pulses, may_be) < pulses.required:
        return ""
    return f"samples {interval_s:g} s apart do not show how far pulses went"


def _missed(pulses: Pulses, counted: int, before: FloatArray) -> Requirement:
    criteria = (at_least(_CRITERION, pulses.required, counted, "1"),)
    rest = before[np.isfinite(before) & ~pulses.past(before)]
    nearest = float(rest.max() if pulses.rising else rest.min()) if rest.size else pulses.threshold_pa
    finding = wording.PULSES_MISSED.finding(
        evidence={
            "counted": counted,
            "required": pulses.required,
            "threshold": Measure(value=pulses.threshold_pa / 1000.0, unit="kPa"),
            "nearest": Measure(value=nearest / 1000.0, unit="kPa"),
        }
    )
    said = f"air removal missed ({counted} of {pulses.required} pulses)"
    return Requirement("air_removal", "missed", criteria, said, (finding,))
