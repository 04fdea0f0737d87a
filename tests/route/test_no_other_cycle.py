"""Property: no route uses a cycle of steam or vapour that its instruction does not name."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sinkside.department import Department, Machine, Program, ProgramKind
from sinkside.documents import to_json, to_values, validate
from sinkside.instruction import Action, AirRemoval, Feature, FeatureKind, Instruction, Stage, Step
from sinkside.quantities import Figure, Quantity
from sinkside.route import Operation, Route, resolve
from support.routing import (
    a_cycle,
    a_department,
    a_program,
    a_step,
    a_sterilizer,
    an_instruction,
    at_least,
    at_most,
    between,
    exactly,
)

#: What each label may be set to; pairs are labels, so 270 °F is 132 °C and nothing else.
LABELS = {
    "121 °C": 121,
    "250 °F": 121,
    "132 °C": 132,
    "270 °F": 132,
    "134 °C": 134,
    "135 °C": 135,
    "275 °F": 135,
}
KINDS = {
    AirRemoval.prevacuum: ProgramKind.steam_prevacuum,
    AirRemoval.gravity: ProgramKind.steam_gravity,
    AirRemoval.pulse: ProgramKind.steam_pulse,
}
MINUTES = st.sampled_from([3, 4, 5, 10, 15, 18, 20, 30])


def _figure(label: str) -> Figure:
    stated = Quantity.parse(label)
    return exactly(stated.value, stated.unit, "temperature")


def _times(role: str | None) -> st.SearchStrategy[Figure]:
    return st.one_of(
        MINUTES.map(lambda time: exactly(time, "min", "time", role)),
        MINUTES.map(lambda time: at_least(time, "min", "time", role)),
        MINUTES.map(lambda time: at_most(time, "min", "time", role)),
        st.just(between(3, 18, "min", "time").model_copy(update={"role": role})),
    )


@st.composite
def _vapours(draw: st.DrawFn, number: int) -> Step:
    kept = [figure for figure in (_figure("50 °C"), draw(_times(None))) if draw(st.integers(0, 9))]
    return a_step(
        Action.sterilize,
        *kept,
        step_id=f"s{number}",
        stage=Stage.sterilization,
        using=draw(st.sampled_from(["hydrogen peroxide", "ethylene oxide"])),
    )


@st.composite
def _cycles(draw: st.DrawFn, number: int) -> Step:
    if draw(st.integers(0, 3)) == 0:
        return draw(_vapours(number))
    figures = [_figure(draw(st.sampled_from(sorted(LABELS)))), draw(_times(None)), draw(_times("drying"))]
    kept = [figure for figure in figures if draw(st.integers(0, 9))]
    return a_cycle(
        *kept,
        step_id=f"s{number}",
        way=draw(st.sampled_from([*AirRemoval, None])),
        alternative=draw(st.sampled_from(["a", None])),
    )


@st.composite
def _instructions(draw: st.DrawFn) -> Instruction:
    steps = [draw(_cycles(number)) for number in range(draw(st.integers(1, 3)))]
    bore = draw(st.sampled_from([None, Quantity(1.0, "mm"), Quantity(2.0, "mm")]))
    lumens = [Feature(id="l", kind=FeatureKind.lumen, bore=bore)] if draw(st.booleans()) else []
    return an_instruction(*steps, features=lumens)


@st.composite
def _programs(draw: st.DrawFn) -> Program:
    return a_program(
        draw(st.sampled_from(["121 °C", "132 °C", "134 °C", "135 °C"])),
        f"{draw(MINUTES)} min",
        draw(st.sampled_from([None, "15 min", "20 min", "30 min"])),
        kind=draw(st.sampled_from([kind.value for kind in KINDS.values()])),
    )


@st.composite
def _vapour_sterilizers(draw: st.DrawFn) -> Machine:
    claims = [{"material": "steel", "bore": "2 mm", "length": "1 m", "lumens": 4}]
    programs = [
        {
            "kind": "exposure",
            "name": f"{agent} {minutes} min",
            "exposure": {"temperature": "50 °C", "time": f"{minutes} min"},
            "lumen_claims": draw(st.sampled_from([[], claims])),
        }
        for agent in ("hydrogen peroxide", "ethylene oxide")
        for minutes in draw(st.lists(MINUTES, max_size=3, unique=True))
    ]
    return Machine.model_validate(
        {"id": "low-1", "name": "Low 1", "kind": "gas-sterilizer", "programs": programs}
    )


@st.composite
def _departments(draw: st.DrawFn) -> Department:
    count = draw(st.integers(1, 3))
    return a_department(
        *(
            a_sterilizer(*draw(st.lists(_programs(), max_size=6, unique_by=lambda p: p.name)), number=number)
            for number in range(count)
        ),
        draw(_vapour_sterilizers()),
    )


def _allows(figure: Figure | None, minutes: float) -> bool:
    """Whether a stated time allows another; written apart from the code under test."""
    if figure is None:
        return True
    if figure.value is not None:
        return minutes == figure.value
    return (figure.min is None or minutes >= figure.min) and (figure.max is None or minutes <= figure.max)


def _names(step: Step, program: Program) -> bool:
    """Whether a step names a program's cycle; written apart from the code under test."""
    temperature = step.figure("temperature")
    time = next((figure for figure in step.figures_of("time") if figure.role is None), None)
    if program.kind is ProgramKind.exposure:
        fits = step.with_ is not None and program.name.startswith(f"{step.with_} ")
        return fits and program.exposure is not None and _allows(time, program.exposure.time.to("min"))
    if program.exposure is None or temperature is None or time is None or step.air_removal is None:
        return False
    label = f"{temperature.number():g} {temperature.unit}"
    drying = program.drying.time.to("min") if program.drying else 0.0
    return (
        program.kind is KINDS[step.air_removal]
        and LABELS[label] == program.exposure.temperature.to("°C")
        and _allows(time, program.exposure.time.to("min"))
        and _allows(step.figure("time", "drying"), drying)
    )


