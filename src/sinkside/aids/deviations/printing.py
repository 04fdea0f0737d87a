"""The paper of a month as PDF: figures first, then the most frequent, what is to be seen to, and the rest."""

from __future__ import annotations

from typing import Final

from sinkside.aids.deviations.request import MonthChart, MonthRequest, MonthTable
from sinkside.aids.papers.recorded import recorded_values
from sinkside.aids.papers.setting import Values, typeset

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
    return {
        **recorded_values(request, words=_WORDS, governs=_GOVERNS),
        "figures": [[one.label, one.figure, one.beside] for one in request.figures],
        "first": [_chart(one) for one in request.first],
        "tables": [_table(one) for one in request.tables],
        "charts": [_chart(one) for one in request.charts],
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
