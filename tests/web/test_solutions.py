"""Solutions at the sink on the web: worked out in large figures, refused in words, logged and discarded."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from support.browserless import Caller
from web.conftest import House

HOME: Final = "/at/valley/solutions"
WORKED: Final = f"{HOME}/new?chemical=enzyclear&litres=30&temperature=38&point=mixer&dose=5+mL/L"
FORM: Final = {
    "chemical": "enzyclear",
    "litres": "30",
    "temperature": "38",
    "point": "mixer",
    "dose": "5 mL/L",
    "lot": "EC-9",
}


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_what_must_be_discarded_stands_first(house: House) -> None:
    """The overdue one comes before the one in use, each with lot, maker and its time."""
    data = _json(house.caller("technician"), HOME)
    assert [(one["name"], one["lot"], one["left"]) for one in data["overdue"]] == [
        ("Neutraflow", "NF-1177", "over for 25 min")
    ]
    assert [(one["name"], one["discard_by"], one["left"]) for one in data["in_use"]] == [
        ("Enzyclear", "16:20", "5 h 50 min left")
    ]
    page = house.caller("technician").get(HOME).text
    assert page.index("Discard now") < page.index("In use") < page.index("Discarded lately")
    assert "Make up" not in house.caller("auditor").get(HOME).text


def test_the_dose_is_worked_out_large(house: House) -> None:
    """30 L at 5 mL/L is 150 mL (scene 13), with until when it may be used and what to log."""
    data = _json(house.caller("technician"), WORKED)
    assert (data["worked"]["figure"], data["worked"]["unit"]) == ("150", "mL")
    assert data["worked"]["discard_by"] == "18:30"
    assert data["refused"] == ""
    assert "Log it" in house.caller("technician").get(WORKED).text


def test_what_does_not_fit_is_refused_and_cannot_be_logged(house: House) -> None:
    """Two ounces to the gallon (2/128 by definition) are refused, hot water too; there is nothing to log."""
    caller = house.caller("technician")
    for change, expected in (
        ("dose=2+oz/gal", "2 oz/gal would take 468.8 mL for 30 L"),
        ("dose=5+mL/L&temperature=52", "The water is at 52 °C; Enzyclear works at 20 °C to 45 °C."),
    ):
        data = _json(caller, f"{HOME}/new?chemical=enzyclear&litres=30&temperature=38&{change}")
        assert data["worked"] is None
        assert expected in data["refused"]
    page = caller.get(f"{HOME}/new?chemical=enzyclear&litres=30&temperature=52").text
    assert "Do not make this up" in page
    assert "Log it" not in page
    sent = caller.send(f"/api{HOME}/new", {**FORM, "temperature": "52"})
    assert sent.status_code == 422


def test_hard_water_is_flagged(house: House) -> None:
    """260 mg/L is flagged beside the dose (scene 13), also said as 14.6 °dH."""
    caller = house.caller("technician")
    for said in ("hardness=260", "hardness=14.6&hardness_unit=%C2%B0dH"):
        data = _json(caller, f"{WORKED}&{said}")
        (remark,) = data["worked"]["remarks"]
        assert remark["level"] == "concern"
        assert "the limit is 150\u00a0mg/L" in remark["sentence"]


def test_a_solution_is_logged_and_discarded(caller: Callable[..., Caller]) -> None:
    """Logged, it is in use with its time; discarded, it stands below; both are in the record book."""
    technician = caller("technician")
    answer = technician.post(f"{HOME}/new", FORM)
    assert answer.headers["location"] == HOME
    assert "Logged: 150 mL of Enzyclear in 30 L. Discard by 18:30." in technician.get(HOME).text
    (line,) = [one for one in _json(technician, HOME)["in_use"] if one["lot"] == "EC-9"]
    one = _json(technician, line["address"])
    assert ["Water from", "mixer tap at the sink"] in one["water"]
    assert technician.post(f"{line['address']}/discard", {"why": "Soiled"}).status_code == 303
    assert technician.post(f"{line['address']}/discard").status_code == 409
    page = caller("auditor").get(line["address"]).text
    assert "Milan Petrov: Soiled" in page
    book = caller("lead").get("/at/valley/record").text
    assert "made up Enzyclear, 30 L, lot EC-9" in book
    assert "discarded Enzyclear, 30 L." in book


def test_a_missing_lot_comes_back_with_the_figure_and_what_was_typed(caller: Callable[..., Caller]) -> None:
    """The dose stays on the page, the field says what it wants, and nothing is logged."""
    technician = caller("technician")
    before = len(_json(technician, HOME)["in_use"])
    answer = technician.post(f"{HOME}/new", {**FORM, "lot": " "})
    assert answer.status_code == 422
    assert "Expected the lot on the container" in answer.text
    assert '<b>150</b> <span class="unit">mL</span>' in answer.text
    assert 'name="litres" value="30"' in answer.text
    assert len(_json(technician, HOME)["in_use"]) == before
    for field, value in (("lot_until", "soon"), ("made", "this morning"), ("lot_until", "2026-03-01")):
        refused = technician.post(f"{HOME}/new", {**FORM, field: value})
        assert refused.status_code == 422
        assert f'href="#{field}"' in refused.text


def test_what_stays_the_same_is_offered_again(house: House) -> None:
    """The sink and the water of last time are offered, the dose is the lowest; the warmth is asked anew."""
    said = _json(house.caller("technician"), f"{HOME}/new?chemical=enzyclear")["said"]
    assert (said["litres"], said["point"], said["dose"], said["temperature"]) == ("30", "mixer", "4 mL/L", "")
    assert house.caller("technician").get(f"{HOME}/new?chemical=soap").status_code == 404


def test_today_says_what_to_discard_and_leads_there(house: House) -> None:
    """Whoever makes solutions up is told on Today; the line leads to the solution."""
    matters = _json(house.caller("technician"), "/at/valley/today")["matters"]
    (matter,) = [one for one in matters if one["sentence"].startswith("Discard now: Neutraflow")]
    assert matter["address"].startswith(f"{HOME}/u-")
    assert house.caller("technician").get(matter["address"]).status_code == 200
    others = _json(house.caller("educator"), "/at/valley/today")["matters"]
    assert not any(one["sentence"].startswith("Discard now") for one in others)
