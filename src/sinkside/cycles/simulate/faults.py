"""Every fault that can be simulated, by name: what it is, and the smallest size at which it must be seen.

`seen` says what the verdict must be: `fails` where a criterion is missed on samples that can be trusted,
`unclear` where the record no longer shows what is required. Both where the size or the moment decides.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from sinkside.department import Program, ProgramKind, WasherPhase, WasherPhaseName
from sinkside.errors import BadInput

NORMAL: Final = "normal"

#: A small dose is reached while heating up and down; only a larger one can be missed by a short plateau.
_DOSE_THAT_CAN_BE_SHORT: Final = 2000.0

Seen = Literal["fails", "unclear", "either"]


@dataclass(frozen=True)
class Fault:
    """One fault of a machine or of its recorder.

    Attributes:
        name: Its own, which no other fault has.
        what: For people.
        smallest: The smallest size at which it must be seen.
        largest: The largest that is simulated.
        unit: Of the sizes.
        seen: What the verdict must be.
        befalls: Whether a program's cycle can have it.
    """

    name: str
    what: str
    smallest: float
    largest: float
    unit: str
    seen: Seen
    befalls: Callable[[Program], bool]

    @property
    def asked_as(self) -> str:
        """Its name as it is asked for: a washer's drying is short under the same name as a sterilizer's."""
        return self.name.replace("short-washer-dry", "short-dry")


def _steam(program: Program) -> bool:
    return program.under_steam


def _falls(program: Program) -> bool:
    return program.under_steam and program.air_removal is not None


def _under_vacuum(program: Program) -> bool:
    removal = program.air_removal
    pulses = (
        removal is not None and removal.vacuum is not None and program.kind is not ProgramKind.steam_pulse
    )
    return program.under_steam and pulses


def _dries(program: Program) -> bool:
    return program.under_steam and program.drying is not None


def _washer(program: Program) -> bool:
    return program.kind is ProgramKind.washer_disinfector


def _phase(program: Program, name: WasherPhaseName) -> WasherPhase | None:
    return next((phase for phase in program.phases if phase.name is name), None)


def _range(name: WasherPhaseName, end: str) -> Callable[[Program], bool]:
    """Whether a washer's phase has that end of a range."""

    def has(program: Program) -> bool:
        phase = _phase(program, name)
        return bool(_washer(program) and phase and phase.temperature and getattr(phase.temperature, end))

    return has


def _timed(name: WasherPhaseName) -> Callable[[Program], bool]:
    """Whether a washer's phase has a time."""

    def has(program: Program) -> bool:
        phase = _phase(program, name)
        return bool(_washer(program) and phase and phase.time)

    return has


def _dries_in_range(program: Program) -> bool:
    # The end of drying without a range of its own is not to be seen; the record may just end.
    return _timed(WasherPhaseName.drying)(program) and _range(WasherPhaseName.drying, "min")(program)


def _dose_can_be_short(program: Program) -> bool:
    asked = program.disinfection.a0 if program.disinfection else 0.0
    return _washer(program) and asked >= _DOSE_THAT_CAN_BE_SHORT


def _spread(program: Program) -> bool:
    return _washer(program) and program.probes.spread is not None


def _rinses(program: Program) -> bool:
    return _washer(program) and _phase(program, WasherPhaseName.rinse) is not None


def _order_shows(program: Program) -> bool:
    """Whether wash and the phase before it differ so that their order can be told."""
    before = _range(WasherPhaseName.pre_rinse, "max")(program)
    phases = [_phase(program, name) for name in (WasherPhaseName.pre_rinse, WasherPhaseName.wash)]
    ends = [phase.temperature.bounds("°C") for phase in phases if phase and phase.temperature]
    return before and len(ends) == len(phases) and ends[1][0] > ends[0][1]


def _dosed(program: Program) -> bool:
    phase = _phase(program, WasherPhaseName.wash)
    return _washer(program) and phase is not None and phase.dose is not None


def _arms(program: Program) -> bool:
    return _washer(program) and program.cleaning is not None and program.cleaning.spray_arm is not None


def _pumped(program: Program) -> bool:
    return _washer(program) and program.cleaning is not None and program.cleaning.pump_pressure is not None


def _held(program: Program) -> bool:
    other = {ProgramKind.exposure, ProgramKind.drying_cabinet, ProgramKind.thermal_disinfection}
    return program.kind in other and program.exposure is not None


def _any(program: Program) -> bool:
    return program.kind is not ProgramKind.ultrasonic


def _hot(program: Program) -> bool:
    return program.under_steam or _washer(program)


def _leaks(program: Program) -> bool:
    return program.kind is ProgramKind.leak_rate


def _slow_shows(program: Program) -> bool:
    return _steam(program) and program.exposure is not None and program.exposure.come_up is not None


_WASH, _FIRST, _HOTTEST = WasherPhaseName.wash, WasherPhaseName.pre_rinse, WasherPhaseName.disinfection

