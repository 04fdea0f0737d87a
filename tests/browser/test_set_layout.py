"""The tray of a set in a browser: laid out, moved by mouse, by keys and without script."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from browser.conftest import SCREENS, Visit, Visiting


def _laid_out(window: Visit) -> str:
    """A set of three hooks that somebody measured, laid out; the address of its tray."""
    page = window.go("/at/valley/sets/new")
    page.fill("#name", "Elbow set 1")
    page.fill("#device", "Quarl 8 hook")
    page.fill("#count", "3")
    page.get_by_role("button", name="Make the set").click()
    page.get_by_role("link", name="Its tray").click()
    page.fill("#measured", "Quarl 8 hook; 150; 20")
    page.get_by_role("button", name="Lay it out").click()
    expect(page.get_by_role("status").first).to_contain_text("3 pieces laid out with seed 1")
    return page.url.removeprefix(window.house.address)


def _middle(page: Page, piece: str) -> tuple[float, float]:
    box = page.locator(f"[data-piece={piece}] circle").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_pieces_are_moved_by_mouse_by_keys_and_without_script(visit: Visiting) -> None:
    """Dragged onto another it is a stop at once; keys move another; a form does where no script runs."""
    window = visit()
    window.sign_in("lead")
    address = _laid_out(window)
    page = window.page
    glance = page.get_by_role("list", name="At a glance")
    expect(glance).not_to_contain_text("stop")
    (from_x, from_y), (to_x, to_y) = _middle(page, "A1"), _middle(page, "A2")
    page.mouse.move(from_x, from_y)
    page.mouse.down()
    page.mouse.move(to_x, to_y, steps=4)
    page.mouse.up()
    expect(glance).to_contain_text(re.compile("[12] stop"))
    expect(page.locator("#findings + .finding")).to_contain_text("lie on each other")
    expect(page.locator("[data-said]")).to_contain_text("A1: nearest")
    page.fill("#x", "abc")
    page.get_by_role("button", name="Move it").click()
    expect(page.get_by_role("alert")).to_contain_text("This was not done")
    expect(page.locator("#x-hint")).to_contain_text("Expected a number")
    page.get_by_role("link", name="Move A", exact=True).click()
    expect(page.locator("[data-tray]")).to_be_focused()
    for _ in range(5):
        page.keyboard.press("Shift+ArrowRight")
    expect(page.get_by_text(re.compile("Revision 3 .* Moved A"))).to_be_visible()
    for screen in SCREENS.values():
        page.set_viewport_size({"width": screen[0], "height": screen[1]})
        assert not window.overflows(), screen
    assert window.violations() == []
    plain = visit(script=False, look="dark")
    plain.sign_in("educator")
    page = plain.go(f"{address}?piece=A3#move")
    expect(page.locator("#move")).to_contain_text("A3")
    page.fill("#x", "9")
    page.get_by_role("button", name="Move it").click()
    expect(page.locator("main")).to_contain_text("A3 (Quarl 8 hook) sticks out of the tray by")
    page.get_by_text("From a wall, at least", exact=True).click()
    expect(page.locator(".kept")).to_contain_text("Common practice, no source")
