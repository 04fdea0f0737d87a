"""Files in: what cannot be read is refused in one sentence, and PDF layouts come out in reading order."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from sinkside.draft import draft, draft_text
from sinkside.draft.pages import read_pages, text_pages
from sinkside.draft.passage import PassageKind
from sinkside.draft.passages import passages
from sinkside.errors import UnreadableFile

TEXT = """Hollowell Makers Ltd.

Cleaning

1. Soak the clamp in the detergent solution at 30 to 40 °C for at least 9 minutes.

2. Flush the port with 35 mL of tap water.

Drying

3. Blow medical air through the port for 2 min.
"""


def _refusal(path: Path) -> str:
    with pytest.raises(UnreadableFile) as refused:
        draft(path)
    assert str(path) in str(refused.value)
    return refused.value.message


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    """One sentence says that there is no such file."""
    assert "no such file" in _refusal(tmp_path / "nowhere.txt")


def test_an_empty_file_is_refused(tmp_path: Path) -> None:
    """Nothing but white space is nothing."""
    path = tmp_path / "empty.txt"
    path.write_text(" \n\n", encoding="utf-8")
    assert "empty" in _refusal(path)


@pytest.mark.parametrize("data", [b"\x00\x01\x02PNG", bytes(range(1, 32)) * 30])
def test_a_binary_file_is_refused(tmp_path: Path, data: bytes) -> None:
    """Bytes that are no text are named as such."""
    path = tmp_path / "picture.txt"
    path.write_bytes(data)
    assert "binary" in _refusal(path)


def test_a_truncated_pdf_is_refused(set_pdf: Callable[..., Path]) -> None:
    """Half an instruction is dangerous: a PDF without its end is not read at all."""
    path = set_pdf(TEXT)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    assert "truncated" in _refusal(path)


def test_a_broken_pdf_is_refused(tmp_path: Path) -> None:
    """A file that only begins and ends like a PDF is broken."""
    path = tmp_path / "broken.pdf"
    path.write_bytes(b"%PDF-1.7\nnothing in here\n%%EOF\n")
    assert "broken" in _refusal(path)


def test_a_text_called_pdf_is_refused(tmp_path: Path) -> None:
    """The ending of a name promises what the file must keep."""
    path = tmp_path / "text.pdf"
    path.write_text("Soak for 5 min.", encoding="utf-8")
    assert "no PDF" in _refusal(path)


def test_a_locked_pdf_is_refused(tmp_path: Path) -> None:
    """A PDF that asks for a password is named as locked (its encryption dictionary is written by hand)."""
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [] /Count 0 >>",
        b"<< /Filter /Standard /V 1 /R 2 /O <" + b"11" * 32 + b"> /U <" + b"22" * 32 + b"> /P -4 >>",
    ]
    body, places = b"%PDF-1.4\n", []
    for number, content in enumerate(objects, start=1):
        places.append(len(body))
        body += b"%d 0 obj\n%s\nendobj\n" % (number, content)
    start = len(body)
    body += b"xref\n0 4\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % place for place in places)
    body += (
        b"trailer\n<< /Size 4 /Root 1 0 R /Encrypt 3 0 R /ID [<00> <00>] >>\nstartxref\n%d\n%%%%EOF\n" % start
    )
    path = tmp_path / "locked.pdf"
    path.write_bytes(body)
    assert "password" in _refusal(path)


def test_nothing_to_read_is_refused() -> None:
    """An empty text is refused as an empty file is."""
    with pytest.raises(UnreadableFile):
        draft_text("\n \n")


@pytest.mark.parametrize("columns", [1, 2])
def test_text_and_pdf_draft_to_the_same_steps(set_pdf: Callable[..., Path], columns: int) -> None:
    """The way a text is set does not change what it asks for."""
    from_text = draft_text(TEXT)
    from_pdf = draft(set_pdf(TEXT, columns=columns))
    assert [(s.stage, s.action, s.figures) for s in from_pdf.steps] == [
        (s.stage, s.action, s.figures) for s in from_text.steps
    ]
    assert from_pdf.device.document.pages == 1
    assert re.fullmatch(r"[0-9a-f]{64}", from_pdf.device.document.digest)


def test_running_matter_and_page_numbers_are_left_out(set_pdf: Callable[..., Path]) -> None:
    """What stands at the head and foot of most pages is no part of the text; a step goes on over the page."""
    many = "".join(f"{number}. Rinse the clamp in tap water for {number} min.\n\n" for number in range(1, 90))
    pages = read_pages(set_pdf(f"Cleaning\n\n{many}"))
    assert pages.count > 1
    assert not any("printed copies" in line.text or "Quality form" in line.text for line in pages.lines)
    assert len(draft(set_pdf(f"Cleaning\n\n{many}")).steps) == 89


def test_a_form_feed_begins_a_page() -> None:
    """A step that runs over a page break keeps the page where it begins."""
    text = "Cleaning\n\n1. Soak the clamp in the solution for\n\f4 minutes and keep it below the surface.\n"
    (step,) = draft_text(text).steps
    assert (step.origin.page, step.figures[0].value) == (1, 4)


def test_broken_words_are_made_whole() -> None:
    """A hyphen at the end of a line goes, unless the word is written with it."""
    read = passages(text_pages("Use a lint-\nfree cloth and demin-\neralised water for this purpose.").lines)
    assert read[0].text == "Use a lint-free cloth and demineralised water for this purpose."


def test_rows_cut_by_the_width_of_the_line_are_one_row() -> None:
    """A row that does not end with a stroke goes on in the next line."""
    heads, first = "| No. | Stage | Action | Value |", "| 1 | Cleaning | soak the clamp | 5 min |"
    text = f"{heads}\n{first}\n| 2 | Drying | blow out | 2\n bar |"
    rows = [one for one in passages(text_pages(text).lines) if one.kind is PassageKind.row]
    assert [len(row.cells) for row in rows] == [4, 4]
