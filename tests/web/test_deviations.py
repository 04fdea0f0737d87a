"""Deviations over HTTP: reported in a minute, worked on to the end, listed, drawn, taken out as a table."""

from __future__ import annotations

import csv
import io
from copy import deepcopy
from datetime import timedelta
from typing import Any

import pytest

from sinkside.bench.faults import policy
from support.bench_house import CODES, BenchHouse, bench_house
from support.desk_visit import DeskVisit, app_over
from support.load_house import to_the_pack

HOME = "/at/north/deviations"


@pytest.fixture(scope="module")
def fresh() -> BenchHouse:
    """A bench, set up once."""
    return bench_house()


@pytest.fixture
def bench(fresh: BenchHouse) -> BenchHouse:
    """The same, one for each test."""
    return deepcopy(fresh)


@pytest.fixture
def visit(bench: BenchHouse) -> DeskVisit:
    """The application over it."""
    return DeskVisit(bench.house, app_over(bench.house))


def _report(visit: DeskVisit, name: str = "nora", **more: str) -> str:
    form = {"fault": "wet-pack", "code": CODES[0], **more}
    answer = visit.caller(name).post(f"{HOME}/new", form)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def _done(visit: DeskVisit, name: str, address: str, act: str, **form: str) -> None:
    answer = visit.caller(name).post(f"{address}/{act}", form)
    assert answer.status_code == 303, answer.text


def test_theatre_reports_in_a_minute(visit: DeskVisit) -> None:
    """Two fields are enough; the page then says what is next, to whoever may do it."""
    address = _report(visit, words="wet at the bottom", case="2026-04711", delay_min="15")
    page = visit.json("nora", address)
    assert (page["title"], page["standing"], page["next"]) == (
        "Wet pack", "open", "say what was done at once",
    )  # fmt: skip
    facts = {one["name"]: one["words"] for one in page["facts"]}
    assert facts["Set"] == f"Suction set {CODES[0]}"
    assert facts["Delay"] == "15 min, as told"
    assert page["may_measure"] is False
    assert visit.json("tom", address)["may_measure"] is True


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"fault": "nothing"}, "expected one of"),
        ({"code": "SET-77"}, "no set here has the code"),
        ({"delay_min": "soon"}, "expected whole minutes"),
        ({"found": "kitchen"}, "expected a stage"),
        ({"words": "asked Frau Berg"}, "reads like a name"),
        ({"at": "yesterday"}, "expected a day and a time"),
    ],
)
def test_what_is_wrong_with_a_report_is_said_beside_it(
    visit: DeskVisit, more: dict[str, str], sentence: str
) -> None:
    """The form comes back with the sentence, and nothing is kept."""
    answer = visit.caller("nora").post(f"{HOME}/new", {"fault": "wet-pack", **more})
    assert answer.status_code == 422
    assert sentence in answer.text.casefold()
    assert visit.json("lena", HOME)["counts"].startswith("0 open")


def test_a_code_that_nothing_has_loses_nothing_that_was_typed(visit: DeskVisit) -> None:
    """The form comes back with the nurse's words in it; the sentence stands at the code."""
    form = {"fault": "wet-pack", "code": "SET-77", "words": "wet at the bottom"}
    answer = visit.caller("nora").post(f"{HOME}/new", form)
    assert answer.status_code == 422
    assert "wet at the bottom" in answer.text
    assert 'href="#code"' in answer.text


def test_theatre_found_it_in_theatre_unless_it_says_otherwise(visit: DeskVisit) -> None:
    """The same kind, told nothing more: by theatre at the point of use, by a technician at the sterilizer."""
    for name, where in (("nora", "at point of use"), ("tom", "at sterilization")):
        facts = {one["name"]: one["words"] for one in visit.json("lena", _report(visit, name))["facts"]}
        assert facts["Found"].startswith(where)


