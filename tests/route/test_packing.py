"""Packaging as devices: which cycle, mass and lumens it is made for, and what lies inside it."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from sinkside.department import Department, Machine
from sinkside.documents import validate
from sinkside.errors import BadDocument
from sinkside.instruction import Action, AirRemoval, Feature, FeatureKind, Instruction, Stage, Step
from sinkside.quantities import Quantity
from sinkside.route import Route, resolve, route_set
from sinkside.sets import Member, SetDocument
from support.routing import (
    a_department,
    a_program,
    a_step,
    a_sterilizer,
    an_instruction,
    exactly,
    named_cycle,
    nearest,
)

PREVACUUM = named_cycle(134, 3, 15)
GRAVITY = named_cycle(121, 30, 30, AirRemoval.gravity)
VAPOUR = a_step(
    Action.sterilize,
    exactly(50, "°C", "temperature"),
    exactly(28, "min", "time"),
    step_id="s9",
    stage=Stage.sterilization,
    using="hydrogen peroxide vapour",
)


def _site(*packaging: Mapping[str, object], policies: list[dict[str, str]] | None = None) -> Department:
    """A department with a program of each method, and some packaging."""
    vapour = {
        "id": "low-1",
        "name": "Low 1",
        "kind": "gas-sterilizer",
        "programs": [
            {
                "kind": "exposure",
                "name": "hydrogen peroxide vapour",
                "exposure": {"temperature": "50 °C", "time": "28 min"},
            }
        ],
    }
    steam = a_sterilizer(
        a_program("121 °C", "30 min", "30 min", kind="steam-gravity"), a_program("134 °C", "3 min", "15 min")
    )
    numbered = [{"id": f"p{number}", "name": f"pack {number}", **one} for number, one in enumerate(packaging)]
    return a_department(steam, Machine.model_validate(vapour), packaging=numbered, policies=policies or [])


def _packed(words: str, cycle: Step, *, bore: str | None = None, length: str | None = None) -> Instruction:
    lumens = (
        [
            Feature(
                id="lumen",
                kind=FeatureKind.lumen,
                bore=Quantity.parse(bore) if bore else None,
                length=Quantity.parse(length) if length else None,
            )
        ]
        if bore or length
        else []
    )
    pack = a_step(Action.pack, stage=Stage.packaging, using=words)
    return an_instruction(pack, cycle, features=lumens)


def _packs(route: Route) -> list[str]:
    return [one.id for operation in route.operations for one in operation.bindings if one.kind == "packaging"]


@pytest.mark.parametrize(
    ("cycle", "pack", "told"),
    [
        (PREVACUUM, {"kind": "pouch"}, None),
        (VAPOUR, {"kind": "pouch"}, "not made for hydrogen peroxide"),
        (VAPOUR, {"kind": "pouch", "methods": ["hydrogen-peroxide"]}, None),
        (PREVACUUM, {"kind": "pouch", "methods": ["hydrogen-peroxide"]}, "not made for steam"),
        (GRAVITY, {"kind": "pouch", "air_removal": ["prevacuum"]}, "not made for air removal by gravity"),
        (PREVACUUM, {"kind": "pouch", "temperature": {"max": "121 °C"}}, "may be sterilized at ≤ 121 °C"),
        (PREVACUUM, {"kind": "pouch", "temperature": {"max": "134 °C"}}, None),
        (GRAVITY, {"kind": "pouch", "temperature": {"min": "130 °C"}}, "may be sterilized at ≥ 130 °C"),
        (
            VAPOUR,
            {"kind": "pouch", "methods": ["hydrogen-peroxide"], "temperature": {"max": "45 °C"}},
            "may be sterilized at ≤ 45 °C",
        ),
    ],
)
def test_packaging_bears_method_air_removal_and_temperature(
    cycle: Step, pack: dict[str, object], told: str | None
) -> None:
    """Each way of not being made for a cycle refuses with its own sentence; what is made for it is taken."""
    route = resolve(_packed("pouch", cycle), _site(pack))
    assert route.resolved is (told is None)
    assert told is None or told in nearest(route).replace("\u00a0", " ")


def test_a_rounded_fahrenheit_label_is_the_same_temperature() -> None:
    """Packaging for up to 132 °C bears 270 °F, which is 132.2 °C."""
    program = a_program("132 °C", "4 min", "20 min")
    cycle = named_cycle(132, 4, 20).model_copy(
        update={
            "figures": (
                exactly(270, "°F", "temperature"),
                exactly(4, "min", "time"),
                exactly(20, "min", "time", "drying"),
            )
        }
    )
    pack = {"id": "p", "name": "p", "kind": "pouch", "temperature": {"max": "132 °C"}}
    assert resolve(_packed("pouch", cycle), a_department(a_sterilizer(program), packaging=[pack])).resolved


@pytest.mark.parametrize(
    ("bore", "length", "told"),
    [
        ("2 mm", "400 mm", None),
        ("3 mm", "100 mm", None),
        ("1.5 mm", "100 mm", "made for lumens of 2 mm or wider, and not for lumen (1.5 mm × 100 mm)"),
        ("2 mm", "45 cm", "made for lumens of 400 mm or shorter, and not for lumen (2 mm × 45 cm)"),
    ],
)
def test_a_container_reaches_lumens_up_to_its_own_figures(bore: str, length: str, told: str | None) -> None:
    """A container for lumens of 2 mm × 400 mm takes those and wider or shorter ones, and no other."""
    box = {"kind": "container", "narrowest_lumen": "2 mm", "longest_lumen": "400 mm"}
    route = resolve(_packed("container", PREVACUUM, bore=bore, length=length), _site(box))
    assert route.resolved is (told is None)
    assert told is None or told in nearest(route).replace("\u00a0", " ")


def test_a_lumen_that_the_text_does_not_measure_is_asked_for() -> None:
    """Without the lumen's length a container of some lumens is a concern; one that tells none is a note."""
    silent, measured = {"kind": "container"}, {"kind": "container", "longest_lumen": "400 mm"}
    device = _packed("container", PREVACUUM, bore="2 mm")
    assert [(one.rule, one.level) for one in resolve(device, _site(measured)).findings] == [
        ("route-packaging-lumen-unsaid", "concern")
    ]
    assert [(one.rule, one.level) for one in resolve(device, _site(silent)).findings] == [
        ("route-packaging-tells-no-lumens", "note")
    ]
    assert resolve(_packed("pouch", PREVACUUM, bore="2 mm"), _site({"kind": "pouch"})).findings == ()