def _program_used(operation: Operation, department: Department) -> Program:
    binding = operation.bindings[0]
    machine = next(machine for machine in department.machines if machine.id == binding.id)
    return next(program for program in machine.programs if program.name == binding.program)


@given(_instructions(), _departments())
@settings(max_examples=500, deadline=None)
def test_no_route_uses_a_cycle_that_the_instruction_does_not_name(
    instruction: Instruction, department: Department
) -> None:
    """A route's program is the cycle of one of its steps, figure by figure; without one there is no route."""
    assert _against_the_rule(instruction, department) == []


@pytest.mark.long
@given(_instructions(), _departments())
@settings(max_examples=10_000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_route_of_ten_thousand_uses_another_cycle(
    instruction: Instruction, department: Department
) -> None:
    """The same over 10,000 pairs."""
    assert _against_the_rule(instruction, department) == []


def _against_the_rule(instruction: Instruction, department: Department) -> list[str]:
    """What a route must not do: use a cycle that the text does not name, or refuse and say nothing."""
    route = resolve(instruction, department)
    if not route.resolved:
        said = {"operations": not route.operations, "conflicts": route.conflicts, "changes": route.changes}
        return [name for name, as_it_must in said.items() if not as_it_must]
    (operation,) = (found for found in route.operations if found.action is Action.sterilize)
    program = _program_used(operation, department)
    others = [step for step in operation.steps if not _names(instruction.step(step), program)]
    return others + [found.action for found in route.operations if found is not operation and found.bindings]


@given(_instructions(), _departments())
@settings(max_examples=60, deadline=None)
def test_the_same_documents_give_the_same_route_and_it_reads_back(
    instruction: Instruction, department: Department
) -> None:
    """Resolving twice gives the same bytes, and the route reads back exactly."""
    route = resolve(instruction, department)
    assert to_json(resolve(instruction, department)) == to_json(route)
    assert validate(Route, to_values(route), resource="route") == route
