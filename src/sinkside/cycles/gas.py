"""Judging what is held warm, wet or under gas: exposure to a gas or vapour, its aeration, drying cabinets."""

from __future__ import annotations

from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.beside import Beside, beside, unit_of, values_of
from sinkside.cycles.criteria import Requirement
from sinkside.cycles.held import Condition, Held, judge_held
from sinkside.cycles.judgement import Judgement, phase_of
from sinkside.cycles.trace import Trace
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import MeasuredValue
from sinkside.department import Exposure, Program
from sinkside.quantities import Range

_PA_PER_KPA: Final = 1000.0


def judge_gas(samples: Samples, program: Program, trace: Trace) -> Judgement:
    """What the record of an exposure to a gas or vapour comes to: time in everything asked, then aeration.

    Args:
        samples: As far as they can be believed.
        program: A program of kind exposure.
        trace: For what is recorded beside temperature and pressure.
    """
    if program.exposure is None:
        return nothing_required("exposure")
    conditions = conditions_of(program.exposure, samples, trace)
    held = judge_held(samples, "exposure", program.exposure.time.to("s"), conditions)
    aired = _aeration(samples, program, held)
    requirements = (held.requirement, *([aired.requirement] if aired else []))
    phases = [phase_of("exposure", held.span, samples)] if held.span else []
    if aired and aired.span:
        phases.append(phase_of("aeration", aired.span, samples))
    values = {"exposure": MeasuredValue(value=held.duration.measured, unit="s")} if held.span else {}
    return Judgement(requirements, tuple(phases), values)


def judge_cabinet(samples: Samples, program: Program, trace: Trace) -> Judgement:
    """What the record of a drying cabinet comes to: time at its temperature, and humidity where asked for."""
    if program.exposure is None:
        return nothing_required("drying")
    held = judge_held(
        samples, "drying", program.exposure.time.to("s"), conditions_of(program.exposure, samples, trace)
    )
    phases = (phase_of("drying", held.span, samples),) if held.span else ()
    return Judgement((held.requirement,), phases, {})


def nothing_required(name: str) -> Judgement:
    """A program that states nothing: never met by default."""
    finding = wording.NOTHING_REQUIRED.finding()
    said = f"{name} not evidenced (the program states none)"
    return Judgement((Requirement(name, "not evidenced", said=said, findings=(finding,)),), (), {})


def conditions_of(exposure: Exposure, samples: Samples, trace: Trace) -> list[Condition]:
    """Everything that an exposure asks for, as ranges with what was recorded."""
    low = exposure.temperature.to("°C")
    found = [Condition("temperature", samples.probes_c, low, low + exposure.band.to("K"), "°C")]
    if exposure.pressure is not None:
        low_kpa, high_kpa = exposure.pressure.bounds("kPa")
        pressure = None if samples.pressure_pa is None else samples.pressure_pa[None, :] / _PA_PER_KPA
        found.append(Condition("pressure", pressure, low_kpa, high_kpa, "kPa"))
    for what, asked in ((Beside.concentration, exposure.concentration), (Beside.humidity, exposure.humidity)):
        if asked is not None:
            found.append(condition_beside(trace, what, asked))
    return found


def condition_beside(trace: Trace, what: Beside, asked: Range) -> Condition:
    """A range for something beside temperature and pressure; not recorded where its unit is another."""
    unit = unit_of(what) or next(end.unit for end in (asked.min, asked.max) if end is not None)
    low, high = asked.bounds(unit)
    known = [values for one in beside(trace, what) if (values := values_of(one, what)) is not None]
    return Condition(what.value, np.vstack(known) if known else None, low, high, unit)


def _aeration(samples: Samples, program: Program, exposure: Held) -> Held | None:
    """The time of aeration after exposure, in its range of temperature where it has one."""
    aeration = program.aeration
    if aeration is None:
        return None
    low, high = aeration.temperature.bounds("°C") if aeration.temperature else (-np.inf, np.inf)
    if exposure.span is None:
        condition = Condition("temperature", None, low, high, "°C")
        return judge_held(samples, "aeration", aeration.time.to("s"), [condition])
    start = min(exposure.span.last + 1, samples.last)
    condition = Condition("aeration-temperature", samples.probes_c, low, high, "°C")
    return judge_held(samples, "aeration", aeration.time.to("s"), [condition], start=start)
