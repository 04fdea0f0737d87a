"""Pictograms: one for everything, told apart at 8 mm, thick enough for a poor copier."""

from __future__ import annotations

import io
import itertools
import json
from collections.abc import Mapping, Sequence

import numpy as np
import pypdfium2
import pytest
import typst
from numpy.typing import NDArray
from PIL import Image, ImageFilter
from scipy import ndimage

from sinkside.aids.papers.specimen import SMALLEST_MM, specimen_pdf
from sinkside.aids.pictograms import GRID, STROKE, caution_kind, pictogram, pictogram_svg, pictograms
from sinkside.errors import BadInput
from sinkside.instruction import Action
from support.pdf_words import faults_of_place, text_of

DPI = 300
Ink = NDArray[np.bool_]

#: What a paper may have to warn of, by the brief of the papers.
WARNED_OF = (
    "hot", "sharp", "do-not-soak", "do-not-force", "single-use", "protect-tip", "no-chlorine", "no-saline",
    "gloves", "eye-protection", "look-with-lens",
)  # fmt: skip


_PAGES = """
#set page(width: {size}mm, height: {size}mm, margin: 1mm)
#for svg in json(bytes(sys.inputs.drawn)) {{ page(image(bytes(svg), format: "svg", width: 100%)) }}
""".format(size=SMALLEST_MM + 2)


@pytest.fixture(scope="module")
def rasters() -> Mapping[str, Image.Image]:
    """Every pictogram at 8 mm and 300 dpi in grey, on white with a margin of 1 mm."""
    names = list(pictograms())
    drawn = json.dumps([pictogram_svg(name) for name in names])
    pdf = typst.compile(_PAGES.encode(), format="pdf", sys_inputs={"drawn": drawn})
    document = pypdfium2.PdfDocument(pdf)
    pictures = [page.render(scale=DPI / 72, grayscale=True).to_pil() for page in document]
    document.close()
    return dict(zip(names, pictures, strict=True))


def test_every_action_and_caution_has_one_with_a_word() -> None:
    """Nothing that a step can ask for or warn of lacks a pictogram, or the word that stands beside it."""
    known = pictograms()
    assert [action for action in Action if action.value not in known] == []
    assert [kind for kind in WARNED_OF if not known[kind].caution] == []
    words = [drawn.word for drawn in known.values()]
    assert all(words)
    assert len(set(words)) == len(words)
    with pytest.raises(BadInput, match="no pictogram"):
        pictogram("dance")


def test_strokes_survive_at_the_least_size() -> None:
    """At 8 mm a stroke is at least 0.35 mm and 4 dots of a 300 dpi printer wide.

    0.35 mm is the narrowest line of ISO 128 that drawings use for visible edges (from memory).
    """
    stroke_mm = STROKE * SMALLEST_MM / GRID
    assert stroke_mm >= 0.35
    assert stroke_mm / 25.4 * DPI >= 4


def ink(picture: Image.Image) -> Ink:
    return np.asarray(picture) < 128


def parts_and_holes(black: Ink) -> tuple[int, int]:
    """How many pieces the ink has and how many white islands lie in it; specks of a few dots do not count."""
    least = 6

    def counted(mask: Ink) -> int:
        labels, count = ndimage.label(mask)
        return int((np.bincount(labels.ravel())[1 : count + 1] >= least).sum())

    return counted(black), counted(~black) - 1


@pytest.mark.parametrize("name", sorted(pictograms()))
def test_a_poor_copy_keeps_every_line_and_gap(name: str, rasters: Mapping[str, Image.Image]) -> None:
    """Blurred by a dot and a half and pressed to black and white, no line breaks and no gap closes."""
    copied = rasters[name].filter(ImageFilter.GaussianBlur(1.5))
    assert parts_and_holes(ink(copied)) == parts_and_holes(ink(rasters[name]))


def likenesses(inks: Sequence[Ink]) -> NDArray[np.float64]:
    """For each pair the share of ink in common, where they lie best (Dice, 1945; from memory)."""
    flat = np.array([one.ravel() for one in inks], dtype=np.float32)
    amounts = flat.sum(axis=1)
    best = np.zeros((len(inks), len(inks)))
    for across, down in itertools.product(range(-6, 7, 3), repeat=2):
        moved = np.array([np.roll(one, (down, across), axis=(0, 1)).ravel() for one in inks], np.float32)
        best = np.maximum(best, 2 * (flat @ moved.T) / (amounts[:, None] + amounts[None, :]))
    return best


def test_all_are_told_apart_at_the_least_size(rasters: Mapping[str, Image.Image]) -> None:
    """No two share more than 80 % of their ink; one that is only thinned by a dot shares more than that."""
    names = list(rasters)
    inks = [ink(rasters[name]) for name in names]
    like = likenesses(inks)
    near = [(names[a], names[b]) for a, b in itertools.combinations(range(len(names)), 2) if like[a, b] > 0.8]
    assert near == []
    brush = ink(rasters["brush"])
    assert likenesses([brush, ndimage.binary_erosion(brush)])[0, 1] > 0.8


@pytest.mark.parametrize(
    ("sentence", "kind"),
    [
        ("Do not soak it.", "do-not-soak"),
        ("Never immerse the handle in liquids.", "do-not-soak"),
        ("Do not use force.", "do-not-force"),
        ("The insert is for single use.", "single-use"),
        ("Nothing may lie on the tips.", "protect-tip"),
        ("Do not use bleach.", "no-chlorine"),
        ("Do not place it in saline.", "no-saline"),
        ("No wire brushes.", "no-metal-brush"),
        ("Wear gloves.", "gloves"),
        ("The handle does not go into the ultrasonic bath.", "no-ultrasound"),
        ("Hotter water makes blood stick.", ""),
        ("Residue of a cleaner can harm the patient.", ""),
    ],
)
def test_a_caution_finds_its_kind(sentence: str, kind: str) -> None:
    """A sentence of the kinds that makers print gets the pictogram of what it forbids, or none at all."""
    assert caution_kind(sentence) == kind


def test_specimen_shows_every_word_beside_its_pictogram() -> None:
    """One sheet with every word on it, nothing on anything else, and the same bytes each time."""
    pdf = specimen_pdf()
    text = text_of(pdf)
    assert [
        one.word for one in pictograms().values() if not all(word in text for word in one.word.split())
    ] == []
    assert faults_of_place(pdf, margin=12) == []
    assert specimen_pdf() == pdf
    assert len(pypdfium2.PdfDocument(io.BytesIO(pdf))) == 1
