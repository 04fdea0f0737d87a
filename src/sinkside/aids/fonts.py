"""The typeface of all paper, and which signs it has: a PDF writer need not say when one is missing."""

from __future__ import annotations

import functools
import struct
from collections.abc import Iterable, Iterator
from importlib import resources
from pathlib import Path

from sinkside.errors import NotForTheFloor

FAMILY = "Source Sans Pro"

#: The faces that the templates use; a sign must be in each, because any text may be set in any of them.
_FACES = ("Regular", "Semibold", "Bold")

_SEGMENTED_COVERAGE = 12
_UNICODE_PLATFORMS = frozenset({0, 3})

#: What a typesetter needs no glyph for.
_WITHOUT_GLYPH = frozenset("\n\t\u200b\u00ad\u2060")


@functools.cache
def font_folder() -> Path:
    """Where the typeface's files are."""
    return Path(str(resources.files("font_source_sans_pro").joinpath("files")))


@functools.cache
def covered_signs() -> frozenset[int]:
    """The code points that every face has, in both file formats that the package carries.

    >>> all(ord(sign) in covered_signs() for sign in "≥ ≤ – × µ ° ł ế ■ ▲")
    True
    """
    files = [font_folder() / f"SourceSansPro-{face}.{kind}" for face in _FACES for kind in ("ttf", "otf")]
    return frozenset.intersection(*(frozenset(_code_points(file.read_bytes())) for file in files))


def missing_signs(texts: Iterable[str]) -> tuple[str, ...]:
    """The signs of some texts that the typeface lacks, each once."""
    signs = {sign for text in texts for sign in text} - _WITHOUT_GLYPH
    return tuple(sorted(sign for sign in signs if ord(sign) not in covered_signs()))


def refuse_missing_signs(texts: Iterable[str], *, resource: str) -> None:
    """Refuse a paper whose text the typeface cannot show.

    Raises:
        NotForTheFloor: naming the signs.
    """
    missing = missing_signs(texts)
    if missing:
        named = ", ".join(f"'{sign}' (U+{ord(sign):04X})" for sign in missing)
        raise NotForTheFloor(f"the typeface has no sign for {named}", resource=resource)


def _code_points(font: bytes) -> Iterator[int]:
    """Every code point that a font leads to a glyph (OpenType specification, table 'cmap', format 12)."""
    table = _table(font, b"cmap")
    (count,) = struct.unpack_from(">H", font, table + 2)
    for index in range(count):
        platform, _, offset = struct.unpack_from(">HHL", font, table + 4 + 8 * index)
        (form,) = struct.unpack_from(">H", font, table + offset)
        if form == _SEGMENTED_COVERAGE and platform in _UNICODE_PLATFORMS:
            (groups,) = struct.unpack_from(">L", font, table + offset + 12)
            for first, last, _ in struct.iter_unpack(
                ">LLL", font[table + offset + 16 : table + offset + 16 + 12 * groups]
            ):
                yield from range(first, last + 1)
            return


def _table(font: bytes, tag: bytes) -> int:
    """Where a table of an OpenType file begins."""
    (count,) = struct.unpack_from(">H", font, 4)
    for index in range(count):
        name, _, offset, _ = struct.unpack_from(">4sLLL", font, 12 + 16 * index)
        if name == tag:
            return int(offset)
    raise NotForTheFloor(f"the typeface has no table {tag.decode()}", resource=FAMILY)
