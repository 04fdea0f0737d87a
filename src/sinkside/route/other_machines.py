"""Ultrasonic baths and drying cabinets held against what an instruction names."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping

from sinkside.department import Department, Machine, MachineKind, Program
from sinkside.quantities import Quantity, Range
from sinkside.route import proposals, sizes
from sinkside.route.appraisal import Appraisal, Candidate, Refusal, Repair, bound
from sinkside.route.document import ChosenFigure, ResourceKind
from sinkside.route.needs import BathNeed, CabinetNeed, Need
from sinkside.route.phrases import Phrase, Words
from sinkside.route.racks import rack_for, too_few_connections, with_rack
from sinkside.route.windows import Window, amount, span

_Faults = dict[str, Words]


def appraise_bath(need: BathNeed, department: Department) -> Appraisal:
    """The ultrasonic baths: frequency, temperature and time inside what is stated, lumens connected."""

    def faults(machine: Machine, program: Program) -> _Faults:
        bath = program.ultrasonic
        if bath is None:
            return {"kind": Phrase("it is no ultrasonic program")}
        found: _Faults = {}
        if need.frequency and not (bath.frequency and need.frequency.admits(amount(bath.frequency, "Hz"))):
            found["frequency"] = _states("its frequency is {value}", bath.frequency, "it states no frequency")
        if need.temperature and not _holds(need.temperature, bath.temperature):
            found["temperature"] = _range_words(bath.temperature)
        if need.time and bath.time and not need.time.admits(amount(bath.time, "s")):
            found["time"] = _states("it runs for {value}", bath.time, "")
        if need.connections and rack_for(need.connections, machine) is None:
            found["rack"] = too_few_connections(need.connections, machine)
        return found

    def used(program: Program) -> Mapping[Window, Quantity | None]:
        bath = program.ultrasonic
        return _pairs(
            (need.frequency, bath.frequency if bath else None),
            (need.temperature, None),
            (need.time, _bath_time(bath.time if bath else None, need.time)),
        )

    found = _appraise(need, department, MachineKind.ultrasonic_bath, faults, used)
    if need.connections:
        machines = {machine.id: machine for machine in department.machines}
        found.candidates = [
            with_rack(able, rack_for(need.connections, machines[able.bindings[0].id]))
            for able in found.candidates
        ]
    return found


def appraise_cabinet(need: CabinetNeed, department: Department) -> Appraisal:
    """The drying cabinets: at the stated temperature, for the stated time."""

    def faults(_: Machine, program: Program) -> _Faults:
        return exposure_faults(program, need.temperature, need.time)

    def used(program: Program) -> Mapping[Window, Quantity | None]:
        return exposure_uses(program, need.temperature, need.time)

    return _appraise(need, department, MachineKind.drying_cabinet, faults, used)


def _bath_time(of_program: Quantity | None, stated: Window | None) -> Quantity | None:
    """A bath without a time of its own is set to the stated one."""
    return of_program or (stated.with_lowest() if stated else None)


def _appraise(
    need: BathNeed | CabinetNeed,
    department: Department,
    kind: MachineKind,
    faults_of: Callable[[Machine, Program], _Faults],
    uses_of: Callable[[Program], Mapping[Window, Quantity | None]],
) -> Appraisal:
    found = Appraisal(purchase=machine_wanted(need))
    for machine in department.machines:
        if machine.kind is kind:
            for program in machine.programs:
                faults = faults_of(machine, program)
                if faults:
                    is_fixed = bool({"frequency", "kind", "rack"} & set(faults))
                    found.refusals.append(refusal(need, machine, program, faults, is_fixed=is_fixed))
                else:
                    found.candidates.append(candidate(machine, program, uses_of(program)))
    return found


def machine_wanted(need: Need) -> Repair:
    """The machine itself, the largest of changes."""
    return Repair(Phrase("{wanted}.", {"wanted": need.wanted}), sizes.MACHINE)


def refusal(need: Need, machine: Machine, program: Program, faults: _Faults, *, is_fixed: bool) -> Refusal:
    """Why a program does not do; `is_fixed` where no program of that machine would."""
    words = Phrase(
        "Validate a program on {machine}: {wanted}.", {"machine": machine.name, "wanted": need.wanted}
    )
    program_with_its_figures = functools.partial(proposals.altered, need, machine, program)
    return Refusal(
        f"{machine.id}/{program.name}",
        f"{program.name} ({machine.name})",
        tuple(faults.values()),
        None if is_fixed else Repair(words, sizes.NEW_PROGRAM, program_with_its_figures),
    )


def candidate(machine: Machine, program: Program, uses: Mapping[Window, Quantity | None]) -> Candidate:
    """A program that does, with the figures that it uses."""
    return Candidate(
        bindings=(bound(ResourceKind.program, machine.id, machine.name, program.name),),
        why=Phrase(
            "{program} on {machine} keeps every stated figure",
            {"program": program.name, "machine": machine.name},
        ),
        uses=tuple(ChosenFigure(required=window.figure, use=use) for window, use in uses.items()),
        machine_s=_duration(program, uses),
    )


def _duration(program: Program, uses: Mapping[Window, Quantity | None]) -> float:
    if program.exposure:
        return amount(program.exposure.time, "s")
    return sum(amount(use, "s") for window, use in uses.items() if use is not None and window.unit == "s")


def exposure_faults(program: Program, temperature: Window | None, time: Window | None) -> _Faults:
    """What of an exposure departs from the stated temperature and time."""
    exposure = program.exposure
    if exposure is None:
        return {"kind": Phrase("it states no temperature and time")}
    found: _Faults = {}
    if temperature and not temperature.admits(amount(exposure.temperature, "°C")):
        found["temperature"] = Phrase("it runs at {set}", {"set": str(exposure.temperature)})
    if time and not time.admits(amount(exposure.time, "s")):
        found["time"] = Phrase("it runs for {time}", {"time": str(exposure.time)})
    return found


def exposure_uses(
    program: Program, temperature: Window | None, time: Window | None
) -> Mapping[Window, Quantity | None]:
    """The program's own figure for each that is stated."""
    exposure = program.exposure
    return _pairs(
        (temperature, exposure.temperature if exposure else None),
        (time, exposure.time if exposure else None),
    )


def _pairs(*pairs: tuple[Window | None, Quantity | None]) -> Mapping[Window, Quantity | None]:
    return {window: use for window, use in pairs if window}


def _holds(window: Window, found: Range | None) -> bool:
    """Whether a controlled range stays in the window, or is set around its one value."""
    if found is None:
        return False
    low, high = span(found, window.unit)
    return window.is_within(low, high) if window.exact else window.covers(low, high)


def _states(template: str, value: Quantity | None, absent: str) -> Phrase:
    return Phrase(template, {"value": str(value)}) if value else Phrase(absent)


def _range_words(found: Range | None) -> Phrase:
    if found is None:
        return Phrase("it states no temperature")
    return Phrase("it runs at {range}", {"range": range_words(found)})


def range_words(found: Range) -> str:
    """A range in signs: 20 °C–45 °C, ≥ 20 °C, ≤ 45 °C."""
    if found.min and found.max:
        return f"{found.min}–{found.max}"
    return f"≥ {found.min}" if found.min else f"≤ {found.max}"