def test_from_reported_to_closed(visit: DeskVisit, bench: BenchHouse) -> None:
    """Measure, cause, a named person, corrected by them, seen by another after the days of the policy."""
    address = _report(visit)
    bench.house.now += timedelta(hours=2)
    _done(visit, "tom", address, "measure", words="the load was held")
    _done(visit, "lena", address, "cause", began="packaging", words="trays too close")
    _done(visit, "lena", address, "correct", words="space the trays", person=bench.house.people["tom"])
    assert visit.json("tia", address)["may_correct"] is False
    assert visit.json("tom", address)["may_correct"] is True
    _done(visit, "tom", address, "corrected", words="spacers on every rack")
    early = visit.caller("lena").post(f"{address}/effect", {"held": "yes", "words": "no wet pack since"})
    assert (early.status_code, "too early to say that it held" in early.text) == (422, True)
    bench.house.now += timedelta(days=policy().due.effect_days)
    page = visit.json("lena", address)
    assert page["effect"][0].startswith("Before: 1 in 60 days, 0 sets packed")
    _done(visit, "lena", address, "effect", held="yes", words="no wet pack since")
    closed = visit.json("lena", address)
    assert (closed["standing"], closed["next"]) == ("closed", "")
    assert [one["what"] for one in closed["steps"]] == [
        "Done at once", "Cause", closed["steps"][2]["what"], "Corrected", "It held",
    ]  # fmt: skip
    assert closed["steps"][2]["what"].startswith("To be corrected by Tom, until ")


def test_a_minor_one_is_asked_further(visit: DeskVisit) -> None:
    """What was done closes it; the lead asks for more, and theatre may not."""
    address = _report(visit, fault="label", measure="relabelled")
    assert visit.json("lena", address)["standing"] == "closed"
    assert visit.caller("nora").post(f"{address}/ask", {}).status_code == 403
    _done(visit, "lena", address, "ask")
    assert visit.json("lena", address)["next"] == "find its cause"
    _done(visit, "tom", address, "delay", delay_min="7")
    facts = {one["name"]: one["words"] for one in visit.json("tom", address)["facts"]}
    assert facts["Delay"] == "7 min, as told"


def test_open_ones_stand_first_with_age_and_next(visit: DeskVisit, bench: BenchHouse) -> None:
    """What is due first is first; closed ones follow; filters narrow both."""
    _report(visit, fault="label", measure="relabelled")
    old = _report(visit)
    bench.house.now += timedelta(days=2)
    new = _report(visit, fault="torn-wrap")
    page = visit.json("lena", HOME)
    assert [one["address"] for one in page["open"]] == [old, new]
    assert (page["open"][0]["age"], page["open"][0]["overdue"]) == ("2 days old", True)
    assert [one["kind"] for one in page["closed"]] == [policy().faults["label"].words]
    assert page["counts"].startswith("2 open, 1 closed")
    only = visit.json("lena", f"{HOME}?fault=torn-wrap")
    assert [one["address"] for one in only["open"]] == [new]
    assert only["closed"] == []
    day = bench.house.now.date().isoformat()
    assert [one["address"] for one in visit.json("lena", f"{HOME}?since={day}")["open"]] == [new]
    assert "Next: say what was done at once" in visit.caller("lena").get(HOME).text


@pytest.mark.parametrize("query", ["since=soon", "since=2026-03-09&until=2026-03-01", "until=2026-13-01"])
def test_days_that_are_none_are_said(visit: DeskVisit, query: str) -> None:
    """A day that is none, or an end before the begin: refused in a sentence."""
    for door in (HOME, f"{HOME}/charts", f"{HOME}/table.csv"):
        assert visit.caller("lena").get(f"/api{door}?{query}").status_code == 422, door


