"""The lines of printed tapes: where time and readings stand in each, and what else is written there.

A printer writes its lines alike, and only the digits differ. How a line is read is told once for all lines
that are written like it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

#: No tape is wider than this.
_WIDEST: Final = 500

_DATE: Final = r"(?:\d{1,4}[./-]\d{1,2}[./-]\d{1,4}[ T,]+)?"
_CLOCK: Final = rf"{_DATE}\d{{1,3}}[:h]\d\d(?:[:m]\d\d(?:[.,]\d+)?)?s?(?:\s?[AaPp]\.?[Mm]\.?)?"
_TIME: Final = re.compile(rf"(?:^|\s|\[)({_CLOCK})(?:\]|\s|,|;|$)")
_NUMBER: Final = r"(?:[+-]?\d+(?:[.,]\d+)?|-{2,}|\*{2,}|\?{2,}|ERR)"
_UNIT: Final = (
    r"(?:(?:°|º|ø|deg\.?|\*)\s?[CFKcfk]|[CFK]|(?:k|h|M|m|K)?[Pp]a|m?[Bb][Aa][Rr]|psi|PSI|KPA|MBAR|mmHg|in\.?\s?Hg|torr|"
    r"[uµμm]S/cm|m[lL]|L/min|l/min|rpm)"
)
_REFERENCE: Final = r"(?:\s?\(?(?:abs(?:olute?)?|ABS|gauge|GAUGE|rel|REL|[agAG]|ü|vac)\)?\.?)?"

#: A reading that carries its unit; and one that its name tells, with an unknown unit or none.
READING: Final = re.compile(rf"{_NUMBER}\s?(?:{_UNIT}{_REFERENCE}(?a:\b)|%)")
NAMED_READING: Final = re.compile(rf"[A-Za-z][\w.]*\s?[=:]\s?{_NUMBER}")

_BARE: Final = re.compile(rf"^(?:[A-Za-z][\w.]*\s?[=:]\s?)?({_NUMBER})")
_UNIT_AT_THE_END: Final = re.compile(rf"^{_NUMBER}\s?(.*)$")
_MARKS: Final = re.compile(r"[\s|,;=:*]+")
_DIGITS: Final = bytes.maketrans(b"123456789", b"000000000")

Place = tuple[int, int]


@dataclass(frozen=True, eq=False)
class Layout:
    """Where time and readings stand in lines that differ in nothing but their digits.

    Attributes:
        time: Of the time; None in a line without one.
        taken: Of the time with what parts it from the rest.
        readings: Of each reading.
        bare: Of each reading's number alone.
        units: Of each reading, as it is written.
        between: Of what stands before, between and behind time and readings.
        digits: Of each digit that is written there.
        is_sample: Whether its lines hold a time and readings.
    """

    time: Place | None
    taken: Place = (0, 0)
    readings: tuple[Place, ...] = ()
    bare: tuple[Place, ...] = ()
    units: tuple[str, ...] = ()
    between: tuple[Place, ...] = ()
    digits: tuple[Place, ...] = ()
    is_sample: bool = False


def layouts_of(texts: list[str], pattern: re.Pattern[str]) -> list[Layout]:
    """How each line is to be read.

    Args:
        texts: Lines.
        pattern: Of a reading.

    >>> first, second = layouts_of(["7:12 T1 20.1 C HEAT", "7:13 T1 20.4 C HEAT"], READING)
    >>> first is second, first.time, first.readings, first.between
    (True, (0, 4), ((8, 14),), ((0, 0), (5, 8), (14, 19)))
    """
    shapes = "\n".join(texts).encode().translate(_DIGITS).split(b"\n")
    known: dict[bytes, Layout] = {}
    for shape, text in zip(shapes, texts, strict=True):
        if shape not in known:
            known[shape] = _layout(text, pattern)
    return [known[shape] for shape in shapes]


def without_time(text: str, layout: Layout) -> str:
    """A line with blanks in place of its time."""
    start, end = layout.taken
    return f"{text[:start]}{' ' * (end - start)}{text[end:]}"


def unit_in(reading: str) -> str:
    """The unit of a reading, as it is written; '' if it has none."""
    found = _UNIT_AT_THE_END.match(reading)
    # A closing bracket may have been left behind.
    return found[1].replace("(", " ").replace(")", "").strip() if found else ""


def words_of(between: Iterable[str]) -> str:
    """What stands between the readings of a line; '' where it is no word.

    >>> words_of((" T1 ", " : HEAT")), words_of((" 7 ", ""))
    ('T1 HEAT', '')
    """
    left = _MARKS.sub(" ", " ".join(between)).strip()
    return left if len(left) > 1 and any(map(str.isalpha, left)) else ""


def _layout(text: str, pattern: re.Pattern[str]) -> Layout:
    if len(text) > _WIDEST:
        return Layout(None)
    found = _TIME.search(text)
    start, end = found.span() if found else (0, 0)
    readings = [*pattern.finditer(text, 0, start), *pattern.finditer(text, end)]
    taken = sorted([(start, end), *(one.span() for one in readings)])
    edges = [0, *(edge for place in taken for edge in place), len(text)]
    between = tuple(zip(edges[0::2], edges[1::2], strict=True))
    return Layout(
        found.span(1) if found else None,
        (start, end),
        tuple(one.span() for one in readings),
        tuple(_bare(one) for one in readings),
        tuple(unit_in(one[0]) for one in readings),
        between,
        tuple((at, at + 1) for first, last in between for at in range(first, last) if text[at].isdigit()),
        is_sample=found is not None and bool(readings),
    )


def _bare(reading: re.Match[str]) -> Place:
    found = _BARE.match(reading[0])
    start, end = found.span(1) if found else (0, 0)
    return reading.start() + start, reading.start() + end
