"""Washer programs held against a whole block of steps: one program does all of them, or none does."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sinkside.department import (
    Chemical,
    Department,
    Machine,
    MachineKind,
    Program,
    ProgramKind,
    Rack,
    WasherPhase,
    WasherPhaseName,
    WaterGrade,
    WaterPoint,
)
from sinkside.quantities import Quantity, Range
from sinkside.route import proposals, sizes
from sinkside.route.a0 import a0_of
from sinkside.route.appraisal import Appraisal, Candidate, Refusal, Repair, bound
from sinkside.route.chemistry import chemical_faults, kinds_fit
from sinkside.route.document import Binding, ChosenFigure, ResourceKind
from sinkside.route.needs import PhaseNeed, WasherNeed
from sinkside.route.other_machines import range_words
from sinkside.route.phrases import Phrase, Words
from sinkside.route.racks import rack_for, too_few_connections
from sinkside.route.waters import water_reaches
from sinkside.route.windows import Window, amount, same, span

_KINDS = {ProgramKind.washer_disinfector, ProgramKind.thermal_disinfection}
_RINSES = {WasherPhaseName.rinse, WasherPhaseName.disinfection}


@dataclass(frozen=True, slots=True)
class _Stock:
    """What programs may refer to by id."""

    chemicals: Mapping[str, Chemical]
    water: Mapping[str, WaterPoint]


def appraise_washer(need: WasherNeed, department: Department) -> Appraisal:
    """The washer programs, each with the smallest rack that connects the device."""
    found = Appraisal(purchase=_purchase(need, department))
    stock = _Stock(
        {chemical.id: chemical for chemical in department.chemicals},
        {point.id: point for point in department.water},
    )
    for machine in department.machines:
        if machine.kind is not MachineKind.washer_disinfector:
            continue
        rack = _rack(need, machine)
        for program in machine.programs:
            faults = washer_faults(need, program, stock)
            if rack is None and need.connections:
                faults.append(too_few_connections(need.connections, machine))
            if faults:
                found.refusals.append(_refusal(need, machine, program, faults))
            else:
                found.candidates.append(_candidate(need, machine, program, rack=rack, stock=stock))
    return found


def washer_faults(need: WasherNeed, program: Program, stock: _Stock) -> list[Words]:
    """What of a program does not do what the block of steps asks for."""
    if program.kind not in _KINDS:
        return [Phrase("it is no washer program")]
    phases = {phase.name: phase for phase in program.phases}
    faults: list[Words] = []
    for asked in need.phases:
        phase = phases.get(asked.name)
        if phase is None:
            faults.append(Phrase("it has no {phase} phase", {"phase": Phrase(asked.name.value)}))
        else:
            faults += _phase_faults(need, asked, phase, stock)
        if asked.a0 is not None:
            faults += _dose_faults(asked.a0, program)
    for phase in program.phases:
        faults += _chemical_faults(need, phase, stock)
    return faults


def _phase_faults(need: WasherNeed, asked: PhaseNeed, phase: WasherPhase, stock: _Stock) -> Iterable[Words]:
    name = Phrase(phase.name.value)
    if asked.temperature and not _temperature_fits(asked, phase):
        found = range_words(phase.temperature) if phase.temperature else Phrase("unsaid")
        yield Phrase("its {phase} temperature is {range}", {"phase": name, "range": found})
    if asked.time and not _time_fits(asked.time, phase):
        found_time = str(phase.time) if phase.time else Phrase("unsaid")
        yield Phrase("its {phase} time is {time}", {"phase": name, "time": found_time})
    if asked.chemistry:
        chemical = stock.chemicals.get(phase.chemical or "")
        if chemical is None or not kinds_fit(chemical, asked.chemistry):
            used = chemical.name if chemical else Phrase("no known chemical")
            yield Phrase("its {phase} uses {chemical}", {"phase": name, "chemical": used})
    if asked.dose and phase.dose and not _dose_fits(asked.dose, phase.dose):
        yield Phrase("its {phase} doses {dose}", {"phase": name, "dose": str(phase.dose)})
    yield from _water_faults(need, asked, phase, stock)


def _temperature_fits(asked: PhaseNeed, phase: WasherPhase) -> bool:
    """A range must lie in what is stated; one value in the range, and be its lowest to disinfect."""
    if phase.temperature is None or asked.temperature is None:
        return False
    low, high = span(phase.temperature, "°C")
    window = asked.temperature
    if asked.name is WasherPhaseName.disinfection and window.exact:
        return same(low, window.low)
    return window.is_within(low, high) if window.exact else window.covers(low, high)


def _time_fits(asked: Window, phase: WasherPhase) -> bool:
    """A phase may last longer than stated, unless the text says at most."""
    if phase.time is None:
        return False
    lasts = amount(phase.time, "s")
    return asked.admits(lasts) or (asked.exact and lasts > asked.low)


def _dose_fits(asked: Window, dose: Quantity) -> bool:
    """Whether a dose lies in what is stated; a dose in units of another kind does not."""
    by_mass = dose.unit in {"g/L", "mg/L"}
    return by_mass == (asked.unit == "g/L") and asked.admits(amount(dose, asked.unit))


def _dose_faults(required: float, program: Program) -> Iterable[Words]:
    delivered = _least_a0(program)
    if delivered < required and not same(delivered, required):
        yield Phrase("it delivers A0 {delivered:.0} s", {"delivered": delivered})


def _least_a0(program: Program) -> float:
    """The A0 that a program must reach: as it says, or as its disinfection at its lowest gives."""
    says = program.disinfection.a0 if program.disinfection else 0.0
    for phase in program.phases:
        lowest = phase.temperature.min if phase.temperature else None
        if phase.name is WasherPhaseName.disinfection and lowest and phase.time:
            says = max(says, a0_of(amount(lowest, "°C"), amount(phase.time, "s")))
    return says


def _chemical_faults(need: WasherNeed, phase: WasherPhase, stock: _Stock) -> Iterable[Words]:
    """Whatever a program doses must suit the device, asked for or not."""
    chemical = stock.chemicals.get(phase.chemical or "")
    if chemical is None:
        return
    ph = (*need.ph, *(window for asked in need.phases if asked.name is phase.name for window in asked.ph))
    for fault in chemical_faults(chemical, ph=ph, chloride=need.chloride, materials=need.materials):
        yield Phrase("of its {chemical}, {fault}", {"chemical": chemical.name, "fault": fault})


def _water_faults(need: WasherNeed, asked: PhaseNeed, phase: WasherPhase, stock: _Stock) -> Iterable[Words]:
    point = stock.water.get(phase.water or "")
    name = Phrase(phase.name.value)
    if asked.water and asked.water is not WaterGrade.tap and not water_reaches(point, asked.water):
        used = point.name if point else Phrase("water that is not stated")
        yield Phrase("its {phase} uses {water}", {"phase": name, "water": used})
    limit = need.chloride
    tested = point.chloride if point else None
    if phase.name in _RINSES and limit and tested and amount(tested, "mg/L") > limit.high:
        yield Phrase("its {phase} water has too much chloride", {"phase": name})


def _rack(need: WasherNeed, machine: Machine) -> Rack | None:
    """The rack with the fewest connections that suffices; none needed without load or connection."""
    if not (need.loads or need.connections):
        return None
    return rack_for(need.connections, machine)


def _refusal(need: WasherNeed, machine: Machine, program: Program, faults: list[Words]) -> Refusal:
    repair = Phrase(
        "Validate a program on {machine}: {wanted}.", {"machine": machine.name, "wanted": need.wanted}
    )
    size = sizes.NEW_PROGRAM
    if len(faults) == 1:
        repair = Phrase(
            "Change {program} on {machine}, because {fault}: {wanted}.",
            {"program": program.name, "machine": machine.name, "fault": faults[0], "wanted": need.wanted},
        )
        size = sizes.ONE_FIGURE_OF_A_PROGRAM
    if _rack(need, machine) is None and need.connections:
        size = sizes.RACK if len(faults) == 1 else sizes.RACK + sizes.NEW_PROGRAM
        if len(faults) == 1:
            repair = Phrase(
                "A rack with {needed} lumen connections for {machine}.",
                {"needed": need.connections, "machine": machine.name},
            )
    return Refusal(
        f"{machine.id}/{program.name}",
        f"{program.name} ({machine.name})",
        tuple(faults),
        Repair(repair, size, functools.partial(proposals.altered, need, machine, program)),
    )


def _purchase(need: WasherNeed, department: Department) -> Repair | None:
    if any(machine.kind is MachineKind.washer_disinfector for machine in department.machines):
        return None
    return Repair(
        Phrase("A washer-disinfector with a validated program: {wanted}.", {"wanted": need.wanted}),
        sizes.MACHINE,
    )


def _candidate(
    need: WasherNeed, machine: Machine, program: Program, *, rack: Rack | None, stock: _Stock
) -> Candidate:
    phases = {phase.name: phase for phase in program.phases}
    bindings = [bound(ResourceKind.program, machine.id, machine.name, program.name)]
    if rack:
        bindings.append(bound(ResourceKind.rack, rack.id, rack.name))
    bindings += _supplied(program, stock)
    uses = [chosen for asked in need.phases for chosen in _uses(asked, phases[asked.name], program)]
    return Candidate(
        bindings=tuple(bindings),
        why=Phrase(
            "{program} on {machine} does every phase that the instruction asks for",
            {"program": program.name, "machine": machine.name},
        ),
        uses=tuple(uses),
        machine_s=sum(amount(phase.time, "s") for phase in program.phases if phase.time),
    )


def _supplied(program: Program, stock: _Stock) -> list[Binding]:
    """The chemicals and waters of a program, each once."""
    chemicals = dict.fromkeys(phase.chemical for phase in program.phases if phase.chemical in stock.chemicals)
    waters = dict.fromkeys(phase.water for phase in program.phases if phase.water in stock.water)
    return [
        *(bound(ResourceKind.chemical, name, stock.chemicals[name].name) for name in chemicals if name),
        *(bound(ResourceKind.water, name, stock.water[name].name) for name in waters if name),
    ]


def _temperature_used(asked: Window, controlled: Range) -> Quantity | None:
    """The stated value where the phase is controlled around it, else the lowest that the phase keeps."""
    low, high = span(controlled, "°C")
    around = asked.exact and low < asked.low < high
    return asked.with_lowest() if around else controlled.min or controlled.max


def _uses(asked: PhaseNeed, phase: WasherPhase, program: Program) -> list[ChosenFigure]:
    """Every figure of the step, with what the phase does about it."""
    known: dict[int, Quantity | None] = {}
    if asked.temperature and phase.temperature:
        known[id(asked.temperature.figure)] = _temperature_used(asked.temperature, phase.temperature)
    if asked.time:
        known[id(asked.time.figure)] = phase.time
    if asked.dose:
        known[id(asked.dose.figure)] = phase.dose
    a0 = Quantity(float(math.floor(_least_a0(program))), "s")
    return [
        ChosenFigure(required=figure, use=a0 if figure.quantity == "lethality" else known.get(id(figure)))
        for figure in asked.step.figures
    ]
