"""Machines in a browser: a failed test closes one, its loads are listed, three empty cycles bring it back."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Locator, Page, expect

from browser.conftest import SCREENS, Look, Visit, Visiting
from sinkside import documents
from sinkside.cycles import simulate, write_recorder_file
from sinkside.department import Program

MACHINE: Final = "/at/valley/machines/sterilizer-1"
CLOSED: Final = "/at/valley/machines/sterilizer-2"
PROGRAM: Final = "Sterilizer 2: 134 °C, 3 min"
STEAM: Final = {
    "kind": "steam-prevacuum",
    "name": "134 °C, 3 min",
    "exposure": {"temperature": "134 °C", "band": "3 K", "time": "3 min"},
    "air_removal": {"pulses": 3, "vacuum": "15 kPa"},
    "drying": {"time": "15 min", "vacuum": "10 kPa"},
}
PAGES: Final = (
    "/at/valley/machines",
    "/at/valley/machines/sterilizer-2",
    "/at/valley/machines/washer-2",
    f"{MACHINE}/checks/leak-rate",
    "/at/valley/machines/room-packing/checks/room-climate",
    "/at/valley/checks",
    "/at/valley/checks/leak-rate",
    "/at/valley/indicators",
)


@pytest.fixture(scope="module")
def tapes(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Records of three empty cycles that meet their program."""
    folder = tmp_path_factory.mktemp("empty")
    program = documents.validate(Program, STEAM, resource="program")
    made = []
    for seed in (901, 902, 903):
        made.append(folder / f"empty-{seed}.csv")
        write_recorder_file(simulate(program, "normal", seed=seed), made[-1])
    return made


def _record(page: Page, answers: dict[str, str]) -> None:
    """Answer a check's questions by keyboard alone, and record it."""
    for field, answer in answers.items():
        group = page.locator(f"#{field}")
        if answer in {"yes", "no"}:
            group.locator(f"input[value={answer}]").focus()
            page.keyboard.press("Space")
        else:
            group.focus()
            page.keyboard.type(answer)
    page.get_by_role("button", name="Record", exact=True).focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")


def _empty_cycle(window: Visit, tape: Path) -> None:
    """Run an empty cycle: hand its record in, and record it as the test."""
    page = window.go("/at/valley/cycles/new")
    page.set_input_files("#files", [str(tape)])
    page.select_option("#program", label=PROGRAM)
    with page.expect_navigation():
        page.get_by_role("button", name="Judge").click()
    expect(page.locator("main")).to_contain_text("while it was out of use")
    page = window.go(f"{CLOSED}/checks/empty-cycle")
    page.select_option("#cycle", index=0)
    _record(page, {"answer_1": "yes", "answer_2": "yes"})


def test_from_a_failing_leak_test_back_into_use(visit: Visiting, tapes: list[Path]) -> None:
    """By keyboard: a failing leak test closes the machine and lists its loads; the way back opens it."""
    window = visit()
    window.sign_in("lead")
    page = window.go(f"{CLOSED}/checks/leak-rate")
    _record(page, {"answer_1": "2,4"})
    expect(page.get_by_role("status")).to_contain_text("Sterilizer 2 is out of use")
    expect(page.get_by_role("heading", name="Out of use")).to_be_visible()
    loads = page.get_by_role("table", name="Loads since the last good check")
    assert loads.locator("tbody tr").count() >= 2
    assert window.violations() == []
    page.get_by_text("Add a reason why it is out of use").click()
    page.select_option("#why", label="Major repair")
    page.fill("#happened", "Door gasket and one valve replaced")
    with page.expect_navigation():
        page.get_by_role("button", name="Add this reason").click()
    for tape in tapes:
        _empty_cycle(window, tape)
    for _ in range(3):
        _record(window.go(f"{CLOSED}/checks/air-removal"), {"answer_1": "yes"})
    expect(page.get_by_text("It can be returned to use once all of this is shown")).to_be_visible()
    _record(window.go(f"{CLOSED}/checks/leak-rate"), {"answer_1": "0.4"})
    page.fill("#reason", "Three empty cycles and the tests passed")
    with page.expect_navigation():
        page.get_by_role("button", name="Return to use").click()
    expect(page.get_by_role("status")).to_contain_text("In use again, by Tove Rasmussen")
    expect(page.get_by_role("heading", name="Out of use")).to_have_count(0)


def _unfolded(page: Page, name: str) -> Locator:
    """The longest trend of a figure, unfolded; whether it drifts hangs on what other tests handed in."""
    trends = page.locator("details.trend", has_text=name).all()
    trend = max(trends, key=lambda one: one.locator("tbody tr").count())
    if trend.get_attribute("open") is None:
        trend.locator("summary").first.click()
    return trend


def test_a_trend_is_read_point_by_point_by_keyboard(visit: Visiting) -> None:
    """Arrow keys on the chart tell each cycle with its value, as the table does; Enter opens that cycle."""
    window = visit()
    window.sign_in("lead")
    page = window.go(MACHINE)
    trend = _unfolded(page, "Drying vacuum")
    newest = trend.locator("tbody tr").first.locator("td.number").inner_text()
    chart = trend.locator(".chart-box")
    chart.focus()
    page.keyboard.press("End")
    told = trend.locator(".told")
    expect(told).to_contain_text(newest)
    last = told.inner_text()
    page.keyboard.press("ArrowLeft")
    expect(told).not_to_have_text(last)
    page.keyboard.press("Home")
    expect(told).to_contain_text("kPa")
    expect(told).not_to_contain_text("outside")
    assert trend.locator("svg .ring").count() == 1
    with page.expect_navigation(url="**/cycles/c-*"):
        page.keyboard.press("Enter")


def test_the_days_and_charts_are_there_without_script(visit: Visiting) -> None:
    """Without script the line of days, the charts and the tables behind them are complete."""
    window = visit(script=False)
    window.sign_in("lead")
    page = window.go(MACHINE)
    expect(page.locator(".days-wide svg")).to_be_visible()
    trend = _unfolded(page, "Drying vacuum")
    expect(trend.locator("svg").first).to_be_visible()
    assert trend.locator("table a").count() > 30


def test_a_late_indicator_is_read_and_growth_leads_to_the_machine(visit: Visiting) -> None:
    """Today leads to the indicator whose hours are over; it is read by keyboard, and then no longer waits."""
    window = visit()
    page = window.sign_in("technician")
    link = page.get_by_role("link", name="a biological indicator is to be read")
    with page.expect_navigation():
        link.click()
    assert window.violations() == []
    _record(page, {"grew": "no", "control": "yes"})
    expect(page.locator("main")).to_contain_text("No growth")
    window.go("/at/valley/today")
    expect(link).to_have_count(0)


@pytest.mark.parametrize("look", ["light", pytest.param("dark", marks=pytest.mark.long)])
def test_every_page_is_fit_for_everybody(visit: Visiting, look: Look) -> None:
    """No page of machines or indicators breaks WCAG 2.2 AA or scrolls sideways, on a phone and on a desk."""
    for screen in ("phone", "desktop"):
        window = visit(screen=screen, look=look)
        window.sign_in("lead")
        for path in (*PAGES, MACHINE):
            window.go(path)
            assert window.violations() == [], (path, screen)
            assert not window.overflows(), (path, SCREENS[screen])
