"""How the sample documents of our own are handed in for measuring."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from samples import measure_own
from samples.measure_own import Form

PRINTED = Path(__file__).parent / "own/open_pdf/dachsried_bone_punch_german_then_english.pdf"
ROW = {
    "steps": [1, 2],
    "stage": [1, 2],
    "figures": [3, 4, 1],
    "missed": ["X1 the missed defect"],
    "noise": ["stop: the false finding"],
}
COUNTED: dict[str, Any] = {"documents": {"one": ROW}, "total": {"steps": 0.5, "alarms": 1}}


def test_a_scan_has_pictures_and_no_text(tmp_path: Path) -> None:
    """A scan keeps the pages and their size, at 200 dpi, and holds no letter."""
    scan = tmp_path / "scan.pdf"
    measure_own.make_scan(PRINTED, scan, seed=1)
    before, after = pypdfium2.PdfDocument(PRINTED), pypdfium2.PdfDocument(scan)
    assert len(after) == len(before)
    assert measure_own.text_of(scan).strip() == ""
    for printed, scanned in zip(before, after, strict=True):
        assert scanned.get_size() == pytest.approx(printed.get_size(), abs=1)


def test_a_scan_is_the_same_for_the_same_seed(tmp_path: Path) -> None:
    """Tilt and noise come from the seed alone."""
    pictures = []
    for number, seed in enumerate((1, 1, 2)):
        scan = tmp_path / f"{number}.pdf"
        measure_own.make_scan(PRINTED, scan, seed=seed)
        pictures.append(pypdfium2.PdfDocument(scan)[0].render(scale=0.5).to_pil().tobytes())
    assert pictures[0] == pictures[1]
    assert pictures[0] != pictures[2]


def test_a_plain_text_is_set_with_all_its_words(tmp_path: Path) -> None:
    """Setting a text into a PDF loses no word, of long lines or of wide rows."""
    text = "Rinse the parts for one minute. " * 20 + "\n\n| 1 | soak | " + "in the cleaner " * 20 + "|\n"
    measure_own.set_pdf(text, tmp_path / "set.pdf")
    assert measure_own.text_of(tmp_path / "set.pdf").split() == text.split()


@pytest.mark.parametrize(
    ("half", "kind"),
    [
        ("open", "text"),
        ("open_pdf", "text"),
        ("open_pdf", "pdf"),
        ("fresh_a", "text"),
        ("fresh_b", "text"),
        ("fresh_c", "text"),
        ("fresh_c_pdf", "pdf"),
        ("fresh_d", "text"),
        ("fresh_e", "text"),
        ("fresh_f", "text"),
        ("fresh_g", "text"),
        ("fresh_h", "text"),
        ("fresh_i", "text"),
        ("fresh_j", "text"),
        ("fresh_k", "text"),
        ("fresh_l", "text"),
        ("fresh_m", "text"),
        ("aside_b", "text"),
        ("fresh_o", "text"),
        ("fresh_p", "text"),
        ("fresh_q", "text"),
        ("fresh_r", "text"),
        ("fresh_s", "text"),
        ("fresh_t", "text"),
    ],
)
def test_every_document_is_laid_out(tmp_path: Path, half: str, kind: str) -> None:
    """The scorer finds truth, text and, where asked for, PDF of every document of a half."""
    number = measure_own.lay_out(Form(half, kind, seed=1), tmp_path)
    assert number == len(list(tmp_path.glob("*.json"))) == len(list(tmp_path.glob("*.txt"))) > 0
    assert len(list(tmp_path.glob("*.pdf"))) == (0 if kind == "text" else number)


@pytest.mark.parametrize("half", ["aside", "aside_pdf", "aside_b"])
def test_misses_of_the_halves_kept_aside_are_never_said(half: str) -> None:
    """Of a half kept aside only totals are printed, whatever is asked for; of an open one the misses too."""
    aside = measure_own.report(Form(half, "scan", seed=1), COUNTED, with_misses=True)
    assert aside == [f"{half} as scan (1 documents): steps 0.500  alarms 1"]
    shown = "\n".join(measure_own.report(Form("open_pdf", "scan", seed=1), COUNTED, with_misses=True))
    assert "the missed defect" in shown
    assert "the false finding" in shown
