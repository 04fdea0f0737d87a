"""How a cell of the fit table stands, as pages say it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sinkside.route import FitWord

_WORDS: Final[Mapping[FitWord, str]] = {
    FitWord.no_route: "No route",
    FitWord.with_concerns: "Concerns",
    FitWord.fits: "Fits",
}


def state_of(word: FitWord | None) -> str:
    """How a cell stands, as a key; none is still to be worked out.

    >>> state_of(FitWord.no_route), state_of(None)
    ('no-route', 'open')
    """
    return word.name.replace("_", "-") if word else "open"


def words_of(word: FitWord | None) -> str:
    """How a cell stands, in words."""
    return _WORDS[word] if word else "Open"


def detail_of(word: FitWord | None, *, missing: int, concerns: int) -> str:
    """How much there is to do.

    >>> detail_of(FitWord.no_route, missing=2, concerns=0)
    '2 missing'
    """
    if word is FitWord.no_route:
        return f"{missing} missing"
    return f"{concerns} to look at" if word is FitWord.with_concerns else ""
