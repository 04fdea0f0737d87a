"""Water, chemistry, brushes, lubricants, air, tools and packaging: what fits, and why the rest does not."""

from __future__ import annotations

import pytest

from sinkside.department import Department
from sinkside.instruction import (
    Action,
    AirRemoval,
    DeviceLimit,
    Feature,
    FeatureKind,
    Instruction,
    Stage,
    Step,
)
from sinkside.quantities import Figure, Quantity
from sinkside.route import Route, resolve
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
    named_cycle,
    nearest,
)


def _bound(route: Route) -> list[str]:
    return [binding.id for operation in route.operations for binding in operation.bindings]


def _waters(*grades: str) -> Department:
    return a_department(water=[{"id": grade, "name": f"{grade} point", "grade": grade} for grade in grades])


@pytest.mark.parametrize(
    ("words", "grades", "taken"),
    [
        ("critical water", ["tap", "demineralised", "critical"], "critical"),
        ("demineralised water", ["tap", "sterile", "critical"], "critical"),
        ("deionized water", ["utility", "demineralised"], "demineralised"),
        ("sterile water", ["critical", "sterile"], "sterile"),
        ("running tap water", ["critical", "tap"], "tap"),
        ("utility water", ["tap", "critical"], "critical"),
        ("critical water", ["tap", "utility", "demineralised"], None),
    ],
)
def test_better_water_does_and_the_plainest_is_taken(
    words: str, grades: list[str], taken: str | None
) -> None:
    """A better grade serves a lesser one, never the other way, and no better one is used than needed."""
    route = resolve(an_instruction(a_step(Action.rinse, using=words)), _waters(*grades))
    assert _bound(route) == ([taken] if taken else [])
    assert route.resolved is (taken is not None)


def test_chloride_of_a_rinse_is_held_against_the_device_and_asked_for_if_untested() -> None:
    """A water point above the device's chloride limit is refused; one without a result is a concern."""
    limit = DeviceLimit.model_validate(
        {"quantity": "concentration", "max": 100, "unit": "mg/L", "limits": "chloride"}
    )
    instruction = an_instruction(a_step(Action.rinse, using="tap water"), limits=[limit])
    salty = a_department(water=[{"id": "w", "name": "tap", "grade": "tap", "chloride": "140 mg/L"}])
    assert "140 mg/L of chloride" in nearest(resolve(instruction, salty))
    assert [finding.rule for finding in resolve(instruction, _waters("tap")).findings] == [
        "route-chloride-untested"
    ]


CHEMICALS = a_department(
    chemicals=[
        {
            "id": "enzy",
            "name": "Enzy",
            "kinds": ["enzymatic-detergent", "neutral-detergent"],
            "ph": {"min": "7.5", "max": "8.5"},
            "dose": {"min": "4 mL/L", "max": "10 mL/L"},
            "temperature": {"min": "20 °C", "max": "45 °C"},
            "contact_time": "10 min",
            "excludes": ["zinc"],
        },
        {"id": "alka", "name": "Alka", "kinds": ["alkaline-detergent"], "ph": {"min": "11", "max": "12"}},
    ]
)


@pytest.mark.parametrize(
    ("words", "figures", "taken"),
    [
        ("neutral enzymatic detergent", (), "enzy"),
        ("alkaline cleaner", (), "alka"),
        ("mildly alkaline cleaner", (), None),
        ("enzymatic detergent", (exactly(0.5, "%", "percent", "dose"),), "enzy"),
        ("enzymatic detergent", (exactly(2, "mL/L", "concentration", "dose"),), None),
        ("enzymatic detergent", (exactly(5, "g/L", "concentration", "dose"),), None),
        ("enzymatic detergent", (between(30, 40, "°C", "temperature"),), "enzy"),
        ("enzymatic detergent", (exactly(60, "°C", "temperature"),), None),
        ("enzymatic detergent", (between(7, 8, "pH", "ph"),), None),
        ("enzymatic detergent", (between(7, 9, "pH", "ph"),), "enzy"),
    ],
)
def test_a_chemical_fits_in_kind_ph_dose_and_temperature(
    words: str, figures: tuple[Figure, ...], taken: str | None
) -> None:
    """Kind by name, the whole pH range in use inside what is stated, dose in units of the same kind."""
    route = resolve(an_instruction(a_step(Action.soak, *figures, using=words)), CHEMICALS)
    assert _bound(route) == ([taken] if taken else [])


