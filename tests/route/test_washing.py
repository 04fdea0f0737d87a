"""Washer blocks: one program and rack do every step of the block, or none does."""

from __future__ import annotations

import pytest

from sinkside.department import Department, Machine
from sinkside.instruction import Action, DeviceLimit, Part, Stage, Step
from sinkside.quantities import Figure
from sinkside.route import ResourceKind, Route, Station, resolve
from support.routing import a_department, a_step, an_instruction, at_least, at_most, between, exactly, nearest

PHASES = (
    {"name": "pre-rinse", "temperature": {"max": "35 °C"}, "time": "3 min"},
    {
        "name": "wash",
        "temperature": {"min": "50 °C", "max": "60 °C"},
        "time": "8 min",
        "chemical": "alka",
        "dose": "5 mL/L",
    },
    {"name": "rinse", "time": "2 min", "water": "pure"},
    {
        "name": "disinfection",
        "temperature": {"min": "90 °C", "max": "93 °C"},
        "time": "5 min",
        "water": "pure",
    },
    {"name": "drying", "temperature": {"min": "95 °C", "max": "105 °C"}, "time": "20 min"},
)


def _department(*, racks: int = 4, a0: float = 3000, ph: str = "10", chloride: str = "2 mg/L") -> Department:
    program = {
        "kind": "washer-disinfector",
        "name": "instruments",
        "phases": PHASES,
        "disinfection": {"a0": a0},
    }
    washer = Machine.model_validate(
        {
            "id": "washer-1",
            "name": "Washer 1",
            "kind": "washer-disinfector",
            "programs": [program],
            "racks": [
                {"id": "plain", "name": "plain rack"},
                {"id": "tubes", "name": "tube rack", "lumen_connections": racks},
            ],
        }
    )
    return a_department(
        washer,
        chemicals=[
            {
                "id": "alka",
                "name": "Alka",
                "kinds": ["mildly-alkaline-detergent"],
                "ph": {"min": "9", "max": ph},
                "excludes": ["aluminium"],
            }
        ],
        water=[{"id": "pure", "name": "pure loop", "grade": "critical", "chloride": chloride}],
    )


def _disinfect(*figures: Figure, water: str = "critical water") -> Step:
    return a_step(Action.disinfect, *figures, step_id="s5", stage=Stage.disinfection, using=water)


NINETY = _disinfect(exactly(90, "°C", "temperature"), exactly(5, "min", "time"))


def _block(*, wash: tuple[Figure, ...] = (), disinfect: Step = NINETY, connected: int = 1) -> list[Step]:
    return [
        a_step(Action.connect, step_id="s1", on=[f"port-{number}" for number in range(connected)]),
        a_step(Action.pre_rinse, exactly(2, "min", "time"), step_id="s2", using="cold water"),
        a_step(Action.wash, *wash, step_id="s3", using="mildly alkaline cleaner"),
        a_step(Action.rinse, step_id="s4", using="demineralised water"),
        disinfect,
        a_step(Action.dry, at_least(10, "min", "time"), step_id="s6", stage=Stage.drying, using="hot air"),
    ]


def _rules(route: Route) -> list[str]:
    return [finding.rule for finding in route.conflicts]


def test_a_block_is_one_operation_with_program_rack_chemical_and_water() -> None:
    """Six steps become one operation at the washer, bound to all that the program uses."""
    (operation,) = resolve(an_instruction(*_block()), _department()).operations
    assert operation.steps == ("s1", "s2", "s3", "s4", "s5", "s6")
    assert operation.station is Station.washer
    assert [(binding.kind, binding.id) for binding in operation.bindings] == [
        (ResourceKind.program, "washer-1"),
        (ResourceKind.rack, "tubes"),
        (ResourceKind.chemical, "alka"),
        (ResourceKind.water, "pure"),
    ]


@pytest.mark.parametrize(
    ("figures", "serves"),
    [
        ((exactly(55, "°C", "temperature"), exactly(8, "min", "time")), True),
        ((exactly(55, "°C", "temperature"), exactly(5, "min", "time")), True),
        ((exactly(55, "°C", "temperature"), exactly(10, "min", "time")), False),
        ((at_most(5, "min", "time"),), False),
        ((between(40, 60, "°C", "temperature"),), True),
        ((between(40, 55, "°C", "temperature"),), False),
        ((at_most(45, "°C", "temperature"),), False),
        ((exactly(0.5, "%", "percent", "dose"),), True),
        ((exactly(8, "mL/L", "concentration", "dose"),), False),
        ((exactly(5, "g/L", "concentration", "dose"),), False),
    ],
)
def test_a_phase_keeps_every_stated_figure(figures: tuple[Figure, ...], *, serves: bool) -> None:
    """A wash phase from 50 to 60 °C for 8 min at 5 mL/L serves what lies around or below it, nothing else."""
    assert resolve(an_instruction(*_block(wash=figures)), _department()).resolved is serves


