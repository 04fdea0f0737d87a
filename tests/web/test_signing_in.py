"""Signing in, the links that work once, shared tablets: as people and programs meet them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from sinkside.desk import accounts, credentials
from sinkside.desk.access import visitor_in
from sinkside.web import create_app
from support.browserless import Caller
from support.memory_archive import MemoryArchive
from web.conftest import NOW, House, make_house

FIRST = {
    "name": "Ada Example",
    "sign_in": "ada",
    "password": "four words are enough",
    "department_name": "Lindmere: Sterile Services",
    "zone": "Europe/Vienna",
}


def _csrf(caller: Caller, path: str) -> None:
    """Open a page before signing in, and keep the token of its form."""
    page = caller.get(path)
    assert page.status_code == 200
    caller.csrf = page.text.split('name="csrf" value="', 1)[1].split('"', 1)[0]


def test_the_first_link_sets_up_the_house_once() -> None:
    """The first person names themselves and their department, is let in, and the link is spent."""
    archive = MemoryArchive()
    caller = make_house(archive).caller()
    path = f"/first-account/{accounts.first_account_link(archive, now=NOW)}"
    _csrf(caller, path)
    refused = caller.post(path, {**FIRST, "zone": "Mars/Crater"})
    assert refused.status_code == 422
    assert "IANA" in refused.text
    done = caller.post(path, FIRST)
    assert done.status_code == 303
    start = caller.get("/").headers["location"]
    assert start == "/at/lindmere-sterile-services/today"
    assert caller.get(start).status_code == 200
    again = make_house(archive).caller()
    _csrf(again, path)
    assert again.post(path, FIRST).status_code == 403


def test_signing_in_says_the_same_whatever_is_wrong(fresh: House) -> None:
    """An unknown name and a wrong password get the same sentence, and after many tries a wait."""
    answers = [
        fresh.caller().send("/api/sign-in", {"name": name, "password": "wrong wrong wrong"})
        for name in ("nobody-at-all", "lead")
    ]
    assert {answer.status_code for answer in answers} == {403}
    assert answers[0].json()["error"]["sentence"] == answers[1].json()["error"]["sentence"]
    for _ in range(6):
        last = fresh.caller().send("/api/sign-in", {"name": "lead", "password": "wrong wrong wrong"})
    assert "wait" in last.json()["error"]["sentence"]


@pytest.mark.parametrize("next_page", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere"])
def test_signing_in_leads_nowhere_else(fresh: House, next_page: str) -> None:
    """An address of another site, smuggled into the form, is not followed."""
    _password(fresh, "lead", "four words are enough")
    answer = fresh.caller().send(
        "/api/sign-in", {"name": "lead", "password": "four words are enough", "next": next_page}
    )
    assert answer.json() == {"go": "/", "said": ""}


def test_a_new_password_through_a_link(fresh: House) -> None:
    """A link made by whoever manages people lets a person choose a password, once, and sign in."""
    made = fresh.caller("administrator").post(
        "/at/valley/people/new", {"name": "Wanda", "sign_in": "wanda", "roles": "technician"}
    )
    path = made.text.split("/new-password/", 1)[1].split("<", 1)[0]
    caller = fresh.caller()
    _csrf(caller, f"/new-password/{path}")
    assert caller.post(f"/new-password/{path}", {"password": "short"}).status_code == 422
    assert caller.post(f"/new-password/{path}", {"password": "a river runs by"}).status_code == 303
    assert caller.post(f"/new-password/{path}", {"password": "a river runs by"}).status_code == 403
    let_in = fresh.caller().send("/api/sign-in", {"name": "wanda", "password": "a river runs by"})
    assert let_in.status_code == 200


def test_an_idle_tablet_asks_who_is_there(fresh: House) -> None:
    """A shared tablet that fell idle leads to badge or PIN; whoever fits is let in as themselves."""
    _password(fresh, "lead", "four words are enough")
    admin = fresh.caller("administrator")
    people = admin.get("/api/at/valley/people").json()["people"]
    technician = next(one for one in people if one["sign_in"] == "technician")["address"]
    assert admin.post(f"{technician}/badge", {"badge": "B-0042"}).status_code == 303
    tablet = fresh.caller()
    opened = tablet.send(
        "/api/sign-in", {"name": "lead", "password": "four words are enough", "shared_tablet": True}
    )
    assert opened.status_code == 200
    later = replace(fresh.app.state.context, clock=lambda: NOW + timedelta(minutes=10))
    tablet.app = create_app(later)
    assert tablet.get("/at/valley/today").headers["location"] == "/tablet"
    _csrf(tablet, "/tablet")
    assert tablet.post("/tablet", {"badge": "B-9999"}).status_code == 403
    assert tablet.post("/tablet", {"badge": "B-0042"}).status_code == 303
    tablet.csrf = ""
    assert "Milan Petrov" in tablet.get("/at/valley/today").text
    assert "B-0042" not in str(fresh.archive.tables.people)


def test_ending_sessions_ends_them(fresh: House) -> None:
    """Whoever ends all their sessions is signed out everywhere; so is whose account is shut."""
    first, second = fresh.caller("lead"), fresh.caller("lead")
    assert first.post("/account/sessions/end").status_code == 303
    assert second.get("/account").status_code == 303
    technician = fresh.caller("technician")
    admin = fresh.caller("administrator")
    people = admin.get("/api/at/valley/people").json()["people"]
    address = next(one for one in people if one["sign_in"] == "technician")["address"]
    assert admin.post(f"{address}/shut").status_code == 303
    assert technician.get("/account").status_code == 303


def test_people_cannot_lock_everybody_out(fresh: House) -> None:
    """The last administrator cannot take their own role away; the page says why, in place."""
    admin = fresh.caller("administrator")
    people = admin.get("/api/at/valley/people").json()["people"]
    own = next(one for one in people if one["sign_in"] == "administrator")["address"]
    answer = admin.post(f"{own}/role/end", {"role": "administrator"})
    assert answer.status_code == 422
    assert "Nobody would be left who manages people" in answer.text


def test_erasing_leaves_no_name_on_any_page(fresh: House) -> None:
    """An erased person's name is on no page and in no answer any more, and the chain is whole."""
    admin = fresh.caller("administrator")
    people = admin.get("/api/at/valley/people").json()["people"]
    address = next(one for one in people if one["sign_in"] == "technician")["address"]
    assert admin.post(f"{address}/erase").status_code == 303
    for path in ("/at/valley/people", "/at/valley/record", "/api/at/valley/record"):
        assert "Milan Petrov" not in admin.get(path).text
    assert admin.get("/api/at/valley/record/chain").json()["whole"] is True


def test_the_record_book_is_searched_and_taken_out(fresh: House, caller: Callable[..., Caller]) -> None:
    """Words narrow the book, pages lead on, and the exported lines end with the head of the chain."""
    del caller
    lead = fresh.caller("lead")
    whole = lead.get("/api/at/valley/record").json()
    found = lead.get("/api/at/valley/record?text=person-added").json()["entries"]
    assert 0 < len(found) < len(whole["entries"])
    assert all(entry["kind"] == "person-added" for entry in found)
    assert lead.get("/api/at/valley/record?since=2030-01-01").json()["entries"] == []
    exported = lead.get("/at/valley/record/export")
    assert "attachment" in exported.headers["content-disposition"]
    assert whole["head"] in exported.text.splitlines()[-1]


def _password(house: House, sign_in: str, password: str) -> None:
    with house.archive.unit(writes=False) as unit:
        admin, person = unit.people.by_sign_in("administrator"), unit.people.by_sign_in(sign_in)
        assert admin is not None
        assert person is not None
        who = visitor_in(unit, admin.id, "valley", NOW)
    token = credentials.reset_link(house.archive, who, person.id, now=NOW)
    credentials.choose_password(house.archive, token=token, password=password, now=NOW)