def test_a_solution_spoken_of_again_is_the_same_one() -> None:
    """The words "same solution" and "fresh solution" mean what was prepared, with its figures."""
    steps = (
        a_step(
            Action.prepare_solution,
            exactly(5, "mL/L", "concentration", "dose"),
            step_id="s1",
            using="enzymatic detergent",
        ),
        a_step(Action.soak, exactly(5, "min", "time"), step_id="s2", using="detergent solution"),
        a_step(Action.fill, step_id="s3", using="fresh detergent solution"),
    )
    route = resolve(an_instruction(*steps), CHEMICALS)
    assert _bound(route) == ["enzy", "enzy", "enzy"]
    assert route.operations[0].figures[0].use == Quantity(5.0, "mL/L")
    assert [finding.rule for finding in route.findings] == ["route-contact-shorter-than-chemical"]


BRUSHES = a_department(
    brushes=[
        {"id": "bench", "name": "bench brush", "bristle": "soft nylon"},
        {"id": "wire", "name": "wire brush", "bristle": "steel"},
        {"id": "b25", "name": "brush 25", "diameter": "2.5 mm", "length": "300 mm"},
        {"id": "b25-long", "name": "brush 25 long", "diameter": "2.5 mm", "length": "400 mm"},
        {"id": "b30", "name": "brush 30", "diameter": "3 mm", "length": "300 mm"},
    ]
)
LUMEN = Feature(id="lumen-1", kind=FeatureKind.lumen, bore=Quantity(2.4, "mm"), length=Quantity(350.0, "mm"))


def _brushing(*figures: Figure, lumen: Feature | None = None) -> Instruction:
    step = a_step(Action.brush, *figures, on=["lumen-1"] if lumen else [])
    return an_instruction(step, features=[lumen] if lumen else [])


@pytest.mark.parametrize(
    ("instruction", "taken"),
    [
        (_brushing(), "bench"),
        (_brushing(exactly(2.5, "mm", "length", "brush-diameter")), "b25"),
        (_brushing(exactly(2.6, "mm", "length", "brush-diameter")), "b25"),
        (_brushing(exactly(2.7, "mm", "length", "brush-diameter")), None),
        (
            _brushing(
                exactly(2.5, "mm", "length", "brush-diameter"), exactly(350, "mm", "length", "brush-length")
            ),
            "b25-long",
        ),
        (_brushing(lumen=LUMEN), "b25-long"),
        (_brushing(exactly(3, "mm", "length", "brush-diameter"), lumen=LUMEN), None),
    ],
)
def test_a_brush_fits_in_diameter_and_reaches_through(instruction: Instruction, taken: str | None) -> None:
    """Within 0.1 mm of what is stated, else by the bore (common practice, no source), and never too short."""
    assert _bound(resolve(instruction, BRUSHES)) == ([taken] if taken else [])


def test_a_brush_that_is_missing_is_the_smallest_change() -> None:
    """The change names the brush to buy, across and along."""
    instruction = _brushing(
        exactly(2.7, "mm", "length", "brush-diameter"), exactly(400, "mm", "length", "brush-length")
    )
    route = resolve(instruction, BRUSHES)
    assert route.changes[0].sentence == "A 2.7\u00a0mm × 400\u00a0mm brush."
    assert nearest(route) == "brush 25 long: its diameter is 2.5 mm"


def test_a_brush_size_from_the_bore_is_noted() -> None:
    """Where the text states no diameter the route says that the bore decided."""
    route = resolve(_brushing(lumen=LUMEN), BRUSHES)
    assert [finding.rule for finding in route.findings] == ["route-brush-size-from-bore"]


LUBRICANTS = a_department(
    lubricants=[
        {"id": "silicone", "name": "silicone oil", "base": "silicone", "steam_permeable": False},
        {"id": "oil", "name": "white oil", "base": "white-oil", "steam_permeable": False},
        {"id": "milk", "name": "milk", "base": "water-soluble", "steam_permeable": True},
    ]
)


