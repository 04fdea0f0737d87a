"""Machines on the web: listed worst first, checked by form, taken out of use and brought back by name."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from support.browserless import Caller
from web.conftest import House

FAILED = "/at/valley/machines/sterilizer-2"
GOOD = "/at/valley/machines/sterilizer-1"


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _states(caller: Caller) -> dict[str, str]:
    listed = _json(caller, "/at/valley/machines")["things"]
    return {one["address"].rpartition("/")[2]: one["state"] for one in listed}


def test_the_list_puts_the_worst_first_in_words(house: House) -> None:
    """Out of use stands before overdue, that before due and done; each is told by a word and a mark."""
    caller = house.caller("technician")
    listed = _json(caller, "/at/valley/machines")["things"]
    order = ["out-of-use", "failed", "overdue", "due", "done", "nothing"]
    ranks = [order.index(one["state"]) for one in listed]
    assert ranks == sorted(ranks)
    assert (listed[0]["name"], listed[0]["words"]) == ("Sterilizer 2", "Out of use")
    page = caller.get("/at/valley/machines").text
    assert page.index("Out of use") < page.index("Overdue") < page.index("Due today")
    assert (
        "/at/valley/machines/sterilizer-1/checks/"
        not in house.caller("auditor").get("/at/valley/machines").text
    )


def test_a_machine_out_of_use_says_why_what_ran_and_what_it_must_show(house: House) -> None:
    """The page of the failed sterilizer names the reason, the loads since the last good test, the way."""
    data = _json(house.caller("auditor"), FAILED)
    assert data["state"] == "out-of-use"
    assert data["causes"][0]["words"].startswith("Leak rate test: 1.6")
    assert data["causes"][0]["by"] == "Milan Petrov"
    (asked,) = data["asked"]
    assert {load["machine"] for load in asked["loads"]} == {"sterilizer-2"}
    assert asked["total"] == len(asked["loads"]) == 2
    assert [(one["name"], one["is_shown"]) for one in data["to_show"]] == [("Leak rate test", False)]
    page = house.caller("auditor").get(FAILED).text
    assert page.index("Out of use") < page.index("loads since the last good one") < page.index("Its days")
    for load in asked["loads"]:
        assert f'href="{load["address"]}"' in page


def test_days_stand_on_a_line_with_a_table_behind_it(house: House) -> None:
    """The line marks the day on which a nozzle was blocked; the table says the same in words."""
    data = _json(house.caller("lead"), "/at/valley/machines/washer-2")
    failed = [day for day in data["days"] if day["words"] == "a check did not pass"]
    assert len(data["days"]) == 28
    assert [day["checks"] for day in failed] == [
        "Screens and spray arms: not passed; Screens and spray arms: passed"
    ] or [day["checks"] for day in failed] == [
        "Screens and spray arms: passed; Screens and spray arms: not passed; Screens and spray arms: passed"
    ]
    assert data["line"].count('class="stop"') == 1
    assert data["returned"].startswith("Returned to use by Tove Rasmussen, ")


def test_a_check_is_recorded_by_form_and_by_program(fresh: House) -> None:
    """A passing check clears what was due; the form says itself what passes and by whose word."""
    caller = fresh.caller("technician")
    form = caller.get(f"{GOOD}/checks/leak-rate").text
    assert "≤\xa01.3\xa0mbar/min" in form
    assert "EN 285" in form
    assert "takes it out of use and lists the loads" in form
    assert caller.post(f"{GOOD}/checks/leak-rate", {"answer_1": "0,7"}).status_code == 303
    borescope = "/api/at/valley/machines/borescope-19/checks/borescope"
    sent = caller.send(borescope, {"answer_1": "yes", "answer_2": "yes"})
    assert sent.json()["said"] == "Borescope inspection: passed."
    assert _states(caller)["borescope-19"] == "done"
    latest = next(one for one in _json(caller, GOOD)["checks"] if one["name"] == "Leak rate test")
    assert (latest["passed"], latest["said"]) == (True, "0.7\xa0mbar/min")


def test_what_was_typed_stays_when_a_check_is_refused(fresh: House) -> None:
    """A wrong number is told beside its field, and the note is not lost."""
    answer = fresh.caller("technician").post(
        f"{GOOD}/checks/leak-rate", {"answer_1": "tight", "note": "after the gasket"}
    )
    assert answer.status_code == 422
    assert "&#39;tight&#39; is no number" in answer.text
    assert "after the gasket" in answer.text
    assert re.search(r'id="answer_1"[^>]*aria-invalid="true"', answer.text, re.DOTALL)


def test_a_failed_check_takes_the_machine_out_until_a_lead_returns_it(fresh: House) -> None:
    """A technician's failed test closes the machine; only a lead opens it, after it passed, with a reason."""
    tech, lead = fresh.caller("technician"), fresh.caller("lead")
    out = tech.post(f"{GOOD}/checks/air-removal", {"answer_1": "no"})
    assert out.status_code == 303
    assert _states(tech)["sterilizer-1"] == "out-of-use"
    today = _json(lead, "/at/valley/today")["matters"]
    assert [one["level"] for one in today if "Sterilizer 1 is out of use" in one["sentence"]] == ["stop"]
    assert tech.post(f"{GOOD}/in-use", {"reason": "fine"}).status_code == 403
    early = lead.post(f"{GOOD}/in-use", {"reason": "fine"})
    assert early.status_code == 422
    assert "not shown yet: air-removal test" in early.text.lower()
    tech.post(f"{GOOD}/checks/air-removal", {"answer_1": "yes"})
    assert lead.post(f"{GOOD}/in-use", {"reason": ""}).status_code == 422
    assert lead.post(f"{GOOD}/in-use", {"reason": "Gasket seated"}).status_code == 303
    assert _states(tech)["sterilizer-1"] != "out-of-use"
    assert _json(lead, GOOD)["returned"].endswith("Gasket seated")


