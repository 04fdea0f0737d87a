"""Hours on paper on the web: sheets are copied line by line, entered in order, and what stops is told."""

from __future__ import annotations

import pytest

from sinkside.desk.bench import load_deciding
from support.bench_house import BenchHouse, bench_house
from support.desk_visit import DeskVisit, app_over, sent
from support.load_house import load_with

HOME = "/at/north/bench/downtime"


@pytest.fixture(scope="module")
def bench() -> BenchHouse:
    """A bench at 08:30 in Vienna, whose screens were silent from 04:00 to 08:00."""
    return bench_house()


@pytest.fixture(scope="module")
def visit(bench: BenchHouse) -> DeskVisit:
    """The application over it."""
    return DeskVisit(bench.house, app_over(bench.house))


def test_a_night_on_paper_is_entered_as_far_as_it_may_be(bench: BenchHouse, visit: DeskVisit) -> None:
    """Scene 11: what arrived and was washed is entered with its times; packing waits for a named person."""
    tom = visit.caller("tom")
    one = sent(tom, HOME, began="2026-03-02T04:00", ended="2026-03-02T08:00", why="the network was down")
    sent(
        tom,
        f"{one}/sheet",
        sheet="a1",
        kind="arrival",
        at_1="04:10",
        code_1="SET-1",
        at_3="04:20",
        code_3="SET-2",
    )
    wash = {"program": "washer-1::Instruments 90", "started": "05:10", "ended": "06:00"}
    sent(tom, f"{one}/sheet", sheet="B1", kind="wash-load", at_1="04:50", code_1="SET-1", **wash)
    sent(tom, f"{one}/sheet", sheet="C1", kind="packing", at_1="06:30", code_1="SET-1")
    sent(tom, f"{one}/enter")
    page = visit.json("tom", one)
    assert [(line["line"], line["outcome"]) for line in page["copied"]] == [
        ("A1-1", "done"),
        ("A1-3", "done"),
        ("B1-1", "done"),
        ("C1-1", "refused"),
    ]
    assert "no washer record that somebody released" in page["copied"][-1]["said"]
    assert (page["gaps"], page["left"]) == ("A1-2", 1)
    load = load_with(bench, "SET-1")
    lena, said = bench.house.visitor("lena"), "92 °C for 5 min on the display"
    load_deciding.decide_without_trace(
        bench.house.archive, lena, load, "released", read=said, reason="no recorder at night", now=bench.now
    )
    sent(tom, f"{one}/enter")
    assert visit.json("tom", one)["left"] == 0
    assert [entry["lines"] for entry in visit.json("tom", HOME)["entered"]] == [4]


def test_what_cannot_stand_on_paper_is_refused_with_what_was_typed(visit: DeskVisit) -> None:
    """A time before the outage and a sheet that no pack has: a sentence at the field, nothing lost."""
    tom = visit.caller("tom")
    one = sent(tom, HOME, began="2026-03-02T04:00", ended="2026-03-02T08:00", why="the network was down")
    answer = tom.post(f"{one}/sheet", {"sheet": "A1", "kind": "arrival", "at_1": "late", "code_1": "SET-3"})
    assert answer.status_code == 422
    assert "Expected the time that stands on paper" in answer.text
    assert 'value="SET-3"' in answer.text
    outside = tom.post(f"{one}/sheet", {"sheet": "A1", "kind": "arrival", "at_1": "03:00", "code_1": "SET-3"})
    assert "not within the time without screens" in outside.text
    assert "expected one such as A1-3" in tom.post(f"{one}/sheet", {"sheet": "O1", "kind": "arrival"}).text
    assert visit.caller("nora").post(f"{one}/enter").status_code == 403
