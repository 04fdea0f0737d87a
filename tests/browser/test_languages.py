"""Languages in a browser: a template is reviewed by keyboard; axe finds no fault on any screen."""

from __future__ import annotations

from typing import Final

from playwright.sync_api import expect

from browser.conftest import SCREENS, Visiting

HOME: Final = "/at/valley/languages"


def test_template_is_reviewed_by_keyboard_and_the_pages_are_sound(visit: Visiting) -> None:
    """An educator ticks one template and reviews it; the pages fit each screen, and axe finds no fault."""
    window = visit(screen="desktop", look="dark")
    window.sign_in("educator")
    page = window.go(f"{HOME}/vi")
    page.get_by_role("checkbox").first.focus()
    page.keyboard.press("Space")
    page.get_by_role("button", name="These are right").first.focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Reviewed: 1 template.")
    assert window.violations() == []
    for screen in ("phone", "tablet"):
        width, height = SCREENS[screen]
        page.set_viewport_size({"width": width, "height": height})
        for path in (HOME, f"{HOME}/ar"):
            window.go(path)
            assert not window.overflows()
            assert window.violations() == []
