"""Recognised steam temperatures and our window of plausibility."""

from __future__ import annotations

import pytest

from sinkside.limits import (
    RecognisedSteamTemperature,
    plausible_steam_temperature,
    published,
    recognised_steam_temperature,
    recognised_steam_temperatures,
)
from sinkside.quantities import convert


@pytest.mark.parametrize(
    ("stated_c", "recognised_c"),
    [
        (115.0, 115),
        (121.11, 121),
        (122.0, 121),
        (122.2, None),
        (126.9, 126),
        (128.0, None),
        (132.22, 132),
        (133.0, 132),
        (134.0, 134),
        (135.9, 135),
        (136.1, None),
        (49.4, None),
    ],
)
def test_a_steam_temperature_is_recognised_within_1_k(stated_c: float, recognised_c: float | None) -> None:
    """A temperature within 1 K of a recognised one, or of its °F label, stands for it."""
    found = recognised_steam_temperature(stated_c)
    assert (found.temperature_c if found else None) == recognised_c


@pytest.mark.parametrize("temperature", recognised_steam_temperatures(), ids=lambda t: str(t.label_f))
def test_labels_are_labels(temperature: RecognisedSteamTemperature) -> None:
    """No °F label is more than a quarter of a kelvin from the temperature that it stands for."""
    label_c = convert(temperature.label_f, "°F", "°C")
    assert label_c == pytest.approx(temperature.temperature_c, abs=0.25)


def test_what_was_not_seen_in_print_says_so() -> None:
    """The labels 250 and 270 were read, 275 is from memory, and the rest is arithmetic."""
    ways = {known.label_f: known.label_source.how_read for known in recognised_steam_temperatures()}
    assert ways == {
        239: "computed",
        250: "read",
        259: "computed",
        270: "read",
        273: "computed",
        275: "memory",
    }


@pytest.mark.parametrize(
    ("temperature_c", "plausible"), [(99.9, False), (100, True), (145, True), (145.1, False)]
)
def test_the_window_of_plausibility(temperature_c: float, *, plausible: bool) -> None:
    """Below 100 or above 145 °C a steam temperature is taken for a slip: our limit, no standard's."""
    window = plausible_steam_temperature()
    assert window.met_by(temperature_c, "°C") is plausible
    assert "not a standard's" in window.note
    assert not window.trusted


@pytest.mark.parametrize(
    ("pair", "fahrenheit"), [("pairs-250f", 250), ("pairs-270f", 270), ("pairs-275f", 275)]
)
def test_published_pairs_are_exact_conversions(pair: str, fahrenheit: float) -> None:
    """The published °C values of 250, 270 and 275 °F agree with the definition of the scales to 0.005 K."""
    assert published(pair).value[0] == pytest.approx((fahrenheit - 32) * 5 / 9, abs=0.005)
