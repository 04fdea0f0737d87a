"""Solutions at the sink in a browser: by keyboard, by finger, in large figures, in the dark too."""

from __future__ import annotations

from typing import Final

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import SCREENS, Look, Visiting

HOME: Final = "/at/valley/solutions"
WORKED: Final = f"{HOME}/new?chemical=enzyclear&litres=30&temperature=38&dose=5+mL/L&hardness=260"
REFUSED: Final = f"{HOME}/new?chemical=enzyclear&litres=30&temperature=52"
PAGES: Final = (HOME, f"{HOME}/new", f"{HOME}/new?chemical=enzyclear", WORKED, REFUSED)


def _press(page: Page, words: str) -> None:
    """Press a button by keyboard, and wait for where it leads."""
    page.locator("main").get_by_role("button", name=words, exact=True).focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")


def _type(page: Page, field: str, text: str) -> None:
    page.locator(f"#{field}").focus()
    page.keyboard.press("Control+a")
    page.keyboard.type(text)


@pytest.mark.parametrize(("screen", "lot"), [("desktop", "EC-D1"), ("tablet", "EC-T1")])
def test_from_the_product_to_the_log_by_keyboard_alone(visit: Visiting, screen: str, lot: str) -> None:
    """Product, litres, warmth: too hot is refused; else the dose stands large, and is logged with its lot."""
    window = visit(screen=screen)
    window.sign_in("technician")
    page = window.go(HOME)
    page.locator("main").get_by_role("link", name="Enzyclear 4 mL/L").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    _type(page, "litres", "30")
    _type(page, "temperature", "52")
    _press(page, "Work out the dose")
    expect(page.get_by_role("alert")).to_contain_text(
        "The water is at 52 °C; Enzyclear works at 20 °C to 45 °C"
    )
    assert page.get_by_role("button", name="Log it").count() == 0
    _type(page, "temperature", "38")
    _press(page, "Work out the dose")
    expect(page.locator(".amount")).to_have_text("120 mL")
    _type(page, "lot", lot)
    _press(page, "Log it")
    expect(page.get_by_role("status")).to_contain_text("Logged: 120 mL of Enzyclear in 30 L. Discard by")
    in_use = page.get_by_role("region", name="In use").get_by_role("listitem").filter(has_text=lot)
    expect(in_use).to_contain_text("left")
    in_use.get_by_role("link", name="Discard").last.click()
    page.fill("#why", "Visibly soiled")
    _press(page, "Discarded")
    expect(page.get_by_role("region", name="Discarded lately")).to_contain_text(lot)


def test_what_is_over_is_discarded_with_one_tap_from_today(visit: Visiting) -> None:
    """Today leads to the solution whose time is over; it is discarded there and no longer waits."""
    window = visit(screen="tablet", script=False)
    page = window.sign_in("technician")
    link = page.get_by_role("link", name="Discard now: Neutraflow")
    link.click()
    page.get_by_role("button", name="Discarded").click()
    expect(page.get_by_role("status")).to_contain_text("Neutraflow, 12 L: discarded.")
    window.go("/at/valley/today")
    expect(link).to_have_count(0)


@pytest.mark.parametrize("look", ["light", pytest.param("dark", marks=pytest.mark.long)])
def test_every_page_is_fit_for_everybody(visit: Visiting, look: Look) -> None:
    """No page of solutions breaks WCAG 2.2 AA or scrolls sideways, on a phone, a tablet and a desk."""
    for screen in ("phone", "tablet", "desktop"):
        window = visit(screen=screen, look=look)
        window.sign_in("technician")
        for path in PAGES:
            page = window.go(path)
            page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
            assert window.violations() == [], (path, screen)
            assert not window.overflows(), (path, SCREENS[screen])
