"""From a failed indicator to the closed recall in a browser, as the lead at night."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, ViewportSize, expect

from browser.conftest import RULES
from browser.scanning import Scanner
from sinkside.aids.papers import sheets
from support.bench_served import ServedBench
from support.recalled_house import LOADS, a_morning_with_a_positive_indicator, indicators_of

_TABLET: Final[ViewportSize] = {"width": 1024, "height": 768}
_SETS: Final = 6
_USED: Final = 2


@pytest.fixture(scope="module")
def served() -> Iterator[ServedBench]:
    """A morning on which an indicator is to be read: six sets since the last without growth, two used."""
    bench, negative = a_morning_with_a_positive_indicator(sets=_SETS, used=_USED)
    indicators_of(bench, negative, read="waiting")
    bench.house.now = bench.now = negative + timedelta(hours=30)
    with ServedBench(bench).serving() as house:
        yield house


@pytest.fixture
def lena(chromium: Browser, served: ServedBench) -> Iterator[Scanner]:
    """Lena, who leads at night, before a tablet held across."""
    context = chromium.new_context(viewport=_TABLET, reduced_motion="reduce", accept_downloads=True)
    person = Scanner(context.new_page(), served, [])
    person.listens()
    person.signs_in("lena")
    yield person
    context.close()
    assert person.complaints == []


def _violations(page: Page) -> list[str]:
    found = Axe().run(page, options={"runOnly": list(RULES)}).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in found]


def _looks_right(page: Page) -> None:
    assert _violations(page) == []
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")


def test_from_a_failed_indicator_to_the_closed_recall(lena: Scanner, served: ServedBench) -> None:
    """Growth is read; one click shows what it reaches; opened, fetched, told, dealt with, closed."""
    page = lena.page
    _the_indicator_grew(lena, served)
    page.get_by_role("link", name="Recall: look at what it reaches").click()
    lena.sees(f"{min(_SETS, LOADS)} loads, {_SETS} sets, {_USED} cases")
    lena.sees("the last load with a biological indicator that did not grow")
    _looks_right(page)
    page.get_by_role("button", name="Open this recall").click()
    lena.sees(f"{_SETS - _USED} sets, {_USED} cases to go")
    _looks_right(page)
    with page.expect_download() as picked:
        page.get_by_role("button", name="Pick list").click()
    assert sheets(picked.value.path().read_bytes()) == 1
    _every_case_is_told(lena)
    _every_set_is_dealt_with(lena)
    _closed(lena)


def _the_indicator_grew(lena: Scanner, served: ServedBench) -> None:
    lena.page.goto(f"{served.address}/at/north/indicators/i-{LOADS}")
    for question in ("grew", "control"):
        lena.page.locator(f"#{question}").get_by_label("Yes").check()
    lena.page.get_by_role("button", name="Record").click()
    lena.sees("Growth")


def _every_case_is_told(lena: Scanner) -> None:
    """At the first nobody answers, so that it stays; on the second call somebody does."""
    page = lena.page
    page.get_by_role("button", name="Keep this call").first.click()
    lena.sees("nobody answered")
    for _ in range(_USED):
        page.get_by_label("Who answered, by function").first.fill("nurse in charge of theatre 2")
        page.get_by_role("button", name="Keep this call").first.click()
    expect(page.get_by_text("Told.", exact=True)).to_have_count(_USED)


def _every_set_is_dealt_with(lena: Scanner) -> None:
    """One is looked for in vain first and stays at its place until it is found."""
    page = lena.page
    page.get_by_label("How it was found").first.select_option("not-found")
    page.get_by_label("What was done with it").first.fill("not in theatre, asked for it")
    page.get_by_role("button", name="Done with").first.click()
    lena.sees(f"{_SETS - _USED} sets to go")
    for _ in range(_SETS - _USED):
        page.get_by_label("What was done with it").first.fill("set apart, room 4")
        page.get_by_role("button", name="Done with").first.click()
    lena.sees("Everything is dealt with")


def _closed(lena: Scanner) -> None:
    page = lena.page
    page.get_by_text("Close this recall").click()
    page.get_by_label("What was found").fill("All sets found, none opened.")
    page.get_by_label("What lay at the root").fill("The door seal leaked.")
    page.get_by_label("What was put right").fill("Seal renewed; three empty cycles met.")
    page.get_by_role("button", name="Close it").click()
    lena.sees("At the root: The door seal leaked.")
    lena.sees(f"{_SETS - _USED - 1} of its sets are still held")
    _looks_right(page)