@pytest.mark.parametrize(
    ("words", "taken"),
    [
        ("water-soluble, steam-permeable lubricant", "milk"),
        ("medical white oil", "oil"),
        ("steam-permeable oil", "milk"),
        ("lubricant without silicone", "milk"),
        ("silicone oil", "silicone"),
        ("medical white oil, steam-permeable", None),
    ],
)
def test_a_lubricant_fits_in_base_and_lets_steam_through(words: str, taken: str | None) -> None:
    """Silicone is taken only where it is asked for, and steam passes where the text says so."""
    step = a_step(Action.lubricate, stage=Stage.maintenance, using=words)
    assert _bound(resolve(an_instruction(step), LUBRICANTS)) == ([taken] if taken else [])


@pytest.mark.parametrize(
    ("words", "figures", "use"),
    [
        ("instrument air", (), None),
        ("instrument air", (at_most(1.4, "bar", "pressure"),), Quantity(1.4, "bar")),
        ("instrument air", (at_most(20, "psi", "pressure"),), Quantity(20.0, "psi")),
        ("instrument air", (at_most(4, "bar", "pressure"),), Quantity(3.0, "bar")),
    ],
)
def test_air_is_set_no_higher_than_stated(
    words: str, figures: tuple[Figure, ...], use: Quantity | None
) -> None:
    """A line from 0.5 to 3 bar is set to the stated top, or to its own where that is lower."""
    line = {
        "id": "air",
        "name": "air line",
        "grade": "instrument",
        "pressure": {"min": "0.5 bar", "max": "3 bar"},
    }
    step = a_step(Action.blow, *figures, stage=Stage.drying, using=words)
    (operation,) = resolve(an_instruction(step), a_department(air=[line])).operations
    assert [chosen.use for chosen in operation.figures] == ([use] if use else [])


def test_air_that_cannot_be_turned_down_or_is_no_medical_air_is_refused() -> None:
    """A line from 3 bar up does not serve 2 bar, and instrument air is no medical air."""
    line = {
        "id": "air",
        "name": "air line",
        "grade": "instrument",
        "pressure": {"min": "3 bar", "max": "5 bar"},
    }
    department = a_department(air=[line])
    strong = a_step(Action.blow, at_most(2, "bar", "pressure"), using="instrument air")
    medical = a_step(Action.blow, using="medical air")
    assert "it delivers 3 bar–5 bar" in nearest(resolve(an_instruction(strong), department))
    assert "it is instrument air" in nearest(resolve(an_instruction(medical), department))


TOOLS = a_department(
    tools=[
        {"id": "lens", "name": "lens", "kind": "lens", "range": {"max": "8"}},
        {
            "id": "tester",
            "name": "tester",
            "kind": "insulation-tester",
            "range": {"min": "1 kV", "max": "5 kV"},
        },
        {"id": "syringe", "name": "syringe", "kind": "syringe"},
    ]
)


@pytest.mark.parametrize(
    ("step", "taken"),
    [
        (a_step(Action.inspect, at_least(5, "1", "count", "magnification")), "lens"),
        (a_step(Action.inspect, at_least(10, "1", "count", "magnification")), None),
        (a_step(Action.test, exactly(2.5, "kV", "voltage")), "tester"),
        (a_step(Action.test, exactly(8, "kV", "voltage")), None),
        (a_step(Action.flush, using="syringe"), "syringe"),
        (a_step(Action.inspect, using="borescope"), None),
    ],
)
def test_a_tool_reaches_the_stated_figure(step: Step, taken: str | None) -> None:
    """A stronger lens does for a weaker one, a tester only inside its range."""
    assert _bound(resolve(an_instruction(step), TOOLS)) == ([taken] if taken else [])


@pytest.mark.parametrize(
    ("figures", "serves"),
    [
        ((between(35, 45, "kHz", "frequency"), exactly(40, "°C", "temperature")), True),
        ((between(35, 45, "kHz", "frequency"), at_most(45, "°C", "temperature")), True),
        ((between(35, 45, "kHz", "frequency"), at_most(40, "°C", "temperature")), False),
        ((exactly(130, "kHz", "frequency"),), False),
        ((exactly(5, "min", "time"),), True),
    ],
)
def test_a_bath_keeps_frequency_temperature_and_time(figures: tuple[Figure, ...], *, serves: bool) -> None:
    """A bath of 40 kHz kept between 38 and 42 °C serves windows that hold it."""
    bath = {
        "id": "bath",
        "name": "bath",
        "kind": "ultrasonic-bath",
        "programs": [
            {
                "kind": "ultrasonic",
                "name": "40 kHz",
                "ultrasonic": {"frequency": "40 kHz", "temperature": {"min": "38 °C", "max": "42 °C"}},
            }
        ],
    }
    department = Department.model_validate({"name": "d", "machines": [bath]})
    assert resolve(an_instruction(a_step(Action.sonicate, *figures)), department).resolved is serves


