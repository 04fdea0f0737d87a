"""Pages of loads over HTTP: built by scanning at a machine, started, decided, asked after."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any
from urllib.parse import unquote

import httpx
import pytest

from sinkside.desk.departments import keep_department
from support.bench_house import CODES, BenchHouse, bench_house, demo_department
from support.browserless import Caller
from support.desk_visit import DeskVisit, app_over
from support.load_house import (
    STEAM,
    STERILIZER,
    WASHING,
    at_the_sink,
    copy_now,
    decided,
    load_with,
    recorded,
    sterilized,
    tape,
    to_the_pack,
)

PLACE = "/at/north/bench"
FIRST, SECOND, _ = CODES


@pytest.fixture(scope="module")
def fresh() -> BenchHouse:
    """A bench with nothing on it yet, set up once."""
    return bench_house()


@pytest.fixture
def bench(fresh: BenchHouse) -> BenchHouse:
    """The same, one for each test."""
    return deepcopy(fresh)


@pytest.fixture
def doors(bench: BenchHouse) -> DeskVisit:
    """The application over that bench, made once for each test."""
    return DeskVisit(bench.house, app_over(bench.house))


def _at_work(bench: BenchHouse, doors: DeskVisit, name: str) -> Caller:
    bench.house.now = bench.now
    return doors.caller(name)


def _page(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    html = caller.get(address)
    assert html.status_code == 200, html.text
    return answer.json()


def _press(caller: Caller, act: dict[str, Any], **fields: str) -> httpx.Response:
    """Press a button where nobody has script."""
    answer = caller.post(f"{PLACE}/tap", {"key": act["key"], "act": act["act"], "go": PLACE, **fields})
    assert answer.status_code == 303, answer.text
    return answer


def test_a_load_is_built_and_run_at_its_machine_by_scanning(bench: BenchHouse, doors: DeskVisit) -> None:
    """Begun by a form, filled by scanner, started and ended by the codes of the sheet; nothing is typed."""
    at_the_sink(bench, FIRST, SECOND)
    tom = _at_work(bench, doors, "tom")
    address = f"{PLACE}/machines/washer-1"
    page = _page(tom, address)
    assert page["building"] is None
    assert {one["id"] for one in page["racks"]} == {"rack-tubes", "rack-trays"}
    _press(tom, page["begin"], program=WASHING, rack="rack-trays")
    for turn, code in enumerate((FIRST, SECOND, FIRST)):
        tom.post(f"{address}/scan", {"code": code, "key": f"scan-key-{turn}"})
    page = _page(tom, address)
    assert {one["code"] for one in page["building"]["pieces"]} == {FIRST, SECOND}
    assert json.loads(page["frame"]["arrive"]) == {"act": "add-to-load", "machine": "washer-1"}
    _press(tom, page["building"]["pieces"][1]["take_out"])
    assert page["building"]["start"]["command"] == "START"
    tom.post(f"{address}/scan", {"code": "TAP START", "key": "scan-start-1"})
    page = _page(tom, address)
    assert (page["building"], page["running"]["line"]["pieces"]) == (None, "1 piece")
    tom.post(f"{address}/scan", {"code": "TAP OUT", "key": "scan-out-1"})
    assert [one["pieces"] for one in _page(tom, f"{PLACE}/loads")["waiting"]] == ["1 piece"]


def test_what_may_not_go_in_is_said_at_the_machine(bench: BenchHouse, doors: DeskVisit) -> None:
    """A soiled set scanned at a sterilizer is refused in a sentence, and the load stays empty."""
    at_the_sink(bench, FIRST)
    tom = _at_work(bench, doors, "tom")
    address = f"{PLACE}/machines/sterilizer-1"
    _press(tom, _page(tom, address)["begin"], program=STEAM, rack="")
    answer = tom.post(f"{address}/scan", {"code": FIRST, "key": "scan-key-1"})
    assert "never goes into a sterilizer" in unquote(answer.cookies["sinkside_said"])
    assert _page(tom, address)["building"]["pieces"] == []


def test_a_washers_load_is_decided_on_its_page_by_whoever_may(bench: BenchHouse, doors: DeskVisit) -> None:
    """The technician is offered no decision and refused one; the lead decides with words, and it is told."""
    at_the_sink(bench, FIRST)
    for act in ({"act": "open-load", "program": WASHING}, {"act": "add-to-load", "code": FIRST}):
        bench.done("tom", machine="washer-1", **act)
    bench.done("tom", "start-load", machine="washer-1")
    bench.done("tom", "end-load", machine="washer-1", complete=True)
    address = f"{PLACE}/loads/{load_with(bench, FIRST)}"
    tom, lena = _at_work(bench, doors, "tom"), _at_work(bench, doors, "lena")
    assert not _page(tom, address)["without_trace"]
    told = {"decided": "released", "read": "92 °C for 5 min", "reason": "it has no recorder"}
    assert tom.post(f"{address}/decision", told).status_code == 403
    assert lena.post(f"{address}/decision", {**told, "read": ""}).status_code == 422
    assert lena.post(f"{address}/decision", told).status_code == 303
    page = _page(tom, address)
    assert page["decided"].startswith("Released by Lena")
    assert "without a trace: it has no recorder" in page["decided"]


def test_a_record_is_handed_in_on_the_loads_page_and_decided_on_its_own(
    bench: BenchHouse, doors: DeskVisit
) -> None:
    """The file goes to the load; the decision on the record's page reaches the load."""
    to_the_pack(bench, FIRST)
    address = f"{PLACE}/loads/{sterilized(bench, FIRST)}"
    tom = _at_work(bench, doors, "tom")
    assert _page(tom, address)["asks_record"]
    file = tape()
    answer = tom.post(f"{address}/record", {}, files=[("files", (file.name, file.data, "text/csv"))])
    assert answer.status_code == 303, answer.text
    cycle = answer.headers["location"].rpartition("/")[2]
    assert _page(tom, address)["record"]["outcome"] == "meets"
    decided(bench, cycle)
    assert _page(tom, address)["line"]["words"] == "Released"


