"""Deviations as drawings: bars in Pareto order, and rates from stretch to stretch about their median.

No mark says anything by its colour alone: what lies outside the limits is a square, and words stand beside.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.aids.drawing import Element, add, markup, svg
from sinkside.desk.deviations.charting import PER, Charted, Stretch
from sinkside.language import number
from sinkside.science.counts import Ranked

_WIDTH: Final = 900.0

#: Of the Pareto bars.
MOST_BARS: Final = 12
_NAMES: Final = 330.0
_ROW: Final = 30.0
_BAR: Final = 18.0
_BARS: Final = 340.0
_LONGEST_NAME: Final = 44
#: The few that make most of it: up to this share, all together (common practice, no source).
MOST_OF_IT: Final = 0.8

#: Of the chart of rates.
_LEFT: Final = 62.0
_RIGHT: Final = 150.0
_TOP: Final = 16.0
#: How high rates are drawn, unless told.
RUN_HEIGHT: Final = 200.0
_AXIS: Final = 44.0
_TICKS: Final = 4
_MOST_DAYS: Final = 7
_LINE: Final = 17.0
_HALF_A_DAY: Final = 20.0


@dataclass(frozen=True)
class _Plot:
    """Where rates are drawn: how high that is, and the rate at its upper edge."""

    height: float
    top: float

    @property
    def bottom(self) -> float:
        return _TOP + self.height

    def y(self, rate: float) -> float:
        return _TOP + self.height * (1 - rate / self.top)


def pareto_svg(
    bars: Sequence[Ranked], names: Sequence[str], *, title: str, most_bars: int = MOST_BARS
) -> str:
    """The most frequent first, each with its count and the share of it and all before it."""
    shown = bars[:most_bars]
    root = svg(
        width=_WIDTH,
        height=_ROW * len(shown) + 26.0,
        key=_key("pareto", title),
        title=title,
        description="; ".join(f"{name} {one.count}" for name, one in zip(names, shown, strict=False)),
        classes="chart",
    )
    most = max((one.count for one in shown), default=1)
    add(root, "text", text="all so far", class_="note", x=_WIDTH - 8, y=14.0, text_anchor="end")
    for place, (one, name) in enumerate(zip(shown, names, strict=False)):
        y = 24.0 + place * _ROW
        told = name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}…"
        add(root, "text", text=told, class_="name", x=_NAMES - 10, y=y + 14, text_anchor="end")
        width = max(_BARS * one.count / most, 2.0)
        few = one.cumulated - one.share < MOST_OF_IT
        kind = "bar few" if few else "bar"
        add(root, "rect", class_=kind, x=_NAMES, y=y, width=width, height=_BAR)
        add(root, "text", text=str(one.count), class_="count", x=_NAMES + width + 8, y=y + 14)
        share = f"{number(100 * one.cumulated, decimals=0)} %"
        add(root, "text", text=share, x=_WIDTH - 8, y=y + 14, text_anchor="end")
    return markup(root)


def run_svg(charted: Charted, *, title: str, description: str, height: float = RUN_HEIGHT) -> str:
    """Rates of the stretches in which sets were processed, with their median and the limits of each.

    Args:
        charted: what is drawn.
        title: what it is called.
        description: the same in words, for those who hear it.
        height: of the part between the axes.
    """
    root = svg(
        width=_WIDTH,
        height=_TOP + height + _AXIS,
        key=_key("run-chart", title),
        title=title,
        description=description,
        classes="chart",
    )
    drawn = charted.drawn
    if charted.run is None or charted.limits is None:
        return markup(root)
    highs = [PER * one for one in charted.limits.high]
    lows = [PER * one for one in charted.limits.low]
    plot = _draw_grid(root, max(*highs, *(one.rate for one in drawn)), height)
    step = (_WIDTH - _RIGHT - _LEFT) / max(len(drawn), 1)
    xs = [_LEFT + step * (place + 0.5) for place in range(len(drawn))]
    _draw_limits(root, xs, (lows, highs), step=step, plot=plot)
    median = charted.run.median
    add(root, "line", class_="centre", x1=_LEFT, y1=plot.y(median), x2=_WIDTH - _RIGHT, y2=plot.y(median))
    path = "L".join(f"{x:.1f} {plot.y(one.rate):.1f}" for x, one in zip(xs, drawn, strict=True))
    add(root, "path", class_="average", d=f"M{path}")
    _draw_points(root, xs, charted, plot=plot)
    _draw_words(root, median, highs[-1], plot=plot)
    _draw_days(root, xs, drawn, plot=plot)
    return markup(root)


def _key(kind: str, title: str) -> str:
    """What the parts of a drawing are told apart by from those of another one on the same page."""
    return f"{kind}-{hashlib.sha256(title.encode()).hexdigest()[:8]}"


def _draw_grid(root: Element, most: float, height: float) -> _Plot:
    """Lines at whole steps, up to the one above the highest rate."""
    rough = max(most, 1.0) / _TICKS
    decade = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * decade for factor in (1, 2, 5, 10) if factor * decade >= rough * (1 - 1e-9))
    lines = math.ceil(max(most, 1.0) / step)
    plot = _Plot(height, step * lines)
    for index in range(lines + 1):
        y = plot.y(index * step)
        add(root, "line", class_="grid", x1=_LEFT, y1=y, x2=_WIDTH - _RIGHT, y2=y)
        add(root, "text", text=number(round(index * step, 9)), x=_LEFT - 8, y=y + 4.5, text_anchor="end")
    return plot


def _draw_limits(
    root: Element, xs: Sequence[float], ends: tuple[list[float], list[float]], *, step: float, plot: _Plot
) -> None:
    """The field of ordinary scatter; wider where few sets were processed."""
    lows, highs = ends
    for x, low, high in zip(xs, lows, highs, strict=True):
        y = plot.y(high)
        add(root, "rect", class_="field", x=x - step / 2, y=y, width=step, height=plot.y(low) - y)


def _draw_points(root: Element, xs: Sequence[float], charted: Charted, *, plot: _Plot) -> None:
    outside = set(charted.outside)
    for x, one in zip(xs, charted.drawn, strict=True):
        y = plot.y(one.rate)
        if one in outside:
            add(root, "rect", class_="point outside", x=x - 5.5, y=y - 5.5, width=11.0, height=11.0)
        else:
            add(root, "circle", class_="point", cx=x, cy=y, r=3.6)


def _draw_words(root: Element, median: float, high: float, *, plot: _Plot) -> None:
    """What the lines are, at the right edge, one below the other."""
    words = sorted(
        [
            (plot.y(median), f"median {number(median, decimals=1)}"),
            (plot.y(high), f"usual, up to {number(high, decimals=1)}"),
        ]
    )
    down = -math.inf
    for y, text in words:
        down = max(y + 4.5, down + _LINE)
        add(root, "text", text=text, class_="usual", x=_WIDTH - _RIGHT + 8, y=down)


def _draw_days(root: Element, xs: Sequence[float], drawn: Sequence[Stretch], *, plot: _Plot) -> None:
    """The first day of some stretches, as many as there is room for."""
    bottom = plot.bottom
    add(root, "line", class_="axis", x1=_LEFT, y1=bottom, x2=_WIDTH - _RIGHT, y2=bottom)
    every = max(math.ceil(len(xs) / _MOST_DAYS), 1)
    for place in range(0, len(xs), every):
        add(root, "line", class_="tick", x1=xs[place], y1=bottom, x2=xs[place], y2=bottom + 5)
        x = max(xs[place], _HALF_A_DAY + 2)
        text = drawn[place].begins.isoformat()[5:]
        add(root, "text", text=text, x=x, y=bottom + 21, text_anchor="middle")
    note = f"deviations per {PER} sets"
    add(root, "text", text=note, class_="note", x=_WIDTH - _RIGHT, y=bottom + 40, text_anchor="end")
