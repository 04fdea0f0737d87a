"""CDC Guideline for Disinfection and Sterilization in Healthcare Facilities, 2008, Table 7.

Text as updated in May 2019, read in the guideline itself. Minimum cycle times for steam sterilization:
gravity displacement at 121 °C (250 °F) and 132 °C (270 °F), prevacuum at 132 °C (270 °F).
"""

from __future__ import annotations

import math

import pytest

from sinkside.limits import LimitKind, profile, recognised_steam_temperature, recognised_steam_temperatures

#: Sterilizer, temperature in °C, item, minutes of exposure.
EXPOSURES = [
    ("gravity", 121, "wrapped-instruments", 30),
    ("gravity", 121, "textile-packs", 30),
    ("gravity", 121, "wrapped-utensils", 30),
    ("gravity", 132, "wrapped-instruments", 15),
    ("gravity", 132, "textile-packs", 25),
    ("gravity", 132, "wrapped-utensils", 15),
    ("prevacuum", 132, "wrapped-instruments", 4),
    ("prevacuum", 132, "textile-packs", 4),
    ("prevacuum", 132, "wrapped-utensils", 4),
]

#: Sterilizer, item, minutes of drying from and to.
DRYING = [
    ("gravity", "wrapped-instruments", 15, 30),
    ("gravity", "textile-packs", 15, 15),
    ("gravity", "wrapped-utensils", 15, 30),
    ("prevacuum", "wrapped-instruments", 20, 30),
    ("prevacuum", "textile-packs", 5, 20),
    ("prevacuum", "wrapped-utensils", 20, 20),
]


@pytest.mark.parametrize(("sterilizer", "celsius", "item", "minutes"), EXPOSURES)
def test_exposure_times(sterilizer: str, celsius: int, item: str, minutes: int) -> None:
    """Every exposure of the table is a limit in force in profile us, met at its minutes and missed before."""
    limit = profile("us").limit(f"steam-{sterilizer}-{celsius}c-{item}-exposure")
    assert limit.ends("min") == (minutes, math.inf)
    assert limit.met_by(minutes * 60, "s")
    assert not limit.met_by(minutes * 60 - 1, "s")
    assert (limit.source.key, limit.source.clause, limit.trusted) == ("cdc-2008", "Table 7", True)
    assert f"{celsius} °C" in limit.context


@pytest.mark.parametrize(("sterilizer", "item", "shortest", "longest"), DRYING)
def test_drying_times(sterilizer: str, item: str, shortest: int, longest: int) -> None:
    """Every drying time of the table is carried as printed, and is no limit: longer is not a failure."""
    figure = profile("us").figure(f"steam-{sterilizer}-{item}-drying")
    assert figure.ends("min") == (shortest, longest)
    assert figure.kind is LimitKind.guidance
    assert figure.source.clause == "Table 7"
    assert figure.trusted


def test_the_table_is_carried_whole() -> None:
    """Nothing beyond the fifteen figures of the table claims to come from it."""
    figures = [
        figure
        for figure in profile("us").figures(topic="steam")
        if (figure.source.key, figure.source.clause) == ("cdc-2008", "Table 7")
    ]
    assert len(figures) == len(EXPOSURES) + len(DRYING)


@pytest.mark.parametrize(("celsius", "fahrenheit"), [(121, 250), (132, 270)])
def test_the_temperatures_of_the_table_are_recognised(celsius: int, fahrenheit: int) -> None:
    """The table's temperatures and their °F labels stand among the recognised ones as read."""
    known = {temperature.temperature_c: temperature for temperature in recognised_steam_temperatures()}
    assert known[celsius].label_f == fahrenheit
    assert known[celsius].source.trusted
    assert known[celsius].label_source.trusted
    assert recognised_steam_temperature((fahrenheit - 32) / 1.8) == known[celsius]


def test_the_table_does_not_apply_elsewhere() -> None:
    """No figure of the table is in force in the profiles eu and uk."""
    for name in ("eu", "uk"):
        assert not [figure for figure in profile(name).figures() if figure.source.key == "cdc-2008"]
