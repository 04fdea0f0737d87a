"""The figures that a layout is judged by: what each is, how it is found, where it is from, what it covers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

_NOBODY: Final = "common practice, no source; the department may put its own in its place"


@dataclass(frozen=True)
class FigureNotes:
    """A figure in words.

    Attributes:
        name: what it is.
        unit: its unit.
        how: how the value it is compared with is found.
        source: where the figure is from.
        covers: its range, and what it does not say.
    """

    name: str
    unit: str
    how: str
    source: str
    covers: str


#: By the fields of `Clearances`.
NOTES: Final[Mapping[str, FigureNotes]] = {
    "pieces_mm": FigureNotes(
        "Between two pieces, at least",
        "mm",
        "the least distance between two outlines on one level, exact for polygons",
        _NOBODY,
        "0 to 500 mm; outlines are flat and their sizes may be common ones",
    ),
    "wall_mm": FigureNotes(
        "From a wall, at least",
        "mm",
        "the least distance of an outline's box to a wall of a rectangular tray",
        _NOBODY,
        "0 to 500 mm; rounded corners of a tray are not in it",
    ),
    "tip_mm": FigureNotes(
        "From a tip to a wall, at least",
        "mm",
        "the least distance of the last 8 mm of a delicate piece's working end to a wall",
        _NOBODY,
        "0 to 500 mm; whether a tip is delicate is told by the text's features or the name",
    ),
    "heavy_kg": FigureNotes(
        "Heavy from",
        "kg",
        "the mass of one piece, as the set or its text says it",
        _NOBODY,
        "above 0 to 50 kg; pieces without a mass are named, not guessed",
    ),
    "heavy_mm": FigureNotes(
        "Between a heavy piece and a delicate one, at least",
        "mm",
        "the least distance between the two outlines, on whatever level",
        _NOBODY,
        "0 to 500 mm; a tray that is tilted or dropped is not in it",
    ),
    "apart_mm": FigureNotes(
        "Between two that must not lie beside each other, at least",
        "mm",
        "the least distance between the two outlines, on whatever level",
        _NOBODY,
        "0 to 500 mm; which two these are, the set says with its reason",
    ),
    "mates_mm": FigureNotes(
        "Between two that belong together, at most",
        "mm",
        "the least distance between any of the one and any of the other",
        _NOBODY,
        "0 to 500 mm; which two these are, the set says",
    ),
    "small_mm": FigureNotes(
        "Small below",
        "mm",
        "the longer side of the outline's box",
        _NOBODY,
        "0 to 500 mm; the openings of the tray's floor decide in truth",
    ),
    "fall_deg": FigureNotes(
        "A lumen falls towards its opening by at least",
        "°",
        "slope of the tray × cosine of the angle between lumen and slope, plus arcus tangent of how much the "
        "back end is raised over the piece's length",
        _NOBODY,
        "0 to 30°; a straight lumen with one open end; water that clings is not in it",
    ),
}
