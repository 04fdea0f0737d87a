"""The tray of a set in short, for the page of the set: how it stands, and its drawing."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.desk import set_layout
from sinkside.findings import Level, count_by_level
from sinkside.sets.layout import tray_map_svg
from sinkside.web.asked import Asked


@dataclass(frozen=True)
class TrayShown:
    """The tray of a set in short.

    Attributes:
        address: where all of it is shown.
        svg: the drawing; empty where nobody laid the set out.
        tray: which tray it is.
        is_stale: whether the set was changed since.
        left_out: how many pieces found no place.
        stops: how many rules that stop are broken.
        concerns: and how many that concern.
    """

    address: str
    svg: str = ""
    tray: str = ""
    is_stale: bool = False
    left_out: int = 0
    stops: int = 0
    concerns: int = 0


def tray_shown(asked: Asked, key: str) -> TrayShown:
    """The tray of a set as the page of the set shows it."""
    seen = set_layout.see_layout(asked.archive, asked.visitor, key)
    address = asked.at(f"/sets/{key}/layout")
    layout = seen.layout
    if layout is None:
        return TrayShown(address)
    counts = count_by_level(layout.findings)
    return TrayShown(
        address=address,
        svg=tray_map_svg(layout, key="small-tray"),
        tray=layout.tray.name,
        is_stale=seen.is_of_an_earlier_set,
        left_out=len(layout.left_out),
        stops=counts[Level.stop],
        concerns=counts[Level.concern],
    )
