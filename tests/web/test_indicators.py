"""Indicators on the web: placed and read by form, late ones told, a release held to what must be there."""

from __future__ import annotations

import re
from typing import Any

from support.browserless import Caller
from web.conftest import House

INDICATORS = "/at/valley/indicators"


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _of_the_implant(caller: Caller) -> str:
    """The cycle of the demo whose load holds an implant and whose indicator incubates."""
    waiting = _json(caller, INDICATORS)["waiting"]
    return str(next(one["cycle"] for one in waiting if not one["is_late"]))


def _late(caller: Caller) -> str:
    waiting = _json(caller, INDICATORS)["waiting"]
    return str(next(one["address"] for one in waiting if one["is_late"]))


def test_what_is_late_stands_first_and_is_told_today(house: House) -> None:
    """The indicator whose hours are over comes first, in words, and Today leads to it."""
    caller = house.caller("technician")
    listed = _json(caller, INDICATORS)
    assert [one["words"] for one in listed["waiting"]] == ["To be read", "Incubates"]
    assert listed["late"] == 1
    matters = _json(caller, "/at/valley/today")["matters"]
    told = [one for one in matters if "/indicators/" in one["address"]]
    assert [(one["level"], one["overdue"]) for one in told] == [("concern", True)]
    assert told[0]["address"] == listed["waiting"][0]["address"]


def test_a_negative_is_read_and_a_positive_closes_the_sterilizer(fresh: House) -> None:
    """No growth after its hours is a result; growth leads to the machine, out of use, loads listed."""
    caller = fresh.caller("technician")
    late, implant = _late(caller), _of_the_implant(caller)
    early = next(one["address"] for one in _json(caller, INDICATORS)["waiting"] if not one["is_late"])
    refused = caller.post(early, {"grew": "no", "control": "yes"})
    assert refused.status_code == 422
    assert "its hours are not over" in refused.text.lower()
    assert caller.post(late, {"grew": "no", "control": "yes"}).status_code == 303
    assert _json(caller, late)["words"] == "No growth"
    closed = caller.post(early, {"grew": "yes", "control": "yes", "note": "yellow after 1 h"})
    assert closed.headers["location"] == "/at/valley/machines/sterilizer-1"
    machine = _json(caller, "/at/valley/machines/sterilizer-1")
    assert machine["state"] == "out-of-use"
    assert machine["causes"][0]["why"] == "A biological indicator was positive"
    assert machine["asked"][0]["check"] == "Biological test"
    assert _json(caller, implant)["release"]["needed"][-1]["state"] == "bad"


def test_the_cycles_page_says_what_must_be_there_and_holds_an_implant(fresh: House) -> None:
    """What is there and what is missing stand above the decision; an implant without its result stays in."""
    lead = fresh.caller("lead")
    cycle = _of_the_implant(lead)
    needed = {one["name"]: one["state"] for one in _json(lead, cycle)["release"]["needed"]}
    assert needed == {
        "What the load held": "there",
        "Machine in use": "there",
        "Air-removal test of the day": "there",
        "Chemical indicator": "there",
        "Biological indicator of a load with an implant": "waiting",
    }
    page = lead.get(cycle).text
    assert page.index("What must be there before a release") < page.index('name="decided"')
    wish = {"decided": "released", "verdict_revision": "1", "reason": "urgent"}
    refused = lead.post(f"{cycle}/decision", wish)
    assert refused.status_code == 422
    assert "cannot be released without" in refused.text
    assert "hold it until it is there" in refused.text
    assert 'value="released"' not in page
    held = {"decided": "held", "verdict_revision": "1"}
    assert lead.post(f"{cycle}/decision", held).status_code == 303


def test_a_load_is_told_and_its_strip_recorded(fresh: House) -> None:
    """Filling in what was missing brings each line to there; the release then says nothing of it."""
    tech, lead = fresh.caller("technician"), fresh.caller("lead")
    waits = _json(lead, "/at/valley/cycles?verdict=meets&machine=sterilizer-1")["cycles"]
    cycle = next(one["address"] for one in waits if "Chemical indicator" in _missing(lead, one["address"]))
    address = f"{cycle}/before-release"
    lot = _json(tech, address)["chemical_lots"][0]["id"]
    assert tech.post(f"{address}/load", {"implant": "no", "words": "Basins"}).status_code == 303
    assert tech.post(f"{address}/chemical", {"chemical_lot": lot, "changed": "yes"}).status_code == 303
    assert _missing(lead, cycle) == []
    assert lead.post(f"{cycle}/decision", {"decided": "released", "verdict_revision": "1"}).status_code == 303
    assert _json(lead, cycle)["decisions"][0]["without"] == ""


def _missing(caller: Caller, cycle: str) -> list[str]:
    return [one["name"] for one in _json(caller, cycle)["release"]["needed"] if one["state"] != "there"]


def test_a_release_without_them_shows_for_good(fresh: House) -> None:
    """Released with a reason although things were missing: the page names them beside the decision."""
    lead = fresh.caller("lead")
    waits = _json(lead, "/at/valley/cycles?verdict=meets&machine=sterilizer-2")["cycles"]
    cycle = waits[0]["address"]
    wish = {"decided": "released", "verdict_revision": "1"}
    assert lead.post(f"{cycle}/decision", wish).status_code == 422
    assert lead.post(f"{cycle}/decision", {**wish, "reason": "Opened and checked"}).status_code == 303
    without = _json(lead, cycle)["decisions"][0]["without"]
    assert without == "what the load held, machine in use, chemical indicator"
    assert re.search(r"▲ without</span> what the load held", lead.get(cycle).text)


def test_a_lot_is_added_and_an_expired_one_refused(fresh: House) -> None:
    """A lot with its hours can be chosen afterwards; one whose last day is over, or without one, cannot."""
    caller = fresh.caller("technician")
    lot = {"kind": "biological", "name": "Tellspore 1", "lot": "X1", "expires": "2027-01-31", "hours": "0,5"}
    assert caller.post(INDICATORS, lot).status_code == 303
    assert "Tellspore 1, lot X1" in {one["words"] for one in _json(caller, INDICATORS)["lots"]}
    for wrong, sentence in (
        ({"expires": "2026-03-01"}, "expired on 2026-03-01"),
        ({"expires": "soon"}, "expected the last day"),
        ({"hours": ""}, "expected the hours until it is read"),
        ({"hours": "x"}, "expected hours"),
        ({"lot": " "}, "expected 1 to 120 characters"),
    ):
        answer = caller.post(INDICATORS, {**lot, **wrong})
        assert answer.status_code == 422
        assert sentence in answer.text.lower()


def test_who_only_reads_is_offered_no_forms(house: House) -> None:
    """An auditor sees indicators and needs, and no form for them."""
    caller = house.caller("auditor")
    for address in (INDICATORS, _late(caller), f"{_of_the_implant(caller)}/before-release"):
        page = caller.get(address)
        assert page.status_code == 200
        assert f'action="{address}' not in page.text
