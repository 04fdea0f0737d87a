"""A set of twelve in a browser: its texts read, made from a sheet; and a keyboard that presses and types."""

from __future__ import annotations

import io
import re
import time
from typing import Any, Final

from openpyxl import Workbook
from playwright.sync_api import FilePayload, Page

from browser.conftest import Visit
from support.fitting import LINNET

HOME: Final = "/at/valley/sets"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
READ_WITHIN_S: Final = 300

#: Texts of two devices for one cycle of the demo's sterilizers, and of two for another; each comes thrice.
HOTTER: Final = (21, 22)
LONGER: Final = (31, 32)
THRICE: Final = ("first", "second", "third")


def device(size: int) -> str:
    return f"Linnet {size} mm grasping forceps"


def text_of(size: int) -> str:
    cycle = "134 °C for 5 minutes, drying time 25 minutes"
    cycle = cycle if size in HOTTER else "132 °C for 4 minutes, drying time 30 minutes"
    return re.sub("134 °C .* minutes", cycle, LINNET).replace("3 mm", f"{size} mm")


def press(page: Page, words: str) -> None:
    """Press a button or link by keyboard, and wait for where it leads."""
    main = page.locator("main")
    place = main.get_by_role("button", name=words, exact=True).or_(
        main.get_by_role("link", name=words, exact=True)
    )
    place.first.focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")


def type_into(page: Page, field: str, text: str) -> None:
    page.locator(f"#{field}").focus()
    page.keyboard.press("Control+a")
    page.keyboard.type(text)


def have_read(window: Visit) -> None:
    """Hand in the texts of the twelve, once for the whole run."""
    page = window.go("/at/valley/instructions?text=Linnet+32")
    if page.get_by_role("link", name=re.compile(device(32))).count():
        return
    for size in (*HOTTER, *LONGER):
        page = window.go("/at/valley/instructions/new")
        page.set_input_files(
            "#document",
            {"name": f"linnet-{size}.txt", "mimeType": "text/plain", "buffer": text_of(size).encode()},
        )
        with page.expect_navigation():
            page.get_by_role("button", name="Read it").click()


def sheet(*rows: tuple[Any, ...]) -> FilePayload:
    workbook = Workbook()
    for row in rows:
        workbook.worksheets[0].append(list(row))
    written = io.BytesIO()
    workbook.save(written)
    return {"name": "knee.xlsx", "mimeType": XLSX, "buffer": written.getvalue()}


def of_twelve(window: Visit, name: str) -> Page:
    """A set of twelve that was made from a sheet, once all of its texts were read."""
    sizes = (*HOTTER, *LONGER)
    rows = [(device(size), f"{turn} {size} mm forceps", "40 g") for size in sizes for turn in THRICE]
    page = window.go(f"{HOME}/new")
    type_into(page, "set_name", name)
    page.set_input_files("#file", sheet(("device", "name", "mass"), *rows))
    press(page, "Make it from the file")
    until = time.monotonic() + READ_WITHIN_S
    while page.get_by_text("No instruction here is known").count() and time.monotonic() < until:
        page.wait_for_timeout(500)
        page.reload()
    return page
