"""Which issue of a document its head names as its own, and which as replaced, in four languages."""

from __future__ import annotations

import re

_KIND = (
    r"(?:rev(?:ision|isión|\.)?|révision|issue|version|versión|edition|édition|edición|ausgabe"
    r"|auflage|fassung|indice|stand)"
)
_THE = r"(?:the\s+|die\s+|den\s+|l['\u2019]\s?|la\s+|al?\s+(?:la\s+)?)?"
_NAME = r"(\d[\w.]*|(?-i:[A-Z])\b)"
_OVER = (
    r"(?:out of date|obsolete|withdrawn|void|superseded|ungültig|veraltet|périmée?|caduque|annulée?"
    r"|anulad[ao]|obsolet[ao]|derogad[ao]|(?:no longer|nicht mehr)\s+(?:valid|gültig))"
)
_OWN = re.compile(rf"\b(?:{_KIND}|v\.?)\s*[:.]?\s*([A-Z]?\d[\w.]*|[A-Z]\b)", re.IGNORECASE)
#: "Issue 3, replaces issue 2", "Ausgabe 3, ersetzt Ausgabe 2".
_REPLACES = re.compile(
    rf"\b(?:replaces|supersedes|cancels|ersetzt|remplace|sustituye|reemplaza)\s+{_THE}(?:{_KIND}\s*)?([\w.]*\w)",
    re.IGNORECASE,
)
#: "Issue 3 (issue 2 is out of date)".
_IS_OVER = re.compile(
    rf"(?<=[(;,])\s*{_THE}{_KIND}\s*{_NAME}\s+(?:is|ist|est|queda|está)\s+(?:now\s+)?{_OVER}\b",
    re.IGNORECASE,
)


def issues(front: str) -> tuple[str, str]:
    """The issue that the head of a document names as its own, and the one that it replaces.

    >>> issues("Care sheet, issue 7 (issue 6 is out of date)")
    ('7', '6')
    """
    replaced = _replaced(front)
    at = replaced.start(1) if replaced else -1
    own = next((match[1] for match in _OWN.finditer(front) if match.start(1) != at), "")
    return own, replaced[1] if replaced else ""


def tells_issue(piece: str) -> bool:
    """Whether some words of a head say what a document replaces."""
    return _replaced(piece) is not None


def _replaced(front: str) -> re.Match[str] | None:
    return _REPLACES.search(front) or _IS_OVER.search(front)
