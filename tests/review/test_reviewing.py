"""Scenes of the review: what it says, where, and what it never says."""

from __future__ import annotations

import pytest

from sinkside.errors import BadInput
from sinkside.findings import Finding, Level, Measure
from sinkside.instruction import (
    Action,
    AirRemoval,
    Device,
    Instruction,
    Origin,
    Stage,
    Statement,
    StatementKind,
    Step,
)
from sinkside.quantities import Figure, FigureQuantity
from sinkside.review import review
from support.pace import quiet_s


def figure(quantity: FigureQuantity, value: float, unit: str) -> Figure:
    return Figure(quantity=quantity, value=value, unit=unit)


def celsius(value: float) -> Figure:
    return figure(FigureQuantity.temperature, value, "°C")


def minutes(value: float) -> Figure:
    return figure(FigureQuantity.time, value, "min")


def steam(*figures: Figure, text: str = "Steam, prevacuum.") -> Instruction:
    step = Step(
        id="s1",
        stage=Stage.sterilization,
        action=Action.sterilize,
        figures=figures,
        origin=Origin(line=7, text=text),
    )
    return Instruction(device=Device(name="Grasper"), steps=(step,))


def of_rule(findings: tuple[Finding, ...], rule: str) -> list[Finding]:
    return [finding for finding in findings if finding.rule == rule]


def test_143_degrees_is_a_stop_that_quotes_the_line() -> None:
    """A text that says 143 °C, 4 min, prevacuum and no pressure is stopped at that line (scene 1)."""
    findings = review(steam(celsius(143), minutes(4), text="143 °C, 4 min, prevacuum"))
    stop = findings[0]
    assert stop.rule == "steam-temperature-not-recognised"
    assert stop.level is Level.stop
    assert (stop.place.line, stop.place.text) == (7, "143 °C, 4 min, prevacuum")


def test_what_was_probably_meant_is_evidence_and_no_remedy() -> None:
    """134 for 143 stands in the evidence for the letter; neither sentence nor remedy offers it."""
    stop = review(steam(celsius(143), minutes(4)))[0]
    assert stop.evidence["probably_meant"] == "134 °C"
    assert "134" not in stop.message + stop.remedy
    assert "written answer" in stop.remedy


@pytest.mark.parametrize(
    "stated",
    [
        celsius(115),
        celsius(121),
        celsius(126),
        celsius(132),
        celsius(134),
        celsius(135),
        figure(FigureQuantity.temperature, 250, "°F"),
        figure(FigureQuantity.temperature, 270, "°F"),
        figure(FigureQuantity.temperature, 275, "°F"),
        Figure(quantity=FigureQuantity.temperature, min=134, max=137, unit="°C"),
    ],
    ids=str,
)
def test_recognised_temperatures_pass(stated: Figure) -> None:
    """Recognised temperatures, °F labels and a band's top are not questioned (CDC 2008 Table 7, read)."""
    assert not of_rule(review(steam(stated, minutes(30))), "steam-temperature-not-recognised")


@pytest.mark.parametrize("value", [118.0, 123.0, 128.5, 129.9, 137.0, 143.0])
def test_temperatures_between_are_always_a_stop(value: float) -> None:
    """Further than 1 K from every recognised temperature is a stop in every profile."""
    for profile in ("us", "eu", "uk"):
        found = of_rule(
            review(steam(celsius(value), minutes(30)), profile=profile), "steam-temperature-not-recognised"
        )
        assert [finding.level for finding in found] == [Level.stop]


def cycle(*figures: Figure, step: str, text: str) -> Step:
    return Step(
        id=step,
        stage=Stage.sterilization,
        action=Action.sterilize,
        figures=figures,
        heading="Sterilization",
        origin=Origin(text=text),
    )


@pytest.mark.parametrize(("top", "trips"), [(138.0, False), (143.0, True), (129.0, True)])
def test_only_the_top_of_a_stated_band_is_excepted(top: float, trips: bool) -> None:
    """A tolerance up to 138 °C belongs to the 134 °C beside it; 143 °C and 129 °C to nothing stated."""
    steps = (
        cycle(celsius(134), minutes(4), step="s1", text="134 °C, 4 min"),
        cycle(celsius(top), step="s2", text=f"plus tolerance {top:g} °C"),
    )
    found = of_rule(
        review(Instruction(device=Device(name="X"), steps=steps)), "steam-temperature-not-recognised"
    )
    assert bool(found) is trips


