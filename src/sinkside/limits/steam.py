"""Steam temperatures that a cycle is expected to state, and the window outside which one is a slip."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

from sinkside.limits.limit import Limit
from sinkside.limits.tables import published
from sinkside.quantities import convert
from sinkside.sources import Source, source


@dataclass(frozen=True)
class RecognisedSteamTemperature:
    """A steam temperature that a published table names, with the °F label printed beside it."""

    temperature_c: float
    source: Source
    label_f: float
    label_source: Source

    def distance_k(self, temperature_c: float) -> float:
        """How far a temperature lies from this one, or from what its °F label is exactly, in K."""
        label_c = convert(self.label_f, "°F", "°C")
        return min(abs(temperature_c - self.temperature_c), abs(temperature_c - label_c))


@functools.cache
def recognised_steam_temperatures() -> tuple[RecognisedSteamTemperature, ...]:
    """The recognised steam temperatures, coolest first.

    >>> [temperature.temperature_c for temperature in recognised_steam_temperatures()]
    [115.0, 121.0, 126.0, 132.0, 134.0, 135.0]
    """
    text = resources.files("sinkside.limits").joinpath("steam_temperatures.toml").read_text(encoding="utf-8")
    return tuple(_recognised(row) for row in tomllib.loads(text)["temperature"])


def recognised_steam_temperature(temperature_c: float) -> RecognisedSteamTemperature | None:
    """The recognised temperature that a stated one may stand for; None if it is too far from all of them.

    >>> recognised_steam_temperature(132.2).temperature_c
    132.0
    >>> recognised_steam_temperature(128.0) is None
    True
    """
    nearest = min(recognised_steam_temperatures(), key=lambda known: known.distance_k(temperature_c))
    tolerance = published("steam-recognised-temperature-tolerance")
    return nearest if tolerance.met_by(nearest.distance_k(temperature_c), "K") else None


def plausible_steam_temperature() -> Limit:
    """The window outside which a steam temperature is taken for a slip: ours, no standard's.

    >>> plausible_steam_temperature().ends("°C")
    (100.0, 145.0)
    """
    return published("steam-plausible-temperature")


def _recognised(row: Mapping[str, Any]) -> RecognisedSteamTemperature:
    return RecognisedSteamTemperature(
        temperature_c=float(row["celsius"]),
        source=source(row["source"]).at(row["clause"], how_read=row["how_read"]),
        label_f=float(row["fahrenheit_label"]),
        label_source=source(row["label_source"]).at(
            row.get("label_clause", ""), how_read=row["label_how_read"]
        ),
    )
