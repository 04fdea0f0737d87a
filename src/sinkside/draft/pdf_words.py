"""The words of a PDF page with their places, and its rules: straight strokes and thin filled boxes."""

from __future__ import annotations

import ctypes
import math
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from sinkside.draft.layout import Word
from sinkside.draft.lines import clean
from sinkside.errors import UnreadableFile

#: More than any page that a person could read holds; beyond it a page is a trap.
_MOST_SIGNS_ON_A_PAGE = 150_000
_MOST_OBJECTS_ON_A_PAGE = 20_000
_WIDEST_GAP_IN_A_WORD = 0.22
_RAISED = 0.15
_THICKEST_RULE_PT = 3.0
_SHORTEST_RULE_PT = 6.0
_QUARTER = 90
_UPRIGHT_TOLERANCE_DEG = 5
_BROKEN_HERE = {0x02, 0xFFFE}
_UNITS_WITH_POWERS = re.compile(r"(?:\b|\d)[cmd]?m$")
_SUPERSCRIPTS = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line between two places, in points from the top left; it is level or upright."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def level(self) -> bool:
        """Whether it runs across."""
        return self.x1 - self.x0 >= self.y1 - self.y0


@dataclass(slots=True)
class _Sign:
    place: int
    text: str
    x0: float
    x1: float
    top: float
    bottom: float
    size: float
    raised: bool = False


@dataclass(slots=True)
class _Signs:
    """Signs that make one word."""

    signs: list[_Sign] = field(default_factory=list)

    @property
    def first(self) -> int:
        """The place of the first sign in the page's text."""
        return self.signs[0].place


@dataclass(frozen=True, slots=True)
class PageContent:
    """What stands on a page, in points from the top left as it is read, and how wide it then is."""

    words: list[Word]
    rules: list[Rule]
    width: float


def page_content(page: Any, *, number: int, resource: str) -> PageContent:
    """The words and rules of a page, turned so that most of its text stands upright.

    Raises:
        UnreadableFile: if there are more signs on it than any page holds.
    """
    written = _written_words(page, number, resource)
    counted: Counter[int] = Counter()
    for angle, word in written:
        counted[_quarters(angle)] += len(word.text)
    usual = max((q for q in counted if q >= 0), key=lambda q: counted[q], default=0)
    turn = _turn_of(page, -usual % 4)
    words = [
        replace(turn.word(word), turned=_quarters(angle) != usual)
        for angle, word in written
        if word.text and _quarters(angle) >= 0
    ]
    return PageContent(words, _rules(page, turn), turn.width)


