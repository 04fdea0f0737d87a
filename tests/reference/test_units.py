"""Units as instructions print them, against the exact definitions.

Definitions: the international pound is 0.45359237 kg, and t(°C) = (t(°F) − 32)/1.8; NIST Special Publication
811, appendix B (from memory).
"""

from __future__ import annotations

import itertools

import pint
import pytest

from sinkside.errors import BadQuantity
from sinkside.quantities import Quantity, convert, measures_the_same
from sinkside.quantities.units import PINT_NAMES


def test_25_pounds() -> None:
    """The set mass of 25 lb is 11.34 kg (11.33980925 exactly), not the 10 kg that other places ask for."""
    assert convert(25.0, "lb", "kg") == pytest.approx(25.0 * 0.45359237, rel=1e-12)
    assert round(Quantity.parse("25 lb").to("kg"), 2) == 11.34


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(250.0, 121.11), (270.0, 132.22), (275.0, 135.0)])
def test_printed_steam_temperatures(fahrenheit: float, celsius: float) -> None:
    """250, 270 and 275 °F are 121.11, 132.22 and 135.00 °C, and back again."""
    found = convert(fahrenheit, "°F", "°C")
    assert found == pytest.approx((fahrenheit - 32.0) / 1.8, abs=1e-9)
    assert round(found, 2) == celsius
    assert convert(found, "°C", "°F") == pytest.approx(fahrenheit, abs=1e-9)


def test_printed_pairs_are_labels() -> None:
    """132 °C is 269.6 °F: the printed pair 132 °C / 270 °F agrees to the label, not to the digit."""
    assert convert(132.0, "°C", "°F") == pytest.approx(269.6, abs=1e-9)


def test_our_short_list_of_units_agrees_with_pint() -> None:
    """Every pair of our units converts, or refuses to, as in the registry that pint itself ships."""
    theirs: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    value = 7.3
    for (unit, name), (other, other_name) in itertools.product(PINT_NAMES.items(), repeat=2):
        source, target = theirs.Unit(name), theirs.Unit(other_name)
        assert measures_the_same(unit, other) == (source.dimensionality == target.dimensionality)
        if source.dimensionality == target.dimensionality:
            expected = theirs.Quantity(value, source).to(target).magnitude
            assert convert(value, unit, other) == pytest.approx(expected, rel=1e-12), f"{unit} in {other}"
        else:
            with pytest.raises(BadQuantity, match="cannot be given in"):
                convert(value, unit, other)