@pytest.mark.parametrize(
    ("figures", "serves"),
    [
        ((exactly(90, "°C", "temperature"), exactly(5, "min", "time")), True),
        ((exactly(93, "°C", "temperature"), exactly(5, "min", "time")), False),
        ((exactly(90, "°C", "temperature"), exactly(1, "min", "time")), True),
        ((exactly(90, "°C", "temperature"), exactly(10, "min", "time")), False),
        ((between(90, 95, "°C", "temperature"), at_least(5, "min", "time")), True),
        ((between(85, 92, "°C", "temperature"), at_least(5, "min", "time")), False),
        ((exactly(90, "°C", "temperature"), at_least(3000, "s", "lethality")), True),
        ((exactly(90, "°C", "temperature"), at_least(6000, "s", "lethality")), False),
    ],
)
def test_disinfection_delivers_the_dose_at_the_stated_temperature(
    figures: tuple[Figure, ...], *, serves: bool
) -> None:
    """90 °C for 5 min is A0 3000 s (computed: 10^((90-80)/10) × 300 s); 93 °C is another step."""
    assert resolve(an_instruction(*_block(disinfect=_disinfect(*figures))), _department()).resolved is serves


def test_a_dose_is_never_rounded_up_to_a_pass() -> None:
    """93 °C for 150 s is A0 2992.9 s and no 3000 (figure computed, in the list of published doses)."""
    short = _disinfect(exactly(90, "°C", "temperature"), at_least(3001, "s", "lethality"))
    assert not resolve(an_instruction(*_block(disinfect=short)), _department(a0=3000)).resolved


def test_ports_need_enough_connections() -> None:
    """Four connections serve four ports and not five; the smallest change is a rack."""
    assert resolve(an_instruction(*_block(connected=4)), _department()).resolved
    route = resolve(an_instruction(*_block(connected=5)), _department())
    assert _rules(route) == ["route-no-washer-program"]
    assert route.changes[0].sentence == "A rack with 5 lumen connections for Washer 1."


def test_without_ports_the_plain_rack_is_enough() -> None:
    """Loading alone takes the rack with the fewest connections."""
    steps = [a_step(Action.load, step_id="s1"), *_block()[1:]]
    (operation,) = resolve(an_instruction(*steps), _department()).operations
    assert "plain" in {binding.id for binding in operation.bindings}


def test_what_the_washer_doses_must_suit_the_device() -> None:
    """A device that bears pH 6 to 9 is not washed at pH 10, nor aluminium in what excludes it."""
    limit = DeviceLimit.model_validate(
        {"quantity": "ph", "min": 6, "max": 9, "unit": "pH", "limits": "cleaning agents"}
    )
    acid = resolve(an_instruction(*_block(), limits=[limit]), _department(ph="10"))
    assert "its pH in use is 9–10" in nearest(acid)
    handle = Part(id="H", name="handle", materials=("anodised aluminium",))
    assert "aluminium" in nearest(resolve(an_instruction(*_block(), parts=[handle]), _department()))


def test_a_step_outside_what_the_device_bears_is_asked() -> None:
    """A wash at pH 11 for a device that bears pH 6 to 9 is a contradiction, and no program is proposed."""
    limit = DeviceLimit.model_validate(
        {"quantity": "ph", "min": 6, "max": 9, "unit": "pH", "limits": "cleaning agents"}
    )
    strong = (exactly(11, "pH", "ph"),)
    route = resolve(an_instruction(*_block(wash=strong), limits=[limit]), _department())
    assert _rules(route) == ["route-limit-contradicted"]
    assert route.conflicts[0].place.step == "s3"
    assert [change.sentence for change in route.changes] == [
        "Ask the maker which of the two holds: pH\xa011 or pH\xa06–9."
    ]


def test_chloride_in_the_rinse_is_held_against_the_device() -> None:
    """A device that bears 120 mg/L of chloride is not rinsed with 150."""
    limit = DeviceLimit.model_validate(
        {"quantity": "concentration", "max": 120, "unit": "mg/L", "limits": "chloride in the final rinse"}
    )
    instruction = an_instruction(*_block(), limits=[limit])
    assert resolve(instruction, _department(chloride="100 mg/L")).resolved
    assert not resolve(instruction, _department(chloride="150 mg/L")).resolved


def test_a_rinse_by_hand_is_no_part_of_the_block() -> None:
    """Rinsing before loading, and drying with a cloth afterwards, stay operations by hand."""
    cloth = a_step(Action.dry, step_id="s7", stage=Stage.drying, using="lint-free cloth")
    before = a_step(Action.rinse, step_id="s0", using="critical water")
    department = _department().model_dump() | {"tools": [{"id": "cloth", "name": "cloths", "kind": "cloth"}]}
    route = resolve(an_instruction(before, *_block(), cloth), Department.model_validate(department))
    assert [operation.station for operation in route.operations] == [
        Station.sink,
        Station.washer,
        Station.bench,
    ]
