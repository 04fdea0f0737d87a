"""What members of a set share, beside an exhaustive search over every choice of programs."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import combinations, product

from sinkside.department import Department, Machine
from sinkside.instruction import Action, Instruction, Stage, Step
from sinkside.route import SetRoute, Station, route_set
from sinkside.route.sharing import least_without_a_common_cycle
from sinkside.sets import Member, SetDocument
from support.pace import quiet_s
from support.routing import (
    a_cycle,
    a_department,
    a_program,
    a_step,
    a_sterilizer,
    an_instruction,
    at_least,
    between,
    exactly,
    named_cycle,
)

#: A set of thirty devices; the bar is 2 s on two quiet cores.
_DEVICES = 30
_WITHIN_S = 2.0


def _bath(number: int, khz: int) -> Machine:
    return Machine.model_validate(
        {
            "id": f"bath-{number}",
            "name": f"Bath {number}",
            "kind": "ultrasonic-bath",
            "programs": [
                {"kind": "ultrasonic", "name": f"{khz} kHz", "ultrasonic": {"frequency": f"{khz} kHz"}}
            ],
        }
    )


def _sonicated(low: float, high: float) -> Step:
    figures = (between(low, high, "kHz", "frequency"), exactly(5, "min", "time"))
    return a_step(Action.sonicate, *figures, step_id="s4", using="ultrasonic bath")


def _set_of(members: dict[str, Instruction]) -> SetDocument:
    return SetDocument(name="Set 1", members=tuple(Member(instruction=name) for name in members))


def _route(members: dict[str, Instruction], department: Department) -> SetRoute:
    return route_set(_set_of(members), members, department)


def test_members_go_into_the_one_bath_that_all_of_them_name() -> None:
    """A member that bears 35 to 45 kHz follows one that names 40 kHz, though another bath comes first."""
    department = a_department(
        _bath(1, 35), _bath(2, 40), a_sterilizer(a_program("134 °C", "3 min", "15 min"))
    )
    cycle = named_cycle(134, 3, 15)
    members = {
        "wide": an_instruction(_sonicated(35, 45), cycle),
        "narrow": an_instruction(_sonicated(40, 40), cycle),
    }
    found = _route(members, department)
    assert found.resolved
    assert [(load.station, load.program, load.members) for load in found.earlier_loads] == [
        (Station.ultrasonic, "40 kHz", ("wide", "narrow"))
    ]
    assert not found.findings


def test_a_set_that_cannot_share_a_bath_is_told_to_be_split_there_and_not_at_the_sterilizer() -> None:
    """35 kHz and 40 kHz have no bath in common: who goes where is a concern, and the pack stays one."""
    department = a_department(
        _bath(1, 35), _bath(2, 40), a_sterilizer(a_program("134 °C", "3 min", "15 min"))
    )
    cycle = named_cycle(134, 3, 15)
    members = {
        "low": an_instruction(_sonicated(35, 35), cycle),
        "high": an_instruction(_sonicated(40, 40), cycle),
        "dry": an_instruction(cycle),
    }
    found = _route(members, department)
    assert found.resolved
    assert len(found.loads) == 1
    (told,) = found.findings
    assert told.rule == "route-set-split-before-packing"
    assert "ultrasonic: low (35 kHz); high (40 kHz); dry (not put in)" in told.message


def test_the_program_that_would_serve_all_is_the_smallest_change() -> None:
    """Two members that allow any drying from 15 and 30 min on: validating 30 min serves both."""
    department = a_department(a_sterilizer(a_program("132 °C", "4 min", "15 min")))

    def dried(minutes: float) -> Instruction:
        cycle = (exactly(132, "°C", "temperature"), exactly(4, "min", "time"))
        return an_instruction(a_cycle(*cycle, at_least(minutes, "min", "time", "drying")))

    members = {"short": dried(15), "long": dried(30)}
    found = _route(members, department)
    assert not found.resolved
    change = found.changes[0]
    assert (
        change.sentence == "Validate on Sterilizer 1: 132 °C, 4 min, drying 30 min. It serves every member."
    )
    assert change.edit is not None


def test_no_program_is_told_to_serve_all_where_the_texts_name_different_cycles() -> None:
    """132 °C for 4 min and 134 °C for 3 min never become one cycle; the set is split."""
    department = a_department(a_sterilizer(a_program("132 °C", "4 min", "20 min")))
    members = {"one": an_instruction(named_cycle(132, 4, 20)), "two": an_instruction(named_cycle(134, 3, 20))}
    found = _route(members, department)
    assert not [change for change in found.changes if "serves every member" in change.sentence]


def _fewest_programs(named: Sequence[frozenset[int]]) -> int:
    """By trying every choice: the fewest different programs with which every member has one that it names."""
    return min(len(set(picks)) for picks in product(*named))


def test_a_set_goes_in_as_few_packs_as_an_exhaustive_search_finds() -> None:
    """Over 60 random sets the loads are as few as trying every choice of programs gives."""
    dryings = (15, 20, 25, 30)
    department = a_department(a_sterilizer(*(a_program("134 °C", "3 min", f"{d} min") for d in dryings)))
    for seed in range(60):
        chance = random.Random(seed)  # noqa: S311 - a drawn case, no secret
        named = [
            frozenset(chance.sample(range(4), chance.randint(1, 2))) for _ in range(chance.randint(2, 5))
        ]
        members = {
            f"m{place}": an_instruction(*_alternatives([dryings[index] for index in sorted(some)]))
            for place, some in enumerate(named)
        }
        assert len(_route(members, department).loads) == _fewest_programs(named), seed


def _alternatives(dryings: Sequence[int]) -> list[Step]:
    letters = "abcd" if len(dryings) > 1 else [None]
    return [
        named_cycle(134, 3, drying).model_copy(update={"alternative": letter, "id": f"z{drying}"})
        for drying, letter in zip(dryings, letters, strict=False)
    ]


def test_the_fewest_members_without_a_common_cycle_are_found() -> None:
    """Over 200 random families the members told have no cycle in common, and any fewer members do."""
    for seed in range(200):
        chance = random.Random(seed)  # noqa: S311 - a drawn case, no secret
        named = {
            f"m{place}": frozenset(
                ("machine", str(number)) for number in chance.sample(range(5), chance.randint(1, 4))
            )
            for place in range(5)
        }
        if frozenset.intersection(*named.values()):
            continue
        told = least_without_a_common_cycle(named)
        assert not frozenset.intersection(*(named[name] for name in told))
        smaller = combinations(named.values(), len(told) - 1)
        assert all(frozenset.intersection(*some) for some in smaller if some), seed


def test_a_set_of_thirty_devices_is_routed_in_time() -> None:
    """Thirty devices of twelve steps against twelve machines are routed and proved within 2 s of work."""
    machines = [
        *(_bath(number, khz) for number, khz in enumerate((35, 40, 45, 80))),
        *(
            a_sterilizer(
                *(a_program("134 °C", f"{m} min", f"{d} min") for m in (3, 4, 5) for d in (15, 20, 30)),
                number=n,
            )
            for n in range(1, 9)
        ),
    ]
    supplies = {
        "brushes": [
            {"id": f"b{n}", "name": f"brush {n}", "diameter": f"{1 + n / 10} mm", "length": "400 mm"}
            for n in range(40)
        ]
    }
    department = a_department(*machines, **supplies)
    chance = random.Random(7)  # noqa: S311 - a drawn case, no secret
    members = {f"device {number}": _device(chance) for number in range(_DEVICES)}
    route_set(_set_of(dict(list(members.items())[:1])), members, department)
    assert quiet_s(lambda: _route(members, department), counts=1) <= _WITHIN_S
    assert _route(members, department).loads


def _device(chance: random.Random) -> Instruction:
    brushes = [
        a_step(Action.brush, exactly(1 + n / 10, "mm", "length", "brush-diameter"), step_id=f"b{n}")
        for n in range(8)
    ]
    inspect = a_step(Action.inspect, step_id="i1", stage=Stage.inspection)
    cycle = a_cycle(
        exactly(134, "°C", "temperature"),
        at_least(chance.choice((3, 4)), "min", "time"),
        at_least(chance.choice((15, 20)), "min", "time", "drying"),
    )
    return an_instruction(*brushes, _sonicated(35, chance.choice((40, 45))), inspect, cycle)