@pytest.mark.parametrize(
    ("text", "forbidden"),
    [
        ("Do not use ultrasonic cleaning.", True),
        ("Ultrasonic treatment of the handle is prohibited.", True),
        ("Do not overload the ultrasonic bath.", False),
        ("Do not place instruments on top of one another in the ultrasonic bath.", False),
        ("Do not use any bath other than an ultrasonic bath.", False),
    ],
)
def test_a_prohibition_of_ultrasound_binds(text: str, *, forbidden: bool) -> None:
    """What the text forbids is not done although a step asks for it; how it is used is no prohibition."""
    bath = {
        "id": "bath",
        "name": "bath",
        "kind": "ultrasonic-bath",
        "programs": [{"kind": "ultrasonic", "name": "40 kHz", "ultrasonic": {"frequency": "40 kHz"}}],
    }
    department = Department.model_validate({"name": "d", "machines": [bath]})
    route = resolve(an_instruction(a_step(Action.sonicate), forbids=[text]), department)
    assert route.resolved is not forbidden


WRAPS = [
    {"id": "pouch", "name": "pouch", "kind": "pouch", "mass": "1 kg", "air_removal": ["prevacuum"]},
    {"id": "wrap", "name": "wrap", "kind": "wrap", "mass": "10 kg"},
    {"id": "box", "name": "box", "kind": "container", "air_removal": ["prevacuum"]},
    {"id": "mesh", "name": "mesh tray", "kind": "tray"},
]


@pytest.mark.parametrize(
    ("words", "way", "taken"),
    [
        ("wrap", AirRemoval.gravity, ["wrap"]),
        ("container", AirRemoval.prevacuum, ["box"]),
        ("container", AirRemoval.gravity, None),
        ("tray and wrap", AirRemoval.prevacuum, ["wrap", "mesh"]),
        ("pouch or container", AirRemoval.gravity, None),
    ],
)
def test_packaging_is_of_the_named_kind_and_bears_the_cycle(
    words: str, way: AirRemoval, taken: list[str] | None
) -> None:
    """A container made for prevacuum is not used in gravity, and no other kind stands in for it."""
    department = a_department(
        a_sterilizer(
            a_program("121 °C", "30 min", "30 min", kind="steam-gravity"),
            a_program("134 °C", "3 min", "15 min"),
        ),
        packaging=WRAPS,
    )
    cycle = named_cycle(121, 30, 30, way) if way is AirRemoval.gravity else named_cycle(134, 3, 15, way)
    pack = a_step(Action.pack, stage=Stage.packaging, using=words)
    route = resolve(an_instruction(pack, cycle), department)
    assert _bound(route)[:-1] == (taken or [])
    if taken is None:
        assert [finding.rule for finding in route.conflicts] == ["route-no-packaging"]


def test_packaging_is_what_the_cycle_was_validated_with() -> None:
    """Where only the heading of the cycle says "wrapped", a wrap is taken and no container."""
    department = a_department(a_sterilizer(a_program("134 °C", "3 min", "15 min")), packaging=WRAPS)
    cycle = named_cycle(134, 3, 15).model_copy(update={"heading": "Sterilization (wrapped)"})
    silent = a_step(Action.pack, stage=Stage.packaging)
    boxed = a_step(Action.pack, stage=Stage.packaging, using="container")
    assert _bound(resolve(an_instruction(silent, cycle), department))[0] == "wrap"
    assert not resolve(an_instruction(boxed, cycle), department).resolved


