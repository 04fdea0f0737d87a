"""Evidence over HTTP: from a code to the facts and gaps, the file made, had again, its head checked."""

from __future__ import annotations

import io

import pypdfium2
import pytest

from sinkside.desk.recall import recalling
from sinkside.desk.recall.recalling import Scope
from support.bench_house import CODES
from support.desk_visit import DeskVisit, app_over, sent
from support.evidence_house import EvidenceHouse, evidence_house
from support.load_house import copy_now
from support.recalled_house import POSITIVE

HOME = "/at/north/evidence"
FIRST, SECOND, THIRD = CODES


@pytest.fixture(scope="module")
def made() -> EvidenceHouse:
    """Two sets in the store."""
    return evidence_house()


@pytest.fixture(scope="module")
def visit(made: EvidenceHouse) -> DeskVisit:
    """The application over that house."""
    made.bench.house.now = made.bench.now
    return DeskVisit(made.bench.house, app_over(made.bench.house))


def test_a_code_leads_to_what_is_kept_and_to_what_is_not(visit: DeskVisit, made: EvidenceHouse) -> None:
    """The page of a code is that of its last run; gaps stand on it, and nothing is made by looking."""
    page = visit.json("olga", f"{HOME}/of?code={FIRST}")
    assert page["address"] == f"{HOME}/run/{made.run()}"
    assert page["gaps"]
    assert [one["how"] for one in page["short"]][:2] == ["in store", "Instruments 90: no record of the cycle"]
    assert page["files"] == []
    assert visit.json("olga", page["address"]) == page
    shown = visit.caller("olga").get(page["address"]).text
    assert shown.index("Not recorded") < shown.index("In short")
    assert visit.caller("olga").get(f"{HOME}/of?code=NO-SUCH").status_code == 404


def test_a_file_is_made_and_had_again(visit: DeskVisit, made: EvidenceHouse) -> None:
    """Made by a form; the page then has it, and it is the same bytes each time; its code opens the page."""
    olga = visit.caller("olga")
    address = f"{HOME}/run/{made.run(SECOND)}"
    assert sent(olga, address) == address
    [file] = visit.json("olga", address)["files"]
    first, again = olga.get(file["address"]), visit.caller("lena").get(file["address"])
    assert first.headers["content-type"] == "application/pdf"
    assert "evidence-SET-2-2026-03-02.pdf" in first.headers["content-disposition"]
    assert first.content == again.content
    assert len(pypdfium2.PdfDocument(io.BytesIO(first.content))) >= 3
    assert olga.get(f"{address}/files/7").status_code == 404
    listed = visit.json("olga", HOME)["made"]
    assert [one["id"] for one in listed] == [address]


def test_a_load_has_evidence_of_its_own(visit: DeskVisit, made: EvidenceHouse) -> None:
    """Its sets lead to their runs; the file is made like that of a run."""
    address = f"{HOME}/load/{made.steam_load}"
    page = visit.json("lena", address)
    assert [one["words"] for one in page["beside"]] == [
        f"Suction set, code {code}" for code in (FIRST, SECOND)
    ]
    assert sent(visit.caller("lena"), address) == address
    [file] = visit.json("lena", address)["files"]
    assert visit.caller("lena").get(file["address"]).content.startswith(b"%PDF")


def test_a_printed_head_is_checked(visit: DeskVisit, made: EvidenceHouse) -> None:
    """By whoever may check the chain; what is no head is refused with what was expected."""
    head = visit.json("lena", f"{HOME}/run/{made.run()}")["head"]
    assert visit.json("lena", f"{HOME}/check?head={head}")["matches"]
    assert visit.caller("lena").get(f"{HOME}/check?head=12").status_code == 422
    assert visit.caller("eve").get(f"{HOME}/check?head={head}").status_code == 403
    assert visit.json("eve", HOME)["check"] == ""


def test_who_may_not_read_evidence_is_led_nowhere(visit: DeskVisit, made: EvidenceHouse) -> None:
    """A technician is refused, and finds no link on the page of the set or the load; a lead finds both."""
    copy = copy_now(made.bench, FIRST)
    listed = visit.json("lena", "/at/north/bench/copies")["copies"]
    guide = next(one["address"] for one in listed if one["id"] == copy.id)
    load = f"/at/north/bench/loads/{made.steam_load}"
    assert visit.caller("tom").get(HOME).status_code == 403
    assert visit.caller("tom").post(f"{HOME}/run/{made.run()}", {}).status_code == 403
    for address in (guide, load):
        assert visit.json("tom", address)["evidence"] == ""
    assert visit.json("lena", guide)["evidence"] == f"{HOME}/run/{made.run()}"
    assert visit.json("lena", load)["evidence"] == f"{HOME}/load/{made.steam_load}"


def test_a_line_of_a_recall_leads_to_the_evidence_of_its_set(visit: DeskVisit, made: EvidenceHouse) -> None:
    """Each set that a recall reached has the link, for whoever may follow it."""
    house = made.bench.house
    recall = recalling.open_recall(
        house.archive, house.visitor("lena"), POSITIVE, Scope(until=made.bench.later(1)), now=made.bench.now
    )
    lines = visit.json("lena", f"/at/north/recalls/{recall}")["to_do"]
    assert {one["evidence"] for one in lines} == {f"{HOME}/run/{made.run(code)}" for code in (FIRST, SECOND)}
    assert {one["evidence"] for one in visit.json("tom", f"/at/north/recalls/{recall}")["to_do"]} == {""}
    warned = visit.json("lena", f"{HOME}/run/{made.run()}")["warned"]
    assert any(POSITIVE.words in one for one in warned)
