"""The maker's document page by page, with the words lit that a step was read from."""

from __future__ import annotations

import base64
import functools
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from sinkside.aids.drawing import add, markup, svg
from sinkside.desk.access import Visitor
from sinkside.desk.lit_words import Box, boxes_of, lit_parts, lit_words
from sinkside.desk.parsing_child import ChildLimits, run_child
from sinkside.desk.ports import Archive
from sinkside.desk.remembered import Remembered
from sinkside.desk.shelf import OpenInstruction, makers_document
from sinkside.documents import decoded
from sinkside.errors import UnreadableFile
from sinkside.instruction import Origin
from sinkside.records import StoredFile

_KEPT_PICTURES: Final = 48
_KEPT_TEXTS: Final = 16
_SHOWN_AS_PICTURES: Final = (".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff")
_LIMITS: Final = ChildLimits(memory_bytes=1_500_000_000, processor_s=30, clock_s=40.0)
_MARGIN_PT: Final = 14.0
_AROUND_LIT_PT: Final = 1.5
#: Of a long text only what stands around the lit words is shown, so that they are in sight without a script.
_LINES_BEFORE: Final = 12
_LINES_SHOWN: Final = 40


@dataclass(frozen=True)
class PagePicture:
    """One page of a PDF: its picture, its size in points, and its words with their boxes."""

    png: bytes
    width: float
    height: float
    pages: int
    words: tuple[tuple[str, Box], ...]

    @functools.cached_property
    def texts(self) -> tuple[str, ...]:
        """The words alone."""
        return tuple(text for text, _ in self.words)

    @functools.cached_property
    def without_margins(self) -> str:
        """The part of the page that has words, as the view box of a drawing."""
        if not self.words:
            return f"0 0 {self.width:.0f} {self.height:.0f}"
        boxes = [box for _, box in self.words]
        left = max(min(box.left for box in boxes) - _MARGIN_PT, 0.0)
        right = min(max(box.right for box in boxes) + _MARGIN_PT, self.width)
        top = max(min(box.top for box in boxes) - _MARGIN_PT, 0.0)
        bottom = min(max(box.bottom for box in boxes) + _MARGIN_PT, self.height)
        return f"{left:.0f} {top:.0f} {right - left:.0f} {bottom - top:.0f}"


@dataclass(frozen=True)
class LinePart:
    """Words of a line, lit or not."""

    text: str
    lit: bool


@dataclass(frozen=True)
class TextLine:
    """A line of a text: its number, and its words in parts, lit or not."""

    number: int
    parts: tuple[LinePart, ...]
    lit: bool


@dataclass(frozen=True)
class SourcePage:
    """One page of the maker's document as it is shown.

    Attributes:
        file: the name of the document.
        digest: its digest.
        page: which page, from 1, of how many.
        pages: how many there are.
        svg: the page as a drawing over its picture; empty for a text.
        lines: the lines of a text around what is lit; none for a PDF.
        first_line: the first and
        last_line: the last line of the text, whether shown or not.
        lit: the words that are lit, for those who hear the page.
        trouble: why there is no page to be seen.
    """

    file: str
    digest: str
    page: int
    pages: int
    svg: str = ""
    lines: tuple[TextLine, ...] = ()
    first_line: int = 1
    last_line: int = 1
    lit: str = ""
    trouble: str = ""


