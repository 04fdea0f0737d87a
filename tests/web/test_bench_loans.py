"""Loans, handovers and exceptions on the web: what comes is soiled, what stops is told, papers go with it."""

from __future__ import annotations

from typing import Final

import pytest

from sinkside.bench.exception_form import ExceptionForm, review_until
from sinkside.desk.bench.exceptions import keep_exception
from support.bench_house import CODES, BenchHouse, bench_house
from support.desk_visit import DeskVisit, app_over, sent
from support.pdf_words import text_of

LOANS: Final = "/at/north/bench/loans"
SHIFTS: Final = "/at/north/bench/handover"
KIT: Final = {
    "way": "borrowed",
    "what": "Suction kit",
    "other": "Hillside hospital",
    "due": "2026-03-05T12:00",
    "parts": "2 Suction tube\n12 x Sleeve",
    "mass": "4.2 kg",
    "revision": "C",
}


@pytest.fixture(scope="module")
def bench() -> BenchHouse:
    """A bench with its sets."""
    return bench_house()


@pytest.fixture(scope="module")
def visit(bench: BenchHouse) -> DeskVisit:
    """The application over it."""
    return DeskVisit(bench.house, app_over(bench.house))


def test_a_borrowed_kit_is_counted_and_received_as_soiled(bench: BenchHouse, visit: DeskVisit) -> None:
    """11 of 12 sleeves, 5 kg for 4.2, marked sterile: each is said, and it is held."""
    tom = visit.caller("tom")
    one = sent(tom, f"{LOANS}/new", **KIT, of=bench.set)
    missing = tom.post(f"{one}/receive", {"code": "LOAN-1", "counted_1": "2"})
    assert "Expected how many came, 0 if none did" in missing.text
    seen = {"counted_1": "2", "counted_2": "11", "mass": "5 kg", "marked_sterile": "true"}
    sent(tom, f"{one}/receive", code="LOAN-1", **seen)
    page = visit.json("nora", one)
    said = [finding["sentence"] for finding in page["findings"]]
    assert said[0] == "11 of 12 of Sleeve came."
    assert said[1].startswith("The owner goes by revision C of the instruction; approved here is ")
    assert [part["counted"] for part in page["parts"]] == ["2", "11"]
    assert (page["can_come"], page["can_go"]) == (False, False)
    (line,) = visit.json("tom", LOANS)["open"]
    assert (line["stands"], line["worst"]["level"]) == ("here", "stop")


def test_a_statement_goes_with_what_is_sent_for_repair(visit: DeskVisit) -> None:
    """Nothing shows that it was cleaned: the paper says so in words, with the fault, and it is signed for."""
    tom = visit.caller("tom")
    refused = tom.post(f"{LOANS}/new", {"way": "repair", "what": "Suction set", "other": "Lind"})
    assert refused.status_code == 422
    said = {"what": "Suction set", "other": "Lind", "copy_code": CODES[0], "due": "2026-03-09T12:00"}
    one = sent(tom, f"{LOANS}/new", way="repair", fault="the tip is bent", **said)
    paper = text_of(tom.get(f"{one}/statement").content)
    for words in ("treat it as soiled", "To be repaired: the tip is bent", "Received by: name, day, time"):
        assert words in paper
    assert "Expected what was done with it" in tom.post(f"{one}/send", {"statement": ""}).text
    sent(tom, f"{one}/send", statement="cleaned and disinfected, not sterilized")
    assert visit.json("tom", one)["line"]["stands"] == "away"


def test_a_shift_hands_over_and_the_next_takes_over(bench: BenchHouse, visit: DeskVisit) -> None:
    """What stands open is told by itself; whoever handed over cannot take over, the next one can."""
    bench.done("tom", "arrive", code=CODES[1])
    tom, tia = visit.caller("tom"), visit.caller("tia")
    one = sent(tom, SHIFTS, shift="Early shift", note="Bath 2 is slow.")
    assert "I take over" not in tom.get(one).text
    page = visit.json("tia", one)
    assert CODES[1] in {thing["code"] for group in page["groups"] for thing in group["things"]}
    sent(tia, one, answer="seen")
    assert visit.json("tia", SHIFTS)["waiting"] == []
    assert visit.caller("nora").post(SHIFTS, {"shift": "Early shift"}).status_code == 403


def test_an_exception_waits_until_somebody_else_looked_at_it(bench: BenchHouse, visit: DeskVisit) -> None:
    """It stands first with what was in the way; the lead who made it cannot review it, the educator can."""
    form = ExceptionForm(
        kind="issue",
        copy_code=CODES[0],
        case="C-1183",
        authority="surgeon on duty, theatre 2",
        reason="no other set in the house",
        in_the_way=("no sterilizer load that somebody released",),
        by=bench.house.people["lena"],
        at=bench.now,
        review_by=review_until(bench.now, "Europe/Vienna"),
    )
    with bench.house.archive.unit() as unit:
        key = keep_exception(unit, bench.house.visitor("lena"), form, now=bench.now)
    one = f"/at/north/bench/exceptions/{key}"
    own = visit.caller("lena").post(one, {"words": "it was right to do so"})
    assert "Nobody reviews their own exception" in own.text
    assert "no sterilizer load that somebody released" in visit.caller("eve").get(one).text
    told = [matter for matter in visit.json("eve", "/at/north/today")["matters"] if one in matter["address"]]
    assert [matter["sentence"] for matter in told] == [
        "SET-1, case C-1183: issued under exception: look at this exception."
    ]
    sent(visit.caller("eve"), one, words="a second set is bought")
    page = visit.json("nora", "/at/north/bench/exceptions")
    assert page["to_review"] == []
    assert page["reviewed"][0]["case"] == "C-1183"
