"""Pages that no maker writes are read or refused in bounded time."""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside.draft.pages import read_pages, text_pages
from sinkside.errors import UnreadableFile
from support.hostile_files import one_page
from support.pace import quiet_s

_LONGEST_S = 2.0

TEXTS = {
    "one line": "rinse for 10 min " * 50_000,
    "only dots": "." * 200_000,
    "dots and blanks": "a " + ". " * 100_000 + "b",
    "only strokes": "|" * 200_000,
    "many tabs": "\n".join("a\t" * 50 for _ in range(1_000)),
    "many gaps": "\n".join("w   " * 400 for _ in range(300)),
    "only heads": "\n".join("Do      Do not" for _ in range(2_000)),
}

PAGES = {
    "small rules": b"".join(b"%d %d m %d %d l S\n" % (x, x, x + 9, x) for x in range(1, 500)) * 40,
    "a fine grid": b"".join(
        b"%d 10 m %d 820 l S 10 %d m 570 %d l S\n" % (x, x, x, x) for x in range(10, 560, 3)
    ),
    "words in 40 columns": b"BT /F 3 Tf "
    + b"".join(
        b"1 0 0 1 %d %d Tm (w%d) Tj\n" % (10 + x % 40 * 14, 830 - x // 40 * 4, x) for x in range(4_000)
    )
    + b"ET",
}


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_no_text_takes_long(name: str) -> None:
    """However its signs repeat, a text is set in a time that grows with its length alone."""
    assert quiet_s(lambda: text_pages(TEXTS[name]), counts=1) < _LONGEST_S


@pytest.mark.parametrize("name", sorted(PAGES))
def test_no_page_takes_long(tmp_path: Path, name: str) -> None:
    """Thousands of rules and words in every place are read within two seconds a page."""
    path = tmp_path / "page.pdf"
    path.write_bytes(one_page(PAGES[name] + b"BT /F 10 Tf 50 50 Td (Rinse it.) Tj ET"))
    assert read_pages(path).lines
    assert quiet_s(lambda: read_pages(path), counts=1) < _LONGEST_S


def test_a_page_with_more_than_a_page_holds_is_refused(tmp_path: Path) -> None:
    """Fifty thousand words on a page are a trap, and one sentence says so."""
    line = b"(" + b"rinse " * 500 + b") Tj T*\n"
    path = tmp_path / "page.pdf"
    path.write_bytes(one_page(b"BT /F 1 Tf 1 TL 10 835 Td\n" + line * 100 + b"ET"))
    with pytest.raises(UnreadableFile, match=r"page 1 holds .* signs; expected at most"):
        read_pages(path)
