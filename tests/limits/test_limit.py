"""One published figure: its ends, what meets it, how it reads."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.errors import BadQuantity, SinksideError
from sinkside.limits import all_published, published


@pytest.mark.parametrize(
    ("figure", "value", "unit", "met"),
    [
        # Below and above leave the figure itself out.
        ("washer-prerinse-temperature", 45.0, "°C", False),
        ("washer-prerinse-temperature", 44.9, "°C", True),
        ("water-tir34-critical-conductivity", 10.0, "µS/cm", False),
        ("detergent-alkaline-ph", 10.0, "1", False),
        # At least and at most keep it in; 13.0 passes and 13.1 fails (EN 285:2015, second-hand).
        ("air-leak-total-10min", 13.0, "mbar", True),
        ("air-leak-total-10min", 13.1, "mbar", False),
        ("air-leak-total-10min", 1.3, "kPa", True),
        ("air-leak-rate-mbar", 0.13, "kPa/min", True),
        ("air-leak-rate-mbar", 1.333, "mbar/min", False),
        # A0 2992.9 is never rounded up to 3000.
        ("a0-required-heat-resistant-viruses", 2992.9, "s", False),
        ("a0-required-heat-resistant-viruses", 3000.0, "s", True),
        ("mass-set-limit-us", 25.0, "lb", True),
        ("mass-set-limit-us", 25.1, "lb", False),
        ("criteria-band-134c", 137.0, "°C", True),
        ("criteria-band-134c", 133.99, "°C", False),
        # A trigger is reached at its figure.
        ("cleaning-protein-action", 6.4, "µg/cm2", True),
        ("cleaning-protein-action", 6.39, "µg/cm2", False),
        ("people-competency-interval", 1.0, "year", True),
    ],
)
def test_what_meets_a_figure(figure: str, value: float, unit: str, *, met: bool) -> None:
    """A value meets a figure as the figure's relation says, in any unit that fits."""
    assert published(figure).met_by(value, unit) is met


def test_pressures_keep_their_reference() -> None:
    """An absolute and a gauge pressure convert, and say which they are."""
    absolute = published("saturation-pressure-121c")
    gauge = published("flash-original-pressure")
    assert absolute.ends("bar") == pytest.approx((2.0504, 2.0504))
    assert (absolute.reference, gauge.reference) == ("absolute", "gauge")
    assert gauge.text().replace("\u00a0", " ") == "27–28 psi gauge"


@pytest.mark.parametrize("unit", ["°C", "°F"])
def test_a_difference_is_no_reading(unit: str) -> None:
    """3 K of band is 5.4 °F, not 37.4 °F: a difference is not given as a reading at all."""
    with pytest.raises(BadQuantity, match="a difference of"):
        published("criteria-band-width").ends(unit)
    with pytest.raises(BadQuantity, match="a difference of"):
        published("criteria-band-width").met_by(2.0, unit)


@pytest.mark.parametrize(
    "figure",
    ["soil-solubility-change", "water-st108-critical-bacteria-contested", "f0-134c-3min", "pairs-270f"],
)
def test_nothing_is_tested_against_what_is_no_limit(figure: str) -> None:
    """Observations, contested quotations, worked values and conversions cannot be met or missed."""
    with pytest.raises(SinksideError, match="nothing is tested against it"):
        published(figure).met_by(1.0)


@pytest.mark.parametrize(
    ("figure", "text"),
    [
        ("steam-gravity-121c-wrapped-instruments-exposure", "≥ 30 min"),
        ("washer-prerinse-temperature", "< 45 °C"),
        ("water-condensate-ph-en285", "5–7"),
        ("storage-humidity-ashrae", "≤ 60 % RH"),
        ("saturation-pressure-134c", "304.2 kPa absolute"),
        ("people-certification-deadline", "≤ 24 months"),
    ],
)
def test_how_a_figure_reads(figure: str, text: str) -> None:
    """A figure reads as its relation says, with its unit as published."""
    assert published(figure).text().replace("\u00a0", " ") == text


@given(st.sampled_from(sorted(all_published())), st.floats(-1e6, 1e6))
def test_the_ends_say_what_is_met(figure: str, value: float) -> None:
    """Whatever is clearly between the ends meets a figure, whatever is clearly outside does not."""
    limit = published(figure)
    low, high = limit.ends()
    try:
        met = limit.met_by(value)
    except SinksideError:
        return
    if low < value < high and not any(math.isclose(value, end, rel_tol=1e-8) for end in (low, high)):
        assert met
    if value < low - 1e-6 * abs(low) - 1e-12 or value > high + 1e-6 * abs(high) + 1e-12:
        assert not met


@pytest.mark.parametrize("unit", ["s", "furlong"])
def test_units_that_do_not_fit_are_refused(unit: str) -> None:
    """A temperature is neither asked for nor tested in a unit of something else."""
    with pytest.raises(BadQuantity):
        published("washer-prerinse-temperature").ends(unit)
