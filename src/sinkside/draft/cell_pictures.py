"""Cells of a ruled table cut out and put below each other: in a wide table a lone sign is passed over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sinkside.draft.layout import Word
from sinkside.draft.ruled import RuledTable

_INSIDE_THE_RULE_PT = 1.6
_BETWEEN_CELLS_PT = 9.0
_LEAST_SIDE_PT = 5.0
_POINTS_PER_INCH = 72.0


@dataclass(frozen=True, slots=True)
class _Placed:
    """A cell's picture: from where to where it now stands, and how far it was moved, in points."""

    top: float
    bottom: float
    right: float
    down: float


@dataclass(frozen=True, slots=True)
class CellPictures:
    """The pictures of cells below each other, and where each came from."""

    image: Any
    placed: tuple[_Placed, ...]

    @classmethod
    def of(cls, image: Any, tables: Sequence[RuledTable], *, dpi: float) -> CellPictures:
        """Cut the cells of some tables out of a straight picture."""
        from PIL import Image

        scale = dpi / _POINTS_PER_INCH
        boxes = list(_boxes(tables))
        width = max((x1 - x0 for x0, _, x1, _ in boxes), default=0.0) + 2 * _BETWEEN_CELLS_PT
        height = sum(y1 - y0 + _BETWEEN_CELLS_PT for _, y0, _, y1 in boxes) + _BETWEEN_CELLS_PT
        below = Image.new("L", (max(round(width * scale), 1), max(round(height * scale), 1)), 255)
        placed, top = [], _BETWEEN_CELLS_PT
        for x0, y0, x1, y1 in boxes:
            cut = image.crop((round(x0 * scale), round(y0 * scale), round(x1 * scale), round(y1 * scale)))
            below.paste(cut, (round(_BETWEEN_CELLS_PT * scale), round(top * scale)))
            placed.append(_Placed(top, top + y1 - y0, _BETWEEN_CELLS_PT - x0, top - y0))
            top += y1 - y0 + _BETWEEN_CELLS_PT
        return cls(below, tuple(placed))

    def back(self, word: Word) -> Word | None:
        """A word where it stood in its table; none if it stands in no cell."""
        middle = (word.top + word.bottom) / 2
        for cell in self.placed:
            if cell.top - _BETWEEN_CELLS_PT / 2 <= middle <= cell.bottom + _BETWEEN_CELLS_PT / 2:
                return replace(
                    word,
                    x0=word.x0 - cell.right,
                    x1=word.x1 - cell.right,
                    top=word.top - cell.down,
                    bottom=word.bottom - cell.down,
                )
        return None


def without_tables(image: Any, tables: Sequence[RuledTable], *, dpi: float) -> Any:
    """A picture with its tables painted over."""
    scale = dpi / _POINTS_PER_INCH
    left = image.copy()
    for table in tables:
        x0, y0, x1, y1 = (round(place * scale) for place in table.box)
        left.paste(255, (x0, y0, x1, y1))
    return left


def _boxes(tables: Sequence[RuledTable]) -> Iterator[tuple[float, float, float, float]]:
    for table in tables:
        for cell in table.cells:
            x0, y0, x1, y1 = cell.box
            inner = (
                x0 + _INSIDE_THE_RULE_PT,
                y0 + _INSIDE_THE_RULE_PT,
                x1 - _INSIDE_THE_RULE_PT,
                y1 - _INSIDE_THE_RULE_PT,
            )
            if min(inner[2] - inner[0], inner[3] - inner[1]) >= _LEAST_SIDE_PT:
                yield inner
