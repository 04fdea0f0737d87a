"""The pages of the bench over HTTP: scanned, pressed without script, sent by a queue; what stops."""

from __future__ import annotations

import copy
import json
import re
from dataclasses import dataclass
from typing import Any

import httpx
import pytest

from support.bench_house import CODES, BenchHouse, bench_house, on_the_clean_side
from support.browserless import Caller, signed_in
from support.desk_visit import app_over

PLACE = "/at/north/bench"


@dataclass
class Tablet:
    """Somebody with a tablet at a station of the bench's house."""

    bench: BenchHouse
    caller: Caller
    station: str = "sink"

    def page(self, address: str) -> Any:
        """What a page tells programs."""
        answer = self.caller.get(f"/api{address}")
        assert answer.status_code == 200, answer.text
        return answer.json()

    def scan(self, code: str, *, copy_id: str = "") -> str:
        """Scan a code where nobody has script, and say where that leads."""
        sent = {"code": code, "key": f"scan-{next(self.bench.numbers):04}", "station": self.station}
        answer = self.caller.post(f"{PLACE}/scan", {**sent, "copy_id": copy_id})
        assert answer.status_code == 303, answer.text
        return answer.headers["location"]

    def press(self, act: dict[str, Any], **fields: str) -> httpx.Response:
        """Press a button of a page where nobody has script, with what was typed beside it."""
        form = {"key": act["key"], "act": act["act"], "go": PLACE, **fields}
        return self.caller.post(f"{PLACE}/tap", form)


@pytest.fixture(scope="module")
def made() -> BenchHouse:
    """A bench's house, made once."""
    return bench_house()


@pytest.fixture
def tablet(made: BenchHouse) -> Tablet:
    """Tom, who works alone, at the sink, with a set that has just arrived."""
    return _at(copy.deepcopy(made), "tom")


def _at(bench: BenchHouse, name: str, station: str = "sink") -> Tablet:
    if bench.now == bench.house.now and name == "tom" and station == "sink":
        bench.done("tom", "arrive")
    bench.house.now = bench.now
    app = app_over(bench.house)
    return Tablet(bench, signed_in(app, bench.house.archive, name, now=bench.house.now), station)


def _said(answer: httpx.Response) -> str:
    return httpx.URL("http://h?" + "s=" + answer.cookies["sinkside_said"].strip('"')).params["s"]


def test_a_scan_at_the_sink_takes_a_set_up(tablet: Tablet) -> None:
    """The scan alone takes it up; its page has the first step large and two in sight, with their acts."""
    page = tablet.page(tablet.scan(CODES[0]))
    assert page["stands"] == "at the sink"
    assert [one["stands"] for one in page["tasks"][:3]] == ["now", "next", "next"]
    assert page["tasks"][0]["do"]["command"] == "DONE"
    soak = next(one for one in page["tasks"] if one["begin"])
    assert soak["begin"]["begins"] == 600
    assert soak["picture"].startswith("<svg ")


def test_all_at_once_is_offered_to_whoever_works_alone(tablet: Tablet) -> None:
    """Tom begins the time of everything at once and is offered to finish then; Tia is not."""
    page = tablet.page(tablet.scan(CODES[0]))
    assert page["finish"] is None
    assert tablet.press(page["begin_all"]).status_code == 303
    page = tablet.page(page["frame"]["here"])
    assert json.loads(page["finish"]["act"])["act"] == "finish-station"
    assert page["finish_ready_at"]
    seen = _at(tablet.bench, "tia").page(page["frame"]["here"])
    assert seen["finish"] is None
    assert seen["begin_all"] is None


def test_a_form_without_script_carries_its_own_fields(tablet: Tablet) -> None:
    """A reason typed beside a step, and a number counted for a line, reach the run."""
    page = tablet.page(tablet.scan(CODES[0]))
    otherwise = page["tasks"][0]["deviate"]
    assert "Kept" in _said(tablet.press(otherwise, reason="the pin was stuck"))
    line = page["count"]["lines"][0]
    said = _said(tablet.press(line["counts"], **{f"found.{line['id']}": "1"}))
    assert "1 of 2 counted" in said
    page = tablet.page(page["frame"]["here"])
    assert page["reported"][-1].endswith("(the pin was stuck)")
    assert page["count"]["lines"][0]["told"] == "1 missing"
    assert page["count"]["lines"][0]["alarms"]["command"] == "ALARM"


def test_a_press_that_is_refused_says_so(tablet: Tablet) -> None:
    """A soak that was not begun is not done; the page comes back with the reason."""
    page = tablet.page(tablet.scan(CODES[0]))
    soak = next(one for one in page["tasks"] if one["begin"])
    assert _said(tablet.press(soak["do"])).startswith("Not done: ")
    assert "begin it first" in _said(tablet.press(soak["do"]))


def test_a_command_of_the_sheet_of_codes_presses_the_button(tablet: Tablet) -> None:
    """Without script too: the first step is done, and a code that presses nothing is refused."""
    here = tablet.scan(CODES[0])
    before = tablet.page(here)["tasks"]
    tablet.scan("TAP DONE", copy_id=here.rpartition("/")[2])
    assert len(tablet.page(here)["tasks"]) == len(before) - 1
    sent = {"code": "TAP PACK", "key": "scan-0099", "station": "sink", "copy_id": here.rpartition("/")[2]}
    answer = tablet.caller.post(f"{PLACE}/scan", sent)
    assert answer.status_code == 422
    assert "Nothing here takes the code PACK" in answer.text


