"""Scanned pages: straightened, read, put right only where that is certain, and marked for a person."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import typst
from PIL import Image

from sinkside.draft import draft
from sinkside.draft.misreadings import put_right
from sinkside.draft.page_picture import page_picture
from sinkside.draft.pages import read_pages
from sinkside.draft.straightening import drawn_rules, tilt_of, turned_straight, without_specks
from sinkside.errors import UnreadableFile

Scan = Callable[..., Path]

_FIGURE = re.compile(r"\d+(?:[.,]\d+)?\s*(?:°C|min|mL|kHz|%|bar|mm|s\b)")

TEXT = """= Cleaning

1. Rinse the hook under tap water of at most 25 °C for at least 2 min.

2. Soak it in a 0.5 % solution of neutral cleaner at 35 to 40 °C for 10 minutes.

3. Flush the port 3 times with 50 mL of water, 150 mL in all.

4. Sonicate for 5 min at 38 kHz and no more than 40 °C. Then rinse for 60 s.

= Disinfection

#table(columns: 4, [Stage], [Part], [Temperature], [Time],
  [Pre-wash], [A], [20 °C], [2 min], [Wash], [B], [55 °C], [6 min],
  [Disinfection], [A, B], [90 °C], [5 min], [Drying], [A], [110 °C], [20 min])

= Sterilization

5. Use fractionated vacuum at 134 °C for 3.5 min, or 121 °C for 20 min. Dry for 15 min.

6. Blow air of 2.5 bar through the port for 30 s. The bore is 3.2 mm wide and 180 mm long.
"""


@pytest.fixture
def scan(tmp_path: Path) -> Scan:
    """A page set, rendered, tilted, greyed and strewn with specks, as a PDF of pictures or as a picture."""

    def make(
        text: str, *, tilt: float = 0.0, dpi: int = 200, grain: float = 0.0, ending: str = ".pdf"
    ) -> Path:
        source = '#set page(paper: "a5", margin: 1.4cm)\n#set text(size: 10pt)\n'
        (tmp_path / "page.typ").write_text(source + text, encoding="utf-8")
        typst.compile(str(tmp_path / "page.typ"), output=str(tmp_path / "page.pdf"))
        chance = np.random.default_rng(20)
        pictures = []
        for page in pypdfium2.PdfDocument(tmp_path / "page.pdf"):
            clean = page.render(scale=dpi / 72, grayscale=True).to_pil()
            turned = clean.rotate(tilt, resample=Image.Resampling.BICUBIC, fillcolor=255)
            grey = (
                np.asarray(turned, dtype=float) * 0.8 + 30 + chance.normal(0, 200 * grain, turned.size[::-1])
            )
            specks = chance.random(grey.shape) < grain / 10
            grey[specks] = chance.choice([0, 255], int(specks.sum()))
            pictures.append(Image.fromarray(grey.clip(0, 255).astype(np.uint8)))
        out = tmp_path / f"scan{ending}"
        pictures[0].save(
            out, save_all=len(pictures) > 1, append_images=pictures[1:], resolution=dpi, dpi=(dpi, dpi)
        )
        return out

    return make


def _figures(text: str) -> Counter[str]:
    written = text.replace("minutes", "min").replace("[", "").replace("]", "")
    return Counter(re.sub(r"\s", "", one) for one in _FIGURE.findall(written))


def test_a_tilted_noisy_page_keeps_its_figures(scan: Scan) -> None:
    """Of a page at 200 dpi, tilted and noisy, nine figures of ten are read as they stand (measured: all)."""
    path = scan(TEXT, tilt=1.7, grain=0.04)
    drafted = draft(path)
    written = _figures(TEXT)
    read = _figures(" ".join(line.text for line in read_pages(path).lines))
    right = sum((written & read).values())
    assert 2 * right / (sum(written.values()) + sum(read.values())) >= 0.9
    assert all(step.origin.picture for step in drafted.steps)


def test_what_was_read_from_a_picture_says_so_and_what_was_not_does_not(scan: Scan, tmp_path: Path) -> None:
    """A person compares the steps of a picture file; a page with text of its own needs none of that."""
    path = scan("= Cleaning\n\nRinse the hook for 2 min at 35 °C.\n", ending=".png")
    (step,) = draft(path).steps
    assert [figure.as_written for figure in step.figures] == ["2 min", "35 °C"]
    assert step.origin.picture is not None
    assert step.origin.picture.sure is not None
    assert step.origin.picture.sure > 50
    assert all(one.origin.picture is None for one in draft(tmp_path / "page.pdf").steps)


def test_without_the_program_one_sentence_says_what_to_install(
    scan: Scan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pages that are only pictures are refused, and nothing of them is drafted."""
    path = scan("Rinse it.\n")
    monkeypatch.setenv("PATH", "")
    with pytest.raises(UnreadableFile, match=r"pictures without text.*install tesseract-ocr"):
        draft(path)


