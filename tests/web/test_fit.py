"""The fit table on the web: cells that open, a repair said to be true, and what an approval touches."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape
from typing import Any

import pytest

from sinkside import wiring
from sinkside.desk.jobs import work_once
from support.browserless import Caller
from support.fitting import LINNET
from support.memory_archive import MemoryArchive
from web.conftest import NOW, House, make_house

TABLE = "/at/valley/fit"


def _work(house: House) -> None:
    while work_once(house.archive, wiring.job_handlers(), worker="w", clock=lambda: NOW):
        pass


@pytest.fixture(scope="module")
def read(filled: MemoryArchive) -> MemoryArchive:
    """The demo house with its documents read, and one whose drying no program here keeps."""
    house = make_house(MemoryArchive(filled.tables))
    files = [("document", ("linnet.txt", LINNET.encode(), "text/plain"))]
    answer = house.caller("educator").post("/at/valley/instructions/new", files=files)
    assert answer.status_code == 303, answer.text
    _work(house)
    return house.archive


@pytest.fixture
def fresh(read: MemoryArchive) -> House:
    """A house of its own, to be changed."""
    return make_house(MemoryArchive(read.tables))


@pytest.fixture
def caller(fresh: House) -> Callable[..., Caller]:
    """People of that house."""
    return fresh.caller


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _row(caller: Caller) -> Any:
    return next(row for row in _json(caller, TABLE)["rows"] if row["title"].startswith("Linnet"))


def _change(caller: Caller) -> str:
    """Where the smallest change for the text is said to be true."""
    (cell,) = _row(caller)["cells"]
    (repair,) = _json(caller, cell["address"])["repair"]
    return str(repair["address"])


def _said(caller: Caller, address: str, **changed: str) -> dict[str, str]:
    page = _json(caller, address)
    known = {field["name"]: field["value"] for field in page["fields"]}
    beside = {"base": str(page["base"]), "on": "2026-03-01", "reference": "V-113", "firm": "Invented Ltd"}
    return {**known, **beside, "in_place": "true", **changed}


def test_the_table_says_in_words_what_each_cell_is(caller: Callable[..., Caller]) -> None:
    """Mark, word and what is missing stand in each cell; refusals come before what fits."""
    page = caller("educator").get(TABLE).text
    assert '<span aria-hidden="true">■</span> No route' in page
    assert '<span aria-hidden="true">✓</span> Fits' in page
    states = [row["cells"][0]["state"] for row in _json(caller("educator"), TABLE)["rows"]]
    assert states == sorted(states, key=["no-route", "with-concerns", "open", "fits"].index)


def test_words_are_searched_and_a_department_that_is_not_ones_own_is_not_there(
    caller: Callable[..., Caller],
) -> None:
    """A search keeps what fits it; another department's column answers 404."""
    lead = caller("lead")
    assert [row["title"] for row in _json(lead, f"{TABLE}?text=linnet")["rows"]] == [_row(lead)["title"]]
    assert "No instruction fits" in lead.get(f"{TABLE}?text=nothing+of+this+name").text
    assert lead.get(f"{TABLE}?at=harbour").status_code == 404


def test_a_refusal_opens_with_what_stops_it_and_the_smallest_change(caller: Callable[..., Caller]) -> None:
    """The cell tells the missing cycle, what is nearest, and the drying that would do; others stand apart."""
    lead = caller("lead")
    (cell,) = _row(lead)["cells"]
    page = _json(lead, cell["address"])
    (stop,) = page["stops"]
    assert "No program here is the named cycle" in stop["message"]
    assert "it dries for 15" in stop["nearest"]
    (repair,) = page["repair"]
    assert repair["sentence"].startswith("Validate 20")
    assert page["others"]
    assert all(other["sentence"] != repair["sentence"] for other in page["others"])
    assert repair["sentence"] in unescape(lead.get(cell["address"]).text)


