"""Sets on the web: read by everybody at work, made and changed by form, by file and by program."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any, Final

import pytest
from openpyxl import Workbook, load_workbook

from support.browserless import Caller
from support.set_house import a_device
from support.web_texts import read_text
from web.conftest import House

HOME: Final = "/at/valley/sets"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _address(caller: Caller, name: str) -> str:
    return next(str(one["address"]) for one in _json(caller, HOME)["sets"] if one["name"] == name)


def _sheet(*rows: tuple[Any, ...]) -> bytes:
    workbook = Workbook()
    for row in rows:
        workbook.worksheets[0].append(list(row))
    written = io.BytesIO()
    workbook.save(written)
    return written.getvalue()


def test_every_set_is_listed_and_leads_to_its_page(house: House) -> None:
    """The list tells what is in each set; the page its contents first; whoever only reads sees no form."""
    caller = house.caller("technician")
    listed = _json(caller, HOME)["sets"]
    assert {one["name"]: (one["devices"], one["pieces"], one["mass"]) for one in listed} == {
        "Hand surgery set 3": (7, 14, "3.4 kg"),
        "Sinus set 2": (4, 4, ""),
        "Sinus suction set": (2, 2, ""),
    }
    page = _json(caller, _address(caller, "Hand surgery set 3"))
    assert [one["name"] for one in page["tray"]] == ["micro-scissors", "bone punch", "fine forceps"]
    assert [one["count"] for one in page["tray"][1]["parts"]] == [1, 1, 1, 1, 2, 1, 1]
    assert page["since"] == ["mass of the packed set not said → 3.4 kg"]
    html = caller.get(page["address"]).text
    assert html.index("In the tray") < html.index("Its way through this department")
    assert '<form class="sheet' not in html
    found = _json(caller, f"{HOME}?text=scissors")["sets"]
    assert [one["name"] for one in found] == ["Hand surgery set 3"]


def test_a_set_is_made_by_form_and_grows_device_by_device(caller: Callable[..., Caller]) -> None:
    """Made with its first device, then one more with parts and relations, corrected, and struck again."""
    educator = caller("educator")
    made = educator.post(f"{HOME}/new", {"name": "Knee set 1", "device": "Quarl 3 hook", "count": "2"})
    assert made.status_code == 303
    address = made.headers["location"]
    fields = {
        "on_revision": "1",
        "device": "Quarl 5 punch",
        "count": "1",
        "order": "2",
        "parts": "shaft; 1; 20 g; left row\nspring; 2",
        "mates": "Quarl 3 hook",
        "apart": "Quarl 3 hook; its edge",
        "substitutes": "Quarl 6 punch; M. Lind; until May",
        "why": "Asked for by theatre",
    }
    assert educator.post(f"{address}/devices/new", fields).status_code == 303
    page = _json(educator, address)
    punch = page["tray"][0]
    assert [(one["name"], one["count"], one["mass"], one["lies"]) for one in punch["parts"]] == [
        ("shaft", 1, "20 g", "left row"),
        ("spring", 2, "", ""),
    ]
    assert punch["notes"] == [
        "belongs with Quarl 3 hook",
        "not beside Quarl 3 hook: its edge",
        "Quarl 6 punch may stand in, allowed by M. Lind: until May",
    ]
    assert page["made"].endswith("Edda Brandt · Asked for by theatre")
    form = _json(educator, f"{address}/devices/2")["fields"]
    assert form["parts"] == "shaft; 1; 20 g; left row\nspring; 2"
    hook = {"on_revision": "2", "device": "Quarl 3 hook", "name": "hook", "count": "2"}
    assert educator.post(f"{address}/devices/1", hook).status_code == 303
    assert _json(educator, f"{address}/devices/2")["fields"]["mates"] == ["hook"]
    assert educator.post(f"{address}/devices/2/strike", {"on_revision": "3"}).status_code == 303
    compared = _json(educator, f"{address}/changes?before=1&after=4")["changes"]
    assert [(one["kind"], one["thing"]) for one in compared] == [("gone", "Quarl 3 hook"), ("new", "hook")]


def test_faults_of_a_form_stand_beside_their_fields(caller: Callable[..., Caller]) -> None:
    """Each fault is told where it stands, what was typed is kept, and nothing is made."""
    lead = caller("lead")
    address = _address(lead, "Sinus set 2")
    typed = {
        "on_revision": "1",
        "device": "Quarl 3 hook",
        "count": "two",
        "mass": "9 min",
        "parts": "tip; one",
        "apart": "nobody; why",
        "substitutes": "Quarl 4 hook",
    }
    answer = lead.send(f"/api{address}/devices/new", {**typed, "on_revision": 1})
    assert answer.status_code == 422
    sentence = answer.json()["error"]["sentence"]
    assert "two" in sentence
    assert "line 1, count: 'one'" in sentence
    answer = lead.post(f"{address}/devices/new", {**typed, "count": "2", "parts": "tip"})
    assert answer.status_code == 422
    assert "no mass" in answer.text
    assert 'value="Quarl 3 hook"' in answer.text
    missing = {**typed, "count": "2", "parts": "tip", "mass": "9 g", "substitutes": ""}
    assert "is no member of this set" in lead.post(f"{address}/devices/new", missing).text
    assert _json(lead, address)["revision"] == 1
    assert caller("technician").post(f"{address}/devices/new", typed).status_code == 403


def test_what_is_said_of_the_whole_set_is_changed(caller: Callable[..., Caller]) -> None:
    """A mass on the scale makes the next revision; one that is no mass is told beside its field."""
    lead = caller("lead")
    address = _address(lead, "Sinus set 2")
    fields = {"on_revision": "1", "name": "Sinus set 2", "packaging": "container", "mass": "heavy"}
    assert "is no quantity" in lead.post(address, fields).text
    assert lead.post(address, {**fields, "mass": "11 kg"}).status_code == 303
    page = _json(lead, address)
    assert (page["mass"]["figure"], page["mass"]["unit"], page["mass"]["how"]) == ("11", "kg", "weighed")
    heavy = [one for one in page["findings"] if "limit in force" in one["message"]]
    assert [one["level"] for one in heavy] == ["stop"]
    assert "EN 868-8" in page["mass"]["source"]
    assert "2018" in page["mass"]["source"]
    outdated = lead.post(address, {**fields, "mass": "9 kg"})
    assert outdated.status_code == 409
    assert lead.post(f"{address}/out-of-use", {"on_revision": "2", "why": "Sold"}).status_code == 303
    assert _json(lead, address)["ended"] == "Out of use: Sold."
    assert lead.post(address, {**fields, "on_revision": "2", "mass": "9 kg"}).status_code == 409


def test_a_set_comes_from_one_sheet_and_goes_out_as_one(caller: Callable[..., Caller]) -> None:
    """Faults come row by row; mended, the sheet makes the set, and the next one its next revision."""
    lead = caller("lead")
    assert load_workbook(io.BytesIO(lead.get(f"{HOME}/template").content)).sheetnames == ["set"]
    head = ("device", "count", "part", "mass")
    wrong = {"file": ("knee.xlsx", _sheet(head, ("hook", "two", None, None), ("hook", 1, "tip", "9")), XLSX)}
    answer = lead.post(f"{HOME}/hand-in", {"set_name": "Knee set 2"}, files=wrong)
    assert answer.status_code == 422
    assert "Row 2, count: &#39;two&#39;; expected a whole number." in answer.text
    right = {"file": ("knee.xlsx", _sheet(head, ("hook", 2, None, None), ("hook", 1, "tip", "9 g")), XLSX)}
    made = lead.post(f"{HOME}/hand-in", {"set_name": "Knee set 2"}, files=right)
    assert made.status_code == 303, made.text
    address = made.headers["location"]
    page = _json(lead, address)
    assert (page["title"], page["pieces"]) == ("Knee set 2", 2)
    assert page["made"].endswith("From the file knee.xlsx")
    out = lead.get(f"{address}/sheet").content
    same = lead.post(f"{address}/file", {"on_revision": "1"}, files={"file": ("knee.xlsx", out, XLSX)})
    assert "Nothing was changed" in same.text
    more = _sheet(head, ("hook", 3, None, None), ("punch", 1, None, "1 kg"))
    next_one = lead.post(f"{address}/file", {"on_revision": "1"}, files={"file": ("k.xlsx", more, XLSX)})
    assert next_one.status_code == 303, next_one.text
    assert "hook: count 2 → 3" in _json(lead, address)["since"]


@pytest.mark.parametrize("ending", ["yaml", "json"])
def test_a_set_comes_as_a_document_and_goes_out_as_one(caller: Callable[..., Caller], ending: str) -> None:
    """A document says its name; its faults come by path; taken out it can be handed in again."""
    lead = caller("lead")
    text = '{"format": "sinkside/set-1", "name": "Knee set 3", "members": [{"instruction": "hook"}]}'
    bad = text.replace('"hook"', '"hook", "count": 0')
    answer = lead.post(f"{HOME}/hand-in", files={"file": (f"knee.{ending}", bad.encode(), "text/plain")})
    assert "members[0].count: expected 1 or more" in answer.text
    made = lead.post(f"{HOME}/hand-in", files={"file": (f"knee.{ending}", text.encode(), "text/plain")})
    assert made.status_code == 303, made.text
    out = lead.get(f"{made.headers['location']}/document")
    assert "name: Knee set 3" in out.text
    again = lead.post(
        f"{HOME}/hand-in", {"set_name": "Knee set 4"}, files={"file": ("k.yaml", out.content, "text/plain")}
    )
    assert _json(lead, again.headers["location"])["title"] == "Knee set 4"
    refused = lead.post(f"{HOME}/hand-in", files={"file": ("knee.pdf", b"%PDF", "text/plain")})
    assert "is not read here" in refused.text


def test_what_is_not_there_is_not_there(house: House) -> None:
    """An unknown set, revision, or device, and a set of another department, are 404."""
    lead = house.caller("lead")
    address = _address(lead, "Sinus set 2")
    for path in (
        f"{HOME}/s-unknown",
        f"{address}?revision=9",
        f"{address}/devices/9",
        f"{address}/devices/one",
        f"{address}/changes?after=9",
    ):
        assert lead.get(path).status_code == 404, path
    elsewhere = house.caller("harbour-lead")
    assert elsewhere.get(address.replace("valley", "harbour")).status_code == 404
    assert _json(elsewhere, "/at/harbour/sets")["sets"] == []


def test_what_lies_inside_is_offered_as_holder_and_never_as_packaging(house: House) -> None:
    """Trays, bars, baskets, mats and tip protectors hold a device; wraps, pouches, containers pack a set."""
    lead = house.caller("lead")
    form = _json(lead, f"{_address(lead, 'Hand surgery set 3')}/devices/new")
    assert {one["id"] for one in form["holders"]} == {
        "",
        "bars",
        "basket-small",
        "mat",
        "tip-guards",
        "tray-mesh",
    }
    packed = {one["id"] for one in _json(lead, f"{HOME}/new")["packaging"]}
    assert packed == {"", "wrap-double", "pouch", "pouch-fibre", "container"}


def test_whoever_approves_sees_which_sets_that_touches(fresh: House) -> None:
    """A text that waits for approval names the sets that have its device, to whoever may approve alone."""
    educator = fresh.caller("educator")
    made = educator.post(f"{HOME}/new", {"name": "Knee set 5", "device": "QUARL 3  hook"})
    assert made.status_code == 303
    text = f"/at/valley/instructions/{read_text(fresh, a_device('Quarl 3 hook'))}"
    page = _json(educator, text)
    assert [one["name"] for one in page["approval"]["sets"]] == ["Knee set 5"]
    assert "1 set has it and is to be looked at again" in educator.get(text).text
    assert _json(fresh.caller("technician"), text)["approval"]["sets"] == []
