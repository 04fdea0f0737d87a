"""A figure from cycle to cycle as a drawing: each cycle a point, limits drawn, what lies outside marked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.aids.drawing import Element, add, markup, svg
from sinkside.cycles import Trend
from sinkside.language import measure, number

WIDTH: Final = 900.0
_LEFT: Final = 70.0
_RIGHT: Final = 128.0
_TOP: Final = 16.0
_HEIGHT: Final = 200.0
_AXIS: Final = 44.0
_MOST_DAYS: Final = 7
_CHARACTER: Final = 7.4
_TICKS: Final = 4
_LINE: Final = 17.0


@dataclass(frozen=True)
class ChartPoint:
    """One cycle on the chart: where it lies, its id, and whether it lies outside the limits."""

    x: float
    y: float
    cycle: str
    is_outside: bool


@dataclass(frozen=True)
class Chart:
    """A chart as drawn, and where its points lie on it, for whoever points at them."""

    svg: str
    points: tuple[ChartPoint, ...]


@dataclass(frozen=True)
class _Scale:
    low: float
    high: float

    def __call__(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return _TOP + _HEIGHT * (1 - share)


def trend_chart(trend: Trend, *, key: str, title: str, days: Sequence[str], each: str = "cycle") -> Chart:
    """A trend as a drawing.

    Args:
        trend: what it shows.
        key: what makes its ids unique on the page.
        title: what it is of.
        days: the day of each cycle, as the axis names it.
        each: what one point is.
    """
    step, low, high = _range(trend)
    scale, right = _Scale(low, high), WIDTH - _RIGHT
    count = len(trend.values)
    xs = [_LEFT + 14 + (right - _LEFT - 28) * place / max(count - 1, 1) for place in range(count)]
    root = svg(
        width=WIDTH,
        height=_TOP + _HEIGHT + _AXIS,
        key=key,
        title=title,
        description=_described(trend, each),
        classes="chart",
    )
    _draw_grid(root, trend, scale, step=step)
    _draw_limits(root, trend, scale)
    if trend.ewma:
        path = "L".join(f"{x:.1f} {scale(value):.1f}" for x, value in zip(xs, trend.ewma, strict=True))
        add(root, "path", class_="average", d=f"M{path}")
    points = tuple(_points(trend, xs, scale))
    for point in points:
        _draw_point(root, point)
    _draw_days(root, xs, days, each=each)
    return Chart(markup(root), points)


def _points(trend: Trend, xs: Sequence[float], scale: _Scale) -> Iterator[ChartPoint]:
    for x, value, cycle in zip(xs, trend.values, trend.cycles, strict=True):
        outside = (trend.low is not None and value < trend.low) or (
            trend.high is not None and value > trend.high
        )
        yield ChartPoint(round(x, 1), round(scale(value), 1), cycle, outside)


def _range(trend: Trend) -> tuple[float, float, float]:
    """The step of the axis, and both its ends, in whole steps around everything that is drawn."""
    asked = [*trend.values, *(one for one in (trend.low, trend.high, trend.limit) if one is not None)]
    low, high = min(asked), max(asked)
    rough = max(high - low, 10.0**-trend.decimals) / _TICKS
    decade = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * decade for factor in (1, 2, 5, 10) if factor * decade >= rough * (1 - 1e-9))
    bottom, top = math.floor(low / step) * step, math.ceil(high / step) * step
    return step, bottom, top if top > bottom else bottom + step


def _draw_grid(root: Element, trend: Trend, scale: _Scale, *, step: float) -> None:
    for index in range(round((scale.high - scale.low) / step) + 1):
        tick = scale.low + index * step
        y = scale(tick)
        add(root, "line", class_="grid", x1=_LEFT, y1=y, x2=WIDTH - _RIGHT, y2=y)
        is_top = index == round((scale.high - scale.low) / step)
        text = measure(round(tick, 9), trend.unit) if is_top else number(round(tick, 9))
        add(root, "text", text=text, x=_LEFT - 8, y=y + 4.5, text_anchor="end")


def _draw_limits(root: Element, trend: Trend, scale: _Scale) -> None:
    """The field of ordinary scatter, its middle, and what the program asks for; words at the right edge."""
    right, words = WIDTH - _RIGHT, []
    if trend.low is not None and trend.high is not None and trend.centre is not None:
        upper, lower = scale(trend.high), scale(trend.low)
        add(root, "rect", class_="field", x=_LEFT, y=upper, width=right - _LEFT, height=lower - upper)
        for value, name in (
            (trend.high, "usual, up to"),
            (trend.centre, "middle"),
            (trend.low, "usual, from"),
        ):
            line = "centre" if name == "middle" else "edge"
            add(root, "line", class_=line, x1=_LEFT, y1=scale(value), x2=right, y2=scale(value))
            words.append((scale(value), f"{name} {number(value, decimals=trend.decimals)}", "usual"))
    if trend.limit is not None:
        y = scale(trend.limit)
        add(root, "line", class_="asked", x1=_LEFT, y1=y, x2=right, y2=y)
        words.append((y, f"limit {number(trend.limit, decimals=trend.decimals)}", "asked-words"))
    down = -math.inf
    for y, text, kind in sorted(words):
        down = max(y + 4.5, down + _LINE)
        add(root, "text", text=text, class_=kind, x=right + 8, y=down)


def _draw_point(root: Element, point: ChartPoint) -> None:
    if point.is_outside:
        size = 11.0
        add(
            root,
            "rect",
            class_="point outside",
            x=point.x - size / 2,
            y=point.y - size / 2,
            width=size,
            height=size,
        )
    else:
        add(root, "circle", class_="point", cx=point.x, cy=point.y, r=3.6)


def _draw_days(root: Element, xs: Sequence[float], days: Sequence[str], *, each: str) -> None:
    """Some of the days below the axis, as many as there is room for."""
    bottom = _TOP + _HEIGHT
    add(root, "line", class_="axis", x1=_LEFT, y1=bottom, x2=WIDTH - _RIGHT, y2=bottom)
    every = max(math.ceil(len(xs) / _MOST_DAYS), 1)
    for place in range(0, len(xs), every):
        add(root, "line", class_="tick", x1=xs[place], y1=bottom, x2=xs[place], y2=bottom + 5)
        half = len(days[place]) * _CHARACTER / 2
        x = max(xs[place], half + 2)
        add(root, "text", text=days[place], x=x, y=bottom + 21, text_anchor="middle")
    add(
        root,
        "text",
        text=f"each point a {each}",
        class_="note",
        x=WIDTH - _RIGHT,
        y=bottom + 40,
        text_anchor="end",
    )


def _described(trend: Trend, each: str) -> str:
    lowest, highest = min(trend.values), max(trend.values)
    places = trend.decimals
    span = f"{number(lowest, decimals=places)} to {measure(highest, trend.unit, decimals=places)}"
    outside = sum(point.is_outside for point in _points(trend, [0.0] * len(trend.values), _Scale(0.0, 1.0)))
    beyond = f", {outside} of them outside the usual range" if outside else ""
    return f"{len(trend.values)} {each}s from {span}{beyond}."