def test_the_clean_side_stops_a_set_without_a_washer_record(tablet: Tablet) -> None:
    """Scanned on the clean side it stays where it was, and the page says what is in the way."""
    tablet.scan(CODES[0])
    page = tablet.page(_at(tablet.bench, "tom", "bench").scan(CODES[0]))
    assert page["stands"] == "at the sink"
    assert any("no washer record" in one for one in page["in_the_way"])


def test_inspection_comes_before_the_count(tablet: Tablet) -> None:
    """On the clean side each line has what to look for; the count is offered once all of it passed."""
    bench = tablet.bench
    on_the_clean_side(bench)
    tablet = _at(bench, "tom", "bench")
    page = tablet.page(tablet.scan(CODES[0]))
    assert page["look"]["lines"][0]["marks"]
    assert page["count"] is None
    assert "Not done" not in _said(tablet.press(page["finish"]))
    page = tablet.page(page["frame"]["here"])
    assert page["count"]["all_here"]["command"] == "ALL"
    assert [one["act"] for one in json.loads(page["pack"]["pack"]["act"])] == ["count-all", "pack"]


def test_a_queue_is_answered_tap_by_tap(tablet: Tablet) -> None:
    """What is done and what is refused, in order; again the same answer; another number is a conflict."""
    taps = [
        {"key": f"queue-{n:03}", "bench": "b-1", "number": n, "at": tablet.bench.now.isoformat(), "act": act}
        for n, act in enumerate(
            ({"act": "take-up", "code": CODES[0]}, {"act": "take-up", "code": "NONE"}), start=1
        )
    ]
    told = tablet.caller.send(f"/api{PLACE}/taps", {"taps": taps}).json()["tapped"]
    assert [one["outcome"] for one in told] == ["done", "refused"]
    again = tablet.caller.send(f"/api{PLACE}/taps", {"taps": taps}).json()["tapped"]
    assert [(one["said"], one["repeated"]) for one in again] == [(one["said"], True) for one in told]
    taps[0] |= {"key": "queue-009", "number": 9}
    answer = tablet.caller.send(f"/api{PLACE}/taps", {"taps": taps[:1]})
    assert answer.status_code == 409
    assert "expected 3" in answer.json()["error"]["sentence"]


def test_whoever_only_looks_is_offered_nothing(tablet: Tablet) -> None:
    """Nora of theatre sees where the set is and what was done, with no name of a patient and no button."""
    here = tablet.scan(CODES[0])
    page = _at(tablet.bench, "nora").page(here)
    assert (page["tasks"], page["move"], page["more"], page["count"]) == ([], None, [], None)
    assert page["done"]


def test_the_first_page_counts_sets_at_each_station(tablet: Tablet) -> None:
    """One set waits before the sink; the sheet of codes has a drawing for each command."""
    stations = {one["name"]: one["sets"] for one in tablet.page(PLACE)["stations"]}
    assert stations["Sink"] == "1 set"
    assert stations["Store"] == "nothing here"
    assert all(one["drawing"].startswith("<svg ") for one in tablet.page(f"{PLACE}/codes")["codes"])
    assert re.search(r"SET-1", tablet.caller.get(f"{PLACE}/at/sink").text)


def test_a_code_is_given_once(tablet: Tablet) -> None:
    """The lead gives a set a code; the same code again is refused with what has it."""
    lena = _at(tablet.bench, "lena")
    form = {"key": tablet.bench.set, "code": "SET-9", "name": "Suction set 9"}
    assert lena.caller.post(f"{PLACE}/copies", form).status_code == 303
    assert "Suction set 9" in [one["name"] for one in lena.page(f"{PLACE}/copies")["copies"]]
    again = lena.caller.post(f"{PLACE}/copies", form)
    assert again.status_code == 409
    assert "Suction set 9 has the code SET-9 already" in again.text


def test_a_place_opens_by_its_code(tablet: Tablet) -> None:
    """Codes that hang at stations and machines open their pages from anywhere; another code is refused."""
    listed = {one["text"] for one in tablet.page(f"{PLACE}/codes")["places"]}
    assert {"AT SINK", "AT WASHER-1", "AT STERILIZER-1"} <= listed
    assert tablet.scan("at washer-1") == f"{PLACE}/machines/washer-1"
    assert tablet.scan("AT PACKING") == f"{PLACE}/at/packing"
    sent = {"code": "AT NOWHERE", "key": "scan-nowhere", "station": "sink", "copy_id": ""}
    answer = tablet.caller.post(f"{PLACE}/scan", sent)
    assert (answer.status_code, "No place here has the code AT NOWHERE" in answer.text) == (422, True)


def test_a_set_is_taken_out_of_use_on_its_page(tablet: Tablet) -> None:
    """The lead does, with a reason; whoever works at the bench sees no form for it."""
    page = f"{PLACE}/copies"
    assert "Take a set out of use" not in tablet.caller.get(page).text
    lena = _at(tablet.bench, "lena").caller
    assert lena.post(f"{page}/retire", {"retired": CODES[1], "why": ""}).status_code == 422
    assert lena.post(f"{page}/retire", {"retired": CODES[1], "why": "bent"}).status_code == 303
    stands = {one["code"]: one["stands"] for one in tablet.page(page)["copies"]}
    assert stands[CODES[1]] == "out of use"
