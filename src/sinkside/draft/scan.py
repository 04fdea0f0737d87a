"""Scanned pages: a picture straightened, read by a program of its own, and set like any other page."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any, Final

from sinkside.draft.cell_pictures import CellPictures, without_tables
from sinkside.draft.languages import languages_of
from sinkside.draft.layout import Word, grouped
from sinkside.draft.pdf_words import PageContent, Rule
from sinkside.draft.recognizing import SeenWord, languages_installed, seen_words
from sinkside.draft.ruled import ruled_tables
from sinkside.draft.straightening import (
    drawn_rules,
    in_full_contrast,
    tilt_of,
    turned_straight,
    without_specks,
)
from sinkside.errors import UnreadableFile

#: How letters are told apart best; a coarser picture is made finer before it is read.
_READ_AT_DPI: Final = 300.0
_COARSEST_DPI: Final = 100.0
_FINEST_DPI: Final = 400.0
_USUAL_PAPER_IN: Final = 8.27
_MOST_PIXELS: Final = 40_000_000
_POINTS_PER_INCH: Final = 72.0
#: A page with fewer signs than this and a picture on it is a picture of a page.
_FEW_SIGNS: Final = 40
_LEAST_SHARE_OF_THE_PAGE: Final = 0.25
_TEXT_OBJECTS_ASKED: Final = 60
_BESIDE_A_RULE_PT: Final = 3.0
_STROKES_AS_LETTERS: Final = frozenset({"1", "I", "l", "i"})
#: What is tried first where no language is told.
_FIRST: Final = ("en",)
_IMAGE_MARKS: Final = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\0", b"MM\0*")


@dataclass(frozen=True, slots=True)
class Picture:
    """A page as a grey picture, and how many of its points make an inch."""

    image: Any
    dpi: float


@dataclass(slots=True)
class ScanReader:
    """Reads the scanned pages of one document; its language shows on the first of them."""

    resource: str
    languages: tuple[str, ...] = ()
    surest: dict[str, float] = field(default_factory=dict)

    def content(self, picture: Picture) -> PageContent:
        """The words and rules of a page, straightened; how sure its figures are is kept in `surest`.

        Raises:
            UnreadableFile: if the program that reads pictures is not installed, or fails.
        """
        straight, dpi, _ = _straightened(picture)
        rules = drawn_rules(straight, dpi=dpi)
        seen = self._seen(straight, dpi, rules)
        self.surest = {}
        for one in seen:
            text = one.word.text
            self.surest[text] = min(one.sure, self.surest.get(text, 100.0))
        width = straight.width / dpi * _POINTS_PER_INCH
        return PageContent([one.word for one in seen], rules, width)

    def shown_words(self, picture: Picture) -> list[Word]:
        """The words of a page where they stand on the picture as it was scanned."""
        straight, dpi, tilt = _straightened(picture)
        middle = straight.width / dpi * 36.0, straight.height / dpi * 36.0
        rules = drawn_rules(straight, dpi=dpi)
        return [_turned_back(one.word, tilt, middle) for one in self._seen(straight, dpi, rules)]

    def _seen(self, straight: Any, dpi: float, rules: list[Rule]) -> list[SeenWord]:
        """The words of a straight page: those in tables cell by cell, the others wherever they stand."""
        tables = ruled_tables(rules)
        outside = without_tables(straight, tables, dpi=dpi) if tables else straight
        seen = self._in_its_language(outside, dpi)
        seen = [one for one in seen if not _is_of_a_rule(one.word, rules)]
        if not tables:
            return seen
        cells = CellPictures.of(straight, tables, dpi=dpi)
        languages = self.languages or _FIRST
        inside = seen_words(
            cells.image, dpi=dpi, languages=languages, resource=self.resource, scattered=False
        )
        back = [(cells.back(one.word), one.sure) for one in inside]
        return [*seen, *(SeenWord(word, sure) for word, sure in back if word is not None)]

    def _in_its_language(self, straight: Any, dpi: float) -> list[SeenWord]:
        """The words of a page; once they tell another language than was tried, read in that."""
        told = self.languages or _FIRST
        seen = seen_words(straight, dpi=dpi, languages=told, resource=self.resource)
        if self.languages:
            return seen
        lines = [" ".join(word.text for word in line) for line in grouped([one.word for one in seen])]
        known = languages_installed(resource=self.resource)
        self.languages = tuple(x for x in languages_of(lines) if x in known)
        if self.languages in {(), _FIRST}:
            return seen
        return seen_words(straight, dpi=dpi, languages=self.languages, resource=self.resource)


def _straightened(picture: Picture) -> tuple[Any, float, float]:
    """A picture made straight, clear and fine enough; its points an inch; how far it was tilted."""
    from PIL import Image

    clean = without_specks(picture.image)
    tilt = tilt_of(clean)
    straight, dpi = turned_straight(clean, tilt), picture.dpi
    if dpi < _READ_AT_DPI:
        factor = min(_READ_AT_DPI / dpi, math.sqrt(_MOST_PIXELS / (straight.width * straight.height)))
        size = (round(straight.width * factor), round(straight.height * factor))
        straight, dpi = straight.resize(size, Image.Resampling.LANCZOS), dpi * factor
    return in_full_contrast(straight), dpi, tilt


def _is_of_a_rule(word: Word, rules: list[Rule]) -> bool:
    """Whether a stroke beside or on a rule was taken for a sign."""
    if any(sign.isalnum() for sign in word.text) and word.text not in _STROKES_AS_LETTERS:
        return False
    return any(
        rule.x0 - _BESIDE_A_RULE_PT <= (word.x0 + word.x1) / 2 <= rule.x1 + _BESIDE_A_RULE_PT
        and rule.y0 - _BESIDE_A_RULE_PT <= (word.top + word.bottom) / 2 <= rule.y1 + _BESIDE_A_RULE_PT
        for rule in rules
    )


def _turned_back(word: Word, tilt: float, middle: tuple[float, float]) -> Word:
    across = (word.x0 + word.x1) / 2 - middle[0]
    down = (word.top + word.bottom) / 2 - middle[1]
    cosine, sine = math.cos(math.radians(tilt)), math.sin(math.radians(tilt))
    x, y = middle[0] + across * cosine + down * sine, middle[1] - across * sine + down * cosine
    half, tall = (word.x1 - word.x0) / 2, (word.bottom - word.top) / 2
    return replace(word, x0=x - half, x1=x + half, top=y - tall, bottom=y + tall)


# Which pages are pictures.


def scanned_picture(page: Any, signs: int) -> Picture | None:
    """A PDF page as a picture if it is nothing else; none if it has text, or nothing on it.

    Args:
        page: the page.
        signs: how many signs of text are on it.
    """
    if signs >= _FEW_SIGNS:
        return None
    width, height = page.get_size()
    sharpest = 0.0
    covered = 0.0
    for area, pixels in _images(page):
        covered += area / (width * height)
        sharpest = max(sharpest, math.sqrt(pixels / max(area, 1.0)) * _POINTS_PER_INCH)
    if covered < _LEAST_SHARE_OF_THE_PAGE:
        return None
    dpi = min(max(sharpest, _COARSEST_DPI), _FINEST_DPI)
    dpi = min(dpi, _POINTS_PER_INCH * math.sqrt(_MOST_PIXELS / (width * height)))
    return Picture(page.render(scale=dpi / _POINTS_PER_INCH, grayscale=True).to_pil().convert("L"), dpi)


def _images(page: Any) -> Iterator[tuple[float, int]]:
    """The area of each picture on a page, and how many points it has."""
    import pypdfium2.raw as pdfium

    for image in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_IMAGE]):
        left, bottom, right, top = image.get_bounds()
        across, up = image.get_px_size()
        yield (right - left) * (top - bottom), across * up


def is_read_by_others(page: Any) -> bool:
    """Whether the text of a page lies unseen behind its picture: somebody's program read it there."""
    import pypdfium2.raw as pdfium

    unseen = asked = 0
    for text in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
        asked += 1
        unseen += pdfium.FPDFTextObj_GetTextRenderMode(text) == pdfium.FPDF_TEXTRENDERMODE_INVISIBLE
        if asked == _TEXT_OBJECTS_ASKED:
            break
    return unseen * 2 > asked


