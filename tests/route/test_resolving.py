"""Routes as a whole: order, letters, stations, reasons, choice, speed."""

from __future__ import annotations

import itertools

import pytest

from sinkside.department import Department, Machine
from sinkside.documents import load
from sinkside.draft import draft_text
from sinkside.errors import BadQuantity
from sinkside.instruction import Action, Instruction, Origin, Stage, Step
from sinkside.route import Station, resolve
from sinkside.route.explaining import letter_of
from sinkside.route.grouping import split_into_choices
from support.command import ROOT, SAMPLES
from support.pace import quiet_s
from support.routing import (
    a_cycle,
    a_department,
    a_program,
    a_step,
    a_sterilizer,
    an_instruction,
    at_least,
    at_most,
    exactly,
    named_cycle,
)

#: What the demo hospital has.
DEMO = ROOT / "src" / "sinkside" / "demo" / "data"


def test_letters_leave_out_what_reads_as_a_stroke_or_a_nought() -> None:
    """Letters run A to Z without I and O, then AA; none comes twice."""
    letters = [letter_of(number) for number in range(24 * 25)]
    assert letters[:24] == list("ABCDEFGHJKLMNPQRSTUVWXYZ")
    assert letters[24:26] == ["AA", "AB"]
    assert len(set(letters)) == len(letters)
    assert not any(set("IO") & set(letter) for letter in letters)


@pytest.mark.parametrize(
    ("action", "stage", "station"),
    [
        (Action.wipe, Stage.point_of_use, Station.theatre),
        (Action.transport, Stage.transport, Station.transport),
        (Action.take_apart, Stage.preparation, Station.sink),
        (Action.actuate, Stage.cleaning, Station.sink),
        (Action.put_together, Stage.inspection, Station.bench),
        (Action.pack, Stage.packaging, Station.packing),
        (Action.cool, Stage.sterilization, Station.sterilizer),
        (Action.store, Stage.storage, Station.store),
    ],
)
def test_the_station_follows_the_stage(action: Action, stage: Stage, station: Station) -> None:
    """Each stage has its place in the department."""
    department = a_department(packaging=[{"id": "w", "name": "wrap", "kind": "wrap"}])
    (operation,) = resolve(an_instruction(a_step(action, stage=stage)), department).operations
    assert operation.station is station


def test_work_by_hand_needs_nothing_and_keeps_its_words() -> None:
    """A step without resources becomes an operation with its positions, cautions, until and origin."""
    step = Step(
        id="s4",
        stage=Stage.preparation,
        action=Action.set_position,
        positions={"ratchet": "released"},
        cautions=("Mind the tip.",),
        until="it moves freely",
        figures=(exactly(10, "1", "count", "actuations"),),
        origin=Origin(page=2, line=11, text="Release the ratchet."),
    )
    (operation,) = resolve(an_instruction(step), a_department()).operations
    assert operation.bindings == ()
    assert operation.positions == {"ratchet": "released"}
    assert operation.cautions == ("Mind the tip.",)
    assert operation.until == "it moves freely"
    assert operation.origin == step.origin
    assert [chosen.required for chosen in operation.figures] == list(step.figures)
    assert operation.why.endswith(".")


def test_a_step_repeated_without_condition_brings_its_things_again() -> None:
    """Repeating a rinse is bound to the same water; repeating only if soil is seen is bound to nothing."""
    rinse = a_step(Action.rinse, step_id="s1", using="tap water")
    again = Step(id="s2", stage=Stage.cleaning, action=Action.repeat, repeats=("s1",))
    perhaps = again.model_copy(update={"id": "s3", "condition": "if soil is seen"})
    department = a_department(water=[{"id": "tap", "name": "tap", "grade": "tap"}])
    bound = [
        [binding.id for binding in operation.bindings]
        for operation in resolve(an_instruction(rinse, again, perhaps), department).operations
    ]
    assert bound == [["tap"], ["tap"], []]


def test_the_route_says_which_text_it_resolved() -> None:
    """The digest follows the instruction: another figure is another digest."""
    department = a_department(a_sterilizer(a_program("134 °C", "3 min", "15 min")))
    first, same, other = (
        resolve(an_instruction(named_cycle(134, minutes, 15)), department).device for minutes in (3, 3, 5)
    )
    assert first.name == "Quarl 3 hook"
    assert len(first.digest) == 64
    assert first.digest == same.digest != other.digest


def _by_hand(minutes: float, step_id: str) -> Step:
    return a_step(Action.brush, at_least(minutes, "min", "time"), step_id=step_id, alternative="a")


