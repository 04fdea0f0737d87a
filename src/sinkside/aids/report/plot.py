"""What the plot of a cycle shows, as values: curves thinned without losing a peak, phases, limits."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from sinkside.aids.report.plot_beside import judged_beside, saturated_steam
from sinkside.aids.report.wording import name_words
from sinkside.cycles import PhaseSpan, Trace, Verdict
from sinkside.department import Program
from sinkside.language import figure_text, measure, render
from sinkside.quantities import FigureQuantity, Range
from sinkside.quantities.figure import FigureValue
from sinkside.science.validity import FloatArray

#: Two points for each of this many spans: more than the picture has columns to show.
SPANS = 480

_DECIMALS = 2

#: How recorders end a name that has the unit in it.
_UNIT_AT_THE_END = re.compile(r"(?<=\S) (?:°?[CF]|k?Pa|mbar|bar|psi)(?: ?(?:abs|absolute|a|g|gauge))?$")


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
class JudgedSpan:
    """A criterion where it was judged: its figures in words, from when until when, and whether it was met."""

    label: str
    start_s: float
    end_s: float
    met: bool | None


@dataclass(frozen=True)
class CyclePlot:
    """A cycle as a picture: its panels from top to bottom, its phases, from when until when it is shown.

    Below the panels stands every criterion where it was judged.
    """

    panels: tuple[Panel, ...]
    phases: tuple[PhaseSpan, ...]
    end_s: float
    start_s: float = 0.0
    judged: tuple[JudgedSpan, ...] = ()


def cycle_plot(
    trace: Trace,
    verdict: Verdict,
    program: Program,
    *,
    window: tuple[float, float] | None = None,
    language: str = "en",
) -> CyclePlot:
    """What the plot of one cycle shows.

    Args:
        trace: the record.
        verdict: gives the phases.
        program: gives the limits.
        window: the seconds from and to which it is shown; the whole record unless told.
        language: of the limits' labels.
    """
    times = trace.elapsed_s
    start, end = window or (0.0, duration_s(trace))
    probes = tuple(_curve(probe.name, *cut(times, probe.values, start, end)) for probe in trace.probes)
    saturated = saturated_steam(trace, verdict)
    if saturated is not None:
        name = render("saturated steam", {}, language)
        probes = (*probes, _curve(name, *cut(times, saturated, start, end)))
    asked = _shown_limits(_temperature_limits(verdict, program, language), start, end)
    panels = [Panel("°C", probes, asked)] if probes else []
    if trace.pressure is not None and trace.pressure_kpa is not None:
        curve = _curve(trace.pressure.name, *cut(times, trace.pressure_kpa, start, end))
        asked = _shown_limits(_pressure_limits(verdict, program, language), start, end)
        panels.append(Panel("kPa", (curve,), asked))
    for unit, channels in judged_beside(trace, verdict):
        curves = tuple(_curve(name, *cut(times, values, start, end)) for name, values in channels)
        panels.append(Panel(unit, curves))
    phases = tuple(phase for phase in verdict.phases if phase.end_s > start and phase.start_s < end)
    judged = tuple(span for span in _judged(verdict, language) if span.end_s > start and span.start_s < end)
    return CyclePlot(tuple(panels), phases, end, start, judged)


def _judged(verdict: Verdict, language: str) -> Iterator[JudgedSpan]:
    """Every criterion with its figures, where it was judged."""
    for criterion in verdict.criteria:
        if criterion.start_s is None or criterion.end_s is None:
            continue
        name = name_words(criterion.id, language)
        required = measure(criterion.required, criterion.unit, language, decimals=_DECIMALS)
        if criterion.measured is None:
            label = render("{name}: required {required}", {"name": name, "required": required}, language)
        else:
            measured = measure(criterion.measured, criterion.unit, language, decimals=_DECIMALS)
            figures = {"name": name, "measured": measured, "required": required}
            label = render("{name}: {measured}, required {required}", figures, language)
        yield JudgedSpan(label, criterion.start_s, criterion.end_s, criterion.met)


def duration_s(trace: Trace) -> float:
    """How long a record runs, in seconds; 0 where it has no sound stamp."""
    finite = trace.elapsed_s[np.isfinite(trace.elapsed_s)]
    return float(finite.max()) if finite.size else 0.0


def cut(
    times_s: FloatArray, values: FloatArray, start_s: float, end_s: float
) -> tuple[FloatArray, FloatArray]:
    """The samples of a window, and at its edges where the line between two samples crosses them.

    >>> cut(np.array([0.0, 10.0, 20.0]), np.array([0.0, 5.0, 9.0]), 5.0, 15.0)
    (array([ 5., 10., 15.]), array([2.5, 5. , 7. ]))
    """
    first = int(np.searchsorted(times_s, start_s, side="left"))
    last = int(np.searchsorted(times_s, end_s, side="right"))
    if first == 0 and last == times_s.size:
        return times_s, values
    times, kept = times_s[first:last], values[first:last]
    for place, edge in ((first, start_s), (last, end_s)):
        if 0 < place < times_s.size and times_s[place - 1] < edge < times_s[place]:
            crossing = float(np.interp(edge, times_s[place - 1 : place + 1], values[place - 1 : place + 1]))
            end = 0 if place == first else times.size
            times, kept = np.insert(times, end, edge), np.insert(kept, end, crossing)
    return times, kept


def _shown_limits(limits: Iterator[Limit], start_s: float, end_s: float) -> tuple[Limit, ...]:
    return tuple(limit for limit in limits if limit.end_s > start_s and limit.start_s < end_s)


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
    return Curve(bare_name(name), *thinned(times_s, values))


def bare_name(name: str) -> str:
    """A channel's name without the recorder's unit, as the axis has its own.

    >>> bare_name("Chamber (°C)"), bare_name("chamber_pressure_kPa_abs"), bare_name("Druck 1")
    ('Chamber', 'chamber pressure', 'Druck 1')
    """
    bare = re.split(r"\s*[\[(]", name, maxsplit=1)[0].replace("_", " ").strip()
    return re.sub(_UNIT_AT_THE_END, "", bare) or name


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
    if program.leak is not None:
        asked.append(("leak-rate", Range(max=program.leak.vacuum)))
    if program.exposure is not None and program.exposure.pressure is not None:
        asked.append(("exposure", program.exposure.pressure))
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
