"""Solutions at the sink: the scene of the wrong dose, and what speaks against a solution."""

from __future__ import annotations

import pytest

from sinkside.department import Chemical, made_up
from sinkside.errors import BadInput
from sinkside.quantities import Quantity

ENZYMATIC = Chemical.model_validate(
    {
        "id": "enzymatic",
        "name": "Enzymatic cleaner",
        "kinds": ["enzymatic-detergent"],
        "dose": {"min": "5 mL/L", "max": "5 mL/L"},
        "temperature": {"min": "20 °C", "max": "45 °C"},
    }
)
POWDER = ENZYMATIC.model_copy(
    update={"name": "Powder", "dose": ENZYMATIC.dose.model_validate({"min": "2 g/L", "max": "4 g/L"})}
    if ENZYMATIC.dose
    else {}
)
SINK = Quantity(30.0, "L")


def test_a_sink_of_30_litres_at_5_ml_per_litre_takes_150_ml() -> None:
    """Scene 13: 30 L at 5 mL/L is 150 mL (arithmetic)."""
    found = made_up(ENZYMATIC, water=SINK, dose=Quantity(5.0, "mL/L"), hardness=Quantity(80.0, "mg/L"))
    assert found.amount == Quantity(150.0, "mL")
    assert not found.findings


def test_an_ounce_to_the_gallon_is_refused_with_what_it_would_have_taken() -> None:
    """Scene 13: 1 oz/gal would be 234 mL (1/128 by definition), and the sentence says 150 mL in its place."""
    with pytest.raises(BadInput, match=r"1 oz/gal would take 234\.4 mL for 30 L.*5 mL/L, which takes 150 mL"):
        made_up(ENZYMATIC, water=SINK, dose=Quantity.parse("1 oz/gal"))


def test_hard_water_is_flagged_with_its_limit_and_source() -> None:
    """Scene 13: 260 mg/L stands above the 150 mg/L that is published for utility water."""
    found = made_up(ENZYMATIC, water=SINK, dose=Quantity(5.0, "mL/L"), hardness=Quantity(260.0, "mg/L"))
    (told,) = found.findings
    assert told.rule == "solution-water-too-hard"
    assert "260" in told.message
    assert "150" in told.message
    assert told.source is not None


def test_a_dose_by_volume_does_not_fit_a_powder() -> None:
    """What is dosed in g/L is not dosed in mL/L, however near the numbers are."""
    with pytest.raises(BadInput, match="by mass"):
        made_up(POWDER, water=SINK, dose=Quantity(3.0, "mL/L"))


def test_a_percentage_is_the_same_dose_in_other_words() -> None:
    """0.5 % by volume is 5 mL/L."""
    found = made_up(ENZYMATIC, water=SINK, dose=Quantity.parse("0.5 %"), hardness=Quantity(10.0, "mg/L"))
    assert found.amount == Quantity(150.0, "mL")


def test_water_outside_the_chemicals_window_is_a_concern() -> None:
    """55 °C is hotter than 45 °C, at which the chemical stops working, and is told with the window."""
    found = made_up(
        ENZYMATIC,
        water=SINK,
        dose=Quantity(5.0, "mL/L"),
        temperature=Quantity(55.0, "°C"),
        hardness=Quantity(10.0, "mg/L"),
    )
    assert [told.rule for told in found.findings] == ["solution-temperature"]


def test_an_unknown_hardness_and_an_unknown_dose_are_told() -> None:
    """Hardness that nobody tested is a note; a chemical without a dose is refused."""
    found = made_up(ENZYMATIC, water=SINK, dose=Quantity(5.0, "mL/L"))
    assert [told.rule for told in found.findings] == ["solution-hardness-unknown"]
    with pytest.raises(BadInput, match="its dose is not known"):
        made_up(ENZYMATIC.model_copy(update={"dose": None}), water=SINK, dose=Quantity(5.0, "mL/L"))
    with pytest.raises(BadInput, match="is none"):
        made_up(ENZYMATIC, water=Quantity(0.0, "L"), dose=Quantity(5.0, "mL/L"))
