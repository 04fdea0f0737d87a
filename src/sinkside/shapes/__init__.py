"""Drawings of devices: lines in every position, outlines for a tray, the way of a flush, SVG."""

from sinkside.shapes.drawing import Drawing, draw
from sinkside.shapes.flow import FlowPath, flow_path
from sinkside.shapes.lines import Anchor, Box, Line, Opening, Point, Shape, Stroke
from sinkside.shapes.moving import drawable
from sinkside.shapes.outlines import outlines
from sinkside.shapes.svg import svg

__all__ = [
    "Anchor",
    "Box",
    "Drawing",
    "FlowPath",
    "Line",
    "Opening",
    "Point",
    "Shape",
    "Stroke",
    "draw",
    "drawable",
    "flow_path",
    "outlines",
    "svg",
]
