"""The plot of a cycle as a drawing: temperatures above, pressure below, phases shaded and named."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sinkside.aids.drawing import Element, add, markup, svg
from sinkside.aids.report.plot import Curve, CyclePlot, Limit, Panel
from sinkside.aids.report.wording import phase_words
from sinkside.language import measure, number, render
from sinkside.science.validity import FloatArray

WIDTH = 960.0
_LEFT, _RIGHT = 64.0, 20.0
_LABEL_ROW = 17.0
_HEIGHTS = (250.0, 130.0, 90.0, 90.0)

#: The units of panels that have room for many ticks, and for their unit beside the topmost.
_TALL = frozenset({"°C", "kPa"})
_GAP = 26.0
_AXIS = 42.0
_LEGEND = 26.0
_CHARACTER = 7.4
_SAMPLE = 42.0
_TICK_EVERY = 110.0
_FEWEST_TICKS = 4.0
_MOST_ROWS = 4
_JUDGED_ROW = 22.0

#: How a criterion's answer is drawn, and the sign that says it without colour.
_ANSWERS = {True: ("met", "✓"), False: ("stop", "✗"), None: ("open", "?")}
#: How finely a place for words is looked for.
_LABEL_STEP = 4.0

#: Curves are told apart by their dashes, not by their colour.
_DASHES = ("", "7 4", "2 3", "10 3 2 3")


@dataclass(frozen=True)
class _Scale:
    """Where a value of a range lies on the picture."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def within(self, value: float) -> float:
        """The same, kept inside the picture."""
        return self(min(max(value, self.low), self.high))

    def all_within(self, values: FloatArray) -> FloatArray:
        """The same for many values; NaN stays NaN."""
        shares = (np.clip(values, self.low, self.high) - self.low) / (self.high - self.low)
        return self.start + shares * (self.end - self.start)


@dataclass(frozen=True)
class PanelFrame:
    """Where a panel lies: its top and bottom on the picture, the values that these are, and their unit."""

    top: float
    bottom: float
    low: float
    high: float
    unit: str


@dataclass(frozen=True)
class PlotFrame:
    """Where everything lies: both ends of the time axis, the seconds that these are, the panels."""

    left: float
    right: float
    start_s: float
    end_s: float
    panels: tuple[PanelFrame, ...]


def plot_frame(plot: CyclePlot, *, width: float = WIDTH, language: str = "en") -> PlotFrame:
    """Where on a picture of a width everything lies, for whoever points at it.

    Args:
        plot: what it shows.
        width: of the picture, in its own units.
        language: of the names above it, which take their room.
    """
    end = max(plot.end_s, plot.start_s + 1.0)
    seconds = _Scale(plot.start_s, end, _LEFT, width - _RIGHT)
    rows = _label_rows(plot, seconds, language)
    top = _LABEL_ROW * (1 + max((row for _, _, row in rows), default=0)) + 12
    panels = []
    for panel, height in zip(plot.panels, _HEIGHTS, strict=False):
        low, high, _ = _nice_range(panel)
        panels.append(PanelFrame(top, top + height, low, high, panel.unit))
        top += height + _GAP
    return PlotFrame(seconds.start, seconds.end, seconds.low, seconds.high, tuple(panels))


