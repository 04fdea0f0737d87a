"""What goes through the lumens, in a browser: from the instruction's page, every number with its formula."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import pytest

from browser.conftest import SCREENS, Look, Visiting

ONE: Final = re.compile(r"/instructions/i-[0-9a-f]+$")
PIPIT: Final = """Example Works
Pipit suction tube

The tube has one lumen of 2 mm bore and 200 mm length.

Cleaning

Flush the lumen with 60 mL of demineralised water.

Drying

Blow medical air at 1 bar through the lumen for 1 minute.

Sterilization

Sterilize with steam, fractionated pre-vacuum, 134 °C for 3 minutes, drying time 20 minutes.
"""


@pytest.fixture(scope="module")
def kept() -> dict[str, str]:
    """The address of the tube once it was handed in."""
    return {}


@pytest.fixture
def pipit(visit: Visiting, kept: dict[str, str], tmp_path: Path) -> str:
    """The address of an instruction with one lumen, handed in once."""
    if "pipit" not in kept:
        window = visit()
        window.sign_in("educator")
        page = window.go("/at/valley/instructions/new")
        document = tmp_path / "pipit.txt"
        document.write_text(PIPIT, "utf-8")
        page.set_input_files("#document", document)
        page.locator("button", has_text="Read it").click()
        page.wait_for_url(ONE, timeout=60_000)
        kept["pipit"] = page.url.removeprefix(window.house.address)
    return kept["pipit"]


@pytest.mark.parametrize("script", [True, False])
def test_a_number_shows_how_it_was_computed(visit: Visiting, pipit: str, script: bool) -> None:
    """Led there from the instruction, a number opens by keyboard and tells formula, source and range."""
    window = visit(script=script)
    window.sign_in("educator")
    page = window.go(pipit)
    with page.expect_navigation(url=re.compile("/lumens$")):
        page.get_by_role("link", name="Through its lumens").click()
    assert "95.5" in page.locator("li", has_text="Exchanges").first.inner_text()
    pressure = page.locator("summary", has_text="Pressure").first
    pressure.focus()
    page.keyboard.press("Enter")
    told = pressure.locator("xpath=..").inner_text()
    assert "Colebrook" in told
    assert "Covers:" in told
    assert "without a time leaves speed" in page.inner_text("main")


def test_another_hand_gives_other_figures(visit: Visiting, pipit: str) -> None:
    """A chosen time of the hand narrows speed to one figure; a quickest above the slowest is refused."""
    window = visit()
    window.sign_in("educator")
    page = window.go(f"{pipit}/lumens")
    before = page.locator("summary", has_text="Speed").first.inner_text()
    page.get_by_label("A hand empties it in at least, s").fill("20")
    page.get_by_label("and in at most, s").fill("20")
    with page.expect_navigation():
        page.get_by_role("button", name="Compute").click()
    after = page.locator("summary", has_text="Speed").first.inner_text()
    assert " to " in before
    assert " to " not in after
    answer = page.request.get(f"{window.house.address}{pipit}/lumens?quickest=30&slowest=20")
    assert answer.status == 422
    assert "quickest hand" in answer.text()


@pytest.mark.parametrize("look", ["light", pytest.param("dark", marks=pytest.mark.long)])
def test_the_page_breaks_no_wcag_and_fits_each_screen(visit: Visiting, pipit: str, look: Look) -> None:
    """axe-core finds nothing, numbers closed and open, and nobody scrolls sideways from phone to wall."""
    for screen in SCREENS:
        window = visit(look=look, screen=screen)
        window.sign_in("lead")
        page = window.go(f"{pipit}/lumens")
        assert not window.overflows(), screen
        assert window.violations() == [], screen
        for summary in page.locator(".numbers summary").all():
            summary.click()
        assert not window.overflows(), screen
        assert window.violations() == [], screen
