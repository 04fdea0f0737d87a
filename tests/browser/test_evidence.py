"""From a pack's code to its evidence file in under five clicks (issue 11), as a surveyor would do it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from support.bench_served import ServedBench
from support.evidence_house import EvidenceHouse, evidence_house

_CODE = "SET-1"
_FEWER_THAN = 5


@dataclass
class Clicker:
    """Somebody at a screen whose clicks are counted; what is typed or scanned is none."""

    page: Page
    clicks: int = 0

    def click(self, what: Locator) -> None:
        """Click something that is there."""
        self.clicks += 1
        what.click()


@pytest.fixture(scope="module")
def made() -> EvidenceHouse:
    """Two sets in the store."""
    return evidence_house()


@pytest.fixture(scope="module")
def served(made: EvidenceHouse) -> Iterator[ServedBench]:
    """That house, served."""
    made.bench.house.now = made.bench.now
    with ServedBench(made.bench).serving() as house:
        yield house


@pytest.fixture
def page(chromium: Browser, served: ServedBench) -> Iterator[Page]:
    """Olga, an auditor, on Today."""
    context = chromium.new_context(accept_downloads=True)
    cookie = {"name": "sinkside_session", "value": served.cookie("olga"), "url": served.address}
    context.add_cookies([cookie])  # type: ignore[list-item] # a dictionary as any other
    found = context.new_page()
    complaints: list[str] = []
    found.on("pageerror", lambda error: complaints.append(str(error)))
    found.goto(f"{served.address}/at/north/today")
    yield found
    context.close()
    assert complaints == []


def _downloaded(page: Page, clicker: Clicker, folder: Path) -> str:
    """The file that the last link leads to, as text."""
    with page.expect_download() as coming:
        clicker.click(page.get_by_role("link", name="(PDF)").first)
    target = folder / coming.value.suggested_filename
    coming.value.save_as(target)
    document = pypdfium2.PdfDocument(target)
    return "".join(document[at].get_textpage().get_text_range() for at in range(len(document)))


def test_from_a_code_to_the_file_in_under_five_clicks(page: Page, tmp_path: Path) -> None:
    """Every button is clicked, none is pressed by Enter: the head, Find, Make, the file."""
    clicker = Clicker(page)
    evidence = page.get_by_role("navigation").get_by_role("link", name="Evidence", exact=True)
    if not evidence.is_visible():
        clicker.click(page.get_by_role("navigation").get_by_text("Proof", exact=True))
    clicker.click(evidence)
    expect(page.locator("#code")).to_be_focused()
    page.keyboard.type(_CODE)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Not recorded")).to_be_visible()
    clicker.click(page.get_by_role("button", name="Make the evidence file"))
    expect(page.get_by_role("heading", name="Evidence files")).to_be_visible()
    text = _downloaded(page, clicker, tmp_path)
    assert _CODE in text
    assert "Not recorded" in text
    assert clicker.clicks < _FEWER_THAN
    print(f"clicks from Today to the file: {clicker.clicks}")  # noqa: T201


def test_from_the_page_of_the_set_it_takes_three(page: Page, served: ServedBench, tmp_path: Path) -> None:
    """Evidence, Make, the file: whoever stands before the set's own page needs no code."""
    page.goto(f"{served.address}/at/north/bench/copies")
    page.get_by_role("row", name=_CODE).get_by_role("link").click()
    clicker = Clicker(page)
    clicker.click(page.locator("main").get_by_role("link", name="Evidence", exact=True))
    clicker.click(page.get_by_role("button", name="evidence file"))
    assert "Suction set" in _downloaded(page, clicker, tmp_path)
    assert clicker.clicks == 3


def test_it_works_without_script(chromium: Browser, served: ServedBench) -> None:
    """The same way with scripts turned off: forms and links alone."""
    context = chromium.new_context(java_script_enabled=False)
    cookie = {"name": "sinkside_session", "value": served.cookie("olga"), "url": served.address}
    context.add_cookies([cookie])  # type: ignore[list-item] # a dictionary as any other
    page = context.new_page()
    page.goto(f"{served.address}/at/north/evidence")
    page.locator("#code").fill("SET-2")
    page.get_by_role("button", name="Show what is kept").click()
    page.get_by_role("button", name="Make the evidence file").click()
    expect(page.get_by_role("link", name="(PDF)")).to_have_count(1)
    context.close()