def test_the_cycle_is_chosen_together_with_its_packaging() -> None:
    """With only a prevacuum container the prevacuum alternative is taken, although gravity is quicker."""
    quick = a_cycle(
        exactly(121, "°C", "temperature"),
        exactly(1, "min", "time"),
        exactly(1, "min", "time", "drying"),
        step_id="s8",
        way=AirRemoval.gravity,
    )
    department = a_department(
        a_sterilizer(
            a_program("121 °C", "1 min", "1 min", kind="steam-gravity"),
            a_program("134 °C", "3 min", "15 min"),
        ),
        packaging=WRAPS[2:3],
    )
    pack = a_step(Action.pack, stage=Stage.packaging, using="container")
    route = resolve(an_instruction(pack, quick, named_cycle(134, 3, 15)), department)
    assert [operation.steps for operation in route.operations] == [("s1",), ("s9",)]


@pytest.mark.parametrize(
    ("words", "needs_light"),
    [
        ("bench lamp", True),
        ("inspection light", True),
        ("cold light source", True),
        ("lit lens", False),
        ("light pressure", False),
    ],
)
def test_a_light_that_is_named_must_be_there(words: str, *, needs_light: bool) -> None:
    """A lamp or an inspection light is a tool of its own; what is only light in weight is none."""
    tools = [{"id": "lens", "name": "lens", "kind": "lens"}]
    step = a_step(Action.inspect, stage=Stage.inspection, using=words)
    assert resolve(an_instruction(step), a_department(tools=tools)).resolved is not needs_light
    lit = a_department(tools=[*tools, {"id": "lamp", "name": "lamp", "kind": "light"}])
    assert ("lamp" in _bound(resolve(an_instruction(step), lit))) is needs_light


@pytest.mark.parametrize(
    ("scope", "told"),
    [
        ({"diameter": "1.9 mm", "length": "400 mm"}, None),
        ({}, None),
        ({"diameter": "2 mm", "length": "400 mm"}, "it is 2 mm across"),
        ({"diameter": "1.9 mm", "length": "299 mm"}, "its length is 299 mm"),
    ],
)
def test_a_borescope_goes_into_the_lumen_and_through_it(scope: dict[str, str], told: str | None) -> None:
    """For a lumen of 2 mm × 300 mm a scope is narrower and as long; one that states no size is let be."""
    lumen = Feature(id="l", kind=FeatureKind.lumen, bore=Quantity(2.0, "mm"), length=Quantity(300.0, "mm"))
    step = a_step(Action.inspect, stage=Stage.inspection, using="borescope", on=["l"])
    site = a_department(tools=[{"id": "s", "name": "scope", "kind": "borescope", **scope}])
    route = resolve(an_instruction(step, features=[lumen]), site)
    assert route.resolved is (told is None)
    assert told is None or told in nearest(route)


def test_an_adaptor_that_fits_what_is_named_is_preferred() -> None:
    """Where the step says Luer the adaptor that fits Luer is taken, although another stands first."""
    adaptors = [
        {"id": "hose", "name": "hose adaptor", "kind": "adaptor", "fits": ["hose"]},
        {"id": "luer", "name": "small adaptor", "kind": "adaptor", "fits": ["Luer"]},
    ]
    for words, taken in (("Luer adaptor", "luer"), ("adaptor", "hose")):
        step = a_step(Action.flush, using=words)
        assert _bound(resolve(an_instruction(step), a_department(tools=adaptors))) == [taken]


def test_an_ultrasonic_bath_connects_the_lumens_that_the_text_connects() -> None:
    """A step with two ports connected takes a rack of the bath with two connections, not one with one."""

    def site(connections: int) -> Department:
        bath = {
            "id": "bath",
            "name": "bath",
            "kind": "ultrasonic-bath",
            "programs": [{"kind": "ultrasonic", "name": "40 kHz", "ultrasonic": {"frequency": "40 kHz"}}],
            "racks": [{"id": "rack", "name": "rack", "lumen_connections": connections}],
        }
        return Department.model_validate({"name": "d", "machines": [bath]})

    step = a_step(Action.sonicate, on=["l1", "l2"]).model_copy(update={"positions": {"port": "connected"}})
    assert _bound(resolve(an_instruction(step), site(2))) == ["bath", "rack"]
    assert "its racks connect 1 of 2 lumens" in nearest(resolve(an_instruction(step), site(1)))
    assert _bound(resolve(an_instruction(a_step(Action.sonicate)), site(1))) == ["bath"]
