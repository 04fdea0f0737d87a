"""Steam programs held against the cycle that an instruction names: the named cycle or none.

No program is another's equal because its lethality is. Temperatures match on their label, never across
labels; times are as stated, longer only where the text says so.
"""

from __future__ import annotations

import functools
from typing import Final

from sinkside.department import Department, Machine, MachineKind, Program, ProgramKind
from sinkside.instruction import AirRemoval
from sinkside.limits.steam import recognised_steam_temperature
from sinkside.quantities import Figure, Quantity
from sinkside.route import proposals, sizes
from sinkside.route.appraisal import Appraisal, Candidate, Refusal, Remark, Repair, bound
from sinkside.route.document import ChosenFigure, ResourceKind
from sinkside.route.needs import SteamNeed
from sinkside.route.phrases import Phrase, Words
from sinkside.route.remarks import BAND_ABOVE_LIMIT, CYCLE_CONDITIONAL, DRYING_UNSAID
from sinkside.route.windows import Window, amount

#: More than a rounded °F label is off by, less than what lies between 134 and 135 °C (common practice,
#: no source).
_SAME_LABEL_K: Final = 0.6

KIND_OF_AIR_REMOVAL = {
    AirRemoval.prevacuum: ProgramKind.steam_prevacuum,
    AirRemoval.gravity: ProgramKind.steam_gravity,
    AirRemoval.pulse: ProgramKind.steam_pulse,
}
_WAY = {
    ProgramKind.steam_prevacuum: Phrase("it removes air by prevacuum"),
    ProgramKind.steam_gravity: Phrase("it removes air by gravity"),
    ProgramKind.steam_pulse: Phrase("it removes air by pulses above atmosphere"),
}


@functools.lru_cache(maxsize=4096)
def is_same_steam_temperature(stated_c: float, set_c: float) -> bool:
    """Whether two steam temperatures are the same label: 270 °F and 132 °C are, 134 and 135 °C are not.

    >>> is_same_steam_temperature(132.22, 132.0), is_same_steam_temperature(132.0, 134.0)
    (True, False)
    """
    if abs(stated_c - set_c) > _SAME_LABEL_K:
        return False
    first, second = _label(stated_c), _label(set_c)
    return first is None or second is None or first == second


@functools.lru_cache(maxsize=4096)
def _label(temperature_c: float) -> float | None:
    """The recognised temperature that one stands for, remembered because every program is asked."""
    recognised = recognised_steam_temperature(temperature_c)
    return recognised.temperature_c if recognised else None


def appraise_steam(need: SteamNeed, department: Department) -> Appraisal:
    """The steam programs of a department, held against the named cycle."""
    found = Appraisal()
    for machine in department.machines:
        if machine.kind is not MachineKind.steam_sterilizer:
            continue
        for program in machine.programs:
            _weigh(need, machine, program, found)
    found.purchase = _new_program(need, department)
    return found


def _weigh(need: SteamNeed, machine: Machine, program: Program, found: Appraisal) -> None:
    faults = steam_faults(need, program)
    if faults:
        found.refusals.append(
            Refusal(
                f"{machine.id}/{program.name}",
                f"{program.name} ({machine.name})",
                tuple(faults.values()),
                _repair(need, machine, program, set(faults)),
            )
        )
    else:
        found.candidates.append(_candidate(need, machine, program))


def steam_faults(need: SteamNeed, program: Program) -> dict[str, Words]:
    """What of a program departs from the named cycle; empty only if it is that cycle."""
    if program.exposure is None or need.air_removal is None or not (need.temperature and need.exposure):
        return {"cycle": Phrase("the instruction does not name the cycle")}
    faults: dict[str, Words] = {}
    if program.kind is not KIND_OF_AIR_REMOVAL[need.air_removal]:
        faults["air removal"] = _WAY.get(program.kind, Phrase("it is no steam cycle"))
    _check_temperature(need, program, faults)
    if not need.exposure.admits(amount(program.exposure.time, "s")):
        faults["exposure"] = Phrase("its exposure is {time}", {"time": str(program.exposure.time)})
    _check_drying(need, program, faults)
    pulses = program.air_removal.pulses if program.air_removal else 0
    if need.pulses and not need.pulses.admits_at_least(pulses):
        faults["pulses"] = Phrase("it has {pulses} pulses", {"pulses": pulses})
    return faults


def _check_temperature(need: SteamNeed, program: Program, faults: dict[str, Words]) -> None:
    exposure, stated = program.exposure, need.temperature
    if exposure is None or stated is None:
        return
    set_c, band_k = amount(exposure.temperature, "°C"), amount(exposure.band, "K")
    if not is_same_steam_temperature(stated.low, set_c):
        faults["temperature"] = Phrase("it runs at {set}", {"set": str(exposure.temperature)})
        return
    too_wide = need.band is not None and not need.band.admits(band_k) and band_k > need.band.high
    too_high = not stated.exact and set_c + band_k > stated.high + _SAME_LABEL_K
    if too_wide or too_high:
        faults["band"] = Phrase("its band reaches {band} higher", {"band": str(exposure.band)})
    if need.ceiling and set_c > need.ceiling.high + _SAME_LABEL_K:
        faults["limit"] = Phrase("it is hotter than the device bears")


