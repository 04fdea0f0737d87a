"""The fit table in a browser: a refusal is opened, its repair said to be true, and the cell turns."""

from __future__ import annotations

import re
import time
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import SCREENS, Look, Visit, Visiting
from browser.test_touch import SMALLEST_PX, TOO_SMALL
from support.fitting import LINNET

TABLE: Final = "/at/valley/fit"
READ_WITHIN_S: Final = 300


def _hand_in(window: Visit, size: int) -> str:
    """Hand in a text for a device whose cycle holds for so many minutes; its cell, once it was read."""
    text = LINNET.replace("for 3 minutes", f"for {size} minutes").replace("3 mm", f"{size} mm")
    page = window.go("/at/valley/instructions/new")
    page.set_input_files(
        "#document",
        {"name": f"linnet-{size}.txt", "mimeType": "text/plain", "buffer": text.encode()},
    )
    with page.expect_navigation():
        page.get_by_role("button", name="Read it").click()
    return f"Linnet {size} mm grasping forceps"


def _row(window: Visit, device: str) -> Page:
    """The table, once the device stands in it."""
    until = time.monotonic() + READ_WITHIN_S
    page = window.go(TABLE)
    while not page.get_by_role("rowheader", name=device).count() and time.monotonic() < until:
        page.wait_for_timeout(500)
        page.reload()
    return page


def _press(page: Page, role: str, name: str | re.Pattern[str]) -> None:
    """Press a button or link by keyboard, and wait for where it leads."""
    page.locator("main").get_by_role(role, name=name).first.focus()  # type: ignore[arg-type]
    with page.expect_navigation():
        page.keyboard.press("Enter")


@pytest.mark.parametrize(
    ("screen", "size"), [("desktop", 7), pytest.param("tablet", 8, marks=pytest.mark.long)]
)
def test_a_refusal_turns_once_its_repair_is_true(visit: Visiting, screen: str, size: int) -> None:
    """By keyboard alone: table, refusal, a plan refused, the validation kept, and then the cell fits."""
    window = visit(screen=screen)
    window.sign_in("lead")
    device = _hand_in(window, size)
    page = _row(window, device)
    assert window.violations() == []
    _press(page, "link", re.compile(f"^No route 1 missing ?: {device}, Valley"))
    expect(page.get_by_role("heading", name=re.compile("No route at Valley"))).to_be_visible()
    expect(page.locator("main")).to_contain_text("No program here is the named cycle")
    assert window.violations() == []
    _press(page, "link", "We have this now")
    page.locator("#firm").focus()
    page.keyboard.type("Invented Ltd")
    page.locator("#reference").focus()
    page.keyboard.type(f"V-{size}")
    assert window.violations() == []
    _press(page, "button", "Keep it")
    expect(page.get_by_role("alert")).to_contain_text("A plan changes nothing here")
    expect(page.locator("#reference")).to_have_value(f"V-{size}")
    page.locator("#in_place").focus()
    page.keyboard.press("Space")
    _press(page, "button", "Keep it")
    expect(page.get_by_role("status")).to_contain_text("of what this department has")
    expect(page.get_by_role("heading", name=re.compile("Fits at Valley"))).to_be_visible()
    expect(page.get_by_role("heading", name="The route")).to_be_visible()
    assert window.violations() == []
    _press(page, "link", "Fit table")
    row = page.get_by_role("row", name=re.compile(device))
    expect(row.get_by_role("cell")).to_contain_text("Fits")


def test_the_table_is_there_without_script(visit: Visiting) -> None:
    """Without script the table, a search and an opened cell are complete."""
    window = visit(script=False)
    window.sign_in("educator")
    page = _row(window, "sinus")
    page.fill("#text", "sinus")
    with page.expect_navigation():
        page.get_by_role("button", name="Show").click()
    assert page.locator("tbody tr").count() == 1
    page.locator("td a").first.click()
    expect(page.get_by_role("heading", name="What stops it")).to_be_visible()


@pytest.mark.parametrize("look", ["light", pytest.param("dark", marks=pytest.mark.long)])
def test_every_page_is_fit_for_everybody(visit: Visiting, look: Look) -> None:
    """Table, refusal and form keep WCAG 2.2 AA, scroll nowhere sideways, and suit gloves on a phone."""
    for screen in ("phone", "tablet", "desktop"):
        window = visit(screen=screen, look=look)
        window.sign_in("lead")
        device = _hand_in(window, 9)
        page = _row(window, device)
        # The house is one for all looks and screens, so that the device stands there once for each of them.
        refused = page.get_by_role("link", name=re.compile(f"missing ?: {device}")).first
        cell = refused.get_attribute("href") or ""
        change = window.go(cell).locator("a.button").first.get_attribute("href") or ""
        for path in (TABLE, cell, change):
            window.go(path)
            assert window.violations() == [], (path, screen)
            assert not window.overflows(), (path, SCREENS[screen])
            if screen != "desktop":
                assert page.evaluate(TOO_SMALL, SMALLEST_PX) == [], (path, screen)
