"""Hardness of water against published conversions."""

from __future__ import annotations

import pytest

from sinkside.errors import OutsideValidity
from sinkside.limits import published
from sinkside.science.dosing import hardness_as_calcium_carbonate


@pytest.mark.parametrize(
    ("unit", "figure"), [("gr/gal", "water-hardness-grain"), ("°dH", "water-hardness-german-degree")]
)
def test_a_degree_is_what_is_published(unit: str, figure: str) -> None:
    """One grain per US gallon and one German degree are the published mg/L, to the printed digits."""
    assert hardness_as_calcium_carbonate(1.0, unit) == pytest.approx(published(figure).value[0], abs=0.005)


@pytest.mark.parametrize(
    ("unit", "expected"), [("mmol/L", 100.09), ("°fH", 10.0), ("°e", 14.25), ("mg/L", 1.0)]
)
def test_the_other_degrees_are_their_definitions(unit: str, expected: float) -> None:
    """Millimole, French and English degree as handbooks print them (from memory)."""
    assert hardness_as_calcium_carbonate(1.0, unit) == pytest.approx(expected, abs=0.005)


def test_what_is_no_hardness_is_refused() -> None:
    """A unit that is none, and a negative value, are refused with what was expected."""
    with pytest.raises(OutsideValidity, match="expected one of"):
        hardness_as_calcium_carbonate(1.0, "ppm?")
    with pytest.raises(OutsideValidity, match="expected 0 or more"):
        hardness_as_calcium_carbonate(-1.0, "mg/L")
