"""Words read from a picture by tesseract, a program of its own; each with its place and how sure it is."""

from __future__ import annotations

import csv
import io
import itertools
import os
import re
import shutil
import statistics
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sinkside.draft.layout import Word
from sinkside.errors import UnreadableFile

#: What a language is called by the program, and the package that brings it.
_NAMES: Final = {"en": "eng", "de": "deu", "fr": "fra", "es": "spa"}
_LONGEST_S = 60
#: How the program looks for words: anywhere, because the page is set by us; or line below line.
_SCATTERED = "11"
_IN_LINES = "6"
_WORD_LEVEL = "5"
_LEAST_SURE = 25.0
_DESCENDERS = re.compile(r"[gjpqyQ,;()\[\]{}|/µ]")
_SHARE_BELOW_THE_LINE = 0.22
_SHARE_OF_SIZE = 0.75
_LIKE_THE_OTHERS = 0.3
_POINTS_PER_INCH = 72.0


@dataclass(frozen=True, slots=True)
class SeenWord:
    """A word on a picture: where it stands, in points, and how sure the reading is, from 0 to 100."""

    word: Word
    sure: float


def languages_installed(*, resource: str) -> frozenset[str]:
    """The languages that pictures can be read in here.

    Raises:
        UnreadableFile: if the program is not installed.
    """
    listed = _run(["--list-langs"], b"", resource).decode("utf-8", "replace").split()
    return frozenset(language for language, name in _NAMES.items() if name in listed)


def seen_words(
    picture: Any, *, dpi: float, languages: Sequence[str], resource: str, scattered: bool = True
) -> list[SeenWord]:
    """The words on a straight picture.

    Args:
        picture: grey, dark on light.
        dpi: how many of its points make an inch.
        languages: which languages to expect, the likeliest first.
        resource: the file, for the sentence if it cannot be read.
        scattered: whether they may stand anywhere, and not only in lines from the top down.

    Raises:
        UnreadableFile: if the program or a language is not installed, or it fails.
    """
    missing = [language for language in languages if language not in languages_installed(resource=resource)]
    if missing:
        packages = ", ".join(f"tesseract-ocr-{_NAMES[language]}" for language in missing)
        raise UnreadableFile(f"to read its pictures, install {packages} (Debian, Ubuntu)", resource=resource)
    data = io.BytesIO()
    picture.save(data, format="BMP")
    names = "+".join(_NAMES[language] for language in languages)
    command = [
        "stdin",
        "stdout",
        "--dpi",
        f"{dpi:.0f}",
        "-l",
        names,
        "--psm",
        _SCATTERED if scattered else _IN_LINES,
        "tsv",
    ]
    table = _run(command, data.getvalue(), resource).decode("utf-8", "replace")
    return list(_words(table, scale=_POINTS_PER_INCH / dpi))


def _run(arguments: list[str], given: bytes, resource: str) -> bytes:
    program = shutil.which("tesseract")
    if program is None:
        raise UnreadableFile(
            "its pages are pictures without text; to read them, install tesseract-ocr (Debian, Ubuntu)",
            resource=resource,
        )
    try:
        done = subprocess.run(  # noqa: S603 # a program found on the path, our own arguments, no shell
            [program, *arguments],
            input=given,
            capture_output=True,
            timeout=_LONGEST_S,
            check=True,
            env={**os.environ, "OMP_THREAD_LIMIT": "1"},
        )
    except subprocess.TimeoutExpired as error:
        raise UnreadableFile(
            f"reading a picture took longer than {_LONGEST_S} s", resource=resource
        ) from error
    except (subprocess.CalledProcessError, OSError) as error:
        raise UnreadableFile("a picture in it could not be read", resource=resource) from error
    return done.stdout


@dataclass(frozen=True, slots=True)
class _Seen:
    text: str
    line: tuple[str, ...]
    sure: float
    left: float
    top: float
    width: float
    height: float

    @property
    def bottom(self) -> float:
        return self.top + self.height


def _words(table: str, *, scale: float) -> Iterator[SeenWord]:
    """Words with a size and a foot of their line, which their letters alone do not tell."""
    seen = [
        _seen(row, scale)
        for row in csv.DictReader(io.StringIO(table), delimiter="\t", quoting=csv.QUOTE_NONE)
        if row["level"] == _WORD_LEVEL and (row["text"] or "").strip()
    ]
    seen = [one for one in seen if one.sure >= _LEAST_SURE or any(sign.isalnum() for sign in one.text)]
    lines = [list(group) for _, group in itertools.groupby(seen, key=lambda one: one.line)]
    sizes = [statistics.median(one.height for one in line) / _SHARE_OF_SIZE for line in lines]
    usual = (
        statistics.median(size for line, size in zip(lines, sizes, strict=True) for _ in line)
        if lines
        else 0.0
    )
    for line, own in zip(lines, sizes, strict=True):
        # The height of letters says little about the size of the type; only a clear difference counts.
        size = usual if abs(own - usual) <= _LIKE_THE_OTHERS * usual else own
        feet = [one.bottom for one in line if not _DESCENDERS.search(one.text)]
        foot = statistics.median(feet or [one.bottom - _SHARE_BELOW_THE_LINE * size for one in line])
        bottom = foot + _SHARE_BELOW_THE_LINE * size
        for one in line:
            word = Word(one.text, one.left, one.left + one.width, bottom - size, bottom, size, bold=False)
            yield SeenWord(word, one.sure)


def _seen(row: dict[str, str], scale: float) -> _Seen:
    left, top, width, height = (float(row[name]) * scale for name in ("left", "top", "width", "height"))
    line = tuple(row[name] for name in ("page_num", "block_num", "par_num", "line_num"))
    return _Seen(row["text"].strip(), line, float(row["conf"]), left, top, width, height)
