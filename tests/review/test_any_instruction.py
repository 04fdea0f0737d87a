"""Whatever an instruction holds, the review answers, and answers the same way twice."""

from __future__ import annotations

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from sinkside.documents import to_json
from sinkside.findings import FindingsDocument
from sinkside.instruction import (
    POSITIONS,
    Action,
    AirRemoval,
    Device,
    Feature,
    FeatureKind,
    FigureRole,
    Heading,
    Instruction,
    Origin,
    Part,
    PartUse,
    Stage,
    Statement,
    StatementKind,
    Step,
)
from sinkside.quantities import Figure, FigureQuantity, Quantity
from sinkside.review import review

UNITS = {
    FigureQuantity.temperature: ["°C", "°F", "K"],
    FigureQuantity.time: ["s", "min", "h"],
    FigureQuantity.pressure: ["bar", "kPa", "psi"],
    FigureQuantity.volume: ["mL", "L"],
    FigureQuantity.concentration: ["mL/L", "%", "mL/mL"],
    FigureQuantity.percent: ["%"],
    FigureQuantity.frequency: ["kHz", "MHz"],
    FigureQuantity.length: ["mm", "cm"],
    FigureQuantity.lethality: ["s", "1"],
    FigureQuantity.ph: ["pH"],
    FigureQuantity.counted: ["1"],
}
SAID = [
    "Do not immerse the handle in liquids.",
    "Immerse fully (see step 8).",
    "Flush the port with 20 mL by syringe.",
    "The insert is for single use. Clean the insert and put it back.",
    "Gravity sterilization is not allowed.",
    "Rows 3-9 may be left out.",
    "Lay it in saline.",
    "",
]


@st.composite
def figures(draw: st.DrawFn) -> Figure:
    quantity = draw(st.sampled_from(list(UNITS)))
    number = st.floats(0, 1e5, allow_nan=False) | st.sampled_from([0.0, 3.0, 121.0, 134.0, 143.0])
    ends = draw(st.sampled_from([("value",), ("min",), ("max",), ("min", "max")]))
    values = {end: draw(number) for end in ends}
    also: list[Figure] = []
    if draw(st.booleans()):
        also = [Figure(quantity=quantity, unit=draw(st.sampled_from(UNITS[quantity])), **values)]
    return Figure(
        quantity=quantity,
        unit=draw(st.sampled_from(UNITS[quantity])),
        role=draw(st.none() | st.sampled_from(list(FigureRole))),
        reference=draw(st.sampled_from([None, "absolute", "gauge", "unsaid"])),
        also=tuple(also),
        **values,
    )


@st.composite
def steps(draw: st.DrawFn) -> Step:
    return Step(
        id="",
        stage=draw(st.sampled_from(list(Stage))),
        action=draw(st.sampled_from(list(Action))),
        on=tuple(draw(st.lists(st.sampled_from(["H", "insert", "lumen-1", "nowhere"]), max_size=2))),
        figures=tuple(draw(st.lists(figures(), max_size=4))),
        positions=draw(
            st.fixed_dictionaries(
                {}, optional={name: st.sampled_from(known) for name, known in POSITIONS.items()}
            )
        ),
        air_removal=draw(st.none() | st.sampled_from(list(AirRemoval))),
        alternative=draw(st.sampled_from([None, "a"])),
        number=draw(st.sampled_from([None, "3", "5.1", "x"])),
        origin=Origin(text=draw(st.sampled_from(SAID))),
    )


@st.composite
def instructions(draw: st.DrawFn) -> Instruction:
    drawn = draw(st.lists(steps(), max_size=6))
    stated = st.builds(
        Statement,
        kind=st.sampled_from(list(StatementKind)),
        figures=st.lists(figures(), max_size=2).map(tuple),
        origin=st.sampled_from(SAID).map(lambda text: Origin(text=text)),
    )
    bores = draw(st.sampled_from([None, Quantity(2.0, "mm")]))
    return Instruction(
        device=Device(
            name="Any",
            parts=(
                Part(id="H", name="handle", materials=("aluminium",)),
                Part(id="insert", name="insert", use=draw(st.sampled_from(list(PartUse)))),
            ),
            features=(Feature(id="lumen-1", kind=FeatureKind.lumen, bore=bores, length=bores),),
        ),
        steps=tuple(step.model_copy(update={"id": f"s{n}"}) for n, step in enumerate(drawn)),
        statements=tuple(draw(st.lists(stated, max_size=3))),
        headings=tuple(draw(st.lists(st.just(Heading(text="Cleaning", number="5")), max_size=1))),
    )


@settings(max_examples=100, deadline=None)
@given(instructions(), st.sampled_from(["us", "eu", "uk"]), st.sampled_from([0.0, 2500.0]))
def test_any_instruction_is_answered(instruction: Instruction, profile: str, altitude_m: float) -> None:
    """No instruction that fits its format breaks a rule; its findings repeat, and are JSON."""
    findings = review(instruction, profile=profile, altitude_m=altitude_m)
    assert findings == review(instruction, profile=profile, altitude_m=altitude_m)
    written = json.loads(to_json(FindingsDocument(findings=findings)))
    assert len(written["findings"]) == len(findings)
