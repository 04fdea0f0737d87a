"""Charts of deviations made fit for paper: told apart by form, and safe in black and white."""

from __future__ import annotations

from typing import Final

from sinkside.aids.drawing import with_style
from sinkside.aids.fonts import FAMILY

#: The few bars that make most are full, the others empty; what lies outside the usual is a full square.
_STYLE: Final = f"""
svg {{ font-family: "{FAMILY}"; font-size: 15px; }}
text {{ fill: #41505a; }}
.name, .count {{ fill: #15202b; }}
.count {{ font-weight: 600; }}
.bar {{ fill: #ffffff; stroke: #15202b; stroke-width: 1.3; }}
.bar.few {{ fill: #0b5d66; stroke: #0b5d66; }}
.grid {{ stroke: #d6dcde; stroke-width: 1; }}
.axis, .tick {{ stroke: #41505a; stroke-width: 1.2; }}
.field {{ fill: #e3ebec; }}
.centre {{ stroke: #0b5d66; stroke-width: 1.4; stroke-dasharray: 7 4; }}
.average {{ fill: none; stroke: #15202b; stroke-width: 2; stroke-linejoin: round; }}
.point {{ fill: #ffffff; stroke: #15202b; stroke-width: 1.5; }}
.point.outside {{ fill: #000000; stroke: #000000; }}
"""


def chart_on_paper(svg: str) -> str:
    """A chart that brings its own style, so that it is the same wherever it is set.

    >>> chart_on_paper('<svg class="chart"><text>a</text></svg>').startswith('<svg class="chart"><style>')
    True
    """
    return with_style(svg, _STYLE)
