"""Files that ask for too much or are not what they say: one sentence in browser and program, and no harm."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

import httpx
import pytest

from browser.conftest import ServedHouse, Visiting
from support.hostile_files import book, html_page, large_file, zip_bomb
from support.watching import Watch, watched

AT: Final = "/at/valley/instructions"
OVER_WITHIN_S: Final = 240

#: What the web may hold beyond what it held before, and what the worker or anything it starts may hold.
SERVER_MAY_GROW_MB: Final = 150
OTHERS_MAY_HOLD_MB: Final = 700
ANSWERS_WITHIN_S: Final = 1.0

#: One answer in so many may meet a machine that is busy with something else; it takes no longer than this.
MAY_BE_SLOW: Final = 200
AT_THE_WORST_S: Final = 3.0

#: Neither being read any more nor still the empty form.
_IS_OVER: Final = (
    "() => !document.querySelector('[data-reading]') &&"
    " (!document.querySelector('form[action$=\"/new\"]') || document.querySelector('.trouble'))"
)


@pytest.fixture
def watch(served: ServedHouse) -> Iterator[Watch]:
    """The house, watched while a test is at it; it must not grow, slow down or fall silent."""
    host = urlsplit(served.address).netloc
    with watched(served.process, host) as before:
        time.sleep(0.3)
    began = time.monotonic()
    with watched(served.process, host) as seen:
        yield seen
    assert seen.silent == []
    slow = [took for took in seen.answers_s if took > ANSWERS_WITHIN_S]
    assert seen.answers_s
    assert len(slow) <= len(seen.answers_s) // MAY_BE_SLOW
    assert max(seen.answers_s) < AT_THE_WORST_S
    assert seen.server_mb - before.server_mb < SERVER_MAY_GROW_MB
    assert seen.others_mb < OTHERS_MAY_HOLD_MB
    assert time.monotonic() - began < OVER_WITHIN_S


def _by_browser(visit: Visiting, path: Path) -> str:
    """Hand in a file as a person does, and what they read in the end."""
    window = visit()
    page = window.sign_in("educator")
    window.go(f"{AT}/new")
    page.set_input_files("#document", path)
    page.locator("button", has_text="Read it").click(timeout=OVER_WITHIN_S * 1000)
    page.wait_for_function(_IS_OVER, timeout=OVER_WITHIN_S * 1000)
    return page.inner_text("main")


def _by_program(house: ServedHouse, name: str, content: bytes) -> str:
    """Hand in a file as a program does: the sentence in the end, or where the instruction is."""
    with httpx.Client(base_url=f"{house.address}/api", timeout=OVER_WITHIN_S, trust_env=False) as client:
        entered = client.post("/sign-in", json={"name": "educator", "password": house.passwords["educator"]})
        assert entered.status_code == 200, entered.text
        token = client.get("/account").json()["form_token"]
        sent = client.post(f"{AT}/new", files={"document": (name, content)}, headers={"X-CSRF-Token": token})
        if sent.status_code != 200:
            assert 400 <= sent.status_code < 500
            return str(sent.json()["error"]["sentence"])
        return _read_in_the_end(client, sent.json()["go"])


def _read_in_the_end(client: httpx.Client, address: str) -> str:
    until = time.monotonic() + OVER_WITHIN_S
    while time.monotonic() < until:
        reading: dict[str, Any] = client.get(address).json()
        if not reading["going"]:
            return str(reading["error"] or reading["leads_to"])
        time.sleep(0.2)
    raise AssertionError("it is being read for too long")


HOSTILE: Final[dict[str, tuple[str, Callable[[], bytes], str]]] = {
    "a zip bomb": ("ifu.docx", zip_bomb, r"'\.docx' is not read here|too large|too much|unfolds"),
    "a zip bomb called pdf": ("ifu.pdf", zip_bomb, "this is no PDF although its name says so"),
    "an HTML file called pdf": ("ifu.pdf", html_page, "this is no PDF although its name says so"),
}


@pytest.mark.usefixtures("watch")
@pytest.mark.parametrize(
    "kind",
    [pytest.param(kind, marks=pytest.mark.long) if "zip bomb called" in kind else kind for kind in HOSTILE],
)
def test_a_hostile_file_gets_one_sentence(
    kind: str, served: ServedHouse, visit: Visiting, tmp_path: Path
) -> None:
    """Person and program get the same one sentence, while the house goes on answering within its memory."""
    name, make, sentence = HOSTILE[kind]
    path = tmp_path / name
    path.write_bytes(make())
    told = _by_program(served, name, path.read_bytes())
    assert re.search(sentence, told, re.IGNORECASE)
    assert told.count(". ") == 0, told
    assert told in _by_browser(visit, path)


@pytest.mark.long
@pytest.mark.usefixtures("watch")
def test_a_book_of_300_pages_is_drafted(served: ServedHouse, visit: Visiting, tmp_path: Path) -> None:
    """Its one instruction opens for person and program, within bounded memory and time."""
    path = tmp_path / "book.pdf"
    path.write_bytes(book(300))
    assert re.fullmatch(rf"{AT}/i-[0-9a-f]+", _by_program(served, path.name, path.read_bytes()))
    shown = _by_browser(visit, path)
    assert "Linnet 5 mm grasping forceps" in shown
    assert "read from 300 pages" in shown


@pytest.mark.usefixtures("watch")
def test_a_person_s_file_of_500_mb_gets_one_sentence(visit: Visiting, tmp_path: Path) -> None:
    """A browser that sends 500 MB shows why they are not taken; `test_large_upload` sends them by program."""
    shown = _by_browser(visit, large_file(tmp_path / "ifu.pdf", 500_000_000))
    assert "This is too large to be taken; expected at most 50 MB." in shown