def plot_svg(
    plot: CyclePlot,
    *,
    key: str,
    title: str,
    description: str,
    width: float = WIDTH,
    language: str = "en",
) -> str:
    """The plot as an inline SVG; the style sheet of the page gives it its colours.

    Args:
        plot: what it shows.
        key: what makes its ids unique on the page.
        title: what it is of.
        description: what was judged, in words.
        width: of the picture, in its own units.
        language: of axes and names.
    """
    frame = plot_frame(plot, width=width, language=language)
    seconds = _Scale(frame.start_s, frame.end_s, frame.left, frame.right)
    rows = _label_rows(plot, seconds, language)
    top = frame.panels[0].top if frame.panels else _LABEL_ROW
    bottom = frame.panels[-1].bottom if frame.panels else top
    legend = _legend_places(plot, right=seconds.end)
    judged_from = bottom + _AXIS + _LEGEND * (1 + max((row for *_, row in legend), default=0))
    height = judged_from + _JUDGED_ROW * len(plot.judged)
    root = svg(width=width, height=height, key=key, title=title, description=description, classes="plot")
    _draw_phases(root, plot, rows, seconds, top=top, bottom=bottom)
    for panel, place in zip(plot.panels, frame.panels, strict=False):
        _draw_panel(root, panel, seconds, place=place, language=language)
    _draw_time_axis(root, seconds, bottom=bottom, language=language)
    _draw_legend(root, legend, y=bottom + _AXIS + 8)
    _draw_judged(root, plot, seconds, y=judged_from)
    return markup(root)


def _label_rows(plot: CyclePlot, seconds: _Scale, language: str) -> list[tuple[str, float, int]]:
    """Each phase's name, where its middle lies, and a row in which it meets no other name."""
    free = [0.0] * _MOST_ROWS
    placed = []
    for phase in plot.phases:
        words = phase_words(phase.name, language)
        half = len(words) * _CHARACTER / 2
        middle = (seconds.within(phase.start_s) + seconds.within(phase.end_s)) / 2
        middle = min(max(middle, half), seconds.end + _RIGHT - half)
        row = next((row for row in range(_MOST_ROWS) if free[row] <= middle - half), None)
        if row is not None:
            free[row] = middle + half + _CHARACTER
            placed.append((words, middle, row))
    return placed


def _draw_phases(
    root: Element,
    plot: CyclePlot,
    rows: list[tuple[str, float, int]],
    seconds: _Scale,
    *,
    top: float,
    bottom: float,
) -> None:
    """Every other phase shaded, each named above the picture."""
    for index, phase in enumerate(plot.phases):
        left, right = seconds.within(phase.start_s), seconds.within(phase.end_s)
        kind = "judged" if phase.name.startswith("exposure") else ("even", "odd")[index % 2]
        add(root, "rect", class_=f"phase {kind}", x=left, y=top, width=right - left, height=bottom - top)
        add(root, "line", class_="phase-edge", x1=left, y1=top, x2=left, y2=bottom)
    deepest = max((row for _, _, row in rows), default=0)
    for words, middle, row in rows:
        y = _LABEL_ROW * (row + 1)
        add(root, "text", text=words, class_="phase-name", x=middle, y=y, text_anchor="middle")
        if row < deepest:
            add(root, "line", class_="leader", x1=middle, y1=y + 4, x2=middle, y2=top)


def _draw_panel(root: Element, panel: Panel, seconds: _Scale, *, place: PanelFrame, language: str) -> None:
    low, high, step = _nice_range(panel)
    values = _Scale(low, high, place.bottom, place.top)
    for tick in _ticks(low, high, step):
        y = values(tick)
        add(root, "line", class_="grid", x1=_LEFT, y1=y, x2=seconds.end, y2=y)
        named = tick >= high and panel.unit in _TALL
        text = measure(tick, panel.unit, language) if named else number(tick, language)
        add(root, "text", text=text, x=_LEFT - 8, y=y + 4.5, text_anchor="end")
    heading = render("absolute pressure", {}, language) if panel.unit == "kPa" else panel.unit
    if panel.unit != "°C":
        add(root, "text", text=heading, x=_LEFT + 4, y=place.top - 7)
    for limit in panel.limits:
        _draw_limit(root, limit, values, seconds)
    for index, curve in enumerate(panel.curves):
        path = _path(curve, values, seconds)
        if path:
            dashes = _DASHES[index % len(_DASHES)]
            add(root, "path", class_=f"curve curve-{index % 2}", d=path, stroke_dasharray=dashes or "none")
    for limit in panel.limits:
        _draw_limit_words(root, limit, panel, values, seconds)


