"""A small plot of a recorded cycle, black on paper: temperature above, pressure below, the band dashed."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sinkside.science.validity import FloatArray

_WIDE: Final = 420.0
_LEFT, _RIGHT = 46.0, 408.0
_PANELS: Final = ((14.0, 130.0), (150.0, 226.0))
_FOOT: Final = 243.0
_HIGH: Final = 254.0
_POINTS: Final = 360
_TICKS: Final = (5, 10, 20, 30)
_MOST_TICKS: Final = 8
_FACE: Final = 'font-family="\'Source Sans Pro\', sans-serif" font-size="10.5" fill="currentColor"'


@dataclass(frozen=True)
class Plot:
    """What is drawn of a record.

    Attributes:
        minutes: shape (n,), since the first sample.
        temperature_c: shape (n,).
        pressure_kpa: shape (n,), absolute.
        band_c: lowest and highest temperature of the exposure.
        title: for who cannot see it.
        told: what is to be seen, in words.
    """

    minutes: FloatArray
    temperature_c: FloatArray
    pressure_kpa: FloatArray
    band_c: tuple[float, float]
    title: str
    told: str


def plot_svg(plot: Plot) -> str:
    """The plot as SVG; the same bytes for the same record."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="cycle-plot" role="img"'
        f' viewBox="0 0 {_WIDE:g} {_HIGH:g}"'
        ' aria-labelledby="plot-title plot-desc">'
        f'<title id="plot-title">{html.escape(plot.title)}</title>'
        f'<desc id="plot-desc">{html.escape(plot.told)}</desc>'
    )
    last = float(plot.minutes[-1])
    hot = _Axis(0.0, 150.0, _PANELS[0], "°C", (0, 50, 100, 150))
    pressed = _Axis(0.0, 400.0, _PANELS[1], "kPa", (0, 100, 200, 300, 400))
    dashed = "".join(_level(hot, end) for end in plot.band_c)
    curves = _curve(plot.minutes, plot.temperature_c, hot, last) + _curve(
        plot.minutes, plot.pressure_kpa, pressed, last
    )
    return f"{head}{_frame(hot)}{_frame(pressed)}{_times(last)}{dashed}{curves}</svg>\n"


@dataclass(frozen=True)
class _Axis:
    """An axis of a panel: its ends, where it is drawn, its unit, its ticks."""

    low: float
    high: float
    panel: tuple[float, float]
    unit: str
    ticks: Sequence[int]

    def at(self, value: float) -> float:
        top, bottom = self.panel
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return bottom - share * (bottom - top)


def _frame(axis: _Axis) -> str:
    top, bottom = axis.panel
    box = (
        f'<rect x="{_LEFT:g}" y="{top:g}" width="{_RIGHT - _LEFT:g}" height="{bottom - top:g}" fill="none"'
        ' stroke="currentColor" stroke-width="0.7"/>'
    )
    ticks = "".join(
        f'<path d="M{_LEFT - 3:g} {axis.at(tick):.1f}h3" stroke="currentColor" stroke-width="0.7"/>'
        f'<text {_FACE} x="{_LEFT - 5:g}" y="{axis.at(tick) + 3.5:.1f}" text-anchor="end">{tick}</text>'
        for tick in axis.ticks
    )
    unit = f'<text {_FACE} x="{_LEFT + 5:g}" y="{bottom - 6:g}" font-weight="600">{axis.unit}</text>'
    return box + ticks + unit


def _times(last: float) -> str:
    every = next((one for one in _TICKS if last / one <= _MOST_TICKS), _TICKS[-1])
    ticks = "".join(
        f'<path d="M{_x(minute, last):.1f} {_PANELS[0][0]:g}V{_PANELS[1][1]:g}" stroke="currentColor"'
        ' stroke-width="0.3" stroke-dasharray="1 3"/>'
        f'<text {_FACE} x="{_x(minute, last):.1f}" y="{_FOOT - 4:g}" text-anchor="middle">{minute}</text>'
        for minute in range(0, int(last) + 1, every)
    )
    return f'{ticks}<text {_FACE} x="{_RIGHT:g}" y="{_HIGH - 2:g}" text-anchor="end">min</text>'


def _level(axis: _Axis, value: float) -> str:
    return (
        f'<path d="M{_LEFT:g} {axis.at(value):.1f}H{_RIGHT:g}" stroke="currentColor" stroke-width="0.8"'
        ' stroke-dasharray="5 3"/>'
    )


def _curve(minutes: FloatArray, values: FloatArray, axis: _Axis, last: float) -> str:
    chosen = np.unique(np.linspace(0, minutes.size - 1, min(_POINTS, minutes.size)).astype(int))
    points = "L".join(f"{_x(float(minutes[at]), last):.1f} {axis.at(float(values[at])):.1f}" for at in chosen)
    return (
        f'<path d="M{points}" fill="none" stroke="currentColor" stroke-width="1.5" stroke-linejoin="round"/>'
    )


def _x(minute: float, last: float) -> float:
    return _LEFT + (_RIGHT - _LEFT) * minute / last
