"""Where in the maker's text something stands, in words."""

from __future__ import annotations

from sinkside.findings import Place
from sinkside.language import render


def place_words(place: Place, language: str = "en") -> str:
    """Where in the maker's text something stands.

    >>> place_words(Place(page=2, line=41))
    'page 2, line 41'
    """
    if place.page is None:
        return ""
    if place.line is None:
        return render("page {page}", {"page": place.page}, language)
    return render("page {page}, line {line}", {"page": place.page, "line": place.line}, language)