def test_a_wet_load_is_asked_after_let_go_and_closed_on_its_page(bench: BenchHouse, doors: DeskVisit) -> None:
    """It stands first among the loads; the lead lets the dry one go, and closes what was asked."""
    to_the_pack(bench, FIRST, SECOND)
    load = sterilized(bench, FIRST, SECOND)
    decided(bench, recorded(bench, load))
    bench.done("tom", "wet-pack", code=FIRST, where="inside")
    lena, address = _at_work(bench, doors, "lena"), f"{PLACE}/loads/{load}"
    (trouble,) = _page(lena, f"{PLACE}/loads")["troubles"]
    assert "Wet pack: Suction set (SET-1), inside" in trouble["words"]
    page = _page(lena, address)
    (shown,) = page["troubles"]
    assert [one["code"] for one in shown["beside"]] == [SECOND]
    assert page["lets_go"]
    lena.post(f"{address}/let-go", {"reason": "the other pack is dry, looked at"})
    assert lena.post(shown["close"], {"words": "steam trap was blocked"}).status_code == 303
    (shown,) = _page(lena, address)["troubles"]
    assert (shown["came_to"], shown["close"]) == ("steam trap was blocked", "")
    assert _page(lena, f"{PLACE}/loads")["troubles"] == []


def test_immediate_use_has_a_page_of_its_own_for_whoever_may_make_exceptions(
    bench: BenchHouse, doors: DeskVisit
) -> None:
    """No machine of this house has such a program, and the page says so; a technician is not let in."""
    lena, tom = _at_work(bench, doors, "lena"), _at_work(bench, doors, "tom")
    assert _page(lena, f"{PLACE}/immediate-use")["machines"] == []
    assert "No machine here has a program for immediate use" in lena.get(f"{PLACE}/immediate-use").text
    assert tom.get(f"{PLACE}/immediate-use").status_code == 403
    machine = next(one for one in demo_department().machines if one.id == "sterilizer-1")
    quick = machine.programs[0].model_copy(update={"name": "Quick", "use": "immediate-use", "drying": None})
    site = demo_department().model_copy(
        update={"machines": (machine.model_copy(update={"programs": (*machine.programs, quick)}),)}
    )
    keep_department(bench.house.archive, bench.house.visitor("lena"), site, now=bench.now)
    (shown,) = _page(lena, f"{PLACE}/immediate-use")["machines"]
    assert [one["id"] for one in shown["programs"]] == ["Quick"]
    offered = _page(lena, f"{PLACE}/machines/sterilizer-1")["programs"]
    assert "Quick" not in {one["id"] for one in offered}


def test_an_early_implant_is_asked_for_only_where_it_may_be(bench: BenchHouse, doors: DeskVisit) -> None:
    """The form stands on the page of a load with an implant that waits, for whoever may make exceptions."""
    to_the_pack(bench, FIRST)
    load = sterilized(bench, FIRST)
    recorded(bench, load)
    address = f"{PLACE}/loads/{load}"
    assert _page(_at_work(bench, doors, "lena"), address)["early"] is None
    bench.done("tom", "mark-implant", **STERILIZER, words="plate")
    assert _page(_at_work(bench, doors, "tom"), address)["early"] is None
    assert _page(_at_work(bench, doors, "lena"), address)["early"]["words"] == "Let it out early"
    assert copy_now(bench).state == "in-sterilizer"
