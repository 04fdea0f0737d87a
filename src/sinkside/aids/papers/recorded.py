"""What papers on what is recorded share: language, title, code, when they were made, and their foot."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from sinkside.aids.codes import qr_values
from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.papers.setting import Values
from sinkside.language import REFERENCE_LANGUAGE


class Recorded(Protocol):
    """What such a paper is made from, beside what it tells; the code is for a house without a server."""

    @property
    def title(self) -> str:
        """Of what."""

    @property
    def about(self) -> tuple[str, ...]:
        """Lines below the title."""

    @property
    def made(self) -> str:
        """When, by whom."""

    @property
    def live_url(self) -> str:
        """Where the living page is; empty without a server."""

    @property
    def code(self) -> str:
        """What the code says without one."""

    @property
    def size(self) -> SheetSize:
        """Of the paper."""


def recorded_values(request: Recorded, *, words: Mapping[str, str], governs: str) -> Values:
    """The values that are the same for each of these papers.

    Args:
        request: what it is made from.
        words: the fixed words of its template.
        governs: its last line: who decides.
    """
    return {
        "language": REFERENCE_LANGUAGE,
        "direction": "ltr",
        "paper": request.size.of_typst,
        "words": dict(words),
        "title": request.title,
        "about": list(request.about),
        "code": qr_values(request.live_url or request.code, opens=bool(request.live_url)),
        "made": request.made,
        "foot": governs,
    }
