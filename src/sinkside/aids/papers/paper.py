"""A paper as PDF."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from sinkside.aids.papers.card import station_card, theatre_card
from sinkside.aids.papers.heads import loud_band
from sinkside.aids.papers.inspection import inspection_sheet
from sinkside.aids.papers.kinds import Kind
from sinkside.aids.papers.lesson import lesson_sheet
from sinkside.aids.papers.parts import parts_sheet
from sinkside.aids.papers.poster import poster_content
from sinkside.aids.papers.protection import protection_sheet
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.setting import Values, sheets, typeset
from sinkside.aids.papers.speaking import Speaker
from sinkside.aids.papers.trouble import trouble_sheet
from sinkside.plain.reviewing import refuse_unreviewed, unreviewed

#: How much larger than the least that reads at two metres the type may grow, from least to largest.
SCALES: Final = tuple(round(1.0 + 0.08 * step, 2) for step in range(8))

#: How much smaller the type of a larger sheet may be, if that saves a sheet: 10.8 pt at least. On the
#: smallest it is 10 pt, and stays so.
_SHARES: Final = (0.9, 0.95)

#: More rows than this never fit one column, and a sheet wider than this has room for three.
_ROWS_IN_ONE_COLUMN: Final = 18
_WIDE_MM: Final = 400

_CONTENTS: Final[Mapping[Kind, Callable[[PaperRequest, Speaker], Values]]] = {
    Kind.poster: poster_content,
    Kind.card: station_card,
    Kind.theatre_card: theatre_card,
    Kind.parts: parts_sheet,
    Kind.inspection: inspection_sheet,
    Kind.trouble: trouble_sheet,
    Kind.protection: protection_sheet,
    Kind.lesson: lesson_sheet,
}


def paper_pdf(request: PaperRequest) -> bytes:
    """A paper as PDF/UA-1, its fonts embedded; the same request gives the same bytes.

    Raises:
        NotForTheFloor: if stops are open, there is no route, or words are not reviewed, lack a translation or
            a sign that shows them; a proof is refused only for the last two.
        BadInput: if the language is unknown, the sheet is none of this paper's, or there is nothing to show.
    """
    request.refuse_unless_fit()
    content = _content(request)
    return _poster(content) if request.kind is Kind.poster else _leaf(content)


def _content(request: PaperRequest) -> Values:
    """What a paper says; a proof is marked where nobody reviewed its words, another paper refused."""
    speaker = Speaker(request)
    content = _CONTENTS[request.kind](request, speaker)
    if not unreviewed(speaker.templates, request.reviewed):
        return content
    if not request.proof:
        refuse_unreviewed(speaker.templates, request.reviewed, resource=content["title"])
    if not request.open_stops and request.is_resolved:
        content = {**content, "band": loud_band(speaker, "words not reviewed")}
    return content


def _leaf(content: Values) -> bytes:
    """A card or sheet in its own type, or in the largest smaller one that saves a sheet.

    The smallest is tried first: where it saves none, nothing else does.
    """
    pdf = typeset({**content, "share": 1.0}, "leaf")
    fewest = sheets(pdf)
    if fewest > 1 and content["sheet"]["scale"] > 1.0:
        for share in _SHARES:
            smaller = typeset({**content, "share": share}, "leaf")
            if sheets(smaller) >= fewest:
                break
            pdf = smaller
    return pdf


def _poster(content: Values) -> bytes:
    """A poster in the largest type that needs no more sheets than the smallest would.

    A route too long for one column is set in several: down the left, then down the right. The template tries
    them all in one go, because its measurements are what decides.
    """
    rows = sum(len(group["rows"]) for group in content["groups"])
    narrow = (2, 3) if content["sheet"]["width"] > _WIDE_MM else (2,)
    columns = (1, *narrow) if rows <= _ROWS_IN_ONE_COLUMN else narrow
    return typeset({**content, "scales": SCALES, "columns": columns}, "poster")