def _draw_limit(root: Element, limit: Limit, values: _Scale, seconds: _Scale) -> None:
    """A range as a shaded field with its ends drawn."""
    left, right = seconds.within(limit.start_s), seconds.within(limit.end_s)
    upper, lower = values.within(limit.high), values.within(limit.low)
    add(root, "rect", class_="limit", x=left, y=upper, width=right - left, height=max(lower - upper, 0.0))
    for end in (limit.low, limit.high):
        if math.isfinite(end):
            y = values.within(end)
            add(root, "line", class_="limit-edge", x1=left, y1=y, x2=right, y2=y)


def _draw_limit_words(root: Element, limit: Limit, panel: Panel, values: _Scale, seconds: _Scale) -> None:
    """What a range asks for, where no curve runs: below its field, or above one that stands on the floor."""
    left, right = seconds.within(limit.start_s), seconds.within(limit.end_s)
    half = len(limit.label) * _CHARACTER / 2
    middle = min(max((left + right) / 2, _LEFT + half), seconds.end - half)
    is_below = math.isfinite(limit.low)
    near = values.within(limit.low) + 16 if is_below else values.within(limit.high) - 6
    last = values.start - 4 if is_below else values.end + 12
    heights = np.linspace(near, last, max(2, round(abs(last - near) / _LABEL_STEP)))
    free = (float(y) for y in heights if _is_free(panel, values, seconds, x=middle, y=float(y), half=half))
    y = next(free, near)
    if abs(y - near) > _LABEL_ROW:
        edge = values.within(limit.low if is_below else limit.high)
        from_words = y - 12 if is_below else y + 4
        add(root, "line", class_="leader", x1=middle, y1=from_words, x2=middle, y2=edge)
    add(root, "text", text=limit.label, class_="limit-words", x=middle, y=y, text_anchor="middle")


def _is_free(panel: Panel, values: _Scale, seconds: _Scale, *, x: float, y: float, half: float) -> bool:
    """Whether no curve of a panel runs through words that stand at a place."""
    for curve in panel.curves:
        across, down = seconds.all_within(curve.times_s), values.all_within(curve.values)
        meets_across = (across[1:] > x - half - 4) & (across[:-1] < x + half + 4)
        lower, upper = np.maximum(down[1:], down[:-1]), np.minimum(down[1:], down[:-1])
        if bool(np.any(meets_across & (lower > y - 14) & (upper < y + 6))):
            return False
    return True


def _draw_time_axis(root: Element, seconds: _Scale, *, bottom: float, language: str) -> None:
    """Minutes; the first of them bears the unit."""
    low, high = seconds.low / 60, seconds.high / 60
    step = _nice_step((high - low) / max((seconds.end - seconds.start) / _TICK_EVERY, _FEWEST_TICKS))
    first = math.ceil(low / step - 1e-9) * step
    for tick in _ticks(first, high, step):
        x = seconds(tick * 60)
        add(root, "line", class_="tick", x1=x, y1=bottom, x2=x, y2=bottom + 5)
        text = measure(tick, "min", language) if tick == first else number(tick, language)
        add(root, "text", text=text, x=x, y=bottom + 20, text_anchor="middle")
    add(root, "line", class_="axis", x1=_LEFT, y1=bottom, x2=seconds.end, y2=bottom)


def _legend_places(plot: CyclePlot, *, right: float) -> list[tuple[str, int, float, int]]:
    """Each curve's name, which of its panel it is, where its sample starts, and in which row."""
    x, row = _LEFT, 0
    placed = []
    for panel in plot.panels:
        for index, curve in enumerate(panel.curves):
            wide = _SAMPLE + len(curve.name) * _CHARACTER
            if x + wide > right and x > _LEFT:
                x, row = _LEFT, row + 1
            placed.append((curve.name, index, x, row))
            x += wide + 28
    return placed