@pytest.mark.parametrize(
    ("words", "kind"),
    [("silicone mat and wrap", "mat"), ("wrap, tip protectors", "tip-protector"), ("tray, wrap", "tray")],
)
@pytest.mark.parametrize("cycle", [PREVACUUM, GRAVITY], ids=["prevacuum", "gravity"])
def test_what_lies_inside_must_be_there_and_bear_the_cycle(words: str, kind: str, cycle: Step) -> None:
    """A mat, protector or tray made for prevacuum is taken there, refused in gravity, missed if absent."""
    wrap, inside = {"kind": "wrap"}, {"kind": kind, "air_removal": ["prevacuum"]}
    route = resolve(_packed(words, cycle), _site(wrap, inside))
    if cycle is PREVACUUM:
        assert _packs(route) == ["p0", "p1"]
    else:
        assert "not made for air removal by gravity" in nearest(route)
    without = resolve(_packed(words, cycle), _site(wrap))
    assert [one.rule for one in without.conflicts] == ["route-no-packaging"]


def test_the_cycle_is_chosen_with_everything_that_lies_in_it() -> None:
    """With a mat for prevacuum alone, the prevacuum cycle is taken of the two that the text names."""
    gravity = GRAVITY.model_copy(update={"id": "s8"})
    device = an_instruction(a_step(Action.pack, stage=Stage.packaging, using="mat, wrap"), gravity, PREVACUUM)
    route = resolve(device, _site({"kind": "wrap"}, {"kind": "mat", "air_removal": ["prevacuum"]}))
    assert [operation.steps for operation in route.operations] == [("s1",), ("s9",)]


def test_a_heavy_device_asks_for_a_tray_that_carries_it() -> None:
    """A tray for 2 kg does not carry 3 kg, the one for 5 kg does."""
    device = _packed("tray, wrap", PREVACUUM)
    heavy = device.model_copy(
        update={"device": device.device.model_copy(update={"mass": Quantity(3.0, "kg")})}
    )
    trays = ({"kind": "tray", "mass": "2 kg"}, {"kind": "tray", "mass": "5 kg"})
    assert _packs(resolve(heavy, _site({"kind": "wrap"}, *trays))) == ["p0", "p2"]
    assert "it carries 2 kg" in nearest(resolve(heavy, _site({"kind": "wrap"}, trays[0])))


