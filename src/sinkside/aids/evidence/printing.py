"""An evidence file as PDF: what is not recorded first, then what is known, each page dated and numbered."""

from __future__ import annotations

from typing import Final

from sinkside.aids.evidence.request import (
    EvidenceBlock,
    EvidenceLine,
    EvidencePicture,
    EvidenceRequest,
    EvidenceSaid,
    EvidenceSection,
    EvidenceTable,
)
from sinkside.aids.papers.recorded import recorded_values
from sinkside.aids.papers.setting import Values, typeset

_GOVERNS: Final = (
    "It says what is recorded, and no more; it releases nothing. The maker’s current instruction and local "
    "policy govern; release by a qualified person."
)
_WORDS: Final = {
    "kind": "Evidence file",
    "gaps": "Not recorded",
    "no_gaps": "Nothing that is asked for up to here is missing.",
    "short": "In short",
    "changed": "Changed since",
    "page": "page {n} of {all}",
    "head": "Record book at",
}


def evidence_pdf(request: EvidenceRequest) -> bytes:
    """The file as PDF/UA-1; the same request gives the same bytes.

    Raises:
        NotForTheFloor: if a sign cannot be shown.
    """
    return typeset(_content(request), "evidence")


def _content(request: EvidenceRequest) -> Values:
    return {
        **recorded_values(request, words=_WORDS, governs=_GOVERNS),
        "warned": list(request.warned),
        "gaps": [list(one) for one in request.gaps],
        "short": [list(one) for one in request.short],
        "changed": list(request.changed),
        "changed_since": request.changed_since,
        "sections": [_section(one) for one in request.sections],
        "head": request.head,
    }


def _section(section: EvidenceSection) -> Values:
    return {
        "heading": section.heading,
        "apart": section.apart,
        "blocks": [_block(one) for one in section.blocks],
    }


def _block(block: EvidenceBlock) -> Values:
    match block:
        case EvidenceTable():
            widths = block.widths or (1.0,) * len(block.columns)
            return {
                "kind": "table",
                "heading": block.heading,
                "columns": list(block.columns),
                "widths": list(widths),
                "rows": [list(row) for row in block.rows],
                "empty": block.empty,
            }
        case EvidencePicture():
            return {"kind": "picture", "svg": block.svg, "alt": block.alt, "caption": block.caption}
        case EvidenceLine():
            return {
                "kind": "line",
                "heading": block.heading,
                "alt": block.alt,
                "line": [
                    {
                        "label": stop.label,
                        "figures": list(stop.figures),
                        "level": stop.level,
                        "mark": stop.mark,
                        "here": False,
                    }
                    for stop in block.stops
                ],
            }
        case EvidenceSaid():
            return {"kind": "said", "sentences": list(block.sentences), "loud": block.loud}
