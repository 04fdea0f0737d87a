"""Ways of writing that other makers have: heads of two lines, ways behind a colon, bounds behind figures."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.instruction import Action, Stage
from sinkside.quantities import Figure, FigureQuantity


def _figures(text: str, quantity: FigureQuantity) -> list[Figure]:
    drafted = draft_text(f"Cleaning\n\n- {text}\n")
    return [figure for step in drafted.steps for figure in step.figures_of(quantity)]


def test_a_heading_may_say_behind_a_colon_which_way_follows() -> None:
    """'6 Cleaning: manual' heads what follows it, so that no work of it is left in the chapter before."""
    text = "5 Preparation\n5.1 Pull the tube off.\n\n6 Cleaning: manual\n6.1 Rinse all parts for 1 min.\n"
    assert draft_text(text).steps[-1].stage is Stage.cleaning


@pytest.mark.parametrize(
    ("words", "quantity", "ends"),
    [
        ("Dry with hot air of 120 °C at most for 20 min.", FigureQuantity.temperature, (None, 120.0)),
        ("Soak for 5 min at (35 - 40) °C.", FigureQuantity.temperature, (35.0, 40.0)),
        ("Brush with five or more strokes.", FigureQuantity.counted, (5.0, None)),
        ("Soak for not less than 3 min nor more than 18 min.", FigureQuantity.time, (3.0, 18.0)),
    ],
)
def test_a_bound_belongs_to_its_figure(
    words: str, quantity: FigureQuantity, ends: tuple[float | None, float | None]
) -> None:
    """Bounds behind, inside or around a figure bind that figure and no other."""
    (figure,) = _figures(words, quantity)
    assert (figure.min, figure.max) == ends


def test_litres_in_a_litre_are_a_dose() -> None:
    """'8 L of cleaner to 1 L of water' is one dose, for the review to see how strong it is."""
    (dose,) = _figures("Give 8 L of enzymatic cleaner to 1 L of water.", FigureQuantity.concentration)
    assert (dose.value, dose.unit) == (8.0, "mL/mL")


def test_a_second_line_of_heads_gives_the_units() -> None:
    """Units on a line of their own under the heads count for the columns."""
    text = (
        "| No | Stage | What is done | Time | Temperature | Pressure |\n"
        "|    |       |              | min  | °C          | bar      |\n"
        "|----|-------|--------------|------|-------------|----------|\n"
        "| 1  | Cleaning | soak all parts | 10 | 35–40 | – |\n"
        "| 2  | Drying | blow through the tube | 1 | – | 1.5 |\n"
    )
    soak, blow = draft_text(text).steps
    assert [(f.value, f.unit) for f in soak.figures_of(FigureQuantity.time)] == [(10.0, "min")]
    assert [(f.min, f.max) for f in soak.figures_of(FigureQuantity.temperature)] == [(35.0, 40.0)]
    assert [(f.value, f.unit) for f in blow.figures_of(FigureQuantity.pressure)] == [(1.5, "bar")]


def test_times_longer_than_a_day_are_minutes_and_seconds() -> None:
    """Where one bare clock shows 30:00 all of them count minutes; no work at a sink lasts for days."""
    text = "AT THE SINK\n[1] RINSE | tap water | 1:30\n[2] DRY | hot air | 30:00\n"
    times = [f for s in draft_text(text).steps for f in s.figures_of(FigureQuantity.time)]
    assert [(f.value, f.unit) for f in times] == [(90.0, "s"), (30.0, "min")]


def test_a_film_of_grease_lubricates() -> None:
    """To put grease on a cone is to lubricate it, however many words stand between."""
    (step,) = draft_text("Care\n\n- Put a thin film of steam-permeable grease on the cones.\n").steps
    assert step.action is Action.lubricate


def test_a_first_item_of_a_card_heads_nothing() -> None:
    """'[7] DRY | …' is work with its figures, though it stands first and looks like a row of heads."""
    text = (
        "AT THE BENCH\n[7] DRY | F, K | filtered air, max. 20 psi\n[8] LOOK | F, K | 4 x lens or stronger\n"
    )
    pressures = [f for s in draft_text(text).steps for f in s.figures_of(FigureQuantity.pressure)]
    assert [(f.max, f.unit) for f in pressures] == [(20.0, "psi")]
