"""Fingers in gloves: what is pressed on a phone or a tablet is large enough, wherever people work."""

from __future__ import annotations

import time
from typing import Final

import pytest
from playwright.sync_api import Page

from browser.conftest import Visit, Visiting

#: WCAG 2.2, success criterion 2.5.5 (level AAA): 44 by 44 CSS pixels, links within a sentence excepted (from
#: memory; the criterion of level AA asks for 24).
SMALLEST_PX: Final = 44
READ_WITHIN_S: Final = 60

#: What is pressed and too small: a tick counts with its words, a row pressed as a whole with all of it.
TOO_SMALL: Final = """smallest => [...document.querySelectorAll(
  "a[href], button, summary, input:not([type=hidden]), select, textarea"
)].flatMap((one) => {
  if (!one.checkVisibility() || one.closest(".unseen, .skip")) return [];
  const whole = one.matches("[type=checkbox]") ? one.closest("label")
    : one.matches(".whole") ? one.closest(".step-head, li, tr") : one;
  const { width, height } = whole.getBoundingClientRect();
  const words = one.textContent.trim();
  const around = one.parentElement.textContent.trim();
  const isInSentence = getComputedStyle(one).display === "inline" && around.length > words.length + 3;
  const fits = Math.min(width, height) > smallest - 0.5;
  return fits || isInSentence ? [] : [`${one.tagName} ${words.slice(0, 40)}: ${width} x ${height}`];
})"""

SIGNED_OUT: Final = ("/sign-in",)
OF_A_LEAD: Final = (
    "/at/valley/today",
    "/at/valley/instructions",
    "/at/valley/instructions/new",
    "/at/valley/cycles?shown=all",
    "/at/valley/cycles/new",
    "/at/valley/department",
    "/at/valley/department/machines/4",
    "/at/valley/department/brushes/new",
    "/at/valley/department/import",
    "/at/valley/solutions",
    "/at/valley/solutions/new?chemical=enzyclear",
    "/at/valley/solutions/new?chemical=enzyclear&litres=30&temperature=38",
    "/at/valley/record",
    "/at/valley/record/chain",
    "/at/valley/jobs",
    "/at/valley/nowhere",
    "/tablet",
    "/account",
)


def _too_small(window: Visit) -> list[str]:
    return list(window.page.evaluate(TOO_SMALL, SMALLEST_PX))


def _open_when_read(window: Visit, words: str) -> Page:
    """Open the instruction whose name has some words, once the worker has read it."""
    page = window.go(f"/at/valley/instructions?text={words}")
    until = time.monotonic() + READ_WITHIN_S
    while not page.locator(".shelf .counts").count() and time.monotonic() < until:
        page.wait_for_timeout(500)
        page.reload()
    page.locator("th a", has_text=words).click()
    return page


@pytest.mark.parametrize("screen", ["phone", "tablet"])
def test_nothing_to_press_is_smaller_than_a_gloved_finger(visit: Visiting, screen: str) -> None:
    """On phone and tablet, whatever is pressed is at least 44 px high and wide, or stands in a sentence."""
    window = visit(screen=screen)
    for place in SIGNED_OUT:
        window.go(place)
        assert _too_small(window) == [], place
    page = window.sign_in("lead")
    for place in OF_A_LEAD:
        window.go(place)
        assert _too_small(window) == [], place
    _open_when_read(window, "sinus")
    assert _too_small(window) == []
    page.locator("h3 a", has_text="Steam with vacuum").click()
    for summary in page.locator(".step.open summary").all():
        summary.click()
    assert _too_small(window) == []
    window.go("/at/valley/cycles?shown=all")
    page.locator("h2 a").first.click()
    assert _too_small(window) == []