def test_a_maximum_sterilization_temperature_is_a_set_point() -> None:
    """Some makers write "maximum sterilization temperature"; 143 °C is no less wrong for it."""
    most = Figure(quantity=FigureQuantity.temperature, max=143, unit="°C")
    steps = (cycle(most, minutes(4), step="s1", text="maximum sterilization temperature 143 °C"),)
    assert of_rule(
        review(Instruction(device=Device(name="X"), steps=steps)), "steam-temperature-not-recognised"
    )


def test_a_row_of_a_table_holds_exposure_in_front_of_drying() -> None:
    """Of two times in a row the first is judged as the exposure."""
    row = [
        Figure(quantity=FigureQuantity.time, value=value, unit="min", role="exposure") for value in (3, 45)
    ]
    steps = (cycle(celsius(121), *row, step="s1", text="Gravity 121 °C 3 min 45 min"),)
    findings = review(Instruction(device=Device(name="X"), steps=steps))
    assert of_rule(findings, "exposure-too-short")
    assert not of_rule(findings, "sterilizer-drying-missing")


def test_a_limit_worded_as_harm_is_a_limit() -> None:
    """Temperatures "above 130 °C damage the insulation" forbid steam at 134 °C."""
    harm = Figure(quantity=FigureQuantity.temperature, min=130, unit="°C", strict=True)
    text = Statement(
        kind=StatementKind.warning, figures=(harm,), origin=Origin(text="Above 130 °C the insulation melts.")
    )
    steps = (cycle(celsius(134), minutes(4), step="s1", text="134 °C, 4 min"),)
    findings = review(Instruction(device=Device(name="X"), steps=steps, statements=(text,)))
    assert of_rule(findings, "hotter-than-own-limit")


@pytest.mark.parametrize(
    ("ban", "trips"),
    [
        ("Do not immerse the instrument.", True),
        ("Do not immerse the handpiece.", True),
        ("Do not immerse the battery housing.", False),
        ("Do not immerse for more than 10 minutes.", False),
        ("Not permitted: immersion, dry heat.", True),
    ],
)
def test_a_prohibition_concerns_what_it_names(ban: str, trips: bool) -> None:
    """What is forbidden for one thing is not forbidden for another, and a bound forbids nothing."""
    steps = (
        Step(
            id="s1",
            stage=Stage.cleaning,
            action=Action.soak,
            figures=(minutes(5),),
            origin=Origin(text="Soak the handpiece for 5 minutes."),
        ),
    )
    forbidden = Statement(kind=StatementKind.prohibition, origin=Origin(text=ban))
    found = of_rule(
        review(Instruction(device=Device(name="X"), steps=steps, statements=(forbidden,))),
        "prohibited-then-asked",
    )
    assert bool(found) is trips


def test_fahrenheit_for_celsius_is_named_as_probably_meant() -> None:
    """Steam at 121 °F is 49 °C; a known slip of published texts."""
    stop = review(steam(figure(FigureQuantity.temperature, 121, "°F"), minutes(15)))[0]
    assert stop.evidence["probably_meant"] == "121 °C"


def test_f0_of_a_short_exposure() -> None:
    """121 °C for 3 min is F0 2.93 min at reference 121.1 °C, z 10 K (closed form, computed)."""
    found = of_rule(review(steam(celsius(121), minutes(3))), "exposure-too-short")
    value = found[0].evidence["f0"]
    assert isinstance(value, Measure)
    assert value.value == pytest.approx(3 * 10 ** (-0.01), rel=1e-9)


def test_gravity_needs_longer_in_the_united_states() -> None:
    """121 °C for 20 min without vacuum is short of CDC 2008 Table 7 (30 min, read) in profile us only."""
    step = steam(celsius(121), minutes(20)).steps[0].model_copy(update={"air_removal": AirRemoval.gravity})
    text = Instruction(device=Device(name="X"), steps=(step,))
    assert of_rule(review(text, profile="us"), "exposure-too-short")
    assert not of_rule(review(text, profile="eu"), "exposure-too-short")


