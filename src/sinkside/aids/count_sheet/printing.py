"""Count sheets as PDF."""

from __future__ import annotations

from typing import Final

from sinkside.aids.count_sheet.content import count_sheet_content
from sinkside.aids.count_sheet.request import CountSheetRequest
from sinkside.aids.fonts import refuse_missing_signs
from sinkside.aids.papers.setting import broken
from sinkside.aids.typesetting import set_pdf, texts_of

#: What holds drawings, which are not to be broken like words.
_DRAWN: Final = ("map", "code")


def count_sheet_pdf(request: CountSheetRequest) -> bytes:
    """A count sheet: the list first, the map of the tray beside its letters.

    The same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown.
    """
    content = count_sheet_content(request)
    name = request.document.name
    refuse_missing_signs(texts_of(content), resource=name)
    drawn = {part: content.pop(part) for part in _DRAWN}
    return set_pdf(
        "sinkside.aids.count_sheet", "count_sheet.typ", {**broken(content), **drawn}, resource=name
    )
