"""What a set weighs, against the published limit in force.

25 lb is 11.339 809 25 kg by the international pound of 0.453 592 37 kg (National Bureau of Standards, Federal
Register, 1 July 1959); the table has it to two decimals.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from sinkside.department import Department
from sinkside.desk.machine_things import profile_of
from sinkside.findings import Finding
from sinkside.limits import Profile, profile
from sinkside.sets import SetMass, check_set, contents_of, mass_of, read_set
from sinkside.sets.mass import limit_in_force
from support.set_house import a_device, a_part

POUND_KG: Final = 0.45359237
TEXTS = {
    "hook": a_device("hook", mass="40 g"),
    "punch": a_device("punch", a_part("shaft", mass="100 g"), a_part("spring")),
}


def _weighed(*members: dict[str, Any], limits: Profile | None = None, **rest: Any) -> SetMass:
    document = read_set({"name": "Hand set", "members": list(members), **rest})
    return mass_of(document, contents_of(document, TEXTS), TEXTS, limits or profile("eu"))


def _found(limits: Profile, **rest: Any) -> list[Finding]:
    document = read_set({"name": "Hand set", "members": [{"instruction": "hook", "count": 2}], **rest})
    return list(check_set(document, TEXTS, limits))


def test_the_limits_are_those_that_are_published() -> None:
    """25 lb in the United States, 10 kg in Europe, none in the United Kingdom's profile."""
    american, european = limit_in_force(profile("us")), limit_in_force(profile("eu"))
    assert american is not None
    assert american.ends("kg")[1] == pytest.approx(25 * POUND_KG, abs=0.005)
    assert european is not None
    assert european.ends("kg")[1] == 10
    assert limit_in_force(profile("uk")) is None


def test_masses_are_added_up_with_the_packaging() -> None:
    """3 hooks of 40 g and packaging of 2.1 kg are 2.22 kg; the pound is read too."""
    assert _weighed({"instruction": "hook", "count": 3}, packaging_mass="2.1 kg").kg == pytest.approx(2.22)
    one = {"instruction": "hook", "mass": "0.1 lb"}
    assert _weighed(one, packaging_mass="1 lb").kg == pytest.approx(1.1 * POUND_KG)


def test_a_part_without_mass_is_named_unless_the_whole_is_known() -> None:
    """The sum says what it lacks; a mass of the whole device stands in for those of its parts."""
    parts = {"instruction": "punch", "parts": [{"part": "shaft"}, {"part": "spring"}]}
    assert _weighed(parts, packaging_mass="1 kg").unknown == ("punch, spring",)
    assert _weighed(parts).unknown == ("punch, spring", "the empty packaging")
    assert _weighed({**parts, "mass": "130 g"}, packaging_mass="1 kg").kg == pytest.approx(1.13)
    sprung = {**parts, "parts": [{"part": "shaft"}, {"part": "spring", "count": 2, "mass": "5 g"}]}
    assert _weighed({**sprung, "count": 2}, packaging_mass="1 kg").kg == pytest.approx(1.22)


@pytest.mark.parametrize(
    ("limits", "mass", "heavy"),
    [
        ("eu", "10 kg", False),
        ("eu", "10.1 kg", True),
        ("us", "10.1 kg", False),
        ("us", "25 lb", False),
        ("us", "26 lb", True),
        ("uk", "30 kg", False),
    ],
)
def test_the_limit_in_force_decides(limits: str, mass: str, heavy: bool) -> None:
    """A packed set above the limit of the profile is a stop, with the source; one on it is none."""
    found = _found(profile(limits), mass=mass)
    assert [one.rule for one in found] == (["set-too-heavy"] if heavy else [])
    assert all(one.source for one in found)


def test_a_sum_that_lacks_something_can_be_too_heavy_all_the_same() -> None:
    """What is known alone passes the limit; that something has no mass makes it no lighter."""
    document = read_set({"name": "Hand set", "members": [{"instruction": "hook", "count": 300}]})
    rules = [one.rule for one in check_set(document, TEXTS, profile("eu"))]
    assert rules == ["set-too-heavy", "set-mass-unknown"]


def test_a_department_may_have_a_limit_of_its_own() -> None:
    """An own limit with its reason stands in the place of the published one."""
    own = {"limit": "mass-container-europe", "value": "7 kg", "reason": "Two of us lift alone."}
    site = Department.model_validate({"name": "North", "overrides": [own]})
    (found,) = _found(profile_of(site), mass="8 kg")
    assert found.message.startswith("The set weighs 8")
    assert "our own limit is 7" in found.message
    assert "Two of us lift alone." in found.message


def test_a_set_cannot_weigh_less_than_its_parts() -> None:
    """Weighed at 2.0 kg with 2.08 kg listed is a contradiction; within the rounding of scales it is none."""
    assert [one.rule for one in _found(profile("eu"), mass="2.0 kg", packaging_mass="2 kg")] == [
        "set-mass-contradicts"
    ]
    assert _found(profile("eu"), mass="2.05 kg", packaging_mass="2 kg") == []
