"""The paper of a month as PDF: figures first, then the most frequent, what is to be seen to, and the rest."""

from __future__ import annotations

from typing import Final

from sinkside.aids.codes import qr_svg
from sinkside.aids.deviations.request import MonthChart, MonthRequest, MonthTable
from sinkside.aids.papers.setting import Values, typeset
from sinkside.language import REFERENCE_LANGUAGE

_GOVERNS: Final = (
    "A chart only says where to look; qualified persons decide. The maker’s current instruction and local "
    "policy govern."
)
_WORDS: Final = {
    "kind": "Deviations of a month",
    "page": "page {n} of {all}",
}


def month_pdf(request: MonthRequest) -> bytes:
    """The paper as PDF/UA-1; the same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown.
    """
    return typeset(_content(request), "deviations")


def _content(request: MonthRequest) -> Values:
    code = request.live_url or request.code
    return {
        "language": REFERENCE_LANGUAGE,
        "direction": "ltr",
        "paper": request.size.of_typst,
        "words": dict(_WORDS),
        "title": request.title,
        "about": list(request.about),
        "code": {
            "svg": qr_svg(code),
            "alt": f"QR code: opens {code}" if request.live_url else f"QR code: {code}",
        },
        "figures": [[one.label, one.figure, one.beside] for one in request.figures],
        "first": [_chart(one) for one in request.first],
        "tables": [_table(one) for one in request.tables],
        "charts": [_chart(one) for one in request.charts],
        "made": request.made,
        "foot": _GOVERNS,
    }


def _chart(chart: MonthChart) -> Values:
    return {
        "heading": chart.heading,
        "pictures": [{"svg": one.svg, "alt": one.alt, "said": list(one.said)} for one in chart.pictures],
    }


def _table(table: MonthTable) -> Values:
    return {
        "heading": table.heading,
        "columns": list(table.columns),
        "widths": list(table.widths),
        "rows": [list(row) for row in table.rows],
        "empty": table.empty,
        "more": table.more,
    }
