"""Sign-offs on the web: people put on shifts, signed off by form, and found again on every page."""

from __future__ import annotations

from typing import Any

import pytest

from support.browserless import Caller
from web.conftest import House

HERE = "/at/valley/sign-offs"
SEE_OTHER = 303
SIGNED = {
    "family": "tubular",
    "stations": ["sink", "bench"],
    "how_far": "independent",
    "lesson": "gone through",
    "questions": "9 of 10",
    "observation": "watched",
}


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _person(house: House, sign_in: str) -> str:
    return next(one.id for one in house.archive.tables.people.values() if one.sign_in == sign_in)


@pytest.fixture(scope="module")
def technician(house: House) -> str:
    """The technician, on the early shift."""
    person = _person(house, "technician")
    done = house.caller("lead").post(
        f"/at/valley/sign-offs/roster/{person}", {"shift": "early", "last_day": ""}
    )
    assert done.status_code == SEE_OTHER
    return person


def test_what_is_missing_is_named_beside_its_field_and_nothing_is_signed(
    house: House, technician: str
) -> None:
    """Without an observation nobody works alone; the form comes back with what was typed."""
    answer = house.caller("educator").post(f"{HERE}/people/{technician}", {**SIGNED, "observation": ""})
    assert answer.status_code == 422
    assert "On hire: say what shows the observation" in answer.text or (
        "on hire: say what shows the observation" in answer.text
    )
    assert 'value="9 of 10"' in answer.text
    assert house.archive.tables.standings.get(("valley", "tubular", "sink", technician)) is None


def test_a_sign_off_stands_on_every_page_that_tells_of_it(house: House, technician: str) -> None:
    """Person, family, gaps and roster; who is signed off reads their own and nobody else's."""
    done = house.caller("educator").post(f"{HERE}/people/{technician}", SIGNED)
    assert done.status_code == SEE_OTHER
    leaves = {"shift": "late", "last_day": "2026-05-29"}
    assert house.caller("lead").post(f"{HERE}/roster/{technician}", leaves).status_code == SEE_OTHER
    auditor = house.caller("auditor")
    held = _json(auditor, f"{HERE}/people/{technician}")["held"][0]
    assert (held["stations"], held["state"]["word"]) == ("Sink, bench", "Works alone")
    family = _json(auditor, f"{HERE}/families/tubular")
    sink = next(one for one in family["stations"] if one["station"] == "Sink")
    assert [name for name, _ in sink["shifts"]] == ["Early shift", "Late shift"]
    assert all(says.startswith("1 alone") for _, says in sink["shifts"])
    roster = _json(auditor, "/at/valley/sign-offs/roster")
    assert ["Milan Petrov", "2026-05-29"] in [
        [one["name"], one["last_day"]] for one in roster["shifts"][1]["people"]
    ]
    assert "Milan Petrov" in [one["name"] for one in roster["shifts"][0]["people"]]
    own = house.caller("technician")
    assert family["title"] in [one["name"] for one in _json(own, f"{HERE}/mine")["held"]]
    assert own.get(f"{HERE}/people/{technician}").status_code == 403
    for address in ("", "/families", "/families/tubular", "/tray", "/policy", f"/people/{technician}"):
        assert auditor.get(f"{HERE}{address}").status_code == 200, address
    assert auditor.get("/at/valley/sign-offs/roster?shift=early").status_code == 200


def test_an_error_puts_a_sign_off_at_the_head_of_the_list(house: House, technician: str) -> None:
    """Opened again with what happened; the list and Today tell it at once; the tray asks who is on."""
    educator = house.caller("educator")
    educator.post(f"{HERE}/people/{technician}", {**SIGNED, "family": "micro"})
    done = educator.post(
        f"{HERE}/people/{technician}/error", {"opened": "micro bench", "reason": "jaw closed"}
    )
    assert done.status_code == SEE_OTHER
    first = _json(educator, HERE)["sections"][0]
    assert first["state"]["word"] == "Open again"
    assert first["lines"][0]["since"].endswith(": jaw closed")
    told = [one["sentence"] for one in _json(educator, "/at/valley/today")["matters"]]
    assert [one for one in told if "bench: open again. jaw closed." in one]
    key = next(row.id for row in house.archive.tables.rows.values() if row.kind == "set")
    assert _json(educator, f"{HERE}/tray?of={key}")["shifts"].endswith("Early shift (06:30–14:30)")


def test_a_department_puts_its_own_in_the_place_of_the_policy(house: House) -> None:
    """The lead does with a reason, which is then shown; the educator may not."""
    own = {"occasion": "yearly", "questions": "90", "observations": "2", "days": "180", "reason": "our audit"}
    assert house.caller("educator").post(f"{HERE}/policy", own).status_code == 403
    assert house.caller("lead").post(f"{HERE}/policy", {**own, "reason": ""}).status_code == 422
    assert house.caller("lead").post(f"{HERE}/policy", own).status_code == SEE_OTHER
    yearly = _json(house.caller("auditor"), f"{HERE}/policy")["occasions"][1]
    assert (yearly["days"], yearly["observations"]) == (180, 2)
    assert "our audit" in yearly["source"]
