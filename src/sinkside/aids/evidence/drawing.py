"""Drawings of screens made fit for paper: their own style beside them, told apart without colour."""

from __future__ import annotations

from typing import Final

from sinkside.aids.drawing import with_style
from sinkside.aids.fonts import FAMILY

#: Curves differ by their dashes, limits are grey fields with edges, what was missed is a thick bar.
_STYLE: Final = f"""
svg {{ font-family: "{FAMILY}"; font-size: 15px; }}
text {{ fill: #1c2830; }}
.phase-name, .limit-words {{ font-weight: 600; }}
.limit-words {{ paint-order: stroke; stroke: #ffffff; stroke-width: 4px; }}
.phase {{ fill: none; }}
.odd {{ fill: #f1f3f3; }}
.judged {{ fill: #e3e7e7; }}
.phase-edge, .leader, .grid {{ stroke: #c3cbce; stroke-width: 1; }}
.axis, .tick {{ stroke: #41505a; stroke-width: 1.2; }}
.curve {{ fill: none; stroke-width: 1.7; stroke-linejoin: round; }}
.curve-0 {{ stroke: #0b3d44; }}
.curve-1 {{ stroke: #15202b; }}
.limit {{ fill: #15202b; fill-opacity: 0.12; }}
.limit-edge {{ stroke: #15202b; stroke-width: 1.3; }}
.bar {{ stroke: #41505a; stroke-width: 2; }}
.bar.stop {{ stroke: #000000; stroke-width: 4.5; }}
"""


def on_paper(svg: str) -> str:
    """A drawing that brings its own style, so that it is the same wherever it is set.

    >>> on_paper('<svg class="plot"><text>a</text></svg>').startswith('<svg class="plot"><style>')
    True
    """
    return with_style(svg, _STYLE)
