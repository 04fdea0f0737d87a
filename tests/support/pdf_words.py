"""What stands where in a PDF, as readers that did not write it find it."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import Any

import pdfplumber
import pytest

from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain import LANGUAGES

#: Every language but the reference; those whose room and direction add nothing wait for the longer hunt.
IN_OTHER_LANGUAGES = [
    language if language in {"pl", "ar", "zh"} else pytest.param(language, marks=pytest.mark.long)
    for language in LANGUAGES
    if language != REFERENCE_LANGUAGE
]

#: Marks of direction, which readers of a file tell as signs of their own.
ISOLATES = dict.fromkeys(map(ord, "\u2066\u2068\u2069"))

#: Its typeface has boxes nearly two lines high, for the marks above and below letters.
_SHARED_HEIGHT_OF_ARABIC = 0.75
_ARABIC = re.compile(r"[\u0600-\u06ff\ufe70-\ufeff]")

#: How much of a line's height two words may share: boxes are as high as the type, letters are not.
_SHARED_HEIGHT = 0.35


def text_of(pdf: bytes) -> str:
    """The text of every page."""
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        return "\n".join(page.extract_text() for page in document.pages)


def without_gaps(text: str) -> str:
    """Text without white space, because readers differ in where they see a gap."""
    return "".join(text.split())


def faults_of_place(pdf: bytes, *, margin: float = 0.0) -> list[str]:
    """Words that run off their page or lie on another word, each told with its page."""
    found = []
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        for number, page in enumerate(document.pages, start=1):
            words = page.extract_words()
            found += [f"{number}: {one['text']} runs off" for one in words if _runs_off(one, page, margin)]
            found += [f"{number}: {one} on {other}" for one, other in _on_each_other(words)]
    return found


def _runs_off(word: dict[str, Any], page: Any, margin: float) -> bool:
    across = word["x0"] < margin or word["x1"] > page.width - margin
    return bool(across or word["top"] < margin or word["bottom"] > page.height - margin)


def _on_each_other(words: list[dict[str, Any]]) -> Iterator[tuple[str, str]]:
    for index, one in enumerate(words):
        for other in words[index + 1 :]:
            across = min(one["x1"], other["x1"]) - max(one["x0"], other["x0"])
            down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
            height = min(one["bottom"] - one["top"], other["bottom"] - other["top"])
            shared = (
                _SHARED_HEIGHT_OF_ARABIC if _ARABIC.search(one["text"] + other["text"]) else _SHARED_HEIGHT
            )
            if across > 0.3 and down > shared * height:
                yield one["text"], other["text"]