def test_a_scanned_page_is_shown_with_its_words_where_they_stand(scan: Scan) -> None:
    """The words of a tilted page lie on its picture, not on the one that was straightened."""
    shown = page_picture(
        scan("Rinse the hook.\n\n#v(9cm)\n\nThen dry it.\n", tilt=2.0).read_bytes(), 1, resource="x"
    )
    places = {word[0]: (word[1], word[2]) for word in shown["words"]}
    assert set(places) >= {"Rinse", "hook.", "Then", "dry"}
    assert places["Then"][0] - places["Rinse"][0] > 5.0


@pytest.mark.parametrize("tilt", [-3.2, -0.6, 0.0, 1.4, 5.0])
def test_lines_are_turned_level(tilt: float) -> None:
    """The angle at which the lines of a page were tilted is found to a fifth of a degree."""
    page = np.full((900, 700), 255, dtype=np.uint8)
    page[100:800:30, 60:640] = 0
    page[104:800:30, 60:640:7] = 0
    picture = Image.fromarray(page).rotate(tilt, resample=Image.Resampling.BICUBIC, fillcolor=255)
    assert tilt_of(picture) == pytest.approx(tilt, abs=0.2)
    assert tilt_of(turned_straight(picture, tilt_of(picture))) == pytest.approx(0.0, abs=0.2)


def test_an_empty_page_has_no_tilt_and_no_rules() -> None:
    """Nothing on it, nothing found on it."""
    page = Image.new("L", (400, 600), 255)
    assert tilt_of(page) == 0.0
    assert drawn_rules(page, dpi=100.0) == []
    assert without_specks(page) is page


def test_rules_are_told_from_letters() -> None:
    """A frame is four rules in points; a solid block, which is as dark, is none."""
    page = np.full((600, 600), 255, dtype=np.uint8)
    page[100:500, 100:102] = page[100:500, 400:402] = page[100:102, 100:402] = page[500:502, 100:402] = 0
    page[200:260, 200:300] = 0
    rules = drawn_rules(Image.fromarray(page), dpi=144.0)
    assert {round(rule.y0) for rule in rules if rule.level} <= {50, 250}
    assert {round(rule.x0) for rule in rules if not rule.level} <= {50, 200}
    assert {rule.level for rule in rules} == {True, False}


@pytest.mark.parametrize(
    ("seen", "meant"),
    [
        ("Soak for 1O min at 35 *C.", "Soak for 10 min at 35 °C."),
        ("at 1340C for l8 min", "at 134 °C for 18 min"),
        ("134oC, 3,5 rnin", "134 °C, 3,5 min"),
        ("a O.5 °/o solution", "a 0.5 % solution"),
        ("for l min with 40 m| of water", "for 1 min with 40 ml of water"),
        ("AO at least 3000", "A0 at least 3000"),
        ("| rinse | s 25 | 2 20 |", "| rinse | ≤ 25 | ≥ 20 |"),
        ("| H,S.1 | Ss |", "| H,S,I | S |"),
    ],
)
def test_certain_misreadings_are_put_right_and_told(seen: str, meant: str) -> None:
    """Only one reading is possible; what was changed is kept beside the line."""
    text, changed = put_right(seen)
    assert text == meant
    assert changed
    assert put_right(meant) == (meant, ())


@pytest.mark.parametrize(
    "text",
    [
        "Soak for S min at 135 C.",
        "1100 °C",
        "Model O2, part OO7, CO2 at 5 bar",
        "2. 5 mm brush",
        "| 2 120 |",
        "I and S are parts",
        "Step 10C",
    ],
)
def test_what_could_also_be_meant_is_left_alone(text: str) -> None:
    """A reading that is only likely stays as it was read; a person compares it anyway."""
    assert put_right(text) == (text, ())


def test_a_picture_too_large_or_broken_is_refused(tmp_path: Path) -> None:
    """One sentence for a picture with more points than a page has, and for half a picture."""
    large, broken = tmp_path / "large.png", tmp_path / "broken.png"
    Image.new("1", (9000, 9000)).save(large)
    with pytest.raises(UnreadableFile, match="81 million points; at most 40"):
        read_pages(large)
    broken.write_bytes(large.read_bytes()[:60])
    with pytest.raises(UnreadableFile, match="broken"):
        read_pages(broken)
