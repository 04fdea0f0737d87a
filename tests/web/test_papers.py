"""Papers on the web: seen in life size, printed with a code, hung, and listed once they are out of date."""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image

from support.browserless import Caller
from support.desk_house import House as DeskHouse
from support.desk_house import drafted
from support.memory_archive import MemoryArchive
from support.paper_house import PLACES, a_paper_house, drying_changes, four_posters_hang
from support.pdf_words import text_of, without_gaps
from support.set_house import a_device
from support.square_codes import pictures_of, read_square
from web.conftest import House, make_house

HOME = "/at/north/papers"


@pytest.fixture
def desk() -> tuple[DeskHouse, str]:
    """The house behind the web, and the id of its approved text."""
    return a_paper_house()


def caller(desk: DeskHouse, name: str) -> Caller:
    """Somebody of that house at a browser."""
    assert isinstance(desk.archive, MemoryArchive)
    return make_house(desk.archive).caller(name)


def page_of(who: Caller, address: str) -> Any:
    """A page's data, after the page itself was shown."""
    assert who.get(address).status_code == 200
    return who.get(f"/api{address}").json()


def test_a_paper_is_seen_printed_and_hung(desk: tuple[DeskHouse, str]) -> None:
    """Chosen, it is shown page by page in its size; printed, it has a code; hung, it stands in the list."""
    house, hook = desk
    tom = caller(house, "tom")
    chosen = page_of(tom, f"{HOME}/new?instruction={hook}&size=tabloid&zoom=real")
    assert [(one["width_mm"], one["height_mm"]) for one in chosen["pages"]] == [(279.4, 431.8)]
    picture = Image.open(io.BytesIO(tom.get(chosen["pages"][0]["picture"]).content))
    assert picture.width / picture.height == pytest.approx(279.4 / 431.8, rel=0.01)
    # 11 inches of 96 CSS pixels (CSS Values and Units, section 6.2, from memory).
    assert 'width="1056"' in tom.get(f"{HOME}/new?instruction={hook}&size=tabloid&zoom=real").text
    sent = tom.post(f"{HOME}/new", {"instruction": hook, "kind": "poster", "size": "a3"})
    address = sent.headers["location"]
    assert page_of(tom, address)["state"] == "current"
    assert tom.get(f"{address}/file").content.startswith(b"%PDF")
    tom.post(f"{address}/places", {"place": "Sink 2", "copies": "2"})
    listed = page_of(tom, HOME)["current"]
    assert [(one["place"], one["copies"], one["revision"]) for one in listed] == [("Sink 2", "2 copies", 2)]
    olga = caller(house, "olga")
    assert "It hangs here now" not in olga.get(address).text


def test_a_scanned_paper_says_replaced_and_what_changed(desk: tuple[DeskHouse, str]) -> None:
    """Scene 10 at the browser: the four are listed, the scanned page tells the drying, each is decided on."""
    house, hook = desk
    four_posters_hang(house, hook)
    drying_changes(house, hook)
    tom = caller(house, "tom")
    listed = page_of(tom, HOME)["to_replace"]
    assert {one["place"] for one in listed} == set(PLACES)
    shown = page_of(tom, listed[0]["address"])
    assert (shown["state"], shown["since"]) == ("replaced", "2026-03-02 16:00")
    assert [said for said in shown["changes"] if "drying" in said and "15" in said and "30" in said]
    assert "Do not work by this paper" in tom.get(listed[0]["address"]).text
    assert tom.get("/at/north/today").text.count("is out of date; replace it or take it away.") == 4
    current = tom.post(f"{listed[0]['address']}/current").headers["location"]
    assert page_of(tom, current)["is_current"]
    for one in listed:
        tom.post(f"{one['address']}/places/{one['id']}", {"how": "replaced"})
    assert page_of(tom, HOME)["to_replace"] == []


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ("kind=card&station=store", ""),
        ("size=a2", ""),
        ("language=xx", "There are no papers in 'xx'; expected one of"),
    ],
)
def test_what_cannot_be_printed_is_said_in_a_sentence(
    desk: tuple[DeskHouse, str], query: str, told: str
) -> None:
    """What a kind has not is replaced by its first; a language that nobody speaks here is refused."""
    house, hook = desk
    shown = page_of(caller(house, "eve"), f"{HOME}/new?instruction={hook}&{query}")
    assert shown["refused"].startswith(told)
    assert bool(shown["pages"]) is not bool(told)


def test_what_is_open_refuses_the_paper_and_offers_a_proof(desk: tuple[DeskHouse, str]) -> None:
    """A text that nobody approved says so, what to do, and where its proof is; the proof can be seen."""
    house, _ = desk
    draft = drafted(house, "eve", a_device("Quarl 9 rasp", drying=15))
    eve = caller(house, "eve")
    shown = page_of(eve, f"{HOME}/new?instruction={draft}")
    assert shown["refused"].startswith("Nobody has approved revision")
    assert "look at a proof" in shown["what_to_do"]
    assert page_of(eve, shown["proof_address"])["pages"]
    assert eve.post(f"{HOME}/new", {"instruction": draft}).status_code == 409


def test_a_set_has_its_sheet_and_its_labels(house: House) -> None:
    """While stops are open the count sheet is a proof alone; labels have the code that was typed.

    Both speak the language that is chosen, as a proof until somebody has reviewed its words.
    """
    lead = house.caller("lead")
    key = next(one.id for one in house.archive.tables.rows.values() if one.kind == "set")
    address = f"/at/valley/papers/sets/{key}"
    refused = page_of(lead, address)
    assert (refused["pages"], "open in the set" in refused["refused"]) == ([], True)
    assert lead.post(f"{address}/count-sheet", {"size": "a4"}).status_code == 409
    shown = page_of(lead, f"{address}?size=letter&language=vi&proof=true")
    assert shown["pages"][0]["width_mm"] == 215.9
    assert lead.get(shown["pages"][0]["picture"]).headers["content-type"] == "image/png"
    assert without_gaps("Phiếu đếm") in without_gaps(text_of(lead.get(shown["file"]).content))
    labels = lead.get(f"{address}/labels?kind=giai&number=9521234SET7&load=12&use_by=&copies=2")
    assert [read_square(one) for one in pictures_of(labels.content)] == ["^80049521234SET7^9112"] * 2
    assert lead.get(f"{address}/labels?kind=gtin&number=9501101530004").status_code == 422
    assert "3 digits are no GTIN" in lead.get(f"{address}/labels?kind=gtin&number=123").text
    past = lead.get(f"{address}/labels?kind=gtin&number=9501101530003&use_by=2026-03-01")
    assert "2026-03-01 is past on the day of printing; expected 2026-03-02 or later" in past.text
    in_german = f"{address}/labels?kind=own&number=7&language=de"
    assert "not reviewed in German" in lead.get(in_german).text
    assert lead.get(f"{in_german}&proof=true").content.startswith(b"%PDF")
    assert lead.get("/at/valley/papers/downtime?size=letter").content.startswith(b"%PDF")
    assert "not reviewed in Polish" in lead.get("/at/valley/papers/downtime?language=pl").text
