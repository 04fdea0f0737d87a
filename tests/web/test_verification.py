"""Verification over HTTP: a programme planned, a test recorded by a short form, a failed one followed up."""

from __future__ import annotations

from datetime import timedelta

import pytest

from support.bench_house import CODES, bench_house
from support.desk_visit import DeskVisit, app_over, sent
from support.load_house import at_the_sink, washed

HOME = "/at/north/verification"
KIT = {"lot": "L-77", "expires": "2027-01-31"}


@pytest.fixture(scope="module")
def visit() -> DeskVisit:
    """The application over a house whose first two sets came out of one washer load."""
    bench = bench_house()
    at_the_sink(bench, *CODES[:2])
    washed(bench, *CODES[:2])
    bench.house.now = bench.now
    return DeskVisit(bench.house, app_over(bench.house))


@pytest.fixture(scope="module")
def programme(visit: DeskVisit) -> str:
    """The address of a programme that the lead planned over HTTP."""
    form = visit.json("lena", f"{HOME}/programmes/new")
    device = form["devices"][0]["id"]
    return sent(
        visit.caller("lena"),
        f"{HOME}/programmes/new",
        name="Haemoglobin, tubes",
        method="haemoglobin",
        devices=device,
    )


def _test_of(visit: DeskVisit, programme: str) -> str:
    address: str = visit.json("tom", programme)["devices"][0]["test"]
    return address


def _found(visit: DeskVisit, test: str, **other: str) -> dict[str, str]:
    return {one["field"]: "nothing" for one in visit.json("tom", test)["places"]} | KIT | other


def test_what_is_due_first_stands_at_the_head_and_on_today(visit: DeskVisit, programme: str) -> None:
    """The list says what to test today, for whoever may; Today leads to the programme."""
    page = visit.json("tom", HOME)
    assert page["dues"][0]["due"] == "today"
    assert page["dues"][0]["address"] == programme
    matters = visit.json("tom", "/at/north/today")["matters"]
    assert any(one["address"] == programme for one in matters)
    assert page["plan"] == ""


def test_a_number_without_a_pass_mark_is_refused_beside_its_field(visit: DeskVisit) -> None:
    """ATP has no published pass mark: the sentence stands at the field, and what was typed is kept."""
    device = visit.json("lena", f"{HOME}/programmes/new")["devices"][0]["id"]
    answer = visit.caller("lena").post(
        f"{HOME}/programmes/new", {"name": "ATP, tubes", "method": "atp", "devices": device}
    )
    assert answer.status_code == 422
    assert "highest number that passes, as the kit" in answer.text
    assert "ATP, tubes" in answer.text
    assert 'value="atp" required checked' in answer.text


def test_laboratory_figures_are_shown_as_no_pass_marks(visit: DeskVisit, programme: str) -> None:
    """The figure per cm² stands on the page with the words that it is none here."""
    beside = visit.json("tom", programme)["beside"]
    assert len(beside) == 1
    assert "µg/cm²" in beside[0]
    assert "no pass mark at the bench" in beside[0]


def test_a_test_is_recorded_by_one_short_form(visit: DeskVisit, programme: str) -> None:
    """Code, one answer a place, kit: a passed test leads back to the programme and is listed there."""
    test = _test_of(visit, programme)
    assert sent(visit.caller("tom"), test, **_found(visit, test, code=CODES[1])) == programme
    page = visit.json("tom", programme)
    assert page["results"][0]["passed"] is True
    assert page["devices"][0]["proof"].startswith("0 of 1 failed")


def test_a_failed_test_leads_to_what_follows_and_to_a_recall(visit: DeskVisit, programme: str) -> None:
    """The set is held; the lead is led to a recall of the washer since the device last passed; others not."""
    visit.house.now += timedelta(minutes=20)
    test = _test_of(visit, programme)
    found = _found(visit, test, code=CODES[0], found_1="something")
    result = sent(visit.caller("tom"), test, **found)
    page = visit.json("lena", result)
    assert page["passed"] is False
    assert [one[0] for one in page["beside"]] == [CODES[1]]
    reached = visit.json("lena", page["recall"])
    assert "did not pass: inside the lumen" in reached["title"]
    assert [one["id"] for one in reached["sent"]][:2] == ["kind", "of"]
    assert visit.json("tom", result)["recall"] == ""
    assert "held" in visit.caller("tom").get("/at/north/bench/copies").text.lower()


def test_a_code_that_nothing_has_is_told_at_its_field(visit: DeskVisit, programme: str) -> None:
    """What was found at each place is still in the form."""
    test = _test_of(visit, programme)
    answer = visit.caller("tom").post(test, _found(visit, test, code="SET-77", note="a new swab"))
    assert answer.status_code == 422
    assert "No set here has the code SET-77" in answer.text
    assert "a new swab" in answer.text


def test_an_empty_place_is_refused(visit: DeskVisit, programme: str) -> None:
    """Nothing is kept of a test with a place left out, and the form says what was expected."""
    test = _test_of(visit, programme)
    answer = visit.caller("tom").post(test, {**_found(visit, test), "found_1": ""})
    assert answer.status_code == 422
    assert "what was found at each of" in answer.text


def test_a_device_is_changed_and_the_programme_ended(visit: DeskVisit, programme: str) -> None:
    """The lead changes how often and where, and ends it; the technician sees neither form."""
    device = visit.json("lena", programme)["devices"][0]
    form = {"times": "5", "places": "inside the lumen\nat the bend"}
    sent(visit.caller("lena"), device["change"], **form)
    assert visit.json("lena", programme)["devices"][0]["places"] == ["inside the lumen", "at the bend"]
    assert visit.json("tom", programme)["devices"][0]["change"] == ""
    sent(visit.caller("lena"), f"{programme}/end")
    assert visit.json("tom", HOME)["ended"][0]["id"] == programme
    assert visit.json("tom", programme)["devices"] == []


