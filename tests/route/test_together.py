"""Sets: one cycle that every member names, or the set is split."""

from __future__ import annotations

import pytest

from sinkside.department import Department
from sinkside.documents import to_values, validate
from sinkside.errors import BadInput
from sinkside.instruction import Action, Stage
from sinkside.quantities import Quantity
from sinkside.route import Load, SetRoute, route_set
from sinkside.sets import Member, SetDocument
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


def _department() -> Department:
    return a_department(
        a_sterilizer(
            a_program("134 °C", "3 min", "15 min"),
            a_program("134 °C", "5 min", "25 min"),
            a_program("132 °C", "4 min", "30 min"),
        ),
        packaging=[{"id": "box", "name": "box", "kind": "container", "mass": "10 kg"}],
    )


def _set(*names: str, mass: Quantity | None = None) -> SetDocument:
    return SetDocument(
        name="Set 1",
        members=tuple(Member(instruction=name) for name in names),
        packaging="box",
        mass=mass,
    )


LOOSE = an_instruction(
    a_cycle(
        exactly(134, "°C", "temperature"),
        at_least(3, "min", "time"),
        at_least(15, "min", "time", "drying"),
    )
)
STRICT = an_instruction(named_cycle(134, 5, 25))
OTHER = an_instruction(named_cycle(132, 4, 30))


def test_members_share_the_cycle_that_all_of_them_name() -> None:
    """A member that allows 134 °C from 3 min on follows one that names 5 min exactly."""
    found = route_set(_set("loose", "strict"), {"loose": LOOSE, "strict": STRICT}, _department())
    assert found.resolved
    used = {
        binding.program
        for route in found.routes
        for operation in route.operations
        for binding in operation.bindings
    }
    assert used == {"134 °C, 5 min, drying 25 min"}
    assert found.loads == (
        Load(members=("loose", "strict"), machine="sterilizer-1", program="134 °C, 5 min, drying 25 min"),
    )


def test_without_a_common_cycle_the_set_is_split() -> None:
    """134 °C and 132 °C have no common cycle: the set is split, nothing is exchanged."""
    members = {"loose": LOOSE, "strict": STRICT, "other": OTHER}
    found = route_set(_set(*members), members, _department())
    assert not found.resolved
    assert [finding.rule for finding in found.conflicts] == ["route-no-common-cycle"]
    assert [load.members for load in found.loads] == [("loose", "strict"), ("other",)]
    assert found.changes[0].sentence.startswith("Split the set: loose and strict (134 °C, 5 min")


def test_a_member_without_cycle_here_is_a_conflict_of_its_own() -> None:
    """A member that no program serves keeps its own conflict beside the split."""
    gravity = an_instruction(named_cycle(121, 30, 30))
    found = route_set(_set("loose", "gravity"), {"loose": LOOSE, "gravity": gravity}, _department())
    assert {finding.rule for finding in found.conflicts} == {
        "route-no-common-cycle",
        "route-no-steam-program",
    }
    assert found.loads[-1] == Load(members=("gravity",))


def test_a_set_of_one_is_its_member_alone() -> None:
    """A member that is not sterilized asks for no load."""
    dry = an_instruction(a_step(Action.store, stage=Stage.storage))
    found = route_set(_set("dry"), {"dry": dry}, _department())
    assert found.resolved
    assert found.loads == ()


def test_a_set_that_is_too_heavy_for_a_text_or_its_packaging_is_refused() -> None:
    """11 kg is more than a text's 10 kg for the packed set, and more than the box carries."""
    packing = a_step(
        Action.pack, at_most(10, "kg", "mass", "set-mass"), stage=Stage.packaging, using="container"
    )
    members = {"strict": an_instruction(packing, named_cycle(134, 5, 25))}
    heavy = route_set(_set("strict", mass=Quantity(11.0, "kg")), members, _department())
    assert [finding.evidence["who"] for finding in heavy.conflicts] == ["strict", "box"]
    assert route_set(_set("strict", mass=Quantity(9.0, "kg")), members, _department()).resolved


def test_a_member_without_instruction_is_bad_input() -> None:
    """The sentence names the member and what was given."""
    with pytest.raises(BadInput, match="given are strict") as caught:
        route_set(_set("loose"), {"strict": STRICT}, _department())
    assert caught.value.resource == "loose"


def test_a_set_route_reads_back_exactly() -> None:
    """What is written is what is read."""
    members = {"loose": LOOSE, "other": OTHER}
    found = route_set(_set(*members), members, _department())
    assert validate(SetRoute, to_values(found), resource="set route") == found