def shown_words(page: Any, *, number: int, resource: str) -> list[Word]:
    """The words of a page where they stand when it is shown.

    Raises:
        UnreadableFile: if there are more signs on it than any page holds.
    """
    turn = _turn_of(page, page.get_rotation() // _QUARTER % 4)
    return [turn.word(word) for _, word in _written_words(page, number, resource) if word.text]


def _written_words(page: Any, number: int, resource: str) -> list[tuple[float, Word]]:
    """The words as they are written, each with the angle of its line."""
    import pypdfium2.raw as pdfium

    textpage = page.get_textpage()
    try:
        count = pdfium.FPDFText_CountChars(textpage)
        if count > _MOST_SIGNS_ON_A_PAGE:
            raise UnreadableFile(
                f"page {number} holds {count:,} signs; expected at most {_MOST_SIGNS_ON_A_PAGE:,}",
                resource=resource,
            )
        written = []
        for one in _words(pdfium, textpage, count):
            angle = _angle(pdfium, textpage, one.first)
            if angle < _UPRIGHT_TOLERANCE_DEG:
                _note_raised(pdfium, textpage, one.signs)
            written.append((angle, _word(one, bold=_bold(pdfium, textpage, one.first))))
        return written
    finally:
        textpage.close()


def _words(pdfium: Any, textpage: Any, count: int) -> Iterator[_Signs]:
    """Signs that follow each other without a gap."""
    box = pdfium.FS_RECTF()
    reference = ctypes.byref(box)
    current: _Signs | None = None
    for place in range(count):
        code = pdfium.FPDFText_GetUnicode(textpage, place)
        text = "-" if code in _BROKEN_HERE else chr(code)
        if code == 0 or text.isspace():
            if current:
                yield current
            current = None
            continue
        pdfium.FPDFText_GetLooseCharBox(textpage, place, reference)
        size = pdfium.FPDFText_GetFontSize(textpage, place)
        sign = _Sign(place, text, box.left, box.right, -box.top, -box.bottom, size)
        if current and not _follows(current.signs[-1], sign):
            yield current
            current = None
        current = current or _Signs()
        current.signs.append(sign)
    if current:
        yield current


def _note_raised(pdfium: Any, textpage: Any, signs: list[_Sign]) -> None:
    """Mark the figures that stand above the line of their word; a word is never raised as a whole."""
    figures = [sign for sign in signs if sign.text.isdigit()]
    if len(signs) == 1 or not figures:
        return
    x, line = ctypes.c_double(), ctypes.c_double()
    left, right, bottom, top = (ctypes.c_double() for _ in range(4))
    pdfium.FPDFText_GetCharOrigin(textpage, signs[0].place, ctypes.byref(x), ctypes.byref(line))
    for sign in figures:
        pdfium.FPDFText_GetCharBox(textpage, sign.place, *map(ctypes.byref, (left, right, bottom, top)))
        sign.raised = bottom.value - line.value > _RAISED * signs[0].size
    if all(sign.raised for sign in signs):
        for sign in signs:
            sign.raised = False


def _follows(before: _Sign, sign: _Sign) -> bool:
    height = max(before.size, sign.size, before.bottom - before.top)
    gap = sign.x0 - before.x1
    behind = sign.x0 >= before.x0 - _WIDEST_GAP_IN_A_WORD * height
    beside = behind and gap <= _WIDEST_GAP_IN_A_WORD * height and _share_height(before, sign)
    over = min(abs(sign.bottom - before.top), abs(sign.top - before.bottom)) <= _WIDEST_GAP_IN_A_WORD * height
    return beside or (over and abs(sign.x0 - before.x0) <= _WIDEST_GAP_IN_A_WORD * height)


def _share_height(before: _Sign, sign: _Sign) -> bool:
    return sign.top < before.bottom and before.top < sign.bottom


def _angle(pdfium: Any, textpage: Any, place: int) -> float:
    return math.degrees(max(0.0, pdfium.FPDFText_GetCharAngle(textpage, place)))


def _bold(pdfium: Any, textpage: Any, place: int) -> bool:
    name = ctypes.create_string_buffer(128)
    pdfium.FPDFText_GetFontInfo(textpage, place, name, len(name), ctypes.byref(ctypes.c_int()))
    return b"bold" in name.value.lower()


def _word(word: _Signs, *, bold: bool) -> Word:
    signs = word.signs
    size = max(sign.size for sign in signs)
    return Word(
        text=clean("".join(_written(signs))),
        x0=min(sign.x0 for sign in signs),
        x1=max(sign.x1 for sign in signs),
        top=min(sign.top for sign in signs if sign.size == size),
        bottom=max(sign.bottom for sign in signs if sign.size == size),
        size=size,
        bold=bold,
    )


def _written(signs: list[_Sign]) -> Iterator[str]:
    """Signs as text: a raised figure is a power behind a figure or a length, else the mark of a footnote."""
    before = ""
    for sign in signs:
        written = sign.text
        if sign.raised:
            power = before[-1:].isdigit() or _UNITS_WITH_POWERS.search(before) is not None
            written = sign.text.translate(_SUPERSCRIPTS) if power else ""
        before += written
        yield written


# Turned pages and turned words.


@dataclass(frozen=True, slots=True)
class _Turn:
    """A page turned clockwise by quarters; its size then, and where its lower left corner was before."""

    quarters: int
    left: float
    bottom: float
    width: float
    height: float

    def shown(self, x: float, y: float) -> tuple[float, float]:
        """A place of the page, counted upwards, as it stands from the top left once the page is turned."""
        x, y = x - self.left, y - self.bottom
        match self.quarters:
            case 1:
                return y, x
            case 2:
                return self.width - x, y
            case 3:
                return self.width - y, self.height - x
        return x, self.height - y

    def box(self, x0: float, y0: float, x1: float, y1: float) -> tuple[float, float, float, float]:
        """A box, turned: left, top, right, bottom."""
        (xa, ya), (xb, yb) = self.shown(x0, y0), self.shown(x1, y1)
        return min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb)

    def word(self, word: Word) -> Word:
        """A word, turned."""
        x0, top, x1, bottom = self.box(word.x0, -word.top, word.x1, -word.bottom)
        return replace(word, x0=x0, x1=x1, top=top, bottom=bottom)


def _turn_of(page: Any, quarters: int) -> _Turn:
    left, bottom, right, top = page.get_cropbox()
    across, up = right - left, top - bottom
    return _Turn(quarters, left, bottom, *((up, across) if quarters % 2 else (across, up)))


def _quarters(angle: float) -> int:
    """How many quarters a word is turned; less than none if it stands aslant."""
    nearest = round(angle / _QUARTER)
    return nearest % 4 if abs(angle - nearest * _QUARTER) <= _UPRIGHT_TOLERANCE_DEG else -1


# Rules.


def _rules(page: Any, turn: _Turn) -> list[Rule]:
    """The rules of a page; of a page full of drawing, none."""
    import pypdfium2.raw as pdfium

    rules: list[Rule] = []
    for count, drawn in enumerate(page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH])):
        if count > _MOST_OBJECTS_ON_A_PAGE:
            return []
        rules.extend(
            rule for stroke in _strokes(pdfium, drawn) if _is_straight(rule := Rule(*turn.box(*stroke)))
        )
    return rules


def _is_straight(rule: Rule) -> bool:
    across, down = rule.x1 - rule.x0, rule.y1 - rule.y0
    return min(across, down) <= _THICKEST_RULE_PT and max(across, down) >= _SHORTEST_RULE_PT


def _strokes(pdfium: Any, drawn: Any) -> Iterator[tuple[float, float, float, float]]:
    """The straight strokes of a path: a thin one as a whole, else segment by segment."""
    left, bottom, right, top = drawn.get_bounds()
    if min(right - left, top - bottom) <= _THICKEST_RULE_PT:
        yield left, bottom, right, top
        return
    matrix = drawn.get_matrix()
    count = min(pdfium.FPDFPath_CountSegments(drawn), _MOST_OBJECTS_ON_A_PAGE)
    x, y = ctypes.c_float(), ctypes.c_float()
    start = before = (0.0, 0.0)
    for place in range(count):
        segment = pdfium.FPDFPath_GetPathSegment(drawn, place)
        pdfium.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
        point = matrix.on_point(x.value, y.value)
        if pdfium.FPDFPathSegment_GetType(segment) == pdfium.FPDF_SEGMENT_MOVETO:
            start = point
        else:
            yield (*before, *point)
        if pdfium.FPDFPathSegment_GetClose(segment):
            yield (*point, *start)
        before = point
