"""Figures as people type them, one a line, and as a form shows them."""

from __future__ import annotations

import contextlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.desk.figure_lines import figure_line, figure_lines, read_figure_lines
from sinkside.desk.instructions import draft
from sinkside.errors import BadInput
from sinkside.quantities import Figure
from support.command import SAMPLES

DRAFTED = sorted((SAMPLES / "own").glob("*.txt")) + sorted(SAMPLES.glob("*.txt"))


@pytest.mark.parametrize("path", DRAFTED, ids=lambda path: path.stem)
def test_every_figure_that_is_read_from_a_text_can_be_typed(path: Path) -> None:
    """What a form shows of a figure reads back as the same value, bound, unit and part."""
    for step in draft(path).steps:
        for figure in step.figures:
            (typed,) = read_figure_lines(figure_line(figure))
            for name in ("quantity", "value", "min", "max", "unit", "role"):
                assert getattr(typed, name) == getattr(figure, name), figure_line(figure)
        assert read_figure_lines(figure_lines(step.figures), step.figures) == step.figures


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("at least 4 min exposure", {"min": 4.0, "unit": "min", "role": "exposure"}),
        ("20 to 45 °C", {"min": 20.0, "max": 45.0, "unit": "°C"}),
        ("below 45 C", {"max": 45.0, "unit": "°C", "strict": True}),
        ("pH 7-9", {"min": 7.0, "max": 9.0, "quantity": "ph"}),
        ("A0 3000", {"value": 3000.0, "unit": "s", "quantity": "lethality"}),
        ("3 x", {"value": 3.0, "unit": "1", "role": "repeats"}),
        ("≤ 2 bar gauge", {"max": 2.0, "unit": "bar", "reference": "gauge"}),
        ("0,5 %", {"value": 0.5, "unit": "%"}),
    ],
)
def test_figures_as_people_say_them(text: str, values: dict[str, object]) -> None:
    """Bounds in words or signs, ranges, decimal commas, counts, and what a pressure refers to."""
    (figure,) = read_figure_lines(text)
    assert {name: getattr(figure, name) for name in values} == values


@pytest.mark.parametrize(
    "text",
    ["warm", "4", "3,000 s", "45-20 °C", "4 min of something", "min 4", "1e9 s", "5 furlongs", "°C 20"],
)
def test_what_cannot_be_told_is_refused_in_a_sentence(text: str) -> None:
    """No guess: a number without a unit, two ways to read it, a range that runs backwards, unknown words."""
    with pytest.raises(BadInput, match="expected"):
        read_figure_lines(text)


def test_a_line_that_was_not_touched_stays_the_figure_it_was() -> None:
    """The maker's own words and the same value in another unit are kept with an untouched line."""
    fahrenheit = Figure(quantity="temperature", value=270, unit="°F")
    known = Figure(
        quantity="temperature", value=132, unit="°C", as_written="132 °C (270 °F)", also=(fahrenheit,)
    )
    kept, new = read_figure_lines("132 °C\n4 min", (known,))
    assert kept is known
    assert (new.value, new.unit) == (4.0, "min")


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=60))
def test_nothing_that_is_typed_crashes(text: str) -> None:
    """Whatever stands in the field, it is figures or one sentence."""
    with contextlib.suppress(BadInput):
        figures = read_figure_lines(text)
        assert len(figures) == sum(1 for line in text.splitlines() if line.strip())
