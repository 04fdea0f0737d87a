"""Every pictogram on one paper: as small as it is ever shown, larger, and its word."""

from __future__ import annotations

from typing import Final

from sinkside.aids.papers.setting import Values, typeset
from sinkside.aids.pictograms import pictogram_svg, pictograms

#: The least size at which every pictogram must be told from every other, in mm.
SMALLEST_MM: Final = 8


def specimen_pdf() -> bytes:
    """The specimen sheet as PDF/UA-1 on A4; always the same bytes."""
    return typeset(_content(), "specimen")


def _content() -> Values:
    actions: list[Values] = []
    cautions: list[Values] = []
    for name, drawn in pictograms().items():
        told = {"svg": pictogram_svg(name), "word": drawn.word}
        (cautions if drawn.caution else actions).append(told)
    return {
        "language": "en",
        "direction": "ltr",
        "title": "Pictograms",
        "about": f"At {SMALLEST_MM} mm, the least, and larger. A word always stands beside.",
        "smallest": SMALLEST_MM,
        "groups": [
            {"name": "What is done", "pictograms": actions},
            {"name": "What to mind, and what to wear", "pictograms": cautions},
        ],
        "footer": ["Drawn for this project. Black on white is enough for them."],
        "words": {"sheet": "Sheet {n} of {all}"},
    }
