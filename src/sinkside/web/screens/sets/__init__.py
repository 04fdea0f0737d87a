"""Sets: what travels together, its common route or its split, its tray, and what is wrong with it."""

from sinkside.web.screens.sets import (
    acts,
    devices,
    files,
    layout,
    layout_acts,
    moisture,
    page,
    shelf,
    things,
)
from sinkside.web.screens.sets.shelf import screen

__all__ = [
    "acts",
    "devices",
    "files",
    "layout",
    "layout_acts",
    "moisture",
    "page",
    "screen",
    "shelf",
    "things",
]
