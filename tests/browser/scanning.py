"""Somebody before a tablet at a bench who does nothing but scan."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from playwright.sync_api import Page, expect

from support.bench_served import ServedBench

#: Nothing to press in gloves is smaller, in CSS pixels (this project's own choice).
SMALLEST_PX: Final = 56

TOO_SMALL: Final = """smallest => [...document.querySelectorAll(
  "main a[href], main button, main summary, main input"
)].filter((one) => one.checkVisibility() && one.type !== "hidden" && !one.matches(".whole, .back a"))
  .map((one) => [one.textContent.trim().slice(0, 40), one.getBoundingClientRect().height])
  .filter(([, height]) => height < smallest - 0.5)"""


@dataclass
class Scanner:
    """Somebody before a tablet who does nothing but scan; `scans` counts how often."""

    page: Page
    house: ServedBench
    complaints: list[str]
    scans: list[str] = field(default_factory=list)

    def listens(self) -> None:
        """Note what the browser complains of."""
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def signs_in(self, name: str) -> None:
        """Be somebody whose session is open."""
        cookie = {"name": "sinkside_session", "value": self.house.cookie(name), "url": self.house.address}
        self.page.context.add_cookies([cookie])  # type: ignore[list-item] # a dictionary as any other

    def at(self, station: str) -> None:
        """Stand at a station."""
        self.page.goto(f"{self.house.address}/at/north/bench/at/{station}")
        expect(self.page.locator("#scan")).to_be_focused()

    def scan(self, code: str) -> None:
        """What a scanner does: it types, and presses Enter."""
        self.scans.append(code)
        self.page.keyboard.type(code)
        self.page.keyboard.press("Enter")

    def sees(self, words: str) -> None:
        """Wait for words on the page."""
        expect(self.page.locator("main").get_by_text(words, exact=False).first).to_be_visible()

    def settles(self) -> None:
        """Wait until nothing waits to be sent."""
        expect(self.page.locator("[data-queue]")).to_be_hidden(timeout=15_000)