def test_less_work_by_hand_comes_before_less_machine_time() -> None:
    """Of two alternatives the one with less stated work by hand is taken; waiting is not work."""
    department = a_department(brushes=[{"id": "b", "name": "brush"}])
    route = resolve(an_instruction(_by_hand(5, "s1"), _by_hand(2, "s2")), department)
    assert [operation.steps for operation in route.operations] == [("s2",)]


def test_work_by_hand_without_a_time_does_not_pass_for_no_work() -> None:
    """A machine is taken before an alternative by hand that states no time."""
    hand = a_step(Action.disinfect, step_id="s1", stage=Stage.disinfection, alternative="a")
    machine = a_step(
        Action.disinfect,
        exactly(90, "°C", "temperature"),
        exactly(5, "min", "time"),
        step_id="s2",
        stage=Stage.disinfection,
        alternative="a",
    )
    route = resolve(an_instruction(hand, machine), _large_department())
    assert [operation.steps for operation in route.operations] == [("s2",)]


def test_a_concern_weighs_more_than_time() -> None:
    """A longer cycle whose drying is stated is taken before a shorter one whose drying is not."""
    department = a_department(
        a_sterilizer(a_program("134 °C", "3 min", None), a_program("121 °C", "20 min", "45 min"))
    )
    quick = a_cycle(exactly(134, "°C", "temperature"), exactly(3, "min", "time"), step_id="s8")
    route = resolve(an_instruction(quick, named_cycle(121, 20, 45)), department)
    assert [operation.steps for operation in route.operations] == [("s9",)]
    assert route.findings == ()


@pytest.mark.parametrize("have", [set(), {"s8"}, {"s9"}, {"s8", "s9"}])
def test_choice_equals_exhaustive_search(have: set[str]) -> None:
    """Over every small department the taken way is the one that an exhaustive search finds."""
    cycles = {"s8": (121.0, 20.0, 25.0), "s9": (134.0, 3.0, 15.0)}
    steps = [named_cycle(*figures).model_copy(update={"id": step_id}) for step_id, figures in cycles.items()]
    programs = [
        a_program(f"{t:g} °C", f"{time:g} min", f"{dry:g} min")
        for step_id, (t, time, dry) in cycles.items()
        if step_id in have
    ]
    for ordered in itertools.permutations(steps):
        route = resolve(an_instruction(*ordered), a_department(a_sterilizer(*programs)))
        able = [step_id for step_id in cycles if step_id in have]
        best = min(able, key=lambda step_id: sum(cycles[step_id][1:]), default=None)
        assert [operation.steps for operation in route.operations] == ([(best,)] if best else [])


def test_conflicts_are_all_told_at_once() -> None:
    """Every step that cannot be done is told, each with its place, and each has a change."""
    steps = (
        a_step(Action.rinse, step_id="s1", using="critical water"),
        a_step(Action.inspect, at_least(8, "1", "count", "magnification"), step_id="s2"),
        named_cycle(134, 3, 15),
    )
    route = resolve(an_instruction(*steps), a_department())
    assert [finding.place.step for finding in route.conflicts] == ["s1", "s2", "s9"]
    assert {step for change in route.changes for step in change.resolves} == {"s1", "s2", "s9"}
    assert all(finding.remedy for finding in route.conflicts)


def test_another_alternative_may_be_the_smaller_change() -> None:
    """Where no alternative can be done, a change that opens another one is offered too."""
    steps = (named_cycle(121, 20, 30).model_copy(update={"id": "s8"}), named_cycle(134, 3, 20))
    department = a_department(
        a_sterilizer(a_program("134 °C", "3 min", "15 min"), a_program("121 °C", "20 min", "25 min"))
    )
    sentences = [change.sentence for change in resolve(an_instruction(*steps), department).changes]
    assert any("20\u00a0min drying on 134 °C" in sentence for sentence in sentences)
    assert any("30\u00a0min drying on 121 °C" in sentence for sentence in sentences)


def test_a_unit_that_measures_something_else_is_refused_with_its_words() -> None:
    """A time in °C is bad input and no crash."""
    with pytest.raises(BadQuantity, match="cannot be given in s"):
        resolve(an_instruction(a_cycle(exactly(4, "°C", "time"))), a_department())