def is_image(data: bytes) -> bool:
    """Whether a file is a picture: PNG, JPEG or TIFF."""
    return data.startswith(_IMAGE_MARKS)


def image_pictures(data: bytes, *, resource: str) -> Iterator[Picture]:
    """The pages of a picture file.

    Raises:
        UnreadableFile: if it is broken or larger than a page can be.
    """
    from PIL import Image, ImageSequence

    try:
        with Image.open(io.BytesIO(data), formats=["PNG", "JPEG", "TIFF"]) as image:
            for frame in ImageSequence.Iterator(image):
                if frame.width * frame.height > _MOST_PIXELS:
                    raise UnreadableFile(
                        f"the picture has {frame.width * frame.height / 1e6:.0f} million points; "
                        f"at most {_MOST_PIXELS / 1e6:.0f}",
                        resource=resource,
                    )
                yield Picture(frame.convert("L"), _dpi_of(frame))
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise UnreadableFile("this picture is broken and cannot be read", resource=resource) from error


def _dpi_of(frame: Any) -> float:
    """As the picture says, if that can be; else as if it were as wide as usual paper."""
    said = frame.info.get("dpi", (0.0,))[0]
    likely = min(frame.width, frame.height) / _USUAL_PAPER_IN
    return float(said) if _COARSEST_DPI <= float(said) <= 2 * _FINEST_DPI else max(likely, _COARSEST_DPI)


def sure_of(text: str, surest: dict[str, float]) -> float | None:
    """How sure the least sure figure of a line is; none if no word of it was kept."""
    found = [surest[word] for word in text.split() if word in surest and any(x.isdigit() for x in word)]
    return min(found, default=None)