def test_the_table_has_what_the_list_has_and_nobody(visit: DeskVisit, bench: BenchHouse) -> None:
    """A line each, read back by the csv module; no formula, no person in it."""
    _report(visit, words="=2+2 wet at the bottom")
    _report(visit, fault="label")
    answer = visit.caller("lena").get(f"{HOME}/table.csv?fault=wet-pack")
    lines = list(csv.DictReader(io.StringIO(answer.text)))
    assert [one["kind"] for one in lines] == ["Wet pack"]
    assert lines[0]["what"] == "'=2+2 wet at the bottom"
    assert bench.house.people["nora"] not in answer.text


def test_charts_tell_in_words_what_they_draw(visit: DeskVisit) -> None:
    """Counts, the few that make most, that no set was packed; each bar leads to its list."""
    for fault in ("label", "label", "wet-pack"):
        _report(visit, fault=fault)
    page = visit.json("lena", f"{HOME}/charts")
    assert page["counts"] == "3 deviations, 0 sets packed"
    assert [(one["name"], one["count"], one["so_far"]) for one in page["bars"]] == [
        (policy().faults["label"].words, 2, "67 %"), ("Wet pack", 1, "100 %"),
    ]  # fmt: skip
    assert page["signals"] == ["No set was processed in this time, so there is no rate to draw."]
    listed = visit.json("lena", page["bars"][0]["address"])
    assert {one["kind"] for one in listed["open"]} == {policy().faults["label"].words}
    for by in ("found", "began", "device", "machine", "hour"):
        told = visit.json("lena", f"{HOME}/charts?by={by}&every=day")
        assert sum(one["count"] for one in told["bars"]) == 3
    assert visit.caller("lena").get(f"/api{HOME}/charts?by=moon").status_code == 422


def test_charts_with_sets_have_a_rate(visit: DeskVisit, bench: BenchHouse) -> None:
    """One set packed and two deviations: 200 per 100 sets, too few points to say more."""
    to_the_pack(bench, CODES[0])
    bench.house.now = bench.now
    for _ in range(2):
        _report(visit)
    page: dict[str, Any] = visit.json("lena", f"{HOME}/charts")
    assert page["counts"] == "2 deviations, 1 set packed: 200 per 100"
    assert page["signals"][0].startswith("0 points lie off the median; with 10 or more")
    assert "<svg" in visit.caller("lena").get(f"{HOME}/charts").text


def test_what_the_bench_noticed_is_listed_and_on_today(visit: DeskVisit, bench: BenchHouse) -> None:
    """A count that falls short is in the list at once, and on Today a day later."""
    bench.done("tom", "arrive")
    bench.done("tom", "take-up")
    bench.done("tom", "count", station="sink", found={"1": 1})
    bench.house.now = bench.later(26 * 60)
    assert [one["kind"] for one in visit.json("lena", HOME)["open"]] == ["Piece missing"]
    matters = visit.json("tom", "/at/north/today")["matters"]
    matters = [one for one in matters if "Piece missing" in one["sentence"]]
    assert [one["address"].startswith(f"{HOME}/") for one in matters] == [True]


def test_the_bench_leads_to_a_report(visit: DeskVisit) -> None:
    """Whoever works there, theatre too, finds the form among the rooms of the bench."""
    for name in ("tom", "nora"):
        rooms = {one["words"]: one["id"] for one in visit.json(name, "/at/north/bench")["rooms"]}
        assert rooms["Report a deviation"] == f"{HOME}/new"


def test_a_month_is_had_on_paper(visit: DeskVisit) -> None:
    """The list offers this month; the file is a PDF with the month in its name; a wrong one says so."""
    page = visit.json("nora", HOME)
    assert page["this_month"] == "2026-03"
    assert f'action="{page["month"]}"' in visit.caller("nora").get(HOME).text
    _report(visit)
    answer = visit.caller("nora").get(f"{page['month']}?month=2026-03")
    assert answer.content.startswith(b"%PDF")
    assert "deviations-2026-03.pdf" in answer.headers["content-disposition"]
    wrong = visit.caller("nora").get(f"/api{page['month']}?month=next")
    assert (wrong.status_code, wrong.json()["error"]["where"]) == (422, "month")