def test_a_drying_row_after_several_cycles_belongs_to_each() -> None:
    """One drying row below two cycles is the drying of both."""
    cycles = [
        a_cycle(exactly(t, "°C", "temperature"), exactly(4, "min", "time"), step_id=f"s{t}")
        for t in (121, 132)
    ]
    drying = a_step(Action.dry, at_least(20, "min", "time"), step_id="dry", stage=Stage.sterilization)
    (choice,) = split_into_choices([*cycles, drying])
    assert [[step.id for step in option] for option in choice] == [["s121", "dry"], ["s132", "dry"]]


def _large_department() -> Department:
    machines = [
        a_sterilizer(
            *(a_program(f"{t} °C", f"{m} min", "30 min") for t in (121, 132, 134) for m in (3, 4, 20)),
            number=number,
        )
        for number in range(20)
    ]
    washers = [
        Machine.model_validate(
            {
                "id": f"washer-{number}",
                "name": f"Washer {number}",
                "kind": "washer-disinfector",
                "racks": [{"id": f"rack-{number}", "name": "rack", "lumen_connections": 4}],
                "programs": [
                    {
                        "kind": "washer-disinfector",
                        "name": f"program {program}",
                        "phases": [
                            {
                                "name": "wash",
                                "temperature": {"min": "50 °C", "max": "60 °C"},
                                "time": f"{program} min",
                            },
                            {
                                "name": "disinfection",
                                "temperature": {"min": "90 °C", "max": "95 °C"},
                                "time": "5 min",
                            },
                        ],
                    }
                    for program in range(1, 6)
                ],
            }
        )
        for number in range(20)
    ]
    return a_department(
        *machines,
        *washers,
        brushes=[
            {"id": f"b{n}", "name": f"brush {n}", "diameter": f"{1 + n / 50} mm", "length": f"{200 + n} mm"}
            for n in range(200)
        ],
        chemicals=[
            {
                "id": f"c{n}",
                "name": f"chemical {n}",
                "kinds": ["enzymatic-detergent"],
                "ph": {"min": "7", "max": "9"},
                "dose": {"min": f"{1 + n % 9} mL/L", "max": "10 mL/L"},
                "temperature": {"min": "20 °C", "max": "45 °C"},
            }
            for n in range(100)
        ],
        water=[
            {"id": f"w{n}", "name": f"point {n}", "grade": "critical", "chloride": "1 mg/L"}
            for n in range(50)
        ],
        tools=[
            {"id": f"t{n}", "name": f"lens {n}", "kind": "lens", "range": {"max": f"{1 + n % 10}"}}
            for n in range(50)
        ],
    )


def _forty_steps() -> Instruction:
    hand = [
        a_step(
            Action.soak,
            exactly(5, "mL/L", "concentration", "dose"),
            at_most(40, "°C", "temperature"),
            step_id="h0",
            using="enzymatic detergent",
        ),
        *(
            a_step(Action.brush, exactly(2 + n / 10, "mm", "length", "brush-diameter"), step_id=f"b{n}")
            for n in range(15)
        ),
        *(
            a_step(Action.rinse, at_least(1, "min", "time"), step_id=f"r{n}", using="critical water")
            for n in range(12)
        ),
        *(
            a_step(
                Action.inspect,
                at_least(5, "1", "count", "magnification"),
                step_id=f"i{n}",
                stage=Stage.inspection,
            )
            for n in range(8)
        ),
    ]
    washer = [
        a_step(Action.connect, step_id="w0", on=["port"]),
        a_step(Action.wash, exactly(55, "°C", "temperature"), exactly(5, "min", "time"), step_id="w1"),
        a_step(Action.disinfect, exactly(90, "°C", "temperature"), exactly(5, "min", "time"), step_id="w2"),
    ]
    return an_instruction(*hand, *washer, named_cycle(132, 4, 30))


def test_forty_steps_against_forty_machines_and_four_hundred_supplies_take_moments() -> None:
    """A warm resolution takes no more than 50 ms of processor."""
    instruction, department = _forty_steps(), _large_department()
    assert len(instruction.steps) == 40
    assert len(department.machines) == 40
    assert resolve(instruction, department).resolved
    assert quiet_s(lambda: resolve(instruction, department), counts=5) < 0.05


def test_a_text_with_hundreds_of_like_steps_is_resolved_in_seconds() -> None:
    """A faulty text twelve times over, some 600 steps, takes under 15 s of processor."""
    text = "\n".join([(SAMPLES / "d_spine_endoscopy_bad.txt").read_text("utf-8")] * 12)
    instruction, department = draft_text(text), load(Department, DEMO / "department.yaml")
    assert quiet_s(lambda: resolve(instruction, department), counts=1) < 15.0
    route = resolve(instruction, department)
    assert not route.resolved
    assert route.smallest_repair
