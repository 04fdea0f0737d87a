"""A cycle for those who look at it: verdict in words, record drawn, the samples behind the drawing."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from sinkside.aids.report import CycleReport
from sinkside.aids.report.cycle_view import cycle_view
from sinkside.aids.report.plot import bare_name, cycle_plot, duration_s
from sinkside.aids.report.plot_svg import WIDTH, PlotFrame, plot_frame, plot_svg
from sinkside.aids.report.views import CriterionView, CycleView, FindingView
from sinkside.aids.report.wording import phase_words
from sinkside.desk.access import Visitor
from sinkside.desk.cycle_records import OpenCycle, open_cycle, trace_of
from sinkside.desk.ports import Archive
from sinkside.errors import BadInput

if TYPE_CHECKING:
    from sinkside.cycles import Trace, Verdict

__all__ = [
    "CriterionView",
    "CycleView",
    "DrawnWindow",
    "FindingView",
    "PlotFrame",
    "SampledCurve",
    "drawn_window",
    "samples_csv",
    "shown_cycle",
]

#: Nobody reads more rows than this on a page; the file has all of them.
_MOST_ROWS: Final = 120

#: Closer than so many samples there is nothing more to see.
_FEWEST_SAMPLES: Final = 4
_DECIMALS: Final = 3
_PA_PER_KPA: Final = 1000.0


@dataclass(frozen=True)
class SampledCurve:
    """One curve as it is drawn: name, unit, which panel, and times in seconds with values; none in a gap."""

    name: str
    unit: str
    panel: int
    times_s: tuple[float, ...]
    values: tuple[float | None, ...]


@dataclass(frozen=True)
class NamedSpan:
    """A phase in words, in seconds since the first sample."""

    words: str
    start_s: float
    end_s: float


@dataclass(frozen=True)
class SampleTable:
    """Samples as recorded: the heads with units, rows of time and values, and that every n-th is shown."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    every: int


@dataclass(frozen=True)
class DrawnWindow:
    """A stretch of a record: from when until when, of how long a whole; drawing, curves, phases, samples."""

    start_s: float
    end_s: float
    whole_s: float
    closest_s: float
    svg: str
    frame: PlotFrame
    curves: tuple[SampledCurve, ...]
    phases: tuple[NamedSpan, ...]
    table: SampleTable


def shown_cycle(archive: Archive, who: Visitor, cycle: str) -> tuple[OpenCycle, CycleView | None]:
    """A cycle with its verdict in words and its record drawn; none while there is no verdict.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    known = open_cycle(archive, who, cycle)
    if known.judged is None or known.judged.verdict is None:
        return known, None
    trace = trace_of(archive, who, cycle)
    return known, cycle_view(CycleReport(known.judged.verdict, trace, known.record.program), "cycle")


def drawn_window(
    archive: Archive,
    who: Visitor,
    cycle: str,
    *,
    start_s: float = 0.0,
    end_s: float | None = None,
    width: float = WIDTH,
) -> DrawnWindow:
    """A stretch of a record, drawn anew from its samples, so that looking closer shows more.

    Args:
        archive: where it is kept.
        who: who looks.
        cycle: which cycle.
        start_s: from when.
        end_s: until when; the end of the record unless told.
        width: of the drawing.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if the file cannot be read.
    """
    known = open_cycle(archive, who, cycle)
    verdict = known.judged.verdict if known.judged else None
    if verdict is None:
        raise BadInput("this record has no verdict, so that nothing can be drawn of it", resource=cycle)
    trace = trace_of(archive, who, cycle)
    whole = duration_s(trace)
    closest = min(whole, _FEWEST_SAMPLES * (trace.interval_s if math.isfinite(trace.interval_s) else 1.0))
    window = _window(start_s, end_s, whole=whole, closest=closest)
    plot = cycle_plot(trace, verdict, known.record.program, window=window)
    return DrawnWindow(
        start_s=window[0],
        end_s=window[1],
        whole_s=whole,
        closest_s=closest,
        svg=plot_svg(
            plot,
            key="cycle-plot",
            title=f"Record of {verdict.trace}",
            description=_described(verdict, *window),
            width=width,
        ),
        frame=plot_frame(plot, width=width),
        curves=tuple(
            SampledCurve(
                name=curve.name,
                unit=panel.unit,
                panel=place,
                times_s=tuple(round(float(time), _DECIMALS) for time in curve.times_s),
                values=tuple(
                    round(float(value), _DECIMALS) if math.isfinite(value) else None for value in curve.values
                ),
            )
            for place, panel in enumerate(plot.panels)
            for curve in panel.curves
        ),
        phases=tuple(NamedSpan(phase_words(phase.name), phase.start_s, phase.end_s) for phase in plot.phases),
        table=_table(trace, *window),
    )


def samples_csv(archive: Archive, who: Visitor, cycle: str) -> bytes:
    """Every sample of a record as comma-separated text: seconds, °C, kPa absolute.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        BadInput: if the file cannot be read.
    """
    trace = trace_of(archive, who, cycle)
    table = _table(trace, 0.0, math.inf, most=None)
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(table.heads)
    writer.writerows(table.rows)
    return text.getvalue().encode()


def _window(start_s: float, end_s: float | None, *, whole: float, closest: float) -> tuple[float, float]:
    """A window that lies within the record and is no closer than its samples are worth."""
    start = min(max(start_s, 0.0), max(whole - closest, 0.0))
    end = whole if end_s is None else min(end_s, whole)
    return start, max(end, start + closest)


def _described(verdict: Verdict, start_s: float, end_s: float) -> str:
    return f"{verdict.summary} Shown from {start_s / 60:.1f} to {end_s / 60:.1f} min."


def _table(trace: Trace, start_s: float, end_s: float, *, most: int | None = _MOST_ROWS) -> SampleTable:
    """Every n-th sample of a stretch, so that no more than so many are shown."""
    import numpy as np

    times = trace.elapsed_s
    first, last = np.searchsorted(times, start_s, "left"), np.searchsorted(times, end_s, "right")
    every = max(1, math.ceil((last - first) / most)) if most else 1
    pressure = trace.pressure
    channels = [(f"{bare_name(probe.name)} °C", probe.values) for probe in trace.probes]
    if pressure is not None:
        channels.append((f"{bare_name(pressure.name)} kPa absolute", pressure.values / _PA_PER_KPA))
    rows = tuple(
        (_written(times[row]), *(_written(values[row]) for _, values in channels))
        for row in range(int(first), int(last), every)
    )
    return SampleTable(("Time s", *(name for name, _ in channels)), rows, every)


def _written(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if math.isfinite(value) else ""