class _Pictures:
    """The pictures that were asked for last, by the digest of their document; each is made once."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[str, int], PagePicture] = OrderedDict()
        self._lock = threading.Lock()
        self._making: dict[tuple[str, int], threading.Lock] = {}

    def get(self, digest: str, page: int, read: Callable[[], tuple[str, bytes]]) -> PagePicture:
        """The picture of a page, made from what `read` gives unless it is kept."""
        key = (digest, page)
        with self._lock:
            making = self._making.setdefault(key, threading.Lock())
        try:
            with making:
                found = self._kept_one(key)
                if found is None:
                    found = _made(*read(), page)
                    with self._lock:
                        self._kept[key] = found
                        while len(self._kept) > _KEPT_PICTURES:
                            self._kept.popitem(last=False)
                return found
        finally:
            with self._lock:
                self._making.pop(key, None)

    def _kept_one(self, key: tuple[str, int]) -> PagePicture | None:
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)


_PICTURES: Final = _Pictures()

#: The lines of word-processor files, by the digest of the file.
_WORD_LINES: Final = Remembered[str, str](most=_KEPT_TEXTS)


def source_page(
    archive: Archive, opened: OpenInstruction, origin: Origin | None, *, page: int, picture_at: str
) -> SourcePage | None:
    """A page of the document that a revision was drafted from; none if the document is not kept.

    Args:
        archive: where it is kept.
        opened: the revision, as it was opened for this person.
        origin: the words to light, if any.
        page: which page; that of the words, if they stand elsewhere.
        picture_at: the address of the page's picture, with `{page}` for its number.
    """
    file = opened.file
    if file is None:
        return None
    shown = origin.page if origin else page
    is_pdf = is_picture(file)
    try:
        if is_pdf:
            picture = _PICTURES.get(file.digest, shown, lambda: (file.name, _content(archive, file)))
            return _picture_page(file, picture, origin, page=shown, picture_at=picture_at)
        if file.name.lower().endswith(".docx"):
            lines = _WORD_LINES.get(file.digest, lambda: _word_lines(archive, file))
            return _text_page(file, lines, origin, page=shown)
        return _text_page(file, decoded(_content(archive, file)), origin, page=shown)
    except UnreadableFile as error:
        return SourcePage(file.name, file.digest, shown, 1, trouble=error.message)


def page_picture(archive: Archive, who: Visitor, instruction: str, *, digest: str, page: int) -> bytes:
    """The picture of one page, as PNG.

    Raises:
        NotAllowed: without the right.
        NotThere: if that file does not belong to the instruction.
        UnreadableFile: if it has no such page, or is no PDF or picture.
    """
    file, data = makers_document(archive, who, instruction, digest=digest)
    if not is_picture(file):
        raise UnreadableFile("only pages of a PDF or picture file have pictures", resource=file.name)
    return _PICTURES.get(digest, page, lambda: (file.name, data)).png


def is_picture(file: StoredFile) -> bool:
    """Whether a document is shown as pictures of its pages."""
    return file.name.lower().endswith(_SHOWN_AS_PICTURES) or file.media_type == "application/pdf"


def _content(archive: Archive, file: StoredFile) -> bytes:
    with archive.unit(writes=False) as unit:
        return unit.files.read(file.digest)


def _word_lines(archive: Archive, file: StoredFile) -> str:
    """The lines of a word-processor file as they were read for the draft."""
    return "\n".join(run_child("lines", [(file.name, _content(archive, file))], limits=_LIMITS))


def _made(name: str, data: bytes, page: int) -> PagePicture:
    values: dict[str, Any] = run_child("picture", [(name, data)], arguments={"page": page}, limits=_LIMITS)
    return PagePicture(
        png=base64.b64decode(values["png"]),
        width=values["width"],
        height=values["height"],
        pages=values["pages"],
        words=tuple((word[0], Box(*word[1:])) for word in values["words"]),
    )


def _picture_page(
    file: StoredFile, picture: PagePicture, origin: Origin | None, *, page: int, picture_at: str
) -> SourcePage:
    texts = picture.texts
    places = lit_words(texts, origin.text) if origin else ()
    boxes = boxes_of([picture.words[place][1] for place in places])
    lit = " ".join(texts[place] for place in places)
    return SourcePage(
        file=file.name,
        digest=file.digest,
        page=page,
        pages=picture.pages,
        svg=_drawn(picture, boxes, lit, page=page, picture_at=picture_at.replace("{page}", str(page))),
        lit=lit,
    )


def _drawn(picture: PagePicture, boxes: tuple[Box, ...], lit: str, *, page: int, picture_at: str) -> str:
    """The page's picture without its white margins, and the lit words over it."""
    root = svg(
        width=picture.width,
        height=picture.height,
        key="source",
        title=f"Page {page} of the maker's document",
        description=f"lit: {lit}" if lit else "nothing is lit",
        classes="source-picture",
    )
    root.set("viewBox", picture.without_margins)
    add(root, "image", href=picture_at, x=0.0, y=0.0, width=picture.width, height=picture.height)
    for box in boxes:
        add(
            root,
            "rect",
            class_="lit-box",
            x=box.left - _AROUND_LIT_PT,
            y=box.top - _AROUND_LIT_PT,
            width=box.right - box.left + 2 * _AROUND_LIT_PT,
            height=box.bottom - box.top + 2 * _AROUND_LIT_PT,
        )
    return markup(root)


def _text_page(file: StoredFile, text: str, origin: Origin | None, *, page: int) -> SourcePage:
    pages = text.split("\f")
    shown = min(max(page, 1), len(pages))
    before = sum(len(one.splitlines()) for one in pages[: shown - 1])
    lines = pages[shown - 1].splitlines()
    lit_lines, lit = _lit_lines(lines, origin, before)
    start = max((origin.line if origin else 1) - before - 1 - _LINES_BEFORE, 0)
    end = start + _LINES_SHOWN
    chosen = [line for line in lit_lines[start:end] if line.lit or "".join(part.text for part in line.parts)]
    return SourcePage(
        file=file.name,
        digest=file.digest,
        page=shown,
        pages=len(pages),
        lines=tuple(chosen),
        first_line=before + 1,
        last_line=before + len(lines),
        lit=lit,
    )


def _lit_lines(lines: list[str], origin: Origin | None, before: int) -> tuple[list[TextLine], str]:
    """Every line in parts; words are sought only in the lines that the origin names."""
    first = origin.line - before if origin else 0
    last = (origin.line_end or origin.line) - before if origin else -1
    named = range(first, last + 1)
    words = [word for number in named if 0 < number <= len(lines) for word in lines[number - 1].split()]
    places = frozenset(lit_words(tuple(words), origin.text)) if origin else frozenset()
    shown, counted = [], 0
    for number, line in enumerate(lines, start=1):
        is_named = number in named
        cut = lit_parts(line, places, counted) if is_named else ((line, False),)
        parts = tuple(LinePart(text, is_lit) for text, is_lit in cut)
        counted += len(line.split()) if is_named else 0
        shown.append(TextLine(before + number, parts, any(part.lit for part in parts)))
    return shown, " ".join(words[place] for place in sorted(places))
