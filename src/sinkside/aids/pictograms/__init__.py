"""Pictograms: one family for every action and every kind of caution, never shown without a word beside."""

from sinkside.aids.pictograms.family import (
    GRID,
    STROKE,
    Pictogram,
    caution_kind,
    pictogram,
    pictogram_svg,
    pictograms,
)

__all__ = [
    "GRID",
    "STROKE",
    "Pictogram",
    "caution_kind",
    "pictogram",
    "pictogram_svg",
    "pictograms",
]
