"""Histories over HTTP: found by a scan, what is not recorded first, every line with its evidence."""

from __future__ import annotations

import pytest

from support.bench_house import CODES
from support.desk_visit import DeskVisit, app_over, sent
from support.evidence_house import EvidenceHouse, evidence_house

HOME = "/at/north/history"


@pytest.fixture(scope="module")
def made() -> EvidenceHouse:
    """Two sets that went all the way."""
    return evidence_house()


@pytest.fixture(scope="module")
def visit(made: EvidenceHouse) -> DeskVisit:
    """The application over them."""
    made.bench.house.now = made.bench.now
    return DeskVisit(made.bench.house, app_over(made.bench.house))


def test_a_scanned_code_opens_the_history_of_its_set(visit: DeskVisit) -> None:
    """One thing is opened at once; several are listed; nothing is said to be nothing."""
    lena = visit.caller("lena")
    assert sent(lena, HOME, text=CODES[0]).startswith(f"{HOME}/set/c-")
    assert len(visit.json("lena", sent(lena, HOME, text="suction"))["found"]) == len(CODES)
    assert "Nothing here has this code" in lena.get(sent(lena, HOME, text="zzz")).text


def test_the_page_has_gaps_then_days_with_links_to_evidence(visit: DeskVisit, made: EvidenceHouse) -> None:
    """Each line has the entry of the record book; acts lead to the evidence file, the load to its page."""
    address = sent(visit.caller("lena"), HOME, text=CODES[0])
    page = visit.json("lena", address)
    assert any("the record of Washer 1" in one["words"] for one in page["gaps"])
    lines = [line for day in page["days"] for line in day["lines"]]
    told = [line for line in lines if not line["is_gap"]]
    assert all(any(link["words"].startswith("Record book") for link in line["links"]) for line in told)
    addresses = {link["address"] for line in lines for link in line["links"]}
    assert f"/at/north/evidence/run/{made.run()}" in addresses
    assert f"/at/north/bench/loads/{made.steam_load}" in addresses
    assert f"/at/north/cycles/{made.cycle}" in addresses


def test_a_gap_stands_in_time_among_the_lines_too(visit: DeskVisit, made: EvidenceHouse) -> None:
    """The missing record stands at the moment from which on it was missing, and says who asks for it."""
    page = visit.json("lena", f"{HOME}/load/{made.washer_load}")
    (gap,) = [line for day in page["days"] for line in day["lines"] if line["is_gap"]]
    assert gap["asked"] == "a load is decided on its record, by a named person"
    html = visit.caller("lena").get(f"{HOME}/load/{made.washer_load}").text
    assert html.count('class="gap"') == 2


def test_links_go_only_where_the_reader_may(visit: DeskVisit, made: EvidenceHouse) -> None:
    """A technician may not read the record book: no link leads there, and others have no names."""
    page = visit.json("tom", f"{HOME}/load/{made.washer_load}")
    lines = [line for day in page["days"] for line in day["lines"]]
    assert not [link for line in lines for link in line["links"] if "/record" in link["address"]]
    assert {line["by"] for line in lines} == {"Tom", "somebody here", ""}


def test_the_page_of_a_thing_leads_to_its_history(visit: DeskVisit, made: EvidenceHouse) -> None:
    """A set at the bench, a load, a record, a machine; for theatre, who may read none, no page does."""
    set_history = sent(visit.caller("lena"), HOME, text=CODES[0])
    pages = {
        f"/at/north/bench/at/store/{set_history.rpartition('/')[2]}": set_history,
        f"/at/north/bench/loads/{made.steam_load}": f"{HOME}/load/{made.steam_load}",
        f"/at/north/cycles/{made.cycle}": f"{HOME}/cycle/{made.cycle}",
        "/at/north/machines/sterilizer-1": f"{HOME}/machine/sterilizer-1",
        f"/at/north/instructions/{made.bench.instruction}": f"{HOME}/instruction/{made.bench.instruction}",
    }
    for page, history in pages.items():
        assert f'href="{history}"' in visit.caller("lena").get(page).text, page
        assert visit.caller("lena").get(history).status_code == 200, history
    loads = visit.caller("nora").get(f"/at/north/bench/loads/{made.steam_load}").text
    assert f"{HOME}/load" not in loads


def test_everybody_reads_their_own(visit: DeskVisit, made: EvidenceHouse) -> None:
    """Nora reads what she did, under her own name; nobody else's, and Tom not Tia's either."""
    page = visit.json("nora", f"{HOME}/mine")
    assert page["title"] == "Nora"
    assert any("reported as used" in line["words"] for day in page["days"] for line in day["lines"])
    tia = made.bench.house.people["tia"]
    assert visit.caller("tom").get(f"/api{HOME}/person/{tia}").status_code == 403
    assert visit.json("lena", f"{HOME}/person/{tia}")["title"] == "Tia"


def test_theatre_reads_no_histories(visit: DeskVisit) -> None:
    """It is refused, on the page and for programs."""
    assert visit.caller("nora").get(HOME).status_code == 403
    assert visit.caller("nora").get(f"/api{HOME}/set/c-1").status_code == 403