FAULTS: Final = (
    Fault("short-exposure", "exposure ends early", 4, 40, "% of its time", "fails", _steam),
    Fault("low-temperature", "the plateau is below the band", 0.4, 3, "K", "fails", _steam),
    Fault("overshoot", "the chamber is above the band for a while", 0.6, 3, "K", "fails", _steam),
    Fault("dip", "the chamber is below the band for a while", 0.5, 3, "K", "fails", _steam),
    Fault(
        "residual-air", "air is left everywhere in the chamber", 2.5, 5, "K of saturation", "fails", _steam
    ),
    Fault("air-pocket", "air collects at the drain", 2.6, 5, "K at the drain", "fails", _steam),
    Fault("non-condensable-gas", "gas comes with the steam", 3, 6, "K of saturation", "fails", _steam),
    Fault("superheat", "steam is hotter than saturated", 2.5, 5, "K", "fails", _steam),
    Fault("missing-pulse", "one pulse is left out", 1, 1, "pulse", "fails", _falls),
    Fault("shallow-vacuum", "one pulse does not go far enough", 8, 60, "% of its pressure", "fails", _falls),
    Fault("leak", "more air leaks in than the pump can take", 1.3, 3, "times that", "fails", _under_vacuum),
    Fault("slow-come-up", "heating takes too long", 1.3, 3, "times what is allowed", "fails", _slow_shows),
    Fault("short-dry", "drying ends early", 10, 60, "% of its time", "fails", _dries),
    Fault("missing-dry", "there is no drying", 1, 1, "cycle", "fails", _dries),
    Fault(
        "poor-drying-vacuum", "steam keeps the pressure up in drying", 1.05, 2, "times it", "fails", _dries
    ),
    Fault("low-disinfection", "disinfection is too cold", 0.7, 8, "K", "fails", _range(_HOTTEST, "min")),
    Fault("short-disinfection", "disinfection ends early", 15, 50, "% of A0", "fails", _dose_can_be_short),
    Fault("cold-wash", "the wash is too cold", 1.5, 8, "K", "fails", _range(_WASH, "min")),
    Fault("hot-wash", "the wash is too hot", 1.5, 6, "K", "fails", _range(_WASH, "max")),
    Fault("short-wash", "the wash ends early", 10, 50, "% of its time", "fails", _timed(_WASH)),
    Fault("hot-pre-rinse", "a hot first rinse sets protein", 1.5, 8, "K", "fails", _range(_FIRST, "max")),
    Fault("no-rinse", "there is no rinse", 1, 1, "cycle", "fails", _rinses),
    Fault("wrong-order", "the wash comes before the pre-rinse", 1, 1, "cycle", "fails", _order_shows),
    Fault("no-detergent", "nothing is dosed", 1, 1, "cycle", "fails", _washer),
    Fault("low-dose", "too little is dosed", 10, 70, "% of the dose", "fails", _dosed),
    Fault("probe-spread", "one place stays colder", 0.5, 3, "K too much", "fails", _spread),
    Fault("spray-arm-stopped", "a spray arm stands still", 1, 1, "cycle", "fails", _arms),
    Fault("pump-stopped", "the circulation pump does not press", 1, 1, "cycle", "fails", _pumped),
    Fault(
        "short-washer-dry", "a washer stops drying early", 10, 60, "% of its time", "fails", _dries_in_range
    ),
    Fault("short", "it ends early", 5, 50, "% of its time", "fails", _held),
    Fault("cold", "it is too cold", 0.5, 5, "K", "fails", _held),
    Fault("leaking", "the chamber leaks", 1.1, 5, "times the allowed rate", "fails", _leaks),
    Fault("probe-offset", "a probe reads wrong", 2.5, 6, "K", "fails", _steam),
    Fault("drifting-probe", "a probe drifts during exposure", 3, 8, "K", "fails", _steam),
    Fault("noisy-probe", "a probe's connection is bad", 1, 6, "K", "either", _steam),
    Fault("frozen-probe", "a probe repeats one reading", 60, 300, "s", "unclear", _hot),
    Fault("saturated-channel", "a channel ends below what it has to show", 0.3, 3, "K", "either", _steam),
    Fault("wrong-unit", "the head names another unit", 1, 1, "record", "either", _steam),
    Fault("gap", "the record misses a part of what counts", 20, 60, "s", "unclear", _any),
    Fault("clock-jump", "the recorder's clock is set", 20, 3600, "s", "unclear", _any),
    Fault("truncated", "the record ends early", 1, 1, "record", "either", _any),
)


def faults_of(program: Program) -> tuple[str, ...]:
    """The faults that a program's cycle can have, `normal` first."""
    return (NORMAL, *(fault.asked_as for fault in FAULTS if fault.befalls(program)))


def fault_named(name: str, program: Program) -> Fault:
    """A fault of a program's cycle.

    Raises:
        BadInput: if its cycle cannot have it.
    """
    for fault in FAULTS:
        if fault.asked_as == name and fault.befalls(program):
            return fault
    raise BadInput(
        f"'{name}' is no fault of a {program.kind.value} cycle with this program; "
        f"expected one of {', '.join(faults_of(program))}"
    )
