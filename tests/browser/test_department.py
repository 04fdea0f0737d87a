"""The department in a browser: filled by spreadsheet and by form, with keyboard alone, on every screen."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest
from openpyxl import load_workbook
from playwright.sync_api import Page, expect

from browser.conftest import SCREENS, Look, Visiting

HOME: Final = "/at/valley/department"
PAGES: Final = (
    HOME,
    f"{HOME}/machines",
    f"{HOME}/machines/4",
    f"{HOME}/programs/1-1",
    f"{HOME}/programs/new?under=4",
    f"{HOME}/programs/new?under=4&kind=steam-prevacuum",
    f"{HOME}/phases/new?under=1-1",
    f"{HOME}/chemicals",
    f"{HOME}/chemicals/2",
    f"{HOME}/water/1",
    f"{HOME}/brushes/new",
    f"{HOME}/programs/9-1",
    f"{HOME}/claims/9-1-2",
    f"{HOME}/claims/new?under=9-1",
    f"{HOME}/packaging",
    f"{HOME}/packaging/4",
    f"{HOME}/shifts",
    f"{HOME}/staff/3",
    f"{HOME}/policies",
    f"{HOME}/department/1",
    f"{HOME}/changes",
    f"{HOME}/import",
)


def _press(page: Page, words: str) -> None:
    """Press a button or link by keyboard, and wait for where it leads."""
    main = page.locator("main")
    place = main.get_by_role("button", name=words, exact=True).or_(
        main.get_by_role("link", name=words, exact=True)
    )
    place.first.focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")


def _type(page: Page, field: str, text: str) -> None:
    page.locator(f"#{field}").focus()
    page.keyboard.press("Control+a")
    page.keyboard.type(text)


@pytest.mark.parametrize("screen", ["desktop", "tablet"])
def test_a_spreadsheet_is_filled_in_looked_at_and_kept(visit: Visiting, tmp_path: Path, screen: str) -> None:
    """The filled-in sheet is saved, mended after its faults are told, shown as changes, and then kept."""
    window = visit(screen=screen)
    window.sign_in("lead")
    page = window.go(f"{HOME}/import")
    with page.expect_download() as saved:
        page.get_by_role("link", name="What is here now").click()
    table = tmp_path / "valley.xlsx"
    saved.value.save_as(table)
    workbook = load_workbook(table)
    brushes = workbook["brushes"]
    brushes.append([f"brush-{screen}", f"brush for the {screen}", "as wide as a thumb", "400 mm"])
    workbook.save(table)
    page.set_input_files("#table", table)
    _press(page, "Show what would change")
    expect(page.get_by_role("alert")).to_contain_text(f"Brushes, row {brushes.max_row}, diameter:")
    assert window.violations() == []
    brushes.cell(brushes.max_row, 3).value = "2.7 mm"
    workbook.save(table)
    page.set_input_files("#table", table)
    _press(page, "Show what would change")
    expect(page.locator("main")).to_contain_text("1 change. Nothing is changed yet.")
    expect(page.get_by_role("row", name=f"brush for the {screen}")).to_contain_text("diameter 2.7 mm")
    assert window.violations() == []
    assert not window.overflows()
    _press(page, "Keep these changes")
    expect(page.get_by_role("status")).to_contain_text("by Tove Rasmussen")
    _press(page, "What changed last")
    expect(page.locator("main")).to_contain_text("From the spreadsheet valley.xlsx")


def test_a_machine_and_its_program_are_added_by_keyboard_alone(visit: Visiting) -> None:
    """A sterilizer, a program of it and a change of that program, without a mouse; a fault is told first."""
    window = visit()
    window.sign_in("lead")
    page = window.go(HOME)
    _press(page, "Machines")
    _press(page, "Add a machine")
    _type(page, "name", "Sterilizer 9")
    page.locator("#kind").focus()
    page.keyboard.type("steam")
    _press(page, "Add the machine")
    _press(page, "Sterilizer 9")
    _press(page, "Add a program")
    _press(page, "Steam prevacuum")
    _type(page, "name", "132 °C, 4 min")
    _type(page, "exposure_temperature", "132 °C")
    _type(page, "exposure_time", "four")
    _type(page, "pulses", "4")
    _type(page, "pulse_vacuum", "15 kPa")
    _type(page, "drying_time", "20 min")
    _press(page, "Add the program")
    expect(page.locator("#exposure_time-hint")).to_contain_text("'four' is no quantity")
    assert window.violations() == []
    _type(page, "exposure_time", "4 min")
    _press(page, "Add the program")
    _press(page, "132 °C, 4 min")
    page.locator("summary", has_text="Change").focus()
    page.keyboard.press("Enter")
    _type(page, "drying_time", "30 min")
    _type(page, "why", "Validated in May")
    _press(page, "Keep the change")
    history = page.get_by_role("region", name="How it was")
    expect(history).to_contain_text("drying time 20 min → 30 min")
    expect(history).to_contain_text("Validated in May")


def test_a_thing_is_struck_without_script(visit: Visiting) -> None:
    """Without script a brush is added and struck again, and the comparison shows both."""
    window = visit(script=False, screen="tablet")
    window.sign_in("lead")
    page = window.go(f"{HOME}/brushes/new")
    page.fill("#name", "brush without script")
    page.get_by_role("button", name="Add the brush").click()
    page.get_by_role("link", name="brush without script").click()
    page.locator("summary", has_text="Strike").click()
    page.get_by_role("button", name="Strike brush without script").click()
    expect(page.get_by_role("status")).to_contain_text("Struck, by Tove Rasmussen")
    page = window.go(f"{HOME}/changes")
    expect(page.get_by_role("row", name="brush without script")).to_contain_text("gone")


def test_whoever_may_only_read_is_offered_nothing_else(visit: Visiting) -> None:
    """A technician sees every figure and no form."""
    window = visit(screen="phone")
    window.sign_in("technician")
    page = window.go(f"{HOME}/chemicals/2")
    expect(page.locator("main")).to_contain_text("4 mL/L to 10 mL/L")
    assert page.locator("main form").count() == 0


@pytest.mark.parametrize("look", ["light", pytest.param("dark", marks=pytest.mark.long)])
def test_every_page_is_fit_for_everybody(visit: Visiting, look: Look) -> None:
    """No page of the department breaks WCAG 2.2 AA or scrolls sideways, on a phone, a tablet and a desk."""
    for screen in ("phone", "tablet", "desktop"):
        window = visit(screen=screen, look=look)
        window.sign_in("lead")
        for path in PAGES:
            page = window.go(path)
            page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
            assert screen == "tablet" or window.violations() == [], (path, screen)
            assert not window.overflows(), (path, SCREENS[screen])
