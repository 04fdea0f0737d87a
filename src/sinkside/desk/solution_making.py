"""How much of a chemical a sink takes: worked out from what a person says, or refused in a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from sinkside.department import Chemical, Department, Solution, WaterPoint, made_up
from sinkside.desk.access import Visitor, require
from sinkside.desk.departments import department_in
from sinkside.desk.machine_checks import read_number
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput, BadQuantity, NotThere
from sinkside.quantities import Quantity
from sinkside.science.dosing import HARDNESS_UNITS, hardness_as_calcium_carbonate

#: What a sink or a bath holds; more is a slip of the pen (common practice, no source).
_MOST_LITRES: Final = 1_000.0

#: No solution lasts longer; what says so is a slip of the pen (common practice, no source).
_LONGEST_LIFE: Final = timedelta(days=366)

_DOSES: Final = {"mL/L", "g/L", "mg/L", "%", "oz/gal"}

#: Liquid water (°C).
_COLDEST: Final = 0.0
_HOTTEST: Final = 100.0

#: Where no maker's word says how long it may be used, a solution is discarded within a day (common practice,
#: no source).
LONGEST_WITHOUT_WORD: Final = timedelta(hours=24)


@dataclass(frozen=True)
class Said:
    """What a person says of a solution, as it was typed; what is left empty is not known.

    Attributes:
        chemical: the id of the chemical.
        litres: how much water.
        dose: how it is dosed, such as 5 mL/L; its lowest dose where nothing is said.
        temperature: of the water, in °C.
        point: the id of the water point.
        hardness: of the water as measured now; else the last result of the water point counts.
        hardness_unit: in which unit.
    """

    chemical: str
    litres: str
    dose: str = ""
    temperature: str = ""
    point: str = ""
    hardness: str = ""
    hardness_unit: str = "mg/L"


@dataclass(frozen=True)
class WorkedOut:
    """A solution as it would be: the chemical, what it takes, the water, and how long it may be used.

    `use_within` is the maker's word; none where there is none.
    """

    chemical: Chemical
    solution: Solution
    temperature: Quantity | None
    point: WaterPoint | None
    hardness: Quantity | None
    use_within: timedelta | None


def work_out(archive: Archive, who: Visitor, said: Said) -> WorkedOut:
    """How much of a chemical a sink takes, and what speaks against it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such chemical here.
        BadInput: if the dose does not fit, the water is too cold or too hot, or a figure is none.
    """
    require(who, "solution-make")
    with archive.unit(writes=False) as unit:
        return worked_out(unit, who, said)


def worked_out(unit: Unit, who: Visitor, said: Said) -> WorkedOut:
    """The same within a transaction."""
    site = department_in(unit, who.department)
    chemical = next((one for one in site.chemicals if one.id == said.chemical), None) if site else None
    if site is None or chemical is None:
        raise NotThere("there is no such chemical here", resource=said.chemical)
    point = _point(site, said.point)
    hardness = _hardness(said, point)
    temperature = _temperature(said, chemical)
    solution = made_up(
        chemical,
        water=_litres(said.litres),
        dose=_dose(said, chemical),
        temperature=temperature,
        hardness=hardness,
        own_limits=site.overrides,
    )
    for finding in solution.findings:
        if finding.rule == "solution-temperature":
            raise BadInput(f"{finding.message} {finding.remedy}", resource="temperature")
    return WorkedOut(chemical, solution, temperature, point, hardness, life_of(chemical))


def life_of(chemical: Chemical) -> timedelta | None:
    """How long a solution of a chemical may be used, by its maker's word; none where there is none."""
    if chemical.use_within is None:
        return None
    try:
        seconds = chemical.use_within.to("s")
    except BadQuantity:
        seconds = 0.0
    if not 0 < seconds <= _LONGEST_LIFE.total_seconds():
        raise BadInput(
            f"it may be used within '{chemical.use_within}'; expected a time up to a year, such as 8 h: "
            "say it anew in the department",
            resource=chemical.name,
        )
    return timedelta(seconds=seconds)


def lowest_dose(chemical: Chemical) -> str:
    """The dose that is offered: the lowest that its label allows."""
    if chemical.dose is None:
        return ""
    return str(chemical.dose.min or chemical.dose.max or "")


def _litres(said: str) -> Quantity:
    litres = read_number(said, "L", field="litres")
    if not 0 < litres <= _MOST_LITRES:
        raise BadInput(
            f"{litres:g} L of water; expected more than 0 and at most {_MOST_LITRES:g} L", resource="litres"
        )
    return Quantity(litres, "L")


def _dose(said: Said, chemical: Chemical) -> Quantity:
    text = said.dose.strip() or lowest_dose(chemical)
    if not text:
        raise BadInput(
            f"the dose of {chemical.name} is not known; expected the dose from its label", resource="dose"
        )
    try:
        dose = Quantity.parse(text)
    except BadQuantity as error:
        raise BadInput(f"{error.message}; expected a dose such as '5 mL/L'", resource="dose") from error
    if dose.unit not in _DOSES:
        raise BadInput(f"'{text}' is no dose; expected one such as '5 mL/L'", resource="dose")
    return dose


def _temperature(said: Said, chemical: Chemical) -> Quantity | None:
    if not said.temperature.strip():
        if chemical.temperature is None:
            return None
        ends = (chemical.temperature.min, chemical.temperature.max)
        window = " to ".join(str(end) for end in ends if end)
        raise BadInput(
            f"how warm is the water? {chemical.name} works at {window}; expected a figure in °C",
            resource="temperature",
        )
    figure = read_number(said.temperature.strip().removesuffix("°C").strip(), "°C", field="temperature")
    if not _COLDEST <= figure <= _HOTTEST:
        raise BadInput(
            f"water is not at {figure:g} °C; expected {_COLDEST:g} to {_HOTTEST:g} °C", resource="temperature"
        )
    return Quantity(figure, "°C")


def _point(site: Department, point: str) -> WaterPoint | None:
    if not point:
        return None
    found = next((one for one in site.water if one.id == point), None)
    if found is None:
        known = ", ".join(one.name for one in site.water) or "none"
        raise BadInput(f"there is no such water point; expected one of {known}", resource="point")
    return found


def _hardness(said: Said, point: WaterPoint | None) -> Quantity | None:
    """As it was measured now, else the last result of the water point."""
    if not said.hardness.strip():
        return point.hardness if point else None
    if said.hardness_unit not in HARDNESS_UNITS:
        raise BadInput(f"expected one of {', '.join(HARDNESS_UNITS)}", resource="hardness_unit")
    figure = read_number(said.hardness, said.hardness_unit, field="hardness")
    if figure < 0:
        raise BadInput(f"{figure:g} is no hardness; expected 0 or more", resource="hardness")
    return Quantity(round(hardness_as_calcium_carbonate(figure, said.hardness_unit), 1), "mg/L")
