"""Pieces as shapes on the floor of the tray, and how near they come to each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from sinkside.sets.layout.document import Basket, LaidPiece, Layout, Outline, Tray

if TYPE_CHECKING:
    from shapely import Polygon

#: What of a piece counts as its tip: so much of its working end.
TIP_LENGTH_MM: Final = 8.0

_SIDES_OF_A_TURN: Final = 360.0


@dataclass(frozen=True)
class Body:
    """Something that takes up room: a piece, or a basket with what lies in it.

    Attributes:
        id: of the piece, or of the basket's holder.
        words: how people call it.
        shape: on the floor of the tray.
        layer: on which it lies.
        piece: the piece; none for a basket.
    """

    id: str
    words: str
    shape: Polygon
    layer: int
    piece: LaidPiece | None = None

    @property
    def tip(self) -> Polygon | None:
        """Its working end; none of a basket, or of a piece without a tip to care for."""
        if self.piece is None or not self.piece.delicate:
            return None
        return _tip(self.piece.outline, self.piece.turn, self.piece.x, self.piece.y)


def bodies(layout: Layout) -> tuple[Body, ...]:
    """Everything that takes up room in a tray, pieces by letter, then baskets."""
    return (*_pieces(layout), *(basket_body(layout, one) for one in layout.baskets))


def piece_body(piece: LaidPiece) -> Body:
    """A piece where it lies; its outline must be known."""
    shape = placed(piece.outline, piece.turn, piece.x, piece.y)
    return Body(piece.id, f"{piece.id} ({piece.name})", shape, piece.layer, piece)


def basket_body(layout: Layout, basket: Basket) -> Body:
    """A basket where it stands."""
    holder = layout.holder(basket.holder)
    if holder is None or holder.length_mm is None or holder.width_mm is None:
        raise ValueError(f"the basket '{basket.holder}' has no size")
    shape = placed(box(holder.length_mm, holder.width_mm), basket.turn, basket.x, basket.y)
    return Body(holder.id, f"the {holder.name}", shape, basket.layer)


def inside(tray: Tray, margin_mm: float = 0.0) -> Polygon:
    """The floor of a tray, its walls kept off by a margin; empty where nothing is left."""
    from shapely import Polygon
    from shapely import box as box_of

    if 2 * margin_mm >= min(tray.length_mm, tray.width_mm):
        return Polygon()
    return box_of(margin_mm, margin_mm, tray.length_mm - margin_mm, tray.width_mm - margin_mm)


def wall_distance(tray: Tray, shape: Polygon) -> float:
    """The least distance to a wall in mm; negative by so much as the shape sticks out."""
    left, back, right, front = shape.bounds
    return float(min(left, back, tray.length_mm - right, tray.width_mm - front))


def box(length_mm: float, width_mm: float) -> Outline:
    """A box about its own middle.

    >>> box(4.0, 2.0)
    ((-2.0, -1.0), (2.0, -1.0), (2.0, 1.0), (-2.0, 1.0))
    """
    half, side = length_mm / 2, width_mm / 2
    return ((-half, -side), (half, -side), (half, side), (-half, side))


def centred(points: Sequence[tuple[float, float]]) -> Outline:
    """An outline about the middle of its own box, to a hundredth of a millimetre; none of no points."""
    if not points:
        return ()
    xs, ys = [x for x, _ in points], [y for _, y in points]
    x0, y0 = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    return tuple((round(x - x0, 2), round(y - y0, 2)) for x, y in points)


def placed(outline: Outline, turn: float, x: float, y: float) -> Polygon:
    """An outline turned about its middle and moved there."""
    from shapely import affinity

    return affinity.translate(turned(outline, turn % _SIDES_OF_A_TURN), x, y)


@lru_cache(maxsize=2000)
def turned(outline: Outline, turn: float) -> Polygon:
    """An outline turned clockwise about its middle, as seen from above."""
    from shapely import Polygon

    cosine, sine = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    shape = Polygon([(x * cosine - y * sine, x * sine + y * cosine) for x, y in outline])
    return shape if shape.is_valid else shape.convex_hull


def _tip(outline: Outline, turn: float, x: float, y: float) -> Polygon:
    from shapely import Polygon, affinity
    from shapely import box as box_of

    whole = turned(outline, 0.0)
    end = whole.bounds[2]
    tip = whole.intersection(box_of(end - TIP_LENGTH_MM, whole.bounds[1], end, whole.bounds[3]))
    if not isinstance(tip, Polygon):
        tip = tip.convex_hull
    about = affinity.rotate(tip, turn, origin=(0.0, 0.0))
    return affinity.translate(about, x, y)


def _pieces(layout: Layout) -> Iterator[Body]:
    for piece in layout.pieces:
        if piece.outline and not layout.in_basket(piece):
            yield piece_body(piece)
