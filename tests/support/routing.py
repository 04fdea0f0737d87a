"""Small departments and instructions for the tests of routes; everything invented."""

from __future__ import annotations

from collections.abc import Sequence

from sinkside.department import Department, Machine, Program
from sinkside.instruction import (
    Action,
    AirRemoval,
    Device,
    DeviceLimit,
    Feature,
    Instruction,
    Origin,
    Part,
    Stage,
    Statement,
    StatementKind,
    Step,
)
from sinkside.quantities import Figure
from sinkside.route import Route


def exactly(value: float, unit: str, quantity: str, role: str | None = None) -> Figure:
    return Figure.model_validate({"quantity": quantity, "value": value, "unit": unit, "role": role})


def at_least(value: float, unit: str, quantity: str, role: str | None = None) -> Figure:
    return Figure.model_validate({"quantity": quantity, "min": value, "unit": unit, "role": role})


def at_most(value: float, unit: str, quantity: str, role: str | None = None) -> Figure:
    return Figure.model_validate({"quantity": quantity, "max": value, "unit": unit, "role": role})


def between(low: float, high: float, unit: str, quantity: str) -> Figure:
    return Figure.model_validate({"quantity": quantity, "min": low, "max": high, "unit": unit})


def a_step(
    action: Action,
    *figures: Figure,
    step_id: str = "s1",
    stage: Stage = Stage.cleaning,
    using: str | None = None,
    on: Sequence[str] = (),
    text: str = "",
    alternative: str | None = None,
) -> Step:
    return Step(
        id=step_id,
        stage=stage,
        action=action,
        with_=using,
        on=tuple(on),
        figures=figures,
        origin=Origin(line=7, text=text),
        alternative=alternative,
    )


def a_cycle(
    *figures: Figure,
    step_id: str = "s9",
    way: AirRemoval | None = AirRemoval.prevacuum,
    alternative: str | None = None,
    condition: str | None = None,
) -> Step:
    return Step(
        id=step_id,
        stage=Stage.sterilization,
        action=Action.sterilize,
        with_="saturated steam",
        air_removal=way,
        figures=figures,
        alternative=alternative,
        condition=condition,
        origin=Origin(line=40, text="Sterilize."),
    )


def named_cycle(
    temperature_c: float, minutes: float, drying: float, way: AirRemoval = AirRemoval.prevacuum
) -> Step:
    """A cycle with exact figures, as most texts state it."""
    return a_cycle(
        exactly(temperature_c, "°C", "temperature"),
        exactly(minutes, "min", "time"),
        exactly(drying, "min", "time", "drying"),
        way=way,
    )


def an_instruction(
    *steps: Step,
    parts: Sequence[Part] = (),
    features: Sequence[Feature] = (),
    limits: Sequence[DeviceLimit] = (),
    forbids: Sequence[str] = (),
) -> Instruction:
    return Instruction(
        device=Device(
            name="Quarl 3 hook", parts=tuple(parts), features=tuple(features), limits=tuple(limits)
        ),
        steps=steps,
        statements=tuple(
            Statement(kind=StatementKind.prohibition, origin=Origin(line=3, text=text)) for text in forbids
        ),
    )


def a_program(
    temperature: str, time: str, drying: str | None, *, kind: str = "steam-prevacuum", pulses: int = 4
) -> Program:
    return Program.model_validate(
        {
            "kind": kind,
            "name": f"{temperature}, {time}" + (f", drying {drying}" if drying else ""),
            "exposure": {"temperature": temperature, "time": time},
            "air_removal": {"pulses": pulses, "vacuum": "15 kPa", "pressure": "200 kPa"},
            "drying": {"time": drying} if drying else None,
        }
    )


def a_sterilizer(*programs: Program, number: int = 1) -> Machine:
    return Machine.model_validate(
        {
            "id": f"sterilizer-{number}",
            "name": f"Sterilizer {number}",
            "kind": "steam-sterilizer",
            "programs": programs,
        }
    )


def a_department(*machines: Machine, **supplies: object) -> Department:
    return Department.model_validate({"name": "Test department", "machines": machines, **supplies})


def nearest(route: Route) -> str:
    """What comes nearest to the first thing that is missing, and why it fails."""
    return str(route.conflicts[0].evidence["nearest"])