def test_what_is_said_to_be_there_turns_the_cell(caller: Callable[..., Caller]) -> None:
    """The program validated, the cell fits, and tells what changed since, by whom, on which report."""
    lead = caller("lead")
    lead.post(f"{TABLE}/work")
    address = _change(lead)
    answer = lead.post(address, _said(lead, address))
    assert answer.status_code == 303, answer.text
    cell = answer.headers["location"]
    page = _json(lead, cell)
    assert page["state"] == "fits"
    assert page["stations"]
    assert _row(lead)["cells"][0]["state"] == "fits"
    record = lead.get("/at/valley/record").text
    assert "now has what was missing, revision 2: Validate 20" in unescape(record)


def test_what_changed_since_the_refusal_is_told_with_its_proof(fresh: House) -> None:
    """After the table was worked out, a turned cell tells the refusal before and the validation since."""
    lead = fresh.caller("lead")
    lead.post(f"{TABLE}/work")
    _work(fresh)
    address = _change(lead)
    cell = lead.post(address, _said(lead, address)).headers["location"]
    page = _json(lead, cell)
    assert page["earlier"]["state"] == "no-route"
    (since,) = page["since"]
    assert since["by"] == "Tove Rasmussen"
    assert since["proof"] == "validated 2026-03-01 by Invented Ltd (V-113)"
    assert lead.get(since["address"]).status_code == 200


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"in_place": ""}, "in_place", "A plan changes nothing here"),
        ({"on": "2026-03-03"}, "on", "Expected a day that has come"),
        ({"on": "yesterday"}, "on", ""),
        ({"firm": ""}, "person", "Expected who validated it"),
        ({"reference": ""}, "reference", "Expected the number of the report"),
        ({"name": ""}, "name", "Missing; it is required"),
    ],
)
def test_a_plan_or_what_nobody_vouches_for_is_refused_beside_its_field(
    caller: Callable[..., Caller], changed: dict[str, str], field: str, sentence: str
) -> None:
    """The form comes back with what was typed and a sentence beside the field; nothing is kept."""
    lead = caller("lead")
    address = _change(lead)
    answer = lead.post(address, _said(lead, address, **changed))
    assert answer.status_code == 422
    assert f'id="{field}-hint"' in answer.text
    assert sentence in unescape(answer.text)
    assert _row(lead)["cells"][0]["state"] == "no-route"


def test_who_may_not_change_the_department_sees_the_change_and_no_form(
    caller: Callable[..., Caller],
) -> None:
    """A technician opens the refusal; the form of the change answers 403, and the page offers none."""
    address = _change(caller("lead"))
    technician = caller("technician")
    (cell,) = _row(technician)["cells"]
    assert "We have this now" not in technician.get(cell["address"]).text
    assert technician.get(address).status_code == 403
    assert technician.post(address, {"base": "1", "on": "2026-03-01"}).status_code == 403


def test_the_work_is_asked_for_once_and_leads_to_the_table(fresh: House) -> None:
    """Asked twice, it is one job; while it waits the table says so, and once done it leads back there."""
    lead = fresh.caller("lead")
    first, second = (lead.post(f"{TABLE}/work").headers["location"] for _ in range(2))
    assert first == second
    assert _json(lead, TABLE)["job"] == first
    _work(fresh)
    assert _json(lead, TABLE)["job"] == ""
    assert _json(lead, first)["leads_to"] == TABLE


def test_an_approval_shows_how_the_text_goes_in_each_department(caller: Callable[..., Caller]) -> None:
    """Whoever may approve sees the refusal here beside the approval; whoever may not is not told."""
    lead = caller("lead")
    address = _row(lead)["address"]
    (touched,) = _json(lead, address)["approval"]["touches"]
    assert (touched["state"], touched["detail"]) == ("no-route", "1 missing")
    assert "What the approval touches" in lead.get(address).text
    assert _json(caller("technician"), address)["approval"]["touches"] == []


@pytest.mark.parametrize("address", [f"{TABLE}/none", f"{TABLE}/none/changes/0123456789abcdef"])
def test_what_is_not_there_is_not_there(caller: Callable[..., Caller], address: str) -> None:
    """An unknown instruction answers 404, at its cell and at a change."""
    assert caller("lead").get(address).status_code == 404