def test_the_first_rinse_is_cooler_in_the_united_states() -> None:
    """44 °C is below the 45 °C of Europe and above the 43 °C taught in the USA (both second-hand)."""
    step = Step(id="s1", stage=Stage.cleaning, action=Action.rinse, figures=(celsius(44),))
    text = Instruction(device=Device(name="X"), steps=(step,))
    assert of_rule(review(text, profile="us"), "first-rinse-too-hot")
    assert not of_rule(review(text, profile="eu"), "first-rinse-too-hot")


def test_a0_of_a_stated_disinfection() -> None:
    """93 °C for 5 min is A0 5986 and meets 3000; 150 s are 2992.9 and do not (computed)."""
    for seconds, trips in ((300.0, False), (150.0, True)):
        step = Step(
            id="s1",
            stage=Stage.disinfection,
            action=Action.disinfect,
            figures=(
                celsius(93),
                figure(FigureQuantity.time, seconds, "s"),
                figure(FigureQuantity.lethality, 3000, "1"),
            ),
        )
        found = of_rule(review(Instruction(device=Device(name="X"), steps=(step,))), "a0-disagrees")
        assert bool(found) is trips


def test_the_same_gauge_pressure_is_cooler_at_altitude() -> None:
    """2.05 bar gauge is 134.2 °C at sea level (published trap) and too cool for it in a town at 4,000 m."""
    pressure = Figure(quantity=FigureQuantity.pressure, value=2.05, unit="bar", reference="gauge")
    cycle = steam(celsius(134), minutes(4), pressure)
    assert not of_rule(review(cycle), "steam-pressure-disagrees")
    assert of_rule(review(cycle, altitude_m=4000.0), "steam-pressure-disagrees")


def test_both_sides_of_a_contradiction_are_quoted() -> None:
    """The step that is asked for is the place, the prohibition the other place."""
    step = Step(
        id="s1",
        stage=Stage.cleaning,
        action=Action.soak,
        figures=(minutes(5),),
        origin=Origin(text="Immerse fully for 5 minutes."),
    )
    ban = Statement(
        kind=StatementKind.prohibition, origin=Origin(text="Do not immerse the instrument in liquids.")
    )
    found = of_rule(
        review(Instruction(device=Device(name="X"), steps=(step,), statements=(ban,))),
        "prohibited-then-asked",
    )
    assert [finding.place.text for finding in found] == ["Immerse fully for 5 minutes."]
    assert [place.text for place in found[0].more_places] == ["Do not immerse the instrument in liquids."]


def test_findings_come_worst_first_and_the_same_way_every_time() -> None:
    """Stops lead, notes end, and two reviews of one text agree."""
    text = steam(
        celsius(143), Figure(quantity=FigureQuantity.time, min=3, max=18, unit="min"), text="3 to 18 minutes"
    )
    findings = review(text)
    ranks = [list(Level).index(finding.level) for finding in findings]
    assert ranks == sorted(ranks)
    assert findings == review(text)


def test_an_empty_instruction_is_told_what_it_lacks() -> None:
    """A text with no steps at all trips completeness and breaks nothing."""
    findings = review(Instruction(device=Device(name="X")))
    assert {finding.rule for finding in findings} == {"stage-untold"}


def test_an_unknown_profile_is_refused() -> None:
    """A profile that does not exist gets one sentence."""
    with pytest.raises(BadInput):
        review(Instruction(device=Device(name="X")), profile="moon")


def test_all_rules_on_forty_steps_are_quick() -> None:
    """All rules on forty steps, warm, take at most 0.3 s (our own bar)."""
    steps = tuple(
        Step(
            id=f"s{n}",
            stage=Stage.cleaning,
            action=[Action.soak, Action.flush, Action.brush, Action.rinse][n % 4],
            figures=(minutes(5), celsius(40), figure(FigureQuantity.volume, 50, "mL")),
            positions={"jaw": "open"},
            origin=Origin(
                line=n, text=f"Step {n}: flush the port with 50 mL at 40 °C and soak for 5 minutes."
            ),
        )
        for n in range(40)
    )
    instruction = Instruction(device=Device(name="X"), steps=steps)
    review(instruction)
    assert quiet_s(lambda: review(instruction)) <= 0.3
