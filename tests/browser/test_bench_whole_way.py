"""From theatre back to theatre in a browser: three sets at once, with all that goes wrong on the way."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect

from browser.scanning import Scanner
from sinkside.bench.cases import PlannedCase
from sinkside.desk.bench import load_deciding, load_trouble
from sinkside.desk.bench.cases import plan_case
from support.bench_house import CODES, bench_house
from support.bench_served import ServedBench
from support.load_house import decided, load_now, load_with, recorded

_CASE = "2026-04711"
_NEXT_CASE = "2026-04712"
_TABLET: Final[ViewportSize] = {"width": 1024, "height": 768}

FIRST, SECOND, THIRD = CODES


@pytest.fixture
def served() -> Iterator[ServedBench]:
    """The house of the bench, with a case today and one tomorrow."""
    bench = bench_house()
    nora = bench.house.visitor("nora")
    for number, hours in ((_CASE, 2), (_NEXT_CASE, 26)):
        begins = bench.now + timedelta(hours=hours)
        planned = PlannedCase(number=number, begins=begins, room="OR 3", sets=(bench.set,))
        plan_case(bench.house.archive, nora, planned, now=bench.now)
    with ServedBench(bench).serving() as house:
        yield house


@pytest.fixture
def people(chromium: Browser, served: ServedBench) -> Iterator[dict[str, Scanner]]:
    """Tom at the benches, Nora in theatre, each before a tablet held across."""
    found = {}
    for name in ("tom", "nora"):
        context = chromium.new_context(viewport=_TABLET, reduced_motion="reduce")
        person = Scanner(context.new_page(), served, [])
        person.listens()
        person.signs_in(name)
        found[name] = person
    yield found
    for person in found.values():
        person.page.context.close()
        assert person.complaints == []


def _state(served: ServedBench, code: str) -> str:
    with served.bench.house.archive.unit(writes=False) as unit:
        copy = unit.bench.copies.by_code("north", code)
        assert copy is not None
        return copy.state


def _pass(served: ServedBench, minutes: float, *people: Scanner) -> None:
    """Let time go by; whoever waited too long signs in again."""
    served.later(minutes)
    for person in people:
        person.signs_in("tom")


@pytest.mark.long
def test_three_sets_from_theatre_back_to_theatre(people: dict[str, Scanner], served: ServedBench) -> None:
    """A damaged jaw, a missing piece, a wet pack, a set in the wrong load: each is caught in its place."""
    tom, nora = people["tom"], people["nora"]
    _theatre_reports(nora, served)
    _the_sink(tom, served)
    _the_washer(tom, served)
    _the_clean_side(tom, nora, served)
    _the_sterilizer(tom, served)
    _the_store(tom, served)
    assert [_state(served, code) for code in CODES] == ["issued", "held", "packing"]
    for name, person in people.items():
        print(f"{name}: {len(person.scans)} scans: {', '.join(person.scans)}")  # noqa: T201


def _theatre_reports(nora: Scanner, served: ServedBench) -> None:
    nora.page.goto(f"{served.address}/at/north/bench/cases")
    nora.page.get_by_role("link", name=_CASE).first.click()
    case = nora.page.url
    for code in CODES:
        nora.page.goto(case)
        expect(nora.page.locator("#code")).to_be_focused()
        nora.scan(code)
        nora.page.get_by_role("button", name="Report it as used").click()
        expect(nora.page).to_have_url(case)
    nora.page.get_by_role("button", name=f"Close case {_CASE}").click()
    assert {_state(served, code) for code in CODES} == {"soiled"}


def _the_sink(tom: Scanner, served: ServedBench) -> None:
    """One soaks while the next is taken up; what soaks stays in sight with its time."""
    tom.at("sink")
    for code in CODES:
        tom.scan(code)
        tom.sees(f"{code} · at the sink")
        tom.scan("TAP BEGIN")
        expect(tom.page.locator("li.open [data-left]")).to_be_visible()
    expect(tom.page.locator(".here [data-left]")).to_have_count(3)
    tom.page.goto(f"{served.address}/at/north/bench/machines/sterilizer-1")
    tom.page.get_by_role("button", name="Begin").first.click()
    tom.sees("Being built")
    tom.scan(FIRST)
    tom.sees("Not done")
    assert _state(served, FIRST) == "at-sink"
    _pass(served, 11, tom)
    tom.at("sink")
    for code in (FIRST, SECOND):
        tom.scan(code)
        tom.sees("All of it done at the sink")
        tom.scan("TAP FINISH")
        tom.sees("Nothing is left to do here")
    _offline_in_the_middle(tom, served)


def _offline_in_the_middle(tom: Scanner, served: ServedBench) -> None:
    """The network goes before the third set is finished: the tap waits on the tablet, and is sent later."""
    tom.scan(THIRD)
    tom.sees("All of it done at the sink")
    tom.page.context.set_offline(True)
    tom.scan("TAP FINISH")
    expect(tom.page.locator("[data-queue]")).to_be_visible()
    assert "finish-station" not in _last_acts(served, THIRD)
    tom.page.context.set_offline(False)
    tom.settles()
    assert _last_acts(served, THIRD).count("finish-station") == 1


def _last_acts(served: ServedBench, code: str) -> list[str]:
    """What was done with a set, by the names of the acts."""
    with served.bench.house.archive.unit(writes=False) as unit:
        copy = unit.bench.copies.by_code("north", code)
        assert copy is not None
        return [one.act for one in unit.bench.taps.on_copy("north", copy.id) if one.outcome == "done"]


def _the_washer(tom: Scanner, served: ServedBench) -> None:
    tom.page.goto(f"{served.address}/at/north/bench/machines/washer-1")
    tom.page.locator("#program").select_option("Instruments 90")
    tom.page.get_by_role("button", name="Begin").first.click()
    tom.sees("Being built")
    for code in CODES:
        tom.scan(code)
        expect(tom.page.locator("main").get_by_text(code).first).to_be_visible()
    tom.scan("TAP START")
    tom.sees("In the machine since")
    tom.at("bench")
    tom.scan(FIRST)
    tom.sees("Not from here yet")
    _pass(served, 50, tom)
    tom.at("bench")
    tom.scan("AT WASHER-1")
    tom.sees("In the machine since")
    tom.scan("TAP OUT")
    expect(tom.page.locator("main").get_by_text("In the machine since")).to_have_count(0)
    load_deciding.decide_without_trace(
        served.bench.house.archive,
        served.bench.house.visitor("lena"),
        load_with(served.bench, FIRST),
        "released",
        read="92 °C for 5 min on the display",
        reason="this washer has no recorder",
        now=served.now(),
    )


def _the_clean_side(tom: Scanner, nora: Scanner, served: ServedBench) -> None:
    tom.at("bench")
    tom.scan(FIRST)
    tom.sees("0 of 1 lines passed")
    tom.scan("TAP FINISH")
    tom.sees("The pack is closed")
    tom.scan("TAP PACK")
    tom.sees("· packed")
    _a_damaged_jaw(tom)
    _a_missing_piece(tom, nora, served)


def _a_damaged_jaw(tom: Scanner) -> None:
    """It fails, is replaced, passes, and goes on."""
    tom.at("bench")
    tom.scan(SECOND)
    tom.page.get_by_text("Failed", exact=True).first.click()
    tom.page.get_by_label("What is wrong").fill("jaw bent")
    tom.page.get_by_label("What follows").select_option("replace")
    tom.page.get_by_role("button", name="Failed").click()
    tom.sees("jaw bent")
    tom.page.get_by_role("button", name="Passed").click()
    tom.sees("1 of 1 lines passed")
    tom.scan("TAP FINISH")
    tom.sees("The pack is closed")
    tom.scan("TAP PACK")
    tom.sees("· packed")


def _a_missing_piece(tom: Scanner, nora: Scanner, served: ServedBench) -> None:
    """Counted short, told to theatre with one scan, answered there with the case."""
    tom.at("bench")
    tom.scan(THIRD)
    tom.scan("TAP FINISH")
    tom.sees("The pack is closed")
    tom.page.get_by_text("Line by line").click()
    tom.page.get_by_label("Counted: suction tube").fill("1")
    tom.page.keyboard.press("Enter")
    tom.sees("1 missing")
    expect(tom.page.locator("#scan")).to_be_focused()
    tom.scan("TAP ALARM")
    tom.settles()
    nora.signs_in("nora")
    nora.page.goto(f"{served.address}/at/north/bench/theatre")
    nora.sees("It may be in the patient.")
    nora.page.get_by_label("Case number").fill(_CASE)
    nora.page.get_by_role("button", name="We know and are looking").click()
    nora.sees(_CASE)


def _the_sterilizer(tom: Scanner, served: ServedBench) -> None:
    """Two packs in; after the load was released one is found wet: all of it is held, the dry one let go."""
    tom.signs_in("tom")
    tom.page.goto(f"{served.address}/at/north/bench/machines/sterilizer-1")
    for code in (FIRST, SECOND):
        tom.scan(code)
        expect(tom.page.locator("main").get_by_text(code).first).to_be_visible()
    tom.scan("TAP START")
    tom.sees("In the machine since")
    _pass(served, 45, tom)
    tom.page.goto(f"{served.address}/at/north/bench/machines/sterilizer-1")
    tom.scan("TAP OUT")
    expect(tom.page.locator("main").get_by_text("In the machine since")).to_have_count(0)
    load = load_with(served.bench, FIRST)
    decided(served.bench, recorded(served.bench, load))
    _pass(served, 40, tom)
    _a_wet_pack(tom.page, served, load)
    load_trouble.let_go(
        served.bench.house.archive,
        served.bench.house.visitor("lena"),
        load,
        reason="the other pack was dry inside and outside",
        now=served.now(),
    )


def _a_wet_pack(page: Page, served: ServedBench, load: str) -> None:
    page.goto(f"{served.address}/at/north/bench/loads/{load}")
    page.get_by_text("A pack is wet").click()
    page.locator("#wet-code").select_option(SECOND)
    page.locator("#wet form button").click()
    expect(page.locator("main .trouble").first).to_be_visible()
    assert load_now(served.bench, load).state == "held"
    served.now()
    assert served.bench.tap("tom", "put-in-store", code=FIRST).outcome == "refused"


def _the_store(tom: Scanner, served: ServedBench) -> None:
    """The dry pack goes into the store and out to tomorrow's case; the wet and the short one cannot."""
    page = tom.page
    page.goto(f"{served.address}/at/north/bench/store")
    tom.scan(SECOND)
    expect(page.locator("h1")).to_contain_text(SECOND)
    expect(page.get_by_role("button", name="Put in store")).to_have_count(0)
    served.now()
    for code in (SECOND, THIRD):
        assert served.bench.tap("tom", "put-in-store", code=code).outcome == "refused"
    page.goto(f"{served.address}/at/north/bench/store")
    tom.scan(FIRST)
    page.get_by_role("button", name="Put in store").click()
    page.get_by_label("Case number").first.fill(_NEXT_CASE)
    page.get_by_role("button", name="issue it").click()
    tom.settles()
    tom.sees("comes back unopened")
    assert _state(served, FIRST) == "issued"