def test_the_choice_names_the_packaging_s_own_instruction() -> None:
    """The sentence of the packing step says by which instruction and revision the packaging carries it."""
    pack = {"kind": "wrap", "instruction": "Barrier sheets", "revision": "5", "dated": "2030-04-11"}
    route = resolve(_packed("wrap", PREVACUUM), _site(pack))
    assert "Pack 0 carries it by Barrier sheets (5, 2030-04-11)" in route.operations[0].why


@pytest.mark.parametrize("level", ["note", "concern"])
def test_a_policy_asks_for_the_instruction_of_packaging(level: str) -> None:
    """Where it is settled, packaging without its own instruction is remarked on as settled; else not."""
    policy = {"matter": "packaging-instruction", "level": level, "reason": "ours"}
    device, known = _packed("wrap", PREVACUUM), {"kind": "wrap", "instruction": "Sheets", "revision": "5"}
    told = resolve(device, _site({"kind": "wrap"}, policies=[policy])).findings
    assert [(one.rule, one.level) for one in told] == [("route-packaging-instruction-missing", level)]
    assert resolve(device, _site({"kind": "wrap"})).findings == ()
    both = resolve(device, _site({"kind": "wrap"}, known, policies=[policy]))
    assert _packs(both) == (["p1"] if level == "concern" else ["p0"])


def test_the_proposed_packaging_does_for_the_cycle_once_provided() -> None:
    """A refusal in vapour proposes packaging that, once it is there, gives a route, for that lumen too."""
    device = _packed("container", VAPOUR, bore="1.2 mm", length="300 mm")
    (change,) = resolve(device, _site({"kind": "container"})).smallest_repair
    assert change.edit is not None
    assert change.edit.kind == "thing"
    assert change.edit.packaging is not None
    assert str(change.edit.packaging.narrowest_lumen) == "1.2 mm"


def test_what_a_set_lies_in_says_nothing_of_what_lies_inside() -> None:
    """A set in a container finds its mat although only the container is named."""
    site = _site({"kind": "container"}, {"kind": "container"}, {"kind": "mat"})
    member = {"a": _packed("container with mat", PREVACUUM)}
    document = SetDocument(name="Set", members=(Member(instruction="a"),), packaging="p1")
    found = route_set(document, member, site)
    assert _packs(found.routes[0]) == ["p1", "p2"]


def test_figures_of_packaging_are_of_their_kind() -> None:
    """A lumen in kilograms and a method that is none are refused with what was expected."""
    pack = {"id": "p", "name": "p", "kind": "pouch"}
    for wrong, expected in (
        ({"narrowest_lumen": "2 kg"}, "such as '1 mm'"),
        ({"methods": ["plasma"]}, "hydrogen-peroxide"),
        ({"dated": "spring"}, "dated"),
    ):
        with pytest.raises(BadDocument, match=expected):
            validate(Department, {"name": "d", "packaging": [{**pack, **wrong}]}, resource="d")


@pytest.mark.parametrize(
    ("mat", "told"),
    [
        ({"air_removal": ["prevacuum", "gravity"]}, None),
        ({"air_removal": ["prevacuum"]}, "it is not made for air removal by gravity"),
        ({"methods": ["hydrogen-peroxide"]}, "it is not made for steam"),
        ({"temperature": {"max": "120 °C"}}, "it may be sterilized at ≤ 120 °C"),
    ],
)
def test_what_a_member_of_a_set_lies_in_bears_the_cycle_of_its_load(
    mat: dict[str, object], told: str | None
) -> None:
    """A mat that only the set names, and no text, is held against the load's program too."""
    site = _site({"kind": "wrap"}, {"kind": "mat", **mat})
    member = Member(instruction="a", holder="p1")
    found = route_set(SetDocument(name="Set", members=(member,)), {"a": _packed("wrap", GRAVITY)}, site)
    assert found.resolved is (told is None)
    messages = [one.message.replace("\u00a0", " ") for one in found.conflicts]
    assert messages == (
        [f"In Set, pack 1 does not go through 121 °C, 30 min, drying 30 min (sterilizer-1): {told}."]
        if told
        else []
    )


def test_a_set_does_not_lie_in_a_mat_alone() -> None:
    """A set that names a mat as its packaging lies in whatever barrier does; the mat is none."""
    site = _site({"kind": "wrap"}, {"kind": "mat"})
    document = SetDocument(name="Set", members=(Member(instruction="a"),), packaging="p1")
    assert _packs(route_set(document, {"a": _packed("wrap", PREVACUUM)}, site).routes[0]) == ["p0"]
