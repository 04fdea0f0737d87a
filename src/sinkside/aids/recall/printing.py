"""A paper of a recall as PDF."""

from __future__ import annotations

from typing import Final

from sinkside.aids.codes import qr_values
from sinkside.aids.papers.bilingual import Bilingual
from sinkside.aids.papers.setting import Values, typeset
from sinkside.aids.recall.content import sheets_of
from sinkside.aids.recall.request import RecallRequest
from sinkside.errors import BadInput

_GOVERNS: Final = "The maker’s current instruction and local policy govern. Release by a qualified person."
_NOTHING_BEFORE: Final = "Nothing of it is used or processed before somebody who decides says so."


def recall_pdf(request: RecallRequest) -> bytes:
    """A paper of a recall as PDF/UA-1; the same request gives the same bytes.

    Raises:
        BadInput: if there is nobody to write to.
        NotForTheFloor: if a sign cannot be shown, a word has no translation, or, unless it is a proof, nobody
            reviewed its words.
    """
    return typeset(_content(request), "recall")


def _content(request: RecallRequest) -> Values:
    told = Bilingual(request.readers)
    sheets = sheets_of(request, told)
    if not sheets:
        raise BadInput("there is nobody to write to", resource=request.paper.value)
    content = {
        "paper": request.size.of_typst,
        "title": sheets[0]["title"]["text"],
        "department": told.name(request.department),
        "printed": told.both("printed {printed}", printed=request.printed),
        "sheets": sheets,
        "closing": told.both(_NOTHING_BEFORE),
        "foot": told.both(_GOVERNS),
        "code": qr_values(request.live_url, opens=True) if request.live_url else None,
    }
    return told.settled(content, resource=sheets[0]["title"]["text"])
