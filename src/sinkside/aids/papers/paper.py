"""A paper as PDF."""

from __future__ import annotations

import bisect
from collections.abc import Callable, Mapping

from sinkside.aids.papers.card import station_card, theatre_card
from sinkside.aids.papers.inspection import inspection_sheet
from sinkside.aids.papers.kinds import Kind
from sinkside.aids.papers.parts import parts_sheet
from sinkside.aids.papers.poster import poster_content
from sinkside.aids.papers.protection import protection_sheet
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.setting import Values, sheets, typeset
from sinkside.aids.papers.speaking import Speaker
from sinkside.aids.papers.trouble import trouble_sheet
from sinkside.aids.plain import Template

#: How much larger than the least that reads at two metres the type may grow, from least to largest.
SCALES = tuple(1.0 + 0.08 * step for step in range(8))

#: More rows than this never fit one column.
_ROWS_IN_ONE_COLUMN = 18


def paper_pdf(request: PaperRequest) -> bytes:
    """A paper as PDF/UA-1, its fonts embedded; the same request gives the same bytes.

    Raises:
        NotForTheFloor: if stops are open, no route resolves it, or a sign cannot be shown; a proof is refused
            only for the last.
        BadInput: if the language is unknown, the sheet is none of this paper's, or a card names no station.
    """
    request.refuse_unless_fit()
    content = content_of(request)[0]
    return _poster(content) if request.kind is Kind.poster else typeset(content, "leaf")


def templates_of(request: PaperRequest) -> tuple[Template, ...]:
    """Every template that a paper is said with, each once: what a review is asked for before the floor.

    Raises:
        NotForTheFloor: if one has no translation.
        BadInput: if plain words are not written in the language, or a card names no station.
    """
    return content_of(request)[1]


def content_of(request: PaperRequest) -> tuple[Values, tuple[Template, ...]]:
    """What a paper says, and the templates that it is said with.

    Raises:
        NotForTheFloor: if a template has no translation.
        BadInput: if plain words are not written in the language, or a card names no station.
    """
    speaker = Speaker(request)
    return _CONTENTS[request.kind](request, speaker), speaker.templates


def _poster(content: Values) -> bytes:
    """A poster in the largest type that needs no more sheets than the smallest would.

    A route too long for one sheet is set in two columns: down the left, then down the right.
    """
    columns, papers = 1, {}
    if sum(len(group["rows"]) for group in content["groups"]) <= _ROWS_IN_ONE_COLUMN:
        papers[SCALES[0]] = _set_poster(content, SCALES[0], columns=1)
    if not papers or sheets(papers[SCALES[0]]) > 1:
        columns, papers = 2, {SCALES[0]: _set_poster(content, SCALES[0], columns=2)}
    if columns > 1 and sheets(papers[SCALES[0]]) > 1:
        content, papers[SCALES[0]] = _without_drawings_if_shorter(content, papers[SCALES[0]])
    fewest = sheets(papers[SCALES[0]])

    # In two columns words soon no longer fit beside their figures, and setting them takes longer.
    larger = SCALES[1:] if columns == 1 else SCALES[1:3] if fewest == 1 else SCALES[2:3]

    def needs_more_sheets(scale: float) -> bool:
        papers[scale] = _set_poster(content, scale, columns=columns)
        return sheets(papers[scale]) > fewest

    too_large = bisect.bisect_left(larger, True, key=needs_more_sheets)
    return papers[(SCALES[0], *larger)[too_large]]


def _without_drawings_if_shorter(content: Values, drawn: bytes) -> tuple[Values, bytes]:
    """A poster that drawings would push onto one more sheet goes without them: the words say it all."""
    plain = {
        **content,
        "groups": [
            {**group, "rows": [{**row, "drawing": None} for row in group["rows"]]}
            for group in content["groups"]
        ],
    }
    paper = _set_poster(plain, SCALES[0], columns=2)
    return (plain, paper) if sheets(paper) < sheets(drawn) else (content, drawn)


def _set_poster(content: Values, scale: float, *, columns: int) -> bytes:
    return typeset({**content, "scale": scale, "columns": columns}, "poster")


_CONTENTS: Mapping[Kind, Callable[[PaperRequest, Speaker], Values]] = {
    Kind.poster: poster_content,
    Kind.card: station_card,
    Kind.theatre_card: theatre_card,
    Kind.parts: parts_sheet,
    Kind.inspection: inspection_sheet,
    Kind.trouble: trouble_sheet,
    Kind.protection: protection_sheet,
}
