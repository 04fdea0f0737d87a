"""Shifts, opening hours, families, staff and policies: what is said of them must hold together."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from sinkside.department import Department, DeviceFamily, Matter, Staff
from sinkside.department.coherence import incoherent
from sinkside.documents import load, to_values, validate
from sinkside.errors import BadDocument
from sinkside.instruction import FeatureKind

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))

EARLY = {"id": "early", "name": "Early", "begins": "06:30", "ends": "14:30"}
TUBULAR = {"id": "tubular", "name": "tubular", "features": ["lumen", "sliding-sleeve"]}
THREE = {"id": "g", "shift": "early", "role": "technician", "count": 3, "stations": ["sink"]}


def _department(**values: Any) -> Department:
    return validate(Department, {"name": "North", **values}, resource="department")


def test_the_demo_tells_who_is_on_and_names_nobody() -> None:
    """The demo's staff are roles and numbers; a name has no field to stand in."""
    demo = load(Department, DATA / "department.yaml")
    assert {one.role for one in demo.staff} == {"technician", "lead"}
    assert incoherent(demo) == []
    assert "name" not in Staff.model_fields
    with pytest.raises(BadDocument, match="unknown field"):
        _department(shifts=[EARLY], staff=[{**THREE, "name": "Somebody"}])


def test_a_department_kept_before_these_were_told_opens_as_it_was() -> None:
    """A document without any of the newer fields reads: nobody, no shift, steam for packaging."""
    values = to_values(load(Department, DATA / "department.yaml"))
    for field in ("hours", "shifts", "families", "staff", "policies"):
        del values[field]
    old = ("id", "name", "kind", "mass", "air_removal")
    values["packaging"] = [
        {key: value for key, value in one.items() if key in old} for one in values["packaging"]
    ]
    for machine in values["machines"]:
        for program in machine["programs"]:
            del program["lumen_claims"]
    found = validate(Department, values, resource="department")
    assert found.staff == ()
    assert {method.value for one in found.packaging for method in one.methods} == {"steam"}


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"staff": [THREE]}, "staff[0].shift: technician are on 'early', which is not here; here are none"),
        (
            {"shifts": [EARLY], "staff": [{**THREE, "families": ["tubular"]}]},
            "staff[0].families: technician are skilled for 'tubular', which is not here; here are none",
        ),
        (
            {"closed": ["sunday"], "hours": [{"day": "sunday", "opens": "08:00", "closes": "12:00"}]},
            "hours[0].day: sunday is a day on which nobody works here",
        ),
        (
            {"closed": ["sunday"], "shifts": [{**EARLY, "days": ["sunday"]}]},
            "shifts[0].days: nobody works here on sunday",
        ),
    ],
)
def test_what_is_not_there_is_told(values: dict[str, Any], expected: str) -> None:
    """Staff on no shift, skilled for no family, and work on a day of rest are told with what there is."""
    assert [str(fault) for fault in incoherent(_department(**values))] == [expected]


def test_what_is_there_holds_together() -> None:
    """Staff on a shift that is there, skilled for a family that is there, on a day of work, are no fault."""
    site = _department(
        closed=["sunday"],
        hours=[{"day": "monday", "opens": "06:30", "closes": "21:00"}],
        shifts=[{**EARLY, "days": ["monday", "sunday"]}],
        families=[TUBULAR],
        staff=[{**THREE, "families": ["tubular"]}],
    )
    assert incoherent(site) == []


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"shifts": [{**EARLY, "begins": "6 o'clock"}]}, "shifts[0].begins"),
        ({"shifts": [{**EARLY, "ends": "25:00"}]}, "shifts[0].ends"),
        ({"shifts": [{**EARLY, "ends": "06:30"}]}, "begins is '06:30', and so is its end"),
        ({"hours": [{"day": "monday", "opens": "08:00", "closes": "08:00"}]}, "opens is '08:00'"),
        ({"shifts": [EARLY], "staff": [{**THREE, "count": -1}]}, "staff[0].count"),
        ({"shifts": [EARLY], "staff": [{**THREE, "stations": ["roof"]}]}, "staff[0].stations"),
        ({"families": [{"id": "f", "name": "f"}]}, "needs features or words of names"),
        ({"shifts": [EARLY, EARLY]}, "ids stand twice: early"),
        (
            {"policies": [{"matter": "packaging-instruction", "level": "note", "reason": "r"}] * 2},
            "policies stand twice: packaging-instruction",
        ),
        (
            {"policies": [{"matter": "packaging-instruction", "level": "stop", "reason": "r"}]},
            "policies[0].level",
        ),
    ],
)
def test_what_cannot_be_is_refused(values: dict[str, Any], expected: str) -> None:
    """A time that is none, a shift without length, fewer than nobody, a matter settled twice."""
    with pytest.raises(BadDocument) as told:
        _department(**values)
    assert any(expected in str(fault) for fault in told.value.faults), told.value.faults


def test_a_family_has_devices_with_every_feature_or_a_word_of_the_name() -> None:
    """All features must be there; of the words one is enough; both hold where both are given."""
    lumen, sleeve = FeatureKind.lumen, FeatureKind.sliding_sleeve
    tubular = validate(DeviceFamily, TUBULAR, resource="family")
    assert tubular.has({lumen, sleeve, FeatureKind.jaw}, "Any")
    assert not tubular.has({lumen}, "Any")
    both = tubular.model_copy(update={"words": ("punch", "forceps")})
    assert both.has({lumen, sleeve}, "Suction Punch 4")
    assert not both.has({lumen, sleeve}, "Suction hook 4")


def test_a_policy_is_found_by_its_matter() -> None:
    """A matter that is settled has its level, one that is not has none."""
    policy = {"matter": "skill-at-every-shift", "level": "concern", "reason": "r"}
    site = _department(policies=[policy])
    assert site.level_of(Matter.skill_at_every_shift) == "concern"
    assert site.level_of(Matter.packaging_instruction) is None
