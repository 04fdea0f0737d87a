"""What stays wet in a set, on the web: said by form, told with formulas; and the joined page of a set."""

from __future__ import annotations

from typing import Any

import pytest

from sinkside.instruction import PartUse
from support.browserless import Caller
from support.set_house import a_device, a_part
from support.web_texts import read_text
from web.conftest import House

HOME = "/at/valley/sets"
#: A cycle of the demo's sterilizers: 134 °C, 3 min, drying 15 min.
CYCLE: dict[str, Any] = {"celsius": 134, "minutes": 3, "drying": 15}


@pytest.fixture
def made(fresh: House) -> tuple[House, str]:
    """A set of two hooks with a text here; its address."""
    hook = a_device(
        "Quarl 3 hook",
        a_part("tip", PartUse.new_at_assembly),
        a_part("guard", PartUse.discard_after_use),
        a_part("blade", PartUse.sterile_at_field),
        mass="40 g",
        **CYCLE,
    )
    read_text(fresh, hook)
    educator = fresh.caller("educator")
    fields = {"name": "Knee set 1", "device": "Quarl 3 hook", "count": "2", "packaging": "container"}
    address = educator.post(f"{HOME}/new", fields).headers["location"]
    whole = {"on_revision": "1", "name": "Knee set 1", "packaging": "container", "packaging_mass": "2.9 kg"}
    assert educator.post(address, whole).status_code == 303
    more = {
        "on_revision": "2",
        "device": "Quarl 3 hook",
        "count": "2",
        "apart": "",
        "substitutes": "Quarl 4 hook; M. Lind; until May",
    }
    assert educator.post(f"{address}/devices/1", more).status_code == 303
    return fresh, address


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _say(caller: Caller, address: str, what: str, **fields: str) -> None:
    answer = caller.post(f"{address}/moisture/{what}", fields)
    assert answer.status_code == 303, answer.text


def test_each_number_tells_its_formula_source_and_range(made: tuple[House, str]) -> None:
    """Once what lacks is said, every place has a reason and three numbers, each with what is behind it."""
    house, address = made
    lead = house.caller("lead")
    before = _json(lead, f"{address}/moisture")
    assert before["risk"] is None
    assert before["not_told"] == [
        "Quarl 3 hook: its material.",
        "lidded container: what its floor is made of.",
    ]
    _say(lead, address, "things", on_revision="0", names="Quarl 3 hook", material="silicone", lies="holding")
    _say(lead, address, "packaging", on_revision="1", packaging_material="aluminium")
    tray = {"beside_name": "mesh", "beside_mass": "0.9 kg", "beside_material": "stainless-steel"}
    _say(lead, address, "beside", on_revision="2", beside_shape="mesh", **tray)
    page = _json(house.caller("technician"), f"{address}/moisture")
    assert {one["name"] for one in page["places"]} == {
        "Quarl 3 hook × 2",
        "mesh",
        "Floor of the packaging: lidded container",
    }
    assert [one["wettest"] for one in page["places"]] == [True, False, False]
    for place in page["places"]:
        assert place["why"]
        assert [one["what"] for one in place["numbers"]] == ["Condenses on it", "Runs off it", "May be left"]
        for number in place["numbers"]:
            assert all(number[name] for name in ("figure", "name", "says", "source", "covers"))
    # The published balance behind the formula of what condenses is cited by its name.
    assert "Himmelblau" in page["places"][0]["numbers"][0]["source"]
    assert [one["in_force"] for one in page["limits"]] == [True, False]
    html = house.caller("technician").get(f"{address}/moisture").text
    assert "this estimate never shortens it" in html
    assert "<form" not in html.partition("<main")[2].partition("</main>")[0]


def test_own_ends_are_kept_with_their_reason_or_refused_by_field(made: tuple[House, str]) -> None:
    """A reason is asked for; kept, it stands beside the assumption; what is faulty is told at its field."""
    house, address = made
    lead = house.caller("lead")
    own = {"on_revision": "0", "assumption": "out-container", "low": "0.3", "high": "0.6"}
    refused = lead.post(f"{address}/moisture/assumption?assumption=out-container", own)
    assert refused.status_code == 422
    assert 'id="reason-hint"' in refused.text
    _say(lead, address, "assumption", **own, reason="Weighed in March")
    _say(lead, address, "things", on_revision="1", names="Quarl 3 hook", material="titanium")
    _say(lead, address, "packaging", on_revision="2", packaging_material="aluminium", liner="true")
    assumed = {one["key"]: one for one in _json(lead, f"{address}/moisture")["assumed"]}
    assert (assumed["out-container"]["ends"], assumed["out-container"]["reason"]) == (
        "0.3 to 0.6",
        "Weighed in March",
    )
    form = _json(lead, f"{address}/moisture/things?assumption=out-container")
    assert (form["chosen"]["low"], form["chosen"]["high"]) == ("0.3", "0.6")
    assert form["packaging"] == ["", "aluminium", True]
    wrong = {"on_revision": "3", "beside_name": "mat", "beside_mass": "heavy", "beside_material": "silicone"}
    told = lead.post(f"{address}/moisture/beside", wrong)
    assert told.status_code == 422
    assert 'id="beside_mass-hint"' in told.text
    late = lead.post(f"{address}/moisture/packaging", {"on_revision": "1", "packaging_mass": "2 kg"})
    assert late.status_code == 409


def test_the_page_of_a_set_joins_what_must_be_known(made: tuple[House, str]) -> None:
    """Stand-ins, the three kinds of single use and the water are on one page, each under its own heading."""
    house, address = made
    lead = house.caller("lead")
    page = _json(lead, address)
    assert [(one["instead"], one["allowed_by"]) for one in page["stand_ins"]] == [("Quarl 4 hook", "M. Lind")]
    kinds = {one["words"]: one for one in page["single_use"]}
    assert [(words, one["in_the_tray"]) for words, one in kinds.items()] == [
        ("new at assembly", True),
        ("thrown away where it was used", False),
        ("sterile, opened at the field", False),
    ]
    assert [one["parts"][0]["count"] for one in kinds.values()] == [2, 2, 2]
    assert page["wet"]["risk"] is None
    _say(lead, address, "things", on_revision="0", names="Quarl 3 hook", material="titanium")
    _say(lead, address, "packaging", on_revision="1", packaging_material="aluminium")
    wet = _json(lead, address)["wet"]
    assert wet["risk"]["words"].startswith("A wet pack is ")
    html = lead.get(address).text
    for words in (
        "May stand in",
        "Single use: sterile, opened at the field, never in the tray",
        "What stays wet",
    ):
        assert words in html
