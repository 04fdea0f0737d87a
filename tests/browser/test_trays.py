"""A set of twelve in a browser, from list to packed tray: split, laid out, moved, and what stays wet."""

from __future__ import annotations

import re
from typing import Final

from playwright.sync_api import Locator, Page, expect

from browser.conftest import Visiting
from browser.twelve import HOTTER, LONGER, THRICE, have_read, of_twelve, press, type_into

_PARTS: Final = {"part 1": HOTTER, "part 2": LONGER}
_LONG_MM, _WIDE_MM = 150, 18


def _pack(page: Page, address: str) -> None:
    """Say what the twelve are made of and packed in, for all of them at once."""
    page.goto(address)
    page.locator("summary", has_text="Change name, packaging, masses").click()
    page.select_option("#packaging", "container")
    type_into(page, "packaging_mass", "2.1 kg")
    press(page, "Keep the change")
    page.goto(f"{address}/moisture/things")
    page.select_option("#material", "stainless-steel")
    press(page, "Say this of the ticked ones")
    page.select_option("#packaging_material", "aluminium")
    press(page, "Keep the packaging")


def _lay_out(page: Page, sizes: tuple[int, ...]) -> None:
    """Lay a part out in the department's tray, with what somebody measured of its pieces."""
    measured = [f"{turn} {size} mm forceps; {_LONG_MM}; {_WIDE_MM}" for size in sizes for turn in THRICE]
    press(page, "Its tray")
    page.select_option("#tray", "tray-mesh")
    page.fill("#measured", "\n".join(measured))
    press(page, "Lay it out")
    expect(page.locator(".tray-list tbody tr")).to_have_count(len(measured))
    assert page.locator("[data-tray] [data-piece]").count() == len(measured)


def _place(page: Page, piece: str) -> tuple[str, str]:
    """Where a piece lies, as the list of the page tells it, in mm."""
    cells = page.locator(f'.places-list [data-id="{piece}"]').locator("xpath=ancestor-or-self::tr/td")
    return cells.nth(0).text_content() or "", cells.nth(1).text_content() or ""


def _middle(piece: Locator) -> tuple[float, float]:
    box = piece.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def _move_by_keyboard(page: Page) -> None:
    """One millimetre to the right, by letter and arrow: the house judges it and keeps it."""
    piece = page.locator(".places-list [data-id]").first.get_attribute("data-id") or ""
    x, y = _place(page, piece)
    page.locator("[data-tray]").focus()
    page.keyboard.press(piece[:1])
    page.keyboard.press("ArrowRight")
    expect(page.locator("[data-said]")).to_contain_text("nearest")
    page.reload()
    moved_x, moved_y = _place(page, piece)
    assert (float(moved_x) - float(x), moved_y) == (1.0, y)


def _move_by_mouse(page: Page) -> None:
    """Dragged onto another piece, it lies there and is a stop until somebody takes it away."""
    first, second = (page.locator("[data-tray] [data-piece]").nth(at) for at in (0, 1))
    piece = first.get_attribute("data-piece") or ""
    before = _place(page, piece)
    first.scroll_into_view_if_needed()
    (x, y), (to_x, to_y) = _middle(first), _middle(second)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(to_x, to_y, steps=4)
    page.mouse.up()
    expect(page.get_by_role("region", name="What is wrong with it")).to_contain_text("lie on each other")
    page.reload()
    assert _place(page, piece) != before


def test_a_set_of_twelve_from_its_list_to_what_stays_wet(visit: Visiting) -> None:
    """No cycle serves all, so it is split; each tray is laid out and moved; water opens to its formula."""
    window = visit()
    window.sign_in("lead")
    have_read(window)
    page = of_twelve(window, "Knee set for the trays")
    address = page.url
    expect(page.get_by_role("region", name="Its way through this department")).to_contain_text(
        "it must be split into 2 sets"
    )
    _pack(page, address)
    page.goto(f"{address}/moisture")
    expect(page.locator("main")).to_contain_text("Its devices share no cycle")
    press(page, "Split the set")
    press(page, "Split into 2 sets")
    for part, sizes in _PARTS.items():
        page.goto(address)
        press(page, f"Knee set for the trays, {part}")
        of_part = page.url
        _lay_out(page, sizes)
        (_move_by_keyboard if part == "part 1" else _move_by_mouse)(page)
        page.goto(of_part)
        expect(page.locator(".small-tray svg")).to_be_visible()
        press(page, "What stays wet, and why")
        expect(page.locator(".risk")).to_contain_text(re.compile("A wet pack is (unlikely|possible|likely)"))
        wettest = page.locator(".wet-places > li").first
        expect(wettest).to_contain_text("What drains from the things runs here")
        number = wettest.locator("summary", has_text="May be left")
        number.focus()
        page.keyboard.press("Enter")
        expect(number.locator("xpath=..")).to_contain_text("Covers:")
        expect(number.locator("xpath=..")).to_contain_text("left = what stayed")
        assert window.violations() == []
        assert not window.overflows()
