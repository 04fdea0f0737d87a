"""The typefaces of all paper, and which signs they have: a PDF writer need not say when one is missing."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Final

from sinkside.errors import NotForTheFloor

FAMILY = "Source Sans Pro"

#: The faces that the templates use; a sign must be in each, because any text may be set in any of them.
_FACES = ("Regular", "Semibold", "Bold")

#: What a typesetter needs no glyph for: breaks, joiners, and marks of direction (Unicode Standard, Default
#: Ignorable Code Points; from memory).
_WITHOUT_GLYPH = frozenset("\n\t\u200b\u200e\u200f\u00ad\u2060\u2066\u2067\u2068\u2069")


@dataclass(frozen=True)
class Script:
    """A script that the usual typeface lacks: its name, the typeface for it, and where that comes from.

    `number` is the typeface's place in files that hold several; one file holds those of all countries that
    write with Chinese characters, each with its own shapes.
    """

    name: str
    family: str
    folder: str
    files: tuple[str, ...]
    package: str
    number: int = 0

    @property
    def paths(self) -> tuple[Path, ...]:
        """The files that the typeface needs."""
        return tuple(Path(self.folder) / file for file in self.files)


#: Scripts by language; their typefaces come with the system, not with Sinkside.
SCRIPTS: Final[Mapping[str, Script]] = {
    "ar": Script(
        "Arabic",
        "Noto Sans Arabic",
        "/usr/share/fonts/truetype/noto",
        ("NotoSansArabic-Regular.ttf", "NotoSansArabic-Bold.ttf"),
        "fonts-noto-core",
    ),
    "zh": Script(
        "Chinese",
        "Noto Sans CJK SC",
        "/usr/share/fonts/opentype/noto",
        ("NotoSansCJK-Regular.ttc", "NotoSansCJK-Bold.ttc"),
        "fonts-noto-cjk",
        number=2,
    ),
}


@functools.cache
def font_folder() -> Path:
    """Where the usual typeface's files are."""
    return Path(str(resources.files("font_source_sans_pro").joinpath("files")))


def script_of(language: str) -> Script | None:
    """The script of a language that needs a typeface of its own, or none.

    Raises:
        NotForTheFloor: if that typeface is not installed: which, and what to install.

    >>> script_of("pl") is None
    True
    """
    script = SCRIPTS.get(language.partition("-")[0])
    if script is not None and not all(path.is_file() for path in script.paths):
        raise NotForTheFloor(
            f"{script.name} needs the typeface {script.family}; install the package {script.package}",
            resource=language,
        )
    return script


def families(language: str = "en") -> tuple[str, ...]:
    """The typefaces for a language, the usual one first.

    Raises:
        NotForTheFloor: if one is not installed.
    """
    script = script_of(language)
    return (FAMILY, script.family) if script else (FAMILY,)


def covered_signs(language: str = "en") -> frozenset[int]:
    """The code points that some typeface for a language has in every face.

    Raises:
        NotForTheFloor: if a typeface is not installed.

    >>> all(ord(sign) in covered_signs() for sign in "≥ ≤ – × µ ° ł ế ■ ▲")
    True
    """
    script = script_of(language)
    usual = tuple(
        font_folder() / f"SourceSansPro-{face}.{kind}" for face in _FACES for kind in ("ttf", "otf")
    )
    return _in_all(usual) | (_in_all(script.paths, script.number) if script else frozenset())


def missing_signs(texts: Iterable[str], language: str = "en") -> tuple[str, ...]:
    """The signs of some texts that the typefaces for a language lack, each once."""
    signs = {sign for text in texts for sign in text} - _WITHOUT_GLYPH
    covered = covered_signs(language)
    return tuple(sorted(sign for sign in signs if ord(sign) not in covered))


def refuse_missing_signs(texts: Iterable[str], *, resource: str, language: str = "en") -> None:
    """Refuse a paper whose text the typefaces cannot show.

    Raises:
        NotForTheFloor: naming the signs, or the typeface that is not installed.
    """
    missing = missing_signs(texts, language)
    if missing:
        named = ", ".join(f"'{sign}' (U+{ord(sign):04X})" for sign in missing)
        raise NotForTheFloor(f"the typeface has no sign for {named}", resource=resource)


@functools.cache
def _in_all(files: tuple[Path, ...], number: int = 0) -> frozenset[int]:
    """The code points that lead to a glyph in each of some font files (OpenType, table 'cmap')."""
    from fontTools.ttLib import TTFont

    covered = []
    for file in files:
        with TTFont(file, fontNumber=number, lazy=True) as font:
            covered.append(frozenset(font.getBestCmap()))
    return frozenset.intersection(*covered)
