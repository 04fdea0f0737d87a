"""The store on the web: who released a pack, whether it keeps, what is in its way, and the loud form."""

from __future__ import annotations

import json
from typing import Any, Final

import pytest

from support.bench_house import CODES, BenchHouse, bench_house
from support.desk_visit import DeskVisit, app_over
from support.load_house import decided, recorded, sterilized, to_the_pack

HOME: Final = "/at/north/bench/store"


@pytest.fixture(scope="module")
def bench() -> BenchHouse:
    """Three packs of one load that Lena released an hour ago; the third is held."""
    made = bench_house()
    to_the_pack(made, *CODES)
    decided(made, recorded(made, sterilized(made, *CODES)))
    made.house.now = made.later(61)
    made.done("tom", "hold", code=CODES[2], why="a seal looks odd")
    return made


@pytest.fixture(scope="module")
def visit(bench: BenchHouse) -> DeskVisit:
    """The application over it."""
    return DeskVisit(bench.house, app_over(bench.house))


def _pack(visit: DeskVisit, name: str, code: str) -> Any:
    scanned = visit.caller(name).post(f"{HOME}/scan", {"code": code})
    assert scanned.status_code == 303, scanned.text
    return visit.json(name, str(scanned.headers["location"]))


def _press(visit: DeskVisit, name: str, act: dict[str, Any], **fields: str) -> None:
    form = {"key": act["key"], "act": act["act"], **fields}
    assert visit.caller(name).post("/at/north/bench/tap", form).status_code == 303


def test_a_pack_is_put_in_store_issued_and_taken_back_by_its_buttons(visit: DeskVisit) -> None:
    """Each page offers what can be done now and nothing else; words say by whom it was released."""
    pack = _pack(visit, "tom", CODES[0])
    assert pack["issue"] is None
    assert pack["under_exception"] is None
    _press(visit, "tom", pack["put_in"], place="shelf 4")
    pack = _pack(visit, "tom", CODES[0])
    assert pack["line"]["says"].startswith("Released by Lena, 2026-03-02 ")
    assert pack["line"]["says"].endswith(", in store.")
    assert pack["put_in"] is None
    _press(visit, "tom", pack["issue"], case="C-1183")
    pack = _pack(visit, "tom", CODES[0])
    assert "issued to case C-1183" in pack["line"]["says"]
    _press(visit, "tom", pack["back_whole"])
    assert [one["code"] for one in visit.json("nora", HOME)["stored"]] == [CODES[0]]
    assert _pack(visit, "nora", CODES[0])["issue"] is None


def test_a_held_pack_goes_out_by_the_loud_form_alone(visit: DeskVisit) -> None:
    """The technician is offered no way; the lead the form, which wants everything; then it is told loudly."""
    pack = _pack(visit, "tom", CODES[2])
    assert [pack[name] for name in ("put_in", "issue", "reserve", "under_exception")] == [None] * 4
    assert pack["obstacles"][0] == {"id": "stop", "words": "It is held: a seal looks odd."}
    form = _pack(visit, "lena", CODES[2])["under_exception"]
    assert json.loads(form["act"])["act"] == "issue-under-exception"
    why = {"authority": "surgeon on duty, theatre 2", "reason": "no other set in the house"}
    refused = visit.caller("lena").post(
        "/at/north/bench/tap", {"key": form["key"], "act": form["act"], **why, "case": "Jane Roe"}
    )
    assert refused.status_code == 422
    assert "xpected a case number" in refused.text
    _press(visit, "lena", form, case="C-1184", **why)
    says = _pack(visit, "tom", CODES[2])["line"]["says"]
    assert "issued under exception to case C-1184" in says


def test_days_are_settled_with_a_reason_by_whoever_may(visit: DeskVisit) -> None:
    """The lead sets 10 days for pouches: every pack in one says its last day; the technician may not."""
    policy = "/at/north/bench/store-policy"
    ten = {"packaging": "pouch", "days": "10", "reason": "open shelves"}
    assert visit.caller("tom").post(policy, ten).status_code == 403
    assert visit.caller("lena").post(policy, {**ten, "reason": ""}).status_code == 422
    assert visit.caller("lena").post(policy, ten).status_code == 303
    assert visit.json("tom", HOME)["keeps"] == ["In a pouch: 10 days"]
    assert "use by 2026-03-12" in _pack(visit, "tom", CODES[1])["line"]["says"]
