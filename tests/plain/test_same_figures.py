"""Figures are the same in every language: words are read back and compared with what was approved."""

from __future__ import annotations

import math
from dataclasses import replace
from importlib import resources
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from sinkside.desk.instructions import open_instruction
from sinkside.desk.routes import open_department
from sinkside.errors import SinksideError
from sinkside.instruction import Device, Instruction, Step
from sinkside.plain import LANGUAGES, Habits, PlainStep, Units, plain_steps
from sinkside.plain.reading_back import ReadFigure, figures_read
from sinkside.plain.same_figures import differing, expected, refuse_changed_figures
from sinkside.quantities import Figure
from sinkside.route import resolve

DATA = Path(str(resources.files("sinkside.demo"))) / "data"
DOCUMENTS = Path(str(resources.files("sinkside.demo"))) / "documents"

#: Units that instructions use, by what they measure, with the roles that change how they are said.
KINDS: list[tuple[str, str, str | None]] = [
    *[("time", unit, None) for unit in ("s", "min", "h", "d", "week", "month", "year")],
    *[("temperature", unit, None) for unit in ("°C", "°F")],
    ("temperature-difference", "K", None),
    *[("pressure", unit, None) for unit in ("bar", "kPa", "mbar", "MPa", "psi")],
    *[("volume", unit, None) for unit in ("mL", "L", "µL", "fl oz")],
    *[("concentration", unit, "dose") for unit in ("mL/L", "g/L", "%")],
    *[("length", unit, None) for unit in ("mm", "cm", "in")],
    *[("count", "1", role) for role in ("strokes", "drops", "pulses", "life", "actuations", "magnification")],
    *[("frequency", unit, None) for unit in ("kHz", "MHz")],
    *[("mass", unit, None) for unit in ("kg", "g", "lb")],
    ("conductivity", "µS/cm", None),
    ("flow", "L/min", None),
    ("angle", "deg", None),
    ("voltage", "kV", None),
    ("speed", "1/min", None),
    ("ph", "pH", None),
    ("lethality", "s", None),
    ("lethality", "min", None),
    ("torque", "N·m", None),
]

#: Hypothesis need not shrink: a figure that fails is short as it stands, and shrinking takes minutes.
UNSHRUNK = (Phase.explicit, Phase.reuse, Phase.generate)


@st.composite
def figures(draw: st.DrawFn) -> Figure:
    """Any figure that an instruction could have."""
    quantity, unit, role = draw(st.sampled_from(KINDS))
    scale = draw(st.sampled_from([1, 10, 100]))
    low, span = draw(st.integers(1, 9_999)) / scale, draw(st.integers(1, 9_999)) / scale
    ends = draw(
        st.sampled_from(
            [{"value": low}, {"min": low}, {"max": low}, {"min": low, "max": round(low + span, 2)}]
        )
    )
    strict = draw(st.booleans()) and len(ends) == 1 and "value" not in ends
    reference = (
        draw(st.sampled_from([None, "gauge", "absolute", "unsaid"])) if quantity == "pressure" else None
    )
    given = {"quantity": quantity, "unit": unit, "role": role, "strict": strict or None, **ends}
    return Figure.model_validate({**given, "reference": reference})


def in_words(figure: Figure, habits: Habits) -> PlainStep:
    step = Step(id="s1", stage="cleaning", action="soak", figures=(figure,))
    return plain_steps(None, Instruction(device=Device(name="Punch"), steps=(step,)), habits)[0]


def as_printed(figure: Figure) -> ReadFigure:
    """A figure to the six significant digits that numbers are written to."""
    wanted = expected(figure)
    low, high = (float(f"{end:.6g}") if math.isfinite(end) else end for end in (wanted.low, wanted.high))
    return replace(wanted, low=low, high=high)


@settings(max_examples=120, deadline=None, phases=UNSHRUNK)
@given(figure=figures())
def test_figures_are_identical_in_every_language(figure: Figure) -> None:
    """Whatever the figure, each language's words read back to the same number, bound, unit and reference."""
    read = {language: figures_read(in_words(figure, Habits(language=language)).figures[0].text, language)
            for language in LANGUAGES}  # fmt: skip
    assert read == dict.fromkeys(LANGUAGES, (as_printed(figure),))


@settings(max_examples=60, deadline=None, phases=UNSHRUNK)
@given(
    figure=figures().filter(lambda one: one.quantity in {"temperature", "pressure"}),
    temperature=st.sampled_from(["°C", "°F"]),
    pressure=st.sampled_from(["bar", "kPa", "mbar", "psi"]),
    language=st.sampled_from(list(LANGUAGES)),
)
def test_another_unit_is_never_laxer(figure: Figure, temperature: str, pressure: str, language: str) -> None:
    """Turned into the maker's unit, the least is not below and the most not above the maker's."""
    units = Units.model_validate({"temperature": temperature, "pressure": pressure})
    said = in_words(figure, Habits(language=language, units=units)).figures[0]
    (read,) = figures_read(said.text, language)
    low, high = figure.ends(read.unit)
    if figure.value is None:
        assert read.low >= low - 1e-5 * abs(low)
        assert read.high <= high + 1e-5 * abs(high)
    if read.unit != figure.unit:
        assert figures_read(said.makers, language) == (as_printed(figure),)


