"""The tray of a set on the web: laid out, moved, judged anew by the house, and refused where it must be."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import pytest

from support.browserless import Caller
from web.conftest import House

HOME: Final = "/at/valley/sets"
MEASURED: Final = "sinus forceps; 180; 60\nsuction punch; 200 mm; 70 mm"


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _address(caller: Caller, name: str) -> str:
    return next(str(one["address"]) for one in _json(caller, HOME)["sets"] if one["name"] == name) + "/layout"


@pytest.fixture
def laid(caller: Callable[..., Caller]) -> tuple[Caller, str]:
    """The lead, and the address of a tray that was laid out."""
    lead = caller("lead")
    address = _address(lead, "Sinus set 2")
    answer = lead.post(address, {"on_revision": "0", "tray": "tray-mesh", "measured": MEASURED})
    assert answer.status_code == 303, answer.text
    return lead, address


def test_a_set_is_laid_out_and_everybody_at_work_sees_it(house: House) -> None:
    """First there is a form; then list and drawing with the same letters, seed, figures and sources."""
    lead, technician = house.caller("lead"), house.caller("technician")
    address = _address(lead, "Sinus set 2")
    assert "Nobody laid it out yet" in lead.get(address).text
    assert "Nobody laid this set out yet" in technician.get(address).text
    assert lead.get(f"{address}/document").status_code == 404
    fields = {"on_revision": "0", "tray": "tray-mesh", "seed": "7", "measured": MEASURED}
    made = lead.post(address, fields)
    assert made.status_code == 303
    page = _json(technician, address)
    assert [(one["letter"], one["count"]) for one in page["lines"]] == [("A", 2), ("B", 2)]
    assert {one["id"] for one in page["places"]} == {"A1", "A2", "B1", "B2"}
    assert page["fields"]["seed"] == 7
    assert page["tray"] == "fine-mesh tray, 480 × 250 × 50 mm inside"
    assert all(one["source"] and one["covers"] and one["how"] for one in page["figures"])
    assert "common practice, no source" in page["figures"][0]["source"]
    html = technician.get(address).text
    assert html.index("What lies in it") < html.index("From above")
    for name in ("A1", "B2"):
        assert f'data-piece="{name}"' in html
    assert "Move it" not in html
    assert "laid out the tray of Sinus set 2, seed 7" in lead.get("/at/valley/record").text
    assert "format: sinkside/layout-1" in technician.get(f"{address}/document").text


def test_the_same_seed_gives_the_same_tray(laid: tuple[Caller, str]) -> None:
    """Laid out again with the same seed, everything lies where it lay."""
    lead, address = laid
    before = _json(lead, address)
    fields = {"on_revision": "1", "tray": "tray-mesh", "measured": MEASURED}
    assert lead.post(address, fields).status_code == 303
    after = _json(lead, address)
    assert after["places"] == before["places"]
    assert after["revision"] == 2


def test_a_piece_is_moved_by_form_and_judged_anew(laid: tuple[Caller, str]) -> None:
    """Moved onto another it is a stop, by number; moved back nothing is wrong; each is a revision."""
    lead, address = laid
    clean = _json(lead, address)
    assert clean["stops"] == 0
    first, second = clean["places"][0], clean["places"][1]
    onto = {
        "on_revision": "1",
        "piece": first["id"],
        "x": second["x"],
        "y": second["y"],
        "turn": second["turn"],
    }
    moved = lead.post(f"{address}/move", onto)
    assert moved.headers["location"] == f"{address}?piece={first['id']}"
    page = _json(lead, address)
    assert page["places"][0]["nearest"] == "0\xa0mm"
    assert any("lie on each other" in one["message"] for one in page["findings"])
    assert page["stops"] == 1
    assert 'class="overlap"' in lead.get(address).text
    back = {**onto, "on_revision": "2", "x": first["x"], "y": first["y"], "turn": first["turn"]}
    assert lead.post(f"{address}/move", back).status_code == 303
    assert _json(lead, address)["places"] == clean["places"]
    assert f"moved {first['id']} in the tray of Sinus set 2" in lead.get("/at/valley/record").text


def test_what_cannot_be_moved_or_laid_is_told(
    laid: tuple[Caller, str], caller: Callable[..., Caller]
) -> None:
    """A stale page, no change, an unknown piece, level, tray or measure are refused; nothing changes."""
    lead, address = laid
    move = f"{address}/move"
    here = _json(lead, address)["places"][0]
    same = {"on_revision": "1", "piece": "A1", "x": here["x"], "y": here["y"], "turn": here["turn"]}
    assert "nothing was moved" in lead.post(move, same).text.lower()
    assert lead.post(move, {**same, "x": "9", "on_revision": "5"}).status_code == 409
    assert lead.post(move, {**same, "piece": "Z"}).status_code == 404
    assert "there is no level 2" in lead.post(move, {**same, "level": "1"}).text.lower()
    assert lead.post(move, {**same, "x": "1e9"}).status_code == 422
    assert lead.post(move, {**same, "x": "nan"}).status_code == 422
    wrong = lead.post(move, {**same, "x": "abc"})
    assert wrong.status_code == 422
    assert "This was not done" in wrong.text
    assert 'id="x-hint"' in wrong.text
    assert 'value="abc"' in wrong.text
    assert "no tray" in lead.post(address, {"on_revision": "1", "tray": "bathtub"}).text.lower()
    for measured in ("forceps; long; 3", "forceps; 3", "sinus forceps; 1; 2; 3", "sinus forceps; -1; 2"):
        answer = lead.post(address, {"on_revision": "1", "measured": measured})
        assert "line 1: expected a name, a length and a width in mm" in answer.text.lower()
    unknown = lead.post(address, {"on_revision": "1", "measured": "nobody; 10; 10"})
    assert "no piece of this set is called nobody" in unknown.text.lower()
    assert caller("technician").post(move, {**same, "x": "9"}).status_code == 403
    assert _json(lead, address)["revision"] == 1


def test_a_tray_outlives_changes_of_its_set(laid: tuple[Caller, str]) -> None:
    """After a change of the set it says so; once the set is out of use, nothing of it is moved any longer."""
    lead, address = laid
    of_set = address.removesuffix("/layout")
    assert _json(lead, address)["is_stale"] is False
    fields = {"on_revision": "1", "name": "Sinus set 2", "packaging": "container", "mass": "4 kg"}
    assert lead.post(of_set, fields).status_code == 303
    assert _json(lead, address)["is_stale"] is True
    assert "The set was changed since" in lead.get(address).text
    ended = lead.post(f"{of_set}/out-of-use", {"on_revision": "2", "why": "Not used any longer"})
    assert ended.status_code == 303
    assert lead.post(f"{address}/move", {"on_revision": "1", "piece": "A1", "x": "100"}).status_code == 409
    assert lead.post(address, {"on_revision": "1"}).status_code == 409
    assert "Move it" not in lead.get(address).text