def _check_drying(need: SteamNeed, program: Program, faults: dict[str, Words]) -> None:
    if need.drying is None:
        return
    if program.drying is None:
        faults["drying"] = Phrase("it does not dry")
    elif not need.drying.admits(amount(program.drying.time, "s")):
        faults["drying"] = Phrase("it dries for {time}", {"time": str(program.drying.time)})


def _candidate(need: SteamNeed, machine: Machine, program: Program) -> Candidate:
    exposure, drying = program.exposure, program.drying
    drying_s = amount(drying.time, "s") if drying else 0.0
    exposure_s = amount(exposure.time, "s") if exposure else 0.0
    return Candidate(
        bindings=(bound(ResourceKind.program, machine.id, machine.name, program.name),),
        why=Phrase(
            "{program} on {machine} is the cycle that the instruction names",
            {"program": program.name, "machine": machine.name},
        ),
        uses=_uses(need, program),
        remarks=_remarks(need, program),
        machine_s=exposure_s + drying_s,
        sterilizes=True,
    )


def _uses(need: SteamNeed, program: Program) -> tuple[ChosenFigure, ...]:
    exposure = program.exposure
    pairs: list[tuple[Window | None, Quantity | None]] = [
        (need.temperature, exposure.temperature if exposure else None),
        (need.exposure, exposure.time if exposure else None),
        (need.drying, program.drying.time if program.drying else None),
        (need.pulses, Quantity(float(program.air_removal.pulses), "1") if program.air_removal else None),
    ]
    used = tuple(ChosenFigure(required=window.figure, use=use) for window, use in pairs if window)
    known: set[Figure] = {chosen.required for chosen in used}
    rest = (figure for step in need.steps for figure in step.figures if figure not in known)
    return (*used, *(ChosenFigure(required=figure) for figure in rest))


def _remarks(need: SteamNeed, program: Program) -> tuple[Remark, ...]:
    remarks = []
    if need.drying is None:
        remarks.append(Remark(DRYING_UNSAID, {"program": program.name}))
    if need.condition:
        remarks.append(Remark(CYCLE_CONDITIONAL, {"condition": need.condition}))
    exposure = program.exposure
    if exposure and need.ceiling:
        top = amount(exposure.temperature, "°C") + amount(exposure.band, "K")
        if top > need.ceiling.high:
            remarks.append(Remark(BAND_ABOVE_LIMIT, {"program": program.name, "top_c": f"{top:g} °C"}))
    return tuple(remarks)


def _repair(need: SteamNeed, machine: Machine, program: Program, faults: set[str]) -> Repair | None:
    """One figure of this program to be validated; anything more is another program."""
    if not _is_recognised(need):
        return None
    with_it = functools.partial(proposals.altered, need, machine, program)
    if faults == {"drying"} and need.drying:
        return Repair(
            Phrase(
                "Validate {time} drying on {program} ({machine}).",
                {"time": need.drying.figure, "program": program.name, "machine": machine.name},
            ),
            sizes.ONE_FIGURE_OF_A_PROGRAM,
            with_it,
        )
    if faults == {"pulses"} and need.pulses:
        return Repair(
            Phrase(
                "Validate {pulses} pulses on {program} ({machine}).",
                {"pulses": need.pulses.figure, "program": program.name, "machine": machine.name},
            ),
            sizes.ONE_FIGURE_OF_A_PROGRAM,
            with_it,
        )
    return None


def _is_recognised(need: SteamNeed) -> bool:
    """Whether the stated temperature is one that standards and handbooks name."""
    stated = need.temperature
    return stated is not None and _label(stated.low) is not None


def _new_program(need: SteamNeed, department: Department) -> Repair | None:
    """The named cycle as a new program, on a machine that already removes air that way if there is one."""
    if need.unsaid or need.air_removal is None:
        return None
    if not _is_recognised(need):
        # What was probably meant is the maker's to say; no such cycle is proposed.
        asking = Phrase("Ask the maker for the temperature: {cycle}.", {"cycle": need.wanted})
        return Repair(asking, sizes.ASK_THE_MAKER)
    kind = KIND_OF_AIR_REMOVAL[need.air_removal]
    sterilizers = [m for m in department.machines if m.kind is MachineKind.steam_sterilizer]
    able = [m for m in sterilizers if any(program.kind is kind for program in m.programs)]
    if able:
        words = Phrase(
            "Validate a program on {machine}: {cycle}.", {"machine": able[0].name, "cycle": need.wanted}
        )
        fresh = functools.partial(proposals.new_steam_program, need, able[0], kind)
        return Repair(words, sizes.NEW_PROGRAM, fresh)
    return Repair(
        Phrase("A sterilizer with a validated program: {cycle}.", {"cycle": need.wanted}), sizes.MACHINE
    )
