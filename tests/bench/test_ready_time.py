"""The earliest honest ready time: a range summed over what is left, which never shortens a stated time."""

from __future__ import annotations

from typing import Any

import pytest

from sinkside.bench.plan import Task
from sinkside.bench.ready_time import LeftOver, program_s, ready_time
from sinkside.department import Department, Machine, Program, Station
from sinkside.quantities import Quantity

MIN = 60.0


def _program(name: str, exposure: str, drying: str) -> Program:
    plateau = {"temperature": Quantity.parse("134 °C"), "time": Quantity.parse(exposure)}
    return Program.model_validate({
        "kind": "steam-prevacuum", "name": name, "exposure": plateau,
        "air_removal": {"pulses": 3, "vacuum": "15 kPa"}, "drying": {"time": drying},
    })  # fmt: skip


WASH = Program.model_validate({
    "kind": "washer-disinfector", "name": "W90",
    "phases": [{"name": "wash", "time": "5 min"}, {"name": "disinfection", "time": "5 min"},
               {"name": "drying", "time": "20 min"}],
})  # fmt: skip
HOUSE = Department(
    name="Invented house",
    machines=(
        Machine(id="w1", name="Washer 1", kind="washer-disinfector", programs=(WASH,)),
        Machine(
            id="s1",
            name="Sterilizer 1",
            kind="steam-sterilizer",
            programs=(_program("134/3", "3 min", "15 min"),),
        ),
    ),
)


def _task(member: str, letter: str, station: str, action: str, minutes: float = 0, **more: Any) -> Task:
    return Task.model_validate({
        "id": f"{member}.{letter}", "member": member, "letter": letter, "station": station,
        "stage": "cleaning", "action": action, "words": action, "at_least_s": minutes * MIN, **more,
    })  # fmt: skip


def _device(name: str, soak_min: float = 10) -> list[Task]:
    return [
        _task(name, "A", "theatre", "wipe"),
        _task(name, "B", "sink", "soak", soak_min),
        _task(name, "C", "sink", "brush"),
        _task(name, "D", "washer", "wash", machine="w1", program="W90"),
        _task(name, "E", "bench", "inspect"),
        _task(name, "F", "packing", "pack"),
        _task(name, "G", "sterilizer", "sterilize", 3, machine="s1", program="134/3"),
        _task(name, "H", "store", "cool", 45),
        _task(name, "J", "store", "count-use", required=False),
    ]


def _parts(left: LeftOver, *devices: list[Task]) -> dict[Station, tuple[float, float]]:
    found = ready_time([task for device in devices for task in device], HOUSE, left)
    assert found is not None
    return {part.station: (part.low_s / MIN, part.high_s / MIN) for part in found.parts}


def test_a_program_is_as_long_as_its_stated_phases() -> None:
    """Sums by hand: 5 + 5 + 20 min of washing; 3 min exposure + 15 min drying of steam."""
    assert program_s(WASH) == 30 * MIN
    assert program_s(HOUSE.machines[1].programs[0]) == 18 * MIN


def test_a_soiled_set_is_summed_by_hand() -> None:
    """Stated times plus the allowances of ready_time.toml, each station added up by hand."""
    assert _parts(LeftOver("soiled"), _device("A")) == {
        Station.sink: (10 + 0.5 + 1, 10 + 1 + 4),
        Station.washer: (30 + 10, 30 + 30),
        Station.bench: (1, 4),
        Station.packing: (3, 10),
        Station.sterilizer: (18 + 15, 18 + 35),
        Station.store: (45, 120),
    }


def test_members_share_a_cycle_and_a_soak_but_not_the_hands() -> None:
    """Two devices go through one cycle once; at worst one after another is soaked and brushed."""
    one, two = (
        _parts(LeftOver("soiled"), *routes) for routes in ([_device("A")], [_device("A"), _device("B")])
    )
    assert two[Station.washer] == one[Station.washer]
    assert two[Station.sterilizer] == one[Station.sterilizer]
    assert two[Station.sink] == (one[Station.sink][0], 2 * one[Station.sink][1])


def test_several_of_a_kind_are_brushed_one_by_one_at_worst() -> None:
    """Three alike lie in one soak of 10 min; each takes its own 4 min of brushing and minute of handling."""
    parts = _parts(LeftOver("soiled", counts={"A": 3}), _device("A"))
    assert parts[Station.sink] == (11.5, 10 + 3 * 5)


@pytest.mark.parametrize(
    ("state", "first"),
    [
        ("in-use", Station.theatre),
        ("at-sink", Station.sink),
        ("in-washer", Station.washer),
        ("clean-side", Station.bench),
        ("packing", Station.packing),
        ("packed", Station.sterilizer),
        ("in-sterilizer", Station.sterilizer),
        ("sterilized", Station.store),
    ],
)
def test_what_is_behind_a_set_is_not_counted(state: str, first: Station) -> None:
    """What is left begins at the station where the set stands, and all that follows is counted."""
    parts = _parts(LeftOver(state), _device("A"))
    order: list[Station] = [
        one for one in Station if one is not Station.ultrasonic and one is not Station.transport
    ]
    assert list(parts) == order[order.index(first) :]


def test_done_tasks_and_a_running_machine_are_taken_off() -> None:
    """A soak that is over is not counted again; 12 minutes of a running washer are behind it."""
    assert _parts(LeftOver("at-sink", done={"A.B"}), _device("A"))[Station.sink] == (1, 4)
    assert _parts(LeftOver("in-washer", running_s=12 * MIN), _device("A"))[Station.washer] == (28, 48)


def test_policy_lengthens_cooling_and_never_shortens_the_texts() -> None:
    """A policy of 20 min leaves the text's 45 min standing; one of 90 min counts."""
    assert _parts(LeftOver("sterilized", cooling_s=(1200, 1200)), _device("A"))[Station.store] == (45, 45)
    assert _parts(LeftOver("sterilized", cooling_s=(5400, 5400)), _device("A"))[Station.store] == (90, 90)


def test_the_longer_soak_is_counted_whole() -> None:
    """A stated soak of 40 min makes the least 30 min longer than one of 10: stated times are never cut."""
    short, long = (_parts(LeftOver("soiled"), _device("A", soak))[Station.sink][0] for soak in (10, 40))
    assert long - short == 30


@pytest.mark.parametrize("state", ["held", "set-aside", "away", "issued"])
def test_nobody_can_say_when_what_is_held_is_ready(state: str) -> None:
    """Held, set aside, away or handed out: no time is made up."""
    assert ready_time(_device("A"), HOUSE, LeftOver(state)) is None


def test_what_is_in_store_is_ready() -> None:
    """Nothing is left of its route."""
    stored = ready_time(_device("A"), HOUSE, LeftOver("in-store"))
    assert stored is not None
    assert (stored.low_s, stored.high_s) == (0, 0)


def test_a_program_that_is_gone_still_takes_what_its_text_states() -> None:
    """The department has struck the program since: the text's own time and the allowance are counted."""
    gone = [_task("A", "G", "sterilizer", "sterilize", 3, machine="s9", program="gone")]
    assert _parts(LeftOver("packed"), gone)[Station.sterilizer] == (3 + 15, 3 + 35)