def test_a_water_event_shows_where_machines_are_and_is_closed_by_who_may(visit: DeskVisit) -> None:
    """Written down by a technician, it stands on the machines' pages, no load begins, Today tells."""
    lena, tom = visit.caller("lena"), visit.caller("tom")
    form = {
        "kind": "boil-notice",
        "points": "ro-loop",
        "begin": visit.json("tom", f"{HOME}/water")["now"],
        "told_by": "the water supplier",
    }
    event = sent(tom, f"{HOME}/water", **form)
    assert sent(lena, f"{HOME}/water", **form) == event
    assert "This is written down already" in lena.get(event).text
    page = visit.json("lena", event)
    assert page["machines"] == ["Washer 1", "Washer 2"]
    assert page["is_ready"] is False
    assert visit.json("tom", HOME)["water"][0]["id"] == event
    assert "water supplier" in visit.json("tom", "/at/north/machines/washer-1")["water"][0]["words"]
    at_bench = visit.json("tom", "/at/north/bench/machines/washer-1")
    assert at_bench["begin"] is None
    assert "water supplier" in at_bench["water"]
    assert tom.post(f"{event}/close", {"words": "all done"}).status_code == 403
    assert lena.post(f"{event}/close", {"words": "all done"}).status_code == 422
    assert any(one["address"] == event for one in visit.json("lena", "/at/north/today")["matters"])


def test_the_form_lets_one_load_begin_during_a_water_event(visit: DeskVisit) -> None:
    """What is missing is said at its field; the whole form makes an exception, and the bench may begin."""
    event = visit.json("lena", f"{HOME}/water")["open"][0]["id"]
    whole = {
        "machine": "washer-1",
        "code": CODES[0],
        "case": "2026-04711",
        "authority": "surgeon on duty, theatre 2",
        "reason": "no second set in the house",
    }
    lena = visit.caller("lena")
    assert lena.post(f"{event}/go-on", {**whole, "reason": "so"}).status_code == 422
    sent(lena, f"{event}/go-on", **whole)
    page = visit.json("lena", event)
    assert page["allowed"][0][1:] == ["Washer 1", "not begun yet"]
    assert "one load run during a water event" in lena.get(page["allowed"][0][0]).text.lower()
    assert visit.json("tom", "/at/north/bench/machines/washer-1")["begin"] is not None
    assert visit.json("tom", "/at/north/bench/machines/washer-2")["begin"] is None


def test_a_family_is_made_and_tested_over_http(visit: DeskVisit) -> None:
    """The lead makes it, the technician records a test; what did not pass says what was wrong."""
    form = visit.json("lena", f"{HOME}/families")
    key = form["sets"][0]["id"]
    made = {"name": "Pouches", "stands": key, "why": "two narrow lumens", "machines": "sterilizer-1"}
    family = sent(visit.caller("lena"), f"{HOME}/families", **made)
    assert visit.json("tom", family)["dues"][0]["due"] == "today"
    assert any(one["kind"] == "Product test" for one in visit.json("tom", HOME)["dues"])
    found = {"machine": "sterilizer-1", "biological": "negative", "chemical": "passed", "intact": "yes"}
    sent(visit.caller("tom"), f"{family}/tests", **found, dry="no")
    sent(visit.caller("tom"), f"{family}/tests", **found, dry="yes")
    page = visit.json("tom", family)
    assert [(one["passed"], one["said"]) for one in page["tests"]] == [
        (True, "all as it should be"),
        (False, "wet"),
    ]
    assert page["dues"][0]["due"] == "2027-03-02"
    assert page["may_plan"] is False


def test_a_text_is_asked_after_over_http(visit: DeskVisit) -> None:
    """Asked, then answered that another edition is current: it stands at the head and on Today as a stop."""
    text = visit.json("tom", f"{HOME}/texts")["texts"][0]
    tom = visit.caller("tom")
    sent(tom, f"{HOME}/texts/{text['id']}/asked", how="by letter to customer service")
    assert visit.json("tom", f"{HOME}/texts")["texts"][0]["waits"] is True
    answer = {"said_by": "customer service", "answer": "other"}
    assert tom.post(f"{HOME}/texts/{text['id']}/answered", answer).status_code == 422
    sent(tom, f"{HOME}/texts/{text['id']}/answered", **answer, edition="issue 7")
    assert visit.json("tom", f"{HOME}/texts")["texts"][0]["is_replaced"] is True
    matters = visit.json("tom", "/at/north/today")["matters"]
    assert any("issue 7" in one["sentence"] and one["level"] == "stop" for one in matters)


def test_the_sheet_of_the_week_has_what_is_due_and_no_more(visit: DeskVisit) -> None:
    """A device due today is on it with its places and the piece never tested; one due in a month is not."""
    device = visit.json("lena", f"{HOME}/programmes/new")["devices"][0]["id"]
    looked = {"name": "Borescope, tubes", "method": "borescope", "devices": device}
    programme = sent(visit.caller("lena"), f"{HOME}/programmes/new", **looked)
    (line,) = visit.json("tom", f"{HOME}/week")["lines"]
    assert line["places"][0] == "inside the lumen"
    assert line["due"] == "today"
    assert line["pieces"][0] == CODES[0]
    assert line["kit"] is False
    test = _test_of(visit, programme)
    found = {one["field"]: "nothing" for one in visit.json("tom", test)["places"]}
    sent(visit.caller("tom"), test, **found, code=CODES[0])
    assert visit.json("tom", f"{HOME}/week")["lines"] == []
