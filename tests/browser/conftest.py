"""A demo house served on a free port, and a browser that signs in as anybody, on any screen, in any look."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

CHROMIUM: Final = "/usr/bin/chromium"
FLAGS: Final = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)

#: Width and height of what people hold or stand before.
SCREENS: Final = {"phone": (360, 740), "tablet": (768, 1024), "desktop": (1360, 820), "wall": (1920, 1080)}

#: Success criteria of WCAG 2.2 levels A and AA, as axe-core names them.
RULES: Final = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")

_STARTS_WITHIN_S: Final = 60

Look = Literal["light", "dark"]


@dataclass(frozen=True)
class ServedHouse:
    """A served demo house: address, folder, process, and the password of each name to sign in with."""

    address: str
    folder: Path
    process: int
    passwords: dict[str, str]


@dataclass
class Visit:
    """One browser window: its page, and what the browser complained of."""

    page: Page
    house: ServedHouse
    complaints: list[str]

    def go(self, path: str) -> Page:
        """Open an address of the house."""
        self.page.goto(self.house.address + path)
        return self.page

    def sign_in(self, name: str, *, shared_tablet: bool = False) -> Page:
        """Sign in by keyboard; demo people sign in with the name of their role."""
        self.go("/sign-in")
        self.waits_at("name")
        self.page.keyboard.type(name)
        self.page.keyboard.press("Tab")
        self.page.keyboard.type(self.house.passwords[name])
        if shared_tablet:
            self.page.keyboard.press("Tab")
            self.page.keyboard.press("Space")
        with self.page.expect_navigation(url=re.compile(r"/at/")):
            self.page.keyboard.press("Enter")
        return self.page

    def waits_at(self, field: str) -> None:
        """Wait until the keyboard is at a field, as a person does who looks before they type."""
        self.page.wait_for_function("id => document.activeElement.id === id", arg=field)

    def violations(self) -> list[str]:
        """What breaks WCAG 2.2 A or AA on the page as it stands."""
        found = Axe().run(self.page, options={"runOnly": list(RULES)}).response["violations"]
        return [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in found]

    def overflows(self) -> bool:
        """Whether the page is wider than its window, so that people scroll sideways."""
        return bool(self.page.evaluate("document.documentElement.scrollWidth > innerWidth"))


Visiting = Callable[..., Visit]


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServedHouse]:
    """A demo house of this test run, served by the command, with its worker."""
    folder = tmp_path_factory.mktemp("house") / "demo"
    with _serving(folder) as house:
        yield house


@contextmanager
def _serving(folder: Path) -> Iterator[ServedHouse]:
    command = [sys.executable, "-m", "sinkside", "serve", "--demo", "--workspace", str(folder), "--port", "0"]
    environment = {**os.environ, "SINKSIDE_LOG_LEVEL": "warning", "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
    waiting = threading.Timer(_STARTS_WITHIN_S, process.kill)
    waiting.start()
    try:
        assert process.stdout is not None
        passwords: dict[str, str] = {}
        for line in process.stdout:
            if said := re.match(r"  (\S+) +(\S+) +\S", line):
                passwords[said[1]] = said[2]
            if found := re.match(r"Sinkside is at (\S+)", line):
                waiting.cancel()
                yield ServedHouse(found[1], folder, process.pid, passwords)
                return
        raise AssertionError("the house was not served")
    finally:
        waiting.cancel()
        process.terminate()
        process.wait(20)
        if process.stdout is not None:
            process.stdout.close()


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Debian's browser, without a window."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture
def visit(chromium: Browser, served: ServedHouse) -> Iterator[Visiting]:
    """Open windows on the house; at the end none of them may have complained in its console."""
    opened: list[Visit] = []

    def open_window(*, screen: str = "desktop", look: Look = "light", script: bool = True) -> Visit:
        width, height = SCREENS[screen]
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            color_scheme=look,
            java_script_enabled=script,
            reduced_motion="reduce",
        )
        window = Visit(context.new_page(), served, [])
        window.page.on("console", lambda message: _note(window, message))
        window.page.on("pageerror", lambda error: window.complaints.append(str(error)))
        opened.append(window)
        return window

    yield open_window
    complaints = [complaint for window in opened for complaint in window.complaints]
    for window in opened:
        window.page.context.close()
    assert complaints == []


def _note(window: Visit, message: ConsoleMessage) -> None:
    # A page that answers 403, 404 or 422 is told in the console too; that is no fault of the page.
    if message.type in {"error", "warning"} and "Failed to load resource" not in message.text:
        window.complaints.append(message.text)
