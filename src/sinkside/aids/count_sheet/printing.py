"""Count sheets as PDF."""

from __future__ import annotations

from sinkside.aids.count_sheet.content import count_sheet_content
from sinkside.aids.count_sheet.request import CountSheetRequest
from sinkside.aids.papers.setting import typeset


def count_sheet_pdf(request: CountSheetRequest) -> bytes:
    """A count sheet: the list first, the map of the tray beside its letters.

    The same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown or a word has no translation; and, unless it is a proof,
            while a stop is open or nobody reviewed its words.
    """
    return typeset(count_sheet_content(request), "count_sheet")
