"""Trends on a machine's page: what drifts is told and drawn, each point a cycle, with a table behind it."""

from __future__ import annotations

from typing import Any

from web.conftest import House

DRIFTING = "/at/valley/machines/sterilizer-1"


def _trends(house: House) -> list[Any]:
    data = house.caller("lead").get(f"/api{DRIFTING}").json()
    program = next(one for one in data["programs"] if one["program"] == "134 °C, 3 min")
    return list(program["trends"])


def test_what_drifts_is_told_first_with_when_it_reaches_its_limit(house: House) -> None:
    """The pump that tires is a concern although every cycle met its program; limit and pace are told."""
    first = _trends(house)[0]
    assert (first["name"], first["level"]) == ("Drying vacuum", "concern")
    assert "reaches the limit of 10\xa0kPa in" in first["message"]
    assert "since the cycle of 2026-02-2" in first["message"]
    assert "c-" not in first["message"]
    page = house.caller("lead").get(DRIFTING).text
    assert page.index("The drying vacuum has risen") < page.index('class="chart"')
    today = house.caller("lead").get("/api/at/valley/today").json()["matters"]
    assert "Sterilizer 1, 134 °C, 3 min, drifts: drying vacuum." in [one["sentence"] for one in today]
    engineer = house.caller("technician").get("/api/at/valley/today").json()["matters"]
    assert not [one for one in engineer if "drifts" in one["sentence"]]


def test_each_point_is_a_cycle_with_its_value(house: House) -> None:
    """The drawing has one point for each row of its table; those outside the usual range are squares."""
    for trend in _trends(house):
        assert trend["chart"].count('class="point') == len(trend["rows"]) == len(trend["points"])
        outside = [row for row in trend["rows"] if row["is_outside"]]
        assert trend["chart"].count("point outside") == len(outside)
    drying = _trends(house)[0]
    assert len([row for row in drying["rows"] if row["is_outside"]]) == 3
    heights = [point["y"] for point in drying["points"]]
    assert min(heights) == heights[-1]
    row = drying["rows"][0]
    assert house.caller("lead").get(row["address"]).status_code == 200
    assert drying["latest"] == row["value"]


def test_before_there_are_enough_cycles_only_values_are_shown(house: House) -> None:
    """A program with three cycles has no limits drawn and says how many are still to come."""
    data = house.caller("lead").get(f"/api{DRIFTING}").json()
    few = next(one for one in data["programs"] if one["program"] == "132 °C, 4 min")["trends"][0]
    assert few["standing"].startswith("So far 3 of 30 cycles")
    assert 'class="field"' not in few["chart"]
    assert few["level"] == ""


def test_a_room_has_no_trends(house: House) -> None:
    """What is no machine has nothing that goes from cycle to cycle."""
    assert house.caller("lead").get("/api/at/valley/machines/room-store").json()["programs"] == []