def _demo_instructions() -> list[Path]:
    return sorted(
        [*(DATA / "instructions").glob("*.yaml"), *DOCUMENTS.glob("*.txt"), *DOCUMENTS.glob("*.pdf")]
    )


@pytest.mark.parametrize("file", _demo_instructions(), ids=lambda file: file.stem)
def test_demo_instructions_keep_every_figure(file: Path) -> None:
    """Every figure of every demo text, routed in its department, is said alike in each language."""
    instruction = open_instruction(file)
    route = resolve(instruction, open_department(DATA / "department.yaml"))
    for units in (Units(), Units(temperature="°F", pressure="psi")):
        told = {
            language: plain_steps(route, instruction, Habits(language=language, units=units))
            for language in LANGUAGES
        }
        english = [_read(step) for step in told["en"]]
        for steps in told.values():
            assert [_read(step) for step in steps] == english
            assert not [sentence for step in steps for sentence in differing(step)]
        shown = [figure for step in told["en"] for one in step.figures for figure in one.approved]
        operations = route.operations
        asked = [chosen.required for operation in operations for chosen in operation.figures]
        if operations:
            assert shown == asked


def _read(step: PlainStep) -> list[tuple[ReadFigure, ...]]:
    return [figures_read(f"{figure.text} | {figure.must}", step.language) for figure in step.figures]


@pytest.mark.parametrize(
    ("text", "language", "read"),
    [
        ("at least 132 °C", "en", ReadFigure(132, math.inf, unit="°C")),
        ("≥ 1,500 mL", "en", ReadFigure(1500, math.inf, unit="mL")),
        ("weniger als 0,5 bar Überdruck", "de",
         ReadFigure(-math.inf, 0.5, strict=True, unit="bar", reference="gauge")),
        ("de 20–45 °C", "fr", ReadFigure(20, 45, unit="°C")),
        ("como máximo 1.500 mL", "es", ReadFigure(-math.inf, 1500, unit="mL")),
        ("więcej niż 22 krople", "pl", ReadFigure(22, math.inf, strict=True, unit="drops")),
        ("co najmniej 12\u00a0000 pociągnięć", "pl", ReadFigure(12000, math.inf, unit="strokes")),
        ("ít nhất 5 phút", "vi", ReadFigure(5, math.inf, unit="min")),
        ("على الأكثر \u206845 °C\u2069", "ar", ReadFigure(-math.inf, 45, unit="°C")),
        ("不超过 45 °C", "zh", ReadFigure(-math.inf, 45, unit="°C")),
        ("超声至少5分钟后取出", "zh", ReadFigure(5, math.inf, unit="min")),
        ("小于 0.5 bar 表压", "zh",
         ReadFigure(-math.inf, 0.5, strict=True, unit="bar", reference="gauge")),
        ("A0 at least 3,000", "en", ReadFigure(3000, math.inf, dose="A0")),
        ("−10 °C", "en", ReadFigure(-10, -10, unit="°C")),
        ("pH 7–9", "en", ReadFigure(7, 9, unit="pH")),
        ("30°", "en", ReadFigure(30, 30, unit="deg")),
    ],
)  # fmt: skip
def test_reader_reads_what_people_write(text: str, language: str, read: ReadFigure) -> None:
    """Sentences written by hand, not by our writer, are read as a person reads them."""
    assert figures_read(text, language) == (read,)


@pytest.mark.parametrize(
    "wrong",
    ["at least 50 min", "at most 5 min", "5 min", "at least 5 h", "more than 5 min", "", "at least 5–6 min"],
)
def test_changed_figure_is_refused(wrong: str) -> None:
    """Another number, bound or unit, a lost or a second figure in a text makes no paper."""
    step = in_words(Figure(quantity="time", min=5, unit="min", as_written="min. 5 minutes"), Habits())
    refuse_changed_figures(step)
    changed = replace(step, figures=(replace(step.figures[0], text=wrong),))
    with pytest.raises(SinksideError, match=f"the text says “{wrong}” where “min. 5 minutes” was approved"):
        refuse_changed_figures(changed)


@pytest.mark.long
@pytest.mark.parametrize("half", ["open", "fresh_a", "fresh_b", "fresh_c", "fresh_d", "fresh_e"])
def test_texts_of_many_makers_can_be_said(half: str) -> None:
    """Whatever figures unseen texts hold, each step is said in each language and unit."""
    files = sorted((Path(__file__).parents[2] / "samples" / "own" / half).glob("*.txt"))
    assert files
    for file in files:
        instruction = open_instruction(file)
        for language in LANGUAGES:
            for units in (Units(), Units(temperature="°F", pressure="psi"), Units(temperature="°C")):
                assert plain_steps(None, instruction, Habits(language=language, units=units))