def _draw_legend(root: Element, places: list[tuple[str, int, float, int]], *, y: float) -> None:
    for name, index, x, row in places:
        down = y + row * _LEGEND
        dashes = _DASHES[index % len(_DASHES)]
        classes = f"curve curve-{index % 2}"
        add(
            root, "line", class_=classes, x1=x, y1=down, x2=x + 34, y2=down, stroke_dasharray=dashes or "none"
        )
        add(root, "text", text=name, x=x + _SAMPLE, y=down + 4.5)


def _draw_judged(root: Element, plot: CyclePlot, seconds: _Scale, *, y: float) -> None:
    """Each criterion on a line of its own: a bar where it was judged, beside it figures and answer."""
    for row, span in enumerate(plot.judged):
        down = y + (row + 0.5) * _JUDGED_ROW
        left, right = seconds.within(span.start_s), seconds.within(span.end_s)
        right = max(right, left + 2.0)
        name, sign = _ANSWERS[span.met]
        words = f"{sign} {span.label}"
        x, anchor, pieces = _beside_bar(len(words) * _CHARACTER, left, right, seconds)
        dashes = "none" if span.met is not None else "3 3"
        for start, end in pieces:
            add(
                root,
                "line",
                class_=f"bar {name}",
                x1=start,
                y1=down,
                x2=end,
                y2=down,
                stroke_dasharray=dashes,
            )
        for end in (left, right):
            add(root, "line", class_=f"bar {name}", x1=end, y1=down - 5, x2=end, y2=down + 5)
        add(root, "text", text=words, class_="bar-words", x=x, y=down + 4.5, text_anchor=anchor)


def _beside_bar(
    wide: float, left: float, right: float, seconds: _Scale
) -> tuple[float, str, list[tuple[float, float]]]:
    """Where words of a width stand: right of a bar, left of it or within it; and what is left of the bar."""
    if right + 8 + wide <= seconds.end + _RIGHT:
        return right + 8, "start", [(left, right)]
    if left - 8 - wide >= 0:
        return left - 8, "end", [(left, right)]
    half = wide / 2 + 4
    middle = min(max((left + right) / 2, half), seconds.end + _RIGHT - half)
    parts = [(left, middle - half), (middle + half, right)]
    return middle, "middle", [(start, end) for start, end in parts if end > start]


def _path(curve: Curve, values: _Scale, seconds: _Scale) -> str:
    """The curve as path data; it starts anew after a gap."""
    across = seconds.all_within(curve.times_s).tolist()
    down = values.all_within(curve.values).tolist()
    pieces: list[str] = []
    pen = "M"
    for x, y in zip(across, down, strict=True):
        if math.isnan(x + y):
            pen = "M"
            continue
        pieces.append(f"{pen}{x:.1f} {y:.1f}")
        pen = "L"
    return "".join(pieces)


def _nice_range(panel: Panel) -> tuple[float, float, float]:
    """A range of whole ticks around every curve and every finite end of a limit."""
    ends = [end for limit in panel.limits for end in (limit.low, limit.high) if math.isfinite(end)]
    finite = [curve.values[np.isfinite(curve.values)] for curve in panel.curves]
    seen = [float(extreme) for values in finite if values.size for extreme in (values.min(), values.max())]
    known = [*ends, *seen] or [0.0, 1.0]
    low, high = min(known), max(known)
    step = _nice_step(max(high - low, 1e-6) / (5 if panel.unit in _TALL else 2))
    bottom, top = math.floor(low / step) * step, math.ceil(high / step) * step
    return bottom, max(top, bottom + step), step


def _nice_step(rough: float) -> float:
    """The next of 1, 2, 5, 10 and their decades."""
    decade = 10.0 ** math.floor(math.log10(max(rough, 1e-9)))
    return next(factor * decade for factor in (1.0, 2.0, 5.0, 10.0) if factor * decade >= rough * (1 - 1e-9))


def _ticks(low: float, high: float, step: float) -> Iterator[float]:
    for index in range(round((high - low) / step) + 1):
        tick = low + index * step
        if tick <= high * (1 + 1e-9) + 1e-9:
            yield round(tick, 9)
