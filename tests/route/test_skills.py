"""Whether somebody skilled is on: shifts, families and stations, remarked and never a conflict."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from sinkside.department import Department
from sinkside.instruction import Action, Feature, FeatureKind, Instruction, Stage
from sinkside.route import FitColumn, FitRow, FitWord, fit, resolve
from support.routing import a_department, a_step, an_instruction

SHIFTS = [
    {"id": "early", "name": "Early", "begins": "06:00", "ends": "14:00"},
    {"id": "night", "name": "Night", "begins": "22:00", "ends": "06:00"},
]
FAMILIES = [
    {"id": "tubular", "name": "tubular instruments", "features": ["lumen"]},
    {"id": "hooks", "name": "hooks", "words": ["hook"]},
]


def _site(*staff: Mapping[str, object], **more: object) -> Department:
    numbered = [
        {"id": f"g{number}", "role": "technician", "count": 1, **one} for number, one in enumerate(staff)
    ]
    return a_department(shifts=SHIFTS, families=FAMILIES, staff=numbered, **more)


def _tubular() -> Instruction:
    """A tubular hook that is moved at the sink and looked at on the bench."""
    lumen = Feature(id="l", kind=FeatureKind.lumen)
    return an_instruction(
        a_step(Action.actuate), a_step(Action.inspect, step_id="s2", stage=Stage.inspection), features=[lumen]
    )


def _told(site: Department) -> list[tuple[str, str]]:
    route = resolve(_tubular(), site)
    assert route.resolved
    return [(str(one.evidence["station"]), one.level.value) for one in route.findings]


@pytest.mark.parametrize(
    ("staff", "told"),
    [
        (
            [
                {"shift": "early", "stations": ["sink", "bench"]},
                {"shift": "night", "stations": ["sink", "bench"]},
            ],
            [],
        ),
        ([{"shift": "early", "stations": ["sink", "bench"]}], [("sink", "note"), ("bench", "note")]),
        (
            [{"shift": "early", "stations": ["sink"]}, {"shift": "night", "stations": ["sink"]}],
            [("bench", "concern")],
        ),
        (
            [
                {"shift": "early", "stations": ["sink", "bench"], "families": ["hooks"]},
                {"shift": "night", "stations": ["sink", "bench"], "families": ["hooks", "tubular"]},
            ],
            [("sink", "note"), ("bench", "note")],
        ),
        (
            [{"shift": one, "stations": ["sink", "bench"], "count": 0} for one in ("early", "night")],
            [("sink", "concern"), ("bench", "concern")],
        ),
    ],
    ids=["all", "one shift", "no bench", "families", "nobody"],
)
def test_where_nobody_skilled_is_on_it_is_remarked(
    staff: list[dict[str, object]], told: list[tuple[str, str]]
) -> None:
    """At every shift: nothing; at some: a note; at none: a concern; a family must be among the skills."""
    assert sorted(_told(_site(*staff))) == sorted(told)


def test_the_remark_names_shift_hours_and_families() -> None:
    """The sentence says at which shift, from when to when, for which families."""
    site = _site({"shift": "early", "stations": ["sink", "bench"]})
    messages = {one.message for one in resolve(_tubular(), site).findings}
    who = "Nobody who is skilled at the station sink for tubular instruments, hooks"
    assert f"{who} is on at: Night (22:00–06:00)." in messages


def test_a_department_that_tells_no_shifts_is_not_remarked_on() -> None:
    """Without shifts, or without staff, nothing is known and nothing said."""
    assert _told(a_department()) == []
    assert _told(a_department(shifts=SHIFTS)) == []


def test_a_policy_makes_it_weigh_more() -> None:
    """Where somebody skilled is asked for at every shift, a shift without is a concern, in the table too."""
    policy = {"matter": "skill-at-every-shift", "level": "concern", "reason": "Sets come at night."}
    staff = {"shift": "early", "stations": ["sink", "bench"]}
    assert {level for _, level in _told(_site(staff, policies=[policy]))} == {"concern"}
    row = FitRow(_tubular())
    assert fit(row, FitColumn(_site(staff))).word is FitWord.fits
    assert fit(row, FitColumn(_site(staff, policies=[policy]))).word is FitWord.with_concerns


def test_a_device_of_no_family_asks_for_the_station_alone() -> None:
    """People skilled for one family can also do what belongs to none."""
    plain = an_instruction(a_step(Action.actuate))
    other = plain.model_copy(update={"device": plain.device.model_copy(update={"name": "Quarl 5 spoon"})})
    staff = [{"shift": one, "stations": ["sink"], "families": ["hooks"]} for one in ("early", "night")]
    assert resolve(other, _site(*staff)).findings == ()


def test_a_way_with_somebody_skilled_is_taken() -> None:
    """Of two ways that a text names, the one is taken for which somebody is skilled."""
    steps = [
        a_step(Action.sonicate, step_id="a1", using="ultrasonic bath", alternative="a"),
        a_step(Action.actuate, step_id="b1", alternative="a"),
    ]
    bath = {
        "id": "bath",
        "name": "bath",
        "kind": "ultrasonic-bath",
        "programs": [{"kind": "ultrasonic", "name": "40 kHz", "ultrasonic": {"frequency": "40 kHz"}}],
    }
    for station, taken in (("ultrasonic", "a1"), ("sink", "b1")):
        staff = [
            {
                "id": one["id"] + "-1",
                "shift": one["id"],
                "role": "technician",
                "count": 1,
                "stations": [station],
            }
            for one in SHIFTS
        ]
        site = Department.model_validate({"name": "d", "machines": [bath], "shifts": SHIFTS, "staff": staff})
        route = resolve(an_instruction(*steps), site)
        assert [operation.steps for operation in route.operations] == [(taken,)]
        assert route.findings == ()


def test_a_changed_shift_makes_the_cell_of_the_table_new() -> None:
    """The key of a cell hangs on who is on, so that a changed shift is answered again."""
    row = FitRow(_tubular())
    before, after = (FitColumn(_site({"shift": shift, "stations": ["sink"]})) for shift in ("early", "night"))
    assert before.key_of(row.digest, row.looks_at) != after.key_of(row.digest, row.looks_at)
