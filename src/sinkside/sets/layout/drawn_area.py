"""How far the drawing of a tray reaches, where what lies outside is drawn, and what lies on each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from sinkside.sets.layout.geometry import bodies
from sinkside.sets.layout.wordings import TOUCHING

if TYPE_CHECKING:
    from sinkside.sets.layout.document import Layout

MARGIN: Final = 12.0
_FOOT: Final = 22.0
#: How far the drawing follows what lies outside, so that the tray does not become too small to work in.
_BEYOND: Final = 120.0
_HATCH: Final = 9

Points = Iterable[tuple[float, float]]


@dataclass(frozen=True)
class Area:
    """What is drawn, in mm from the back left corner of the tray."""

    left: float
    back: float
    right: float
    front: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a middle is drawn: where it is, or at the edge where it lies beyond."""
        return (
            min(max(x, self.left + MARGIN), self.right - MARGIN),
            min(max(y, self.back + MARGIN), self.front - MARGIN),
        )


def drawn_area(layout: Layout) -> Area:
    """The tray with its margins, grown by what lies outside, as far as that is near."""
    long, wide = layout.tray.length_mm, layout.tray.width_mm
    reached = [one.shape.bounds for one in bodies(layout)]

    def beyond(distances: Iterable[float]) -> float:
        out = max(distances, default=0.0)
        return min(out, _BEYOND) if out > 0.0 else 0.0

    return Area(
        -MARGIN - beyond(-one[0] for one in reached),
        -MARGIN - beyond(-one[1] for one in reached),
        long + MARGIN + beyond(one[2] - long for one in reached),
        wide + _FOOT + beyond(one[3] - wide for one in reached),
    )


def overlaps(layout: Layout) -> Iterator[tuple[list[Points], list[Points]]]:
    """Of each two things that lie on each other: the outlines of what they share, and lines that hatch it."""
    from shapely import LineString, MultiLineString

    shapes = {one.id: one.shape for one in bodies(layout)}
    for finding in layout.findings:
        one, two = (shapes.get(str(finding.evidence.get(name))) for name in ("piece", "other"))
        if finding.rule != TOUCHING.rule or one is None or two is None:
            continue
        shared = one.intersection(two)
        areas = [part for part in getattr(shared, "geoms", [shared]) if part.geom_type == "Polygon"]
        if not areas or shared.is_empty:
            continue
        left, back, right, front = shared.bounds
        high = front - back
        starts = [left - high + step for step in range(0, int(right - left + high) + 1, _HATCH)]
        hatch = MultiLineString([((at, front), (at + high, back)) for at in starts]).intersection(shared)
        lines = [part for part in getattr(hatch, "geoms", [hatch]) if isinstance(part, LineString)]
        yield [part.exterior.coords for part in areas], [part.coords for part in lines if part.length]
