"""Tray layout for protection: where each piece lies, what it is judged by, and its drawing."""

from sinkside.sets.layout.checking import check_layout, checked_layout
from sinkside.sets.layout.document import Clearances, Holder, HolderKind, Layout, Tray
from sinkside.sets.layout.drawing import tray_map_svg
from sinkside.sets.layout.gathering import TrayRequest
from sinkside.sets.layout.laying import lay_out, moved
from sinkside.sets.layout.lines import TrayLine, tray_lines
from sinkside.sets.layout.placing import Parameters, Stop

__all__ = [
    "Clearances",
    "Holder",
    "HolderKind",
    "Layout",
    "Parameters",
    "Stop",
    "Tray",
    "TrayLine",
    "TrayRequest",
    "check_layout",
    "checked_layout",
    "lay_out",
    "moved",
    "tray_lines",
    "tray_map_svg",
]
