"""Pressures that steam steps state, in every reading that their words allow."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sinkside.findings import Evidence, Measure
from sinkside.instruction import FigureRole, Step
from sinkside.quantities import Figure, FigureQuantity
from sinkside.review.case import Case, words
from sinkside.review.lexicon import says
from sinkside.review.stated import set_temperatures, steam_steps
from sinkside.science.steam import saturation_pressure_at_c, saturation_temperature_c, standard_atmosphere

#: Below this a pressure in a sterilization step is the vacuum that draws air out or dries.
_STEAM_FROM_KPA = 120.0

#: What stands between a temperature and the pressure that belongs to it.
_BESIDE = frozenset(
    {"and", "at", "/", "(", "with", "at a pressure of", "and a pressure of", "corresponding to"}
)


def pairs_of_steam(case: Case) -> Iterator[tuple[Step, Figure, Figure]]:
    """Each steam pressure with the one set temperature of its step, or of the cycle in front of it."""
    last: tuple[str | None, Figure] | None = None
    for step in steam_steps(case):
        temperatures = set_temperatures(step)
        if len(temperatures) == 1:
            last = (step.heading, temperatures[0])
        elif temperatures or (last and last[0] != step.heading):
            last = None
        for pressure in step.figures_of(FigureQuantity.pressure):
            is_low = pressure.number("kPa") < _STEAM_FROM_KPA and not is_gauge(step, pressure)
            is_told = _stands_beside(step, pressure) or _is_told_alone(step)
            is_vacuum = pressure.role == FigureRole.drying or (is_low and not is_told)
            if last and not is_vacuum:
                yield step, last[1], _as_told(step, pressure)


def _as_told(step: Step, pressure: Figure) -> Figure:
    """A pressure with the reading that words behind it tell: "2,1 bar (pression absolue)"."""
    is_told = pressure.reference in {"absolute", "gauge"} or is_gauge(step, pressure)
    if is_told or not says(words(step), "absolute-words"):
        return pressure
    return pressure.model_copy(update={"reference": "absolute"})


def _is_told_alone(step: Step) -> bool:
    """Whether a sentence behind a cycle tells its pressure and nothing else: "The pressure is 3.04 bar"."""
    said = words(step)
    return says(said, "pressure-of-steam") or (len(step.figures) == 1 and not says(said, "draws-air"))


def _stands_beside(step: Step, pressure: Figure) -> bool:
    """Whether a pressure stands straight behind the temperature: "134 °C and 304 mbar"."""
    temperatures = set_temperatures(step)
    if len(temperatures) != 1 or not temperatures[0].as_written or not pressure.as_written:
        return False
    between = words(step).partition(temperatures[0].as_written)[2].partition(pressure.as_written)[0]
    return between.strip().lower() in _BESIDE and pressure.as_written in words(step)


def is_gauge(step: Step, pressure: Figure) -> bool:
    """Whether words say that a pressure counts from the atmosphere up."""
    if pressure.reference in {"absolute", "gauge"}:
        return pressure.reference == "gauge"
    return says(words(step), "above-atmosphere")


def readings_c(pressure: Figure, altitude_m: float, *, above: bool = False) -> dict[str, float]:
    """The saturation temperature in °C for each reading of a pressure that its words allow."""
    stated_pa = pressure.number("Pa")
    pascals = {"absolute": stated_pa, "gauge": stated_pa + standard_atmosphere(altitude_m)}
    allowed = [pressure.reference] if pressure.reference in pascals else list(pascals)
    allowed = ["gauge"] if above else allowed
    at_c = {name: saturation_temperature_c(pascals[name], outside="nan") for name in allowed if name}
    return {name: temperature_c for name, temperature_c in at_c.items() if math.isfinite(temperature_c)}


def saturation_of(temperature_c: float, step: Step) -> Evidence:
    """What saturated steam of a temperature, and of the stated pressure, would be."""
    evidence: Evidence = {}
    pressure_pa = saturation_pressure_at_c(temperature_c, outside="nan")
    if math.isfinite(pressure_pa):
        evidence["saturation_pressure"] = Measure(value=pressure_pa / 1e5, unit="bar")
    pressure = step.figure(FigureQuantity.pressure)
    if pressure is not None and pressure.number("kPa") >= _STEAM_FROM_KPA:
        if_absolute = readings_c(pressure, 0.0).get("absolute")
        if if_absolute is not None:
            evidence["temperature_if_pressure_is_absolute"] = Measure(value=if_absolute, unit="°C")
    return evidence
