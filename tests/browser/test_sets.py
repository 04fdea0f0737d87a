"""Sets in a browser: a set of twelve has no common cycle and is split in one act, by keyboard too."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from browser.conftest import SCREENS, Look, Visiting
from browser.test_touch import SMALLEST_PX, TOO_SMALL
from browser.twelve import HOME, have_read, of_twelve, press, sheet, type_into


@pytest.mark.parametrize("screen", ["desktop", pytest.param("tablet", marks=pytest.mark.long)])
def test_a_set_of_twelve_is_split_by_keyboard_in_one_act(visit: Visiting, screen: str) -> None:
    """No cycle is common to the twelve: one press makes two sets, each with a cycle, each a document."""
    window = visit(screen=screen)
    window.sign_in("lead")
    have_read(window)
    page = of_twelve(window, f"Knee set for the {screen}")
    route = page.get_by_role("region", name="Its way through this department")
    expect(route).to_contain_text("No cycle here is named by every device: it must be split into 2 sets.")
    expect(route.locator(".parts > li")).to_have_count(2)
    assert window.violations() == []
    assert not window.overflows()
    address = page.url
    press(page, "Split into 2 sets")
    expect(page.get_by_role("status")).to_contain_text("Split into 2 sets, by Tove Rasmussen.")
    expect(page.locator("main")).to_contain_text("Split into sets of its own.")
    for part, devices, program in (
        ("part 1", "all 6 kinds of device", "134 °C, 5 min"),
        ("part 2", "all 6 kinds of device", "132 °C, 4 min"),
    ):
        name = f"Knee set for the {screen}, {part}"
        page.goto(address)
        press(page, name)
        expect(page.get_by_role("heading", level=1)).to_have_text(name)
        expect(page.get_by_role("region", name="Its way through this department")).to_contain_text(
            re.compile(rf"One cycle for {devices}: Sterilizer \d, {program}")
        )
        with page.expect_download() as saved:
            page.get_by_role("link", name="Save as a document").click()
        assert f"name: {name}" in saved.value.path().read_text("utf-8")


def test_a_set_is_made_and_changed_by_keyboard_alone(visit: Visiting) -> None:
    """A set with its first device, a second one with parts and a fault that is told first, and its mass."""
    window = visit()
    window.sign_in("educator")
    page = window.go(HOME)
    press(page, "A new set")
    type_into(page, "name", "Finger set")
    type_into(page, "device", "Quarl 3 hook")
    press(page, "Make the set")
    press(page, "Add a device")
    type_into(page, "device", "Quarl 5 punch")
    type_into(page, "mass", "heavy")
    type_into(page, "parts", "shaft; 1; 20 g; left row")
    page.locator("[name=mates]").focus()
    page.keyboard.press("Space")
    press(page, "Add the device")
    expect(page.locator("#mass-hint")).to_contain_text("'heavy' is no quantity")
    expect(page.locator("#parts")).to_have_value("shaft; 1; 20 g; left row")
    expect(page.locator("[name=mates]")).to_be_checked()
    assert window.violations() == []
    type_into(page, "mass", "210 g")
    press(page, "Add the device")
    expect(page.get_by_role("status")).to_contain_text("this is revision 2")
    expect(page.locator(".contents")).to_contain_text("belongs with Quarl 3 hook")
    page.locator("summary", has_text="Change name, packaging, masses").focus()
    page.keyboard.press("Enter")
    type_into(page, "mass", "12 kg")
    press(page, "Keep the change")
    findings = page.get_by_role("region", name="What is wrong with it")
    expect(findings).to_contain_text("The set weighs 12 kg with its packaging; the limit in force is 10 kg")
    history = page.get_by_role("region", name="What changed since the revision before")
    expect(history).to_contain_text("mass of the packed set not said → 12 kg")
    assert window.violations() == []


def test_faults_of_a_sheet_are_told_without_script(visit: Visiting) -> None:
    """Without script a sheet with faults is refused row by row; mended, it makes the set."""
    window = visit(script=False, screen="phone")
    window.sign_in("lead")
    page = window.go(f"{HOME}/new")
    page.fill("#set_name", "Toe set")
    page.set_input_files("#file", sheet(("device", "count"), ("hook", "many")))
    page.get_by_role("button", name="Make it from the file").click()
    expect(page.get_by_role("alert")).to_contain_text("Row 2, count: 'many'; expected a whole number.")
    page.set_input_files("#file", sheet(("device", "count"), ("hook", 2)))
    page.get_by_role("button", name="Make it from the file").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Toe set")
    page.locator("summary", has_text="Take it out of use").click()
    page.fill("#why-ended", "Never bought")
    page.get_by_role("button", name="Take Toe set out of use").click()
    expect(page.get_by_role("status")).to_contain_text("Out of use, by Tove Rasmussen.")


def test_whoever_may_only_read_is_offered_nothing_else(visit: Visiting) -> None:
    """A technician sees contents, route and findings, and no form but the search."""
    window = visit(screen="phone")
    window.sign_in("technician")
    page = window.go(HOME)
    press(page, "Hand surgery set 3")
    expect(page.locator(".contents")).to_contain_text("micro-scissors")
    assert page.locator("main form").count() == 0


@pytest.mark.parametrize(
    ("screen", "look"),
    [
        ("phone", "dark"),
        *(pytest.param(screen, "light", marks=pytest.mark.long) for screen in SCREENS),
    ],
)
def test_every_page_fits_every_screen(visit: Visiting, screen: str, look: Look) -> None:
    """No page breaks WCAG 2.2 A or AA, scrolls sideways, or is too small for gloved fingers."""
    window = visit(screen=screen, look=look)
    window.sign_in("lead")
    page = window.go(HOME)
    address = page.get_by_role("link", name="Hand surgery set 3").get_attribute("href")
    own = [
        f"{address}{path}"
        for path in ("", "/moisture", "/moisture/things", "/devices/1", "/devices/new", "/changes")
    ]
    for path in (HOME, f"{HOME}/new", *own):
        page = window.go(path)
        assert window.violations() == [], path
        assert not window.overflows(), path
        if screen in {"phone", "tablet"}:
            assert page.evaluate(TOO_SMALL, SMALLEST_PX) == [], path