def test_taking_out_of_use_needs_a_reason(fresh: House) -> None:
    """Without saying what happened nothing changes; an unknown kind of reason is refused."""
    tech = fresh.caller("technician")
    assert tech.post(f"{GOOD}/out-of-use", {"why": "move", "happened": " "}).status_code == 422
    assert tech.post(f"{GOOD}/out-of-use", {"why": "boredom", "happened": "x"}).status_code == 422
    assert _states(tech)["sterilizer-1"] != "out-of-use"
    assert tech.post(f"{GOOD}/out-of-use", {"why": "move", "happened": "To the new room"}).status_code == 303
    shown = _json(tech, GOOD)["to_show"]
    assert [(one["name"], one["wanted"]) for one in shown] == [
        ("Empty test cycle", 3),
        ("Air-removal test", 3),
    ]


def test_a_cycle_on_a_machine_out_of_use_is_loud(fresh: House) -> None:
    """List and page of a cycle that ran meanwhile say first that its machine was out of use."""
    from sinkside.demo.house import VALLEY

    tech = fresh.caller("technician")
    cycle = _json(tech, FAILED)["asked"][0]["loads"][0]["address"]
    data = tech.get(f"{cycle}/file").content
    handed = tech.post(
        f"/at/{VALLEY.id}/cycles/new",
        {"program": "sterilizer-2|134 °C, 3 min"},
        files=[("files", ("again.csv", data + b"\n", "text/csv"))],
    )
    address = handed.headers["location"]
    page = tech.get(address).text
    assert page.index("while it was out of use") < page.index('class="verdict')
    assert _json(tech, address)["out_of_use"].startswith("Leak rate test: 1.6")
    listed = _json(tech, "/at/valley/cycles?text=again.csv")["cycles"]
    assert [one["out_of_use"] for one in listed] == [True]


def test_the_departments_own_check_is_kept_with_its_reason(fresh: House) -> None:
    """A lead tightens the leak rate; the page of checks and the next form say so and why."""
    lead = fresh.caller("lead")
    address = "/at/valley/checks/leak-rate"
    assert 'value="1.3"' in lead.get(address).text
    refused = lead.post(address, {"needed": "yes", "days": "7", "high_1": "1.0"})
    assert refused.status_code == 422
    kept = {"needed": "yes", "days": "1", "high_1": "1.0", "reason": "Old pump, watched daily"}
    assert lead.post(address, kept).status_code == 303
    line = next(one for one in _json(lead, "/at/valley/checks")["checks"] if one["address"] == address)
    assert (line["often"], line["source"]) == ("each day", "this department: Old pump, watched daily")
    assert "≤\xa01\xa0mbar/min (this department: Old pump, watched daily)" in line["passes"][0]
    assert fresh.caller("technician").post(address, kept).status_code == 403


@pytest.mark.parametrize(
    "address",
    [
        "/at/valley/machines/none",
        f"{GOOD}/checks/none",
        f"{GOOD}/checks/biological",
        "/at/valley/checks/none",
    ],
)
def test_what_is_not_there_is_not_there(caller: Callable[..., Caller], address: str) -> None:
    """An unknown machine or check, and one that has no form, answer 404."""
    assert caller("lead").get(address).status_code == 404
