"""A step as a form and back: nothing lost, every fault with its field."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from sinkside.desk.step_form import form_of, step_of
from sinkside.draft import draft_text
from sinkside.errors import BadDocument
from support.desk_house import steam_step

SAMPLES = sorted((Path(__file__).parents[1] / "samples").glob("*.txt"))
STEAM = steam_step(134, "Steam at 134 °C, 4 min.")


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_every_drafted_step_comes_back_as_it_was(sample: Path) -> None:
    """A form that nobody touched reads back to the same step, figures and words included."""
    steps = draft_text(sample.read_text("utf-8")).steps
    assert steps
    assert [step_of(form_of(step), base=step) for step in steps] == list(steps)


def test_a_figure_is_read_as_it_is_written() -> None:
    """A typed figure is read with its bound and its part; the others stay exactly."""
    form = form_of(STEAM)
    changed = step_of(replace(form, figures=form.figures.replace("4 min", "at least 5 min")), base=STEAM)
    exposure = changed.figure("time", "exposure")
    assert exposure is not None
    assert (exposure.min, exposure.value, exposure.as_written) == (5.0, None, "at least 5 min")
    assert changed.figures[0] == STEAM.figures[0]


def test_every_fault_is_told_with_its_field() -> None:
    """An unknown stage, a figure without a unit, an unknown part and a lone position are all told at once."""
    form = replace(
        form_of(STEAM), stage="washing up", figures="4\n5 min (lunch)\n5 min and 6 min", positions="jaw open"
    )
    with pytest.raises(BadDocument) as told:
        step_of(form, base=STEAM)
    assert [fault.path for fault in told.value.faults] == ["figures"] * 3 + ["positions", "stage"]


def test_positions_that_do_not_exist_are_refused() -> None:
    """A position is one that the vocabulary knows."""
    with pytest.raises(BadDocument, match="no position"):
        step_of(replace(form_of(STEAM), positions="jaw: ajar"), base=STEAM)
