"""The wall poster: the whole route of one device, in the largest type that takes no more sheets."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.aids.papers.drawings import Drawings
from sinkside.aids.papers.heads import head, never_and_limits, open_stops
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.rows import RowMaker, said_row
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.plain.operations import shown_operations

#: So many signs of what is never done stand in a box at the head.
_SIGNS_IN_THE_BOX = 1200

#: How wide a drawing of the device is on the poster, in mm.
_DRAWING_MM = 64.0


def poster_content(request: PaperRequest, speaker: Speaker) -> Values:
    """Everything that the poster's template sets.

    Raises:
        NotForTheFloor: if a template has no translation.
    """
    instruction = request.instruction
    operations = shown_operations(request.route, instruction)
    boxed, later = never_and_limits(instruction, signs=_SIGNS_IN_THE_BOX)
    rows = RowMaker(speaker, Drawings(instruction, width_mm=_DRAWING_MM), quotes=False)
    return {
        **head(request, speaker, operations),
        "stops": open_stops(request, speaker),
        "never": [
            {"label": speaker.say(label), "sentences": [speaker.quote(one) for one in said]}
            for label, said in boxed
        ],
        "groups": [
            *(_said_group(label, said, speaker) for label, said in later),
            *rows.groups(operations),
        ],
    }


def _said_group(label: str, said: Iterable[str], speaker: Speaker) -> Values:
    """Sentences that the box has no room for, as the first rows of the paper; none is left out."""
    return {"station": speaker.say(label), "rows": [said_row(speaker.quote(one)) for one in said]}
