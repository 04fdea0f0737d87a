"""Parts whose shape nobody stated, as plain dashed boxes: nothing is drawn that is not known."""

from __future__ import annotations

from collections.abc import Sequence

from sinkside.instruction import Part
from sinkside.shapes.lines import Anchor, Line, Shape, Stroke, box, of_part

_WIDTH, _HEIGHT, _GAP = 44.0, 20.0, 12.0
_IN_A_ROW = 5


def blocks(parts: Sequence[Part], *, left: float = 0.0, top: float = 0.0, gap: float = _GAP) -> Shape:
    """A row of boxes, one a part, wrapped after five.

    Args:
        parts: which parts.
        left: of the first box, in mm.
        top: of the first row, in mm.
        gap: between boxes, in mm.
    """
    strokes: list[Stroke] = []
    anchors: list[Anchor] = []
    for index, part in enumerate(parts):
        x = left + (index % _IN_A_ROW) * (_WIDTH + gap)
        y = top + (index // _IN_A_ROW) * (_HEIGHT + gap)
        frame = box(x, y, x + _WIDTH, y + _HEIGHT, round_by=3.0)
        strokes.append(Stroke((*frame, frame[0]), Line.unknown, part=part.id))
        anchors.append(Anchor((x + _WIDTH / 2, y + _HEIGHT / 2), (of_part(part.id),), part.id))
    return Shape(tuple(strokes), tuple(anchors))
