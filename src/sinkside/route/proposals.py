"""What a department would have to have to satisfy a need, as a change that can be tried and made.

A proposal carries the instruction's own figures and nothing more: what the instruction leaves open stays open
for the person who makes the change.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Any, TypedDict

from sinkside.department import (
    Air,
    Brush,
    Chemical,
    Disinfection,
    Drying,
    Edit,
    Exposure,
    Lubricant,
    Machine,
    Packaging,
    Program,
    ProgramKind,
    Provided,
    SterilizingMethod,
    Tool,
    ValidatedProgram,
    WasherPhase,
    WaterPoint,
)
from sinkside.quantities import Quantity, Range
from sinkside.route.needs import (
    AirNeed,
    BathNeed,
    BrushNeed,
    CabinetNeed,
    ChemicalNeed,
    GasNeed,
    LubricantNeed,
    Need,
    PackagingNeed,
    PhaseNeed,
    SteamNeed,
    ToolNeed,
    WasherNeed,
    WaterNeed,
)
from sinkside.route.windows import Window

_NOT_ID = re.compile(r"[^a-z0-9.]+")


class _Common(TypedDict):
    """What every thing on a shelf has."""

    id: str
    name: str


def thing_for(need: Need) -> Edit | None:
    """The thing on a shelf that a need asks for, or None if its figures do not describe one."""
    make = _MAKERS.get(type(need))
    name = need.wanted.text()
    return make(need, {"id": _NOT_ID.sub("-", name.casefold()).strip("-"), "name": name}) if make else None


def _brush(need: BrushNeed, common: _Common) -> Edit:
    return Provided(brush=Brush(**common, diameter=_across(need), length=_along(need)))


def _across(need: BrushNeed) -> Quantity | None:
    if need.diameter:
        return need.diameter.with_lowest()
    return Quantity(need.bore_mm, "mm") if need.bore_mm else None


def _along(need: BrushNeed) -> Quantity | None:
    stated = need.stated_length
    through = need.shortest_mm or 0.0
    if stated and stated.has_floor and stated.low >= through:
        return stated.with_lowest()
    return Quantity(through, "mm") if through else None


def _lubricant(need: LubricantNeed, common: _Common) -> Edit:
    return Provided(lubricant=Lubricant(**common, base=need.bases[0], steam_permeable=True))


def _tool(need: ToolNeed, common: _Common) -> Edit:
    through = Quantity(need.through_mm, "mm") if need.through_mm else None
    return Provided(tool=Tool(**common, kind=need.kind, range=_range(need.reach), length=through))


def _water(need: WaterNeed, common: _Common) -> Edit:
    return Provided(water=WaterPoint(**common, grade=need.grade, temperature=_range(need.temperature)))


def _air(need: AirNeed, common: _Common) -> Edit | None:
    if need.pressure is None:
        return None
    grade = "medical" if need.medical else "instrument"
    line = Air(**common, grade=grade, pressure=Range(max=need.pressure.with_lowest()))
    return Provided(air=line)


def _packaging(need: PackagingNeed, common: _Common) -> Edit | None:
    if not need.kinds:
        return None
    mass = Quantity(need.mass_kg, "kg") if need.mass_kg else None
    # What lies open or breathes on every side tells no lumens; a container does.
    reached = need.lumens if need.kinds[0] == "container" else ()
    bores = [lumen.bore for lumen in reached if lumen.bore]
    lengths = [lumen.length for lumen in reached if lumen.length]
    return Provided(
        packaging=Packaging(
            **common,
            kind=need.kinds[0],
            mass=mass,
            methods=tuple(SterilizingMethod),
            narrowest_lumen=min(bores, key=lambda bore: bore.to("mm"), default=None),
            longest_lumen=max(lengths, key=lambda length: length.to("mm"), default=None),
        )
    )


def _chemical(need: ChemicalNeed, common: _Common) -> Edit | None:
    windows = (*need.ph, *need.own_ph)
    low = max((window.low for window in windows), default=float("-inf"))
    high = min((window.high for window in windows), default=float("inf"))
    if low > high:
        return None
    return Provided(
        chemical=Chemical(
            **common,
            kinds=need.chemistry[0],
            ph=_between(low, high, "pH"),
            dose=_range(need.dose),
        )
    )


def _between(low: float, high: float, unit: str) -> Range | None:
    pairs = (("min", low), ("max", high))
    ends = {name: Quantity(value, unit) for name, value in pairs if math.isfinite(value)}
    return Range(**ends) if ends else None


def _range(window: Window | None) -> Range | None:
    """The figure of a window as a range in the unit of the text; one value is both ends."""
    if window is None:
        return None
    figure = window.figure
    low = figure.value if figure.value is not None else figure.min
    high = figure.value if figure.value is not None else figure.max
    return Range(
        min=None if low is None else Quantity(low, figure.unit),
        max=None if high is None else Quantity(high, figure.unit),
    )


#: Each kind of need has its own maker; the type of the need is the key, so `Any` loses nothing here.
_MAKERS: Mapping[type[Need], Callable[[Any, _Common], Edit | None]] = {
    BrushNeed: _brush,
    LubricantNeed: _lubricant,
    AirNeed: _air,
    ToolNeed: _tool,
    PackagingNeed: _packaging,
    ChemicalNeed: _chemical,
    WaterNeed: _water,
}


def altered(need: Need, machine: Machine, program: Program) -> Edit | None:
    """A program of a machine with the figures that a need asks for in the place of its own."""
    match need:
        case SteamNeed():
            figures = _steam_figures(need, program)
        case WasherNeed():
            figures = _washer_figures(need, program)
        case BathNeed():
            figures = _bath_figures(need, program)
        case GasNeed():
            figures = _exposure_figures(need.temperature, need.exposure, program)
        case CabinetNeed():
            figures = _exposure_figures(need.temperature, need.time, program)
        case _:
            return None
    if figures is None:
        return None
    named = {"name": f"{program.name}: {need.wanted.text()}" if isinstance(need, SteamNeed) else program.name}
    return ValidatedProgram(machine=machine.id, program=program.model_copy(update=named | figures))


def _steam_figures(need: SteamNeed, program: Program) -> dict[str, object] | None:
    figures: dict[str, object] = {}
    if need.drying and need.drying.has_floor:
        drying = program.drying or Drying(time=need.drying.with_lowest())
        figures["drying"] = drying.model_copy(update={"time": need.drying.with_lowest()})
    if need.pulses and program.air_removal:
        pulses = max(1, round(need.pulses.number))
        figures["air_removal"] = program.air_removal.model_copy(update={"pulses": pulses})
    return figures


def _exposure_figures(
    temperature: Window | None, time: Window | None, program: Program
) -> dict[str, object] | None:
    if program.exposure is None:
        return None
    figures = {"temperature": temperature, "time": time}
    given = {name: window.with_lowest() for name, window in figures.items() if window}
    return {"exposure": program.exposure.model_copy(update=given)}


def _bath_figures(need: BathNeed, program: Program) -> dict[str, object] | None:
    if program.ultrasonic is None:
        return None
    given: dict[str, object] = {}
    if need.temperature:
        given["temperature"] = _range(need.temperature)
    if need.time:
        given["time"] = need.time.with_lowest()
    return {"ultrasonic": program.ultrasonic.model_copy(update=given)}


def _washer_figures(need: WasherNeed, program: Program) -> dict[str, object] | None:
    asked = {phase.name: phase for phase in need.phases}
    phases = tuple(
        _phase(asked[phase.name], phase) if phase.name in asked else phase for phase in program.phases
    )
    doses = [phase.a0 for phase in need.phases if phase.a0 is not None]
    figures: dict[str, object] = {"phases": phases}
    if doses:
        figures["disinfection"] = Disinfection(a0=max(doses))
    return figures


def _phase(asked: PhaseNeed, phase: WasherPhase) -> WasherPhase:
    given: dict[str, object] = {}
    if asked.temperature:
        given["temperature"] = _range(asked.temperature)
    if asked.time:
        given["time"] = asked.time.with_lowest()
    if asked.dose and phase.dose:
        given["dose"] = asked.dose.with_lowest()
    return phase.model_copy(update=given)


def new_steam_program(need: SteamNeed, machine: Machine, kind: ProgramKind) -> Edit | None:
    """The named cycle as a new program of a machine that removes air that way already.

    How deep and how high its pulses go is the machine's own: they are taken from its programs of that kind.
    """
    like = next((program for program in machine.programs if program.kind is kind), None)
    if like is None or like.exposure is None or need.temperature is None or need.exposure is None:
        return None
    exposure = Exposure(
        temperature=need.temperature.with_lowest(),
        time=need.exposure.with_lowest(),
        band=need.band.with_lowest() if need.band else like.exposure.band,
    )
    figures = _steam_figures(need, like) or {}
    fresh = {"name": need.wanted.text(), "exposure": exposure, **figures}
    return ValidatedProgram(machine=machine.id, program=like.model_copy(update=fresh))
