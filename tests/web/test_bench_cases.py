"""Pages around a case: planned and taken in by number, reported by theatre, told when something is lost."""

from __future__ import annotations

import re
from copy import deepcopy
from datetime import timedelta

import pytest

from support.bench_house import CODES, SUCTION_SET, BenchHouse, bench_house
from support.desk_visit import DeskVisit, app_over

AT = "/at/north/bench"
CASE = "2026-04711"


@pytest.fixture(scope="module")
def made() -> BenchHouse:
    """A bench, made once."""
    return bench_house()


@pytest.fixture
def bench(made: BenchHouse) -> BenchHouse:
    """A bench of one's own."""
    return deepcopy(made)


@pytest.fixture
def visit(bench: BenchHouse) -> DeskVisit:
    """The application over it."""
    return DeskVisit(bench.house, app_over(bench.house))


def _planned(visit: DeskVisit, bench: BenchHouse) -> str:
    """The page of a case that theatre planned for tomorrow."""
    begins = (bench.now + timedelta(days=1)).strftime("%Y-%m-%dT07:30")
    sent = {"number": CASE, "room": "OR 3", "begins": begins, "sets": [bench.set]}
    assert visit.caller("nora").post(f"{AT}/cases", sent).status_code == 303
    (case,) = visit.json("nora", f"{AT}/cases")["cases"]
    assert (case["number"], case["room"], case["sets"]) == (CASE, "OR 3", [SUCTION_SET])
    return str(case["address"])


def test_theatre_reports_a_set_and_closes_the_case(visit: DeskVisit, bench: BenchHouse) -> None:
    """Scanned, ticked, sent: the set is soiled and on the arrival list; the case closes with its time."""
    nora, case = visit.caller("nora"), _planned(visit, bench)
    found = nora.post(f"{case}/scan", {"code": CODES[0]})
    used = found.headers["location"]
    asked = visit.json("nora", used)
    first, *_ = [one["id"] for one in asked["tasks"]]
    sent = {
        "key": asked["key"], "last_used": asked["last_used"], "done": [first],
        "damaged": "1", "kind": "bent", "missing_count": "1",
    }  # fmt: skip
    assert nora.post(used, sent).headers["location"] == case
    assert visit.json("nora", case)["sets"][0]["state"] == "reported as used"
    lines = visit.json("tom", f"{AT}/arrivals")["others"]
    assert [(one["code"], one["state"]) for one in lines] == [(CODES[0], "soiled")]
    copy = used.rpartition("/")[2]
    told = visit.json("tom", f"{AT}/at/sink/{copy}")["reported"]
    assert told[0].endswith("bent (reported by theatre)")
    nora.post(f"{case}/close", {"key": visit.json("nora", case)["key"]})
    assert visit.json("nora", case)["state"] == "closed"


def test_the_arrival_list_never_offers_a_shorter_way(visit: DeskVisit, bench: BenchHouse) -> None:
    """A case in an hour, every set soiled: not in time, theatre decides; no word of using a set at once."""
    nora = visit.caller("nora")
    for code in CODES:
        bench.done("nora", "report-use", code=code, case="70010", last_used=bench.now.isoformat())
    begins = (bench.house.now + timedelta(hours=2)).strftime("%Y-%m-%dT%H:%M")
    nora.post(f"{AT}/cases", {"number": CASE, "begins": begins, "sets": [bench.set]})
    text = visit.caller("tom").get(f"{AT}/arrivals").text
    assert "not in time" in text
    assert "No step is shortened" in text
    assert not re.search(r"immediate|unwrapped|flash|shorten the", text, re.IGNORECASE)


def test_a_missing_fragment_is_shown_to_theatre_until_it_is_closed(
    visit: DeskVisit, bench: BenchHouse
) -> None:
    """Told at the sink, shown with its case on theatre's page, answered there with number and outcome."""
    bench.done("nora", "report-use", case=CASE, last_used=bench.now.isoformat())
    bench.done("tom", "missing-fragment", line="1")
    page = visit.json("nora", f"{AT}/theatre")
    (alarm,) = page["alarms"]
    assert (alarm["case"], alarm["answered"]) == (CASE, "")
    assert "It may be in the patient" in visit.caller("nora").get(f"{AT}/theatre").text
    sent = {"key": page["key"], "case": CASE, "outcome": "found"}
    assert visit.caller("nora").post(f"{AT}/theatre/{alarm['id']}", sent).status_code == 303
    assert visit.json("nora", f"{AT}/theatre")["alarms"] == []
    assert visit.caller("tom").post(f"{AT}/theatre/{alarm['id']}", sent).status_code == 403


def test_a_list_is_taken_in_and_what_was_left_out_is_said(visit: DeskVisit, bench: BenchHouse) -> None:
    """Theatre hands in a week with a column of names: the cases come in, the column is told by its letter."""
    day = (bench.now + timedelta(days=1)).strftime("%Y-%m-%d")
    data = f"case;patient;begins;sets\n{CASE};Kowalska;{day} 07:30;{SUCTION_SET}\nBerg;x;{day} 09:00;\n"
    files = [("file", ("week.csv", data.encode(), "text/csv"))]
    text = visit.caller("nora").post(f"{AT}/cases/file", {}, files=files).text
    assert "1 new" in text
    assert "column B" in text
    assert "row 3: expected a case number" in text
    assert "Kowalska" not in text + visit.caller("nora").get(f"{AT}/cases").text


@pytest.mark.parametrize("field", ["number", "room"])
def test_a_name_in_a_form_is_refused_with_what_was_expected(
    visit: DeskVisit, bench: BenchHouse, field: str
) -> None:
    """The form comes back with its sentence, and no case is kept."""
    begins = (bench.now + timedelta(days=1)).strftime("%Y-%m-%dT07:30")
    sent = {"number": CASE, "begins": begins, field: "Anna Kowalska"}
    answer = visit.caller("nora").post(f"{AT}/cases", sent)
    assert answer.status_code == 422
    assert "no name" in answer.text
    assert visit.json("nora", f"{AT}/cases")["cases"] == []
