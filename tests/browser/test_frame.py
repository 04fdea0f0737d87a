"""The frame in a browser: signing in, People, Today, record book; by keyboard, on any screen, in any look."""

from __future__ import annotations

import pytest

from browser.conftest import SCREENS, Look, Visiting

PLACES = (
    "/account",
    "/at/valley/today",
    "/at/valley/people",
    "/at/valley/people/new",
    "/at/valley/record",
    "/at/valley/record/chain",
    "/at/valley/jobs",
    "/at/valley/nowhere",
)


@pytest.mark.parametrize("look", ["light", pytest.param("dark", marks=pytest.mark.long)])
def test_no_page_of_the_frame_breaks_wcag(visit: Visiting, look: Look) -> None:
    """axe-core finds no violation of WCAG 2.2 A or AA on any page of the frame, light and dark."""
    window = visit(look=look)
    window.go("/sign-in")
    assert window.violations() == []
    window.sign_in("administrator")
    for place in PLACES:
        window.go(place)
        assert window.violations() == [], place
    window.page.goto(window.house.address + "/at/valley/people")
    window.page.locator("tbody a").first.click()
    assert window.violations() == []
    window.go("/tablet")
    assert window.violations() == []


@pytest.mark.parametrize("screen", sorted(SCREENS))
def test_pages_fit_their_screen(visit: Visiting, screen: str) -> None:
    """From a phone to a wall screen, nobody scrolls sideways."""
    window = visit(screen=screen)
    window.sign_in("administrator")
    for place in PLACES:
        window.go(place)
        assert not window.overflows(), place


def test_people_by_keyboard_alone(visit: Visiting) -> None:
    """Somebody is added with the keyboard alone, chooses a password through the link, and signs in."""
    window = visit(screen="tablet")
    page = window.sign_in("administrator")
    window.go("/at/valley/people/new")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.locator("#name").focus()
    for text in ("Wanda Kowalska", "wanda"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.keyboard.press("Space")
    with page.expect_navigation():
        page.locator("#until").press("Enter")
    link = page.locator(".secret").inner_text()
    assert link.startswith(window.house.address + "/new-password/")
    other = visit(screen="tablet")
    other.page.goto(link)
    other.waits_at("password")
    other.page.keyboard.type("quiet rivers run deep")
    with other.page.expect_navigation():
        other.page.keyboard.press("Enter")
    assert "The password is set" in other.page.inner_text("main")
    other.house.passwords["wanda"] = "quiet rivers run deep"
    assert "Wanda Kowalska" in other.sign_in("wanda").inner_text("header")


def test_a_wrong_password_is_said_plainly_and_the_name_is_kept(visit: Visiting) -> None:
    """Refused, the page says why in one sentence, and keeps the name that was typed."""
    page = visit().go("/sign-in")
    page.fill("#name", "nobody-here")
    page.fill("#password", "not the password")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "do not fit together" in page.inner_text("[role=alert]")
    assert page.input_value("#name") == "nobody-here"
    assert page.input_value("#password") == ""


def test_everything_works_without_script(visit: Visiting) -> None:
    """With scripts switched off, one signs in, searches the record book and signs out."""
    window = visit(script=False)
    page = window.sign_in("lead")
    window.go("/at/valley/record")
    page.fill("#text", "person-added")
    page.locator("button", has_text="Search").click()
    assert "added" in page.inner_text("table")
    page.locator("button", has_text="Sign out").click()
    assert "You are signed out" in page.inner_text("main")


def test_a_chosen_look_stays(visit: Visiting) -> None:
    """Dark, once chosen, is kept by this browser, whatever the device prefers."""
    page = visit(look="light").go("/sign-in")
    page.locator("button", has_text="Dark").click()
    assert page.get_attribute("html", "data-look") == "dark"
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(18, 25, 31)"


def test_a_job_shows_how_far_it_is(visit: Visiting) -> None:
    """The documents that the demo handed in are read by the worker, and their pages end by themselves."""
    window = visit()
    page = window.sign_in("lead")
    window.go("/at/valley/jobs")
    page.locator("tbody a").last.click()
    page.wait_for_selector("text=See what came of it", timeout=60_000)
    assert "Done" in page.inner_text("main")
