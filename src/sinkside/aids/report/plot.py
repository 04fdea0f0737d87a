"""What the plot of a cycle shows, as values: curves thinned without losing a peak, phases, limits."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sinkside.cycles import PhaseSpan, Trace, Verdict
from sinkside.department import Program
from sinkside.language import figure_text
from sinkside.quantities import FigureQuantity, Range
from sinkside.quantities.figure import FigureValue
from sinkside.science.validity import FloatArray

#: Two points for each of this many spans: more than the picture has columns to show.
SPANS = 480


@dataclass(frozen=True, eq=False)
class Curve:
    """One channel: its name, and where it was, in seconds and °C or kPa absolute; NaN breaks the line."""

    name: str
    times_s: FloatArray
    values: FloatArray


@dataclass(frozen=True)
class Limit:
    """A range that a curve must lie in for a while: ends in °C or kPa absolute, open where infinite."""

    low: float
    high: float
    start_s: float
    end_s: float
    label: str


@dataclass(frozen=True)
class Panel:
    """Curves of one quantity with their limits."""

    unit: str
    curves: tuple[Curve, ...]
    limits: tuple[Limit, ...] = ()


@dataclass(frozen=True)
class CyclePlot:
    """A cycle as a picture: its panels from top to bottom, its phases, how long it took."""

    panels: tuple[Panel, ...]
    phases: tuple[PhaseSpan, ...]
    duration_s: float


def cycle_plot(trace: Trace, verdict: Verdict, program: Program, *, language: str = "en") -> CyclePlot:
    """What the plot of one cycle shows.

    Args:
        trace: the record.
        verdict: gives the phases.
        program: gives the limits.
        language: of the limits' labels.
    """
    times = trace.elapsed_s
    probes = tuple(_curve(probe.name, times, probe.values) for probe in trace.probes)
    panels = [Panel("°C", probes, tuple(_temperature_limits(verdict, program, language)))] if probes else []
    if trace.pressure is not None and trace.pressure_kpa is not None:
        curve = _curve(trace.pressure.name, times, trace.pressure_kpa)
        panels.append(Panel("kPa", (curve,), tuple(_pressure_limits(verdict, program, language))))
    finite = times[np.isfinite(times)]
    duration = float(finite.max()) if finite.size else 0.0
    return CyclePlot(tuple(panels), verdict.phases, duration)


def thinned(times_s: FloatArray, values: FloatArray, spans: int = SPANS) -> tuple[FloatArray, FloatArray]:
    """The lowest and the highest sample of each span in their order, so that no peak is lost.

    A gap in the values stays a gap: its first sample is kept as NaN.

    >>> time, value = thinned(np.arange(1000.0), np.where(np.arange(1000) == 321, 9.0, 0.0), spans=10)
    >>> len(time) <= 40, float(value.max())
    (True, 9.0)
    """
    size = values.size
    if size <= 2 * spans:
        return times_s, values
    width = -(-size // spans)
    padded = np.full(spans * width, np.nan)
    padded[:size] = values
    windows = padded.reshape(spans, width)
    missing = np.isnan(windows)
    kept = [
        np.where(missing, np.inf, windows).argmin(axis=1),
        np.where(missing, -np.inf, windows).argmax(axis=1),
        missing.argmax(axis=1),
    ]
    places = np.arange(spans) * width + np.vstack(kept)
    order = np.unique(np.concatenate(([0, size - 1], places[places < size])))
    return times_s[order], values[order]


def _curve(name: str, times_s: FloatArray, values: FloatArray) -> Curve:
    """A channel by its name without the recorder's unit, as the axis has its own."""
    bare = re.split(r"\s*[\[(]", name, maxsplit=1)[0].strip()
    return Curve(bare or name, *thinned(times_s, values))


def _temperature_limits(verdict: Verdict, program: Program, language: str) -> Iterator[Limit]:
    """The exposure's band, and each washer phase's range, over the spans where they were judged."""
    if program.exposure is not None:
        low = program.exposure.temperature.to("°C")
        high = low + program.exposure.band.to("K")
        for phase in _named(verdict, "exposure"):
            yield _limit(phase, low, high, FigureQuantity.temperature, "°C", language)
    for washer_phase in program.phases:
        if washer_phase.temperature is None:
            continue
        low, high = washer_phase.temperature.bounds("°C")
        for phase in _named(verdict, washer_phase.name.value):
            yield _limit(phase, low, high, FigureQuantity.temperature, "°C", language)


def _pressure_limits(verdict: Verdict, program: Program, language: str) -> Iterator[Limit]:
    """How deep the pulses and the drying must go."""
    asked = []
    if program.air_removal is not None and program.air_removal.vacuum is not None:
        asked.append(("air", Range(max=program.air_removal.vacuum)))
    if program.drying is not None:
        asked.append(("drying", Range(max=program.drying.vacuum)))
    for name, depth in asked:
        low, high = depth.bounds("kPa")
        for phase in _named(verdict, name):
            yield _limit(phase, low, high, FigureQuantity.pressure, "kPa", language)


def _named(verdict: Verdict, name: str) -> list[PhaseSpan]:
    """The phases of a name, however the words of the name are joined."""
    return [phase for phase in verdict.phases if phase.name.replace("_", "-").startswith(name)]


def _limit(
    phase: PhaseSpan, low: float, high: float, quantity: FigureQuantity, unit: str, language: str
) -> Limit:
    ends = {name: end for name, end in (("min", low), ("max", high)) if np.isfinite(end)}
    label = figure_text(FigureValue.model_validate({"quantity": quantity, "unit": unit, **ends}), language)
    return Limit(low, high, phase.start_s, phase.end_s, label)
