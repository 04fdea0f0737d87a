"""The plot of a cycle: nothing leaves its frame, no peak is lost, limits lie where they were judged."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from sinkside.aids.report.plot import cycle_plot, thinned
from sinkside.aids.report.plot_svg import WIDTH, plot_svg
from sinkside.cycles import Trace, Verdict, judge, simulate
from sinkside.department import Program


def _points(svg: str) -> list[tuple[float, float]]:
    paths = re.findall(r' d="([^"]+)"', svg)
    return [(float(x), float(y)) for path in paths for x, y in re.findall(r"[ML]([-\d.]+) ([-\d.]+)", path)]


def test_plot_stays_in_its_frame_and_keeps_its_peaks(
    trace: Trace, verdict: Verdict, program: Program
) -> None:
    """Every drawn point lies in the view box; phases, limits and curves are named."""
    svg = plot_svg(cycle_plot(trace, verdict, program), key="p", title="Record", description=verdict.summary)
    height = float(re.findall(rf'viewBox="0 0 {WIDTH:.0f} ([\d.]+)"', svg)[0])
    points = _points(svg)
    assert len(points) > 500
    assert all(0 <= x <= WIDTH and 0 <= y <= height for x, y in points)
    for words in ("air removal", "heating", "exposure", "drying", "134–137", "≤\u00a012", "Chamber", "Drain"):
        assert f">{words}" in svg
    assert len(svg) < 100_000


def test_limits_are_drawn_where_they_were_judged(trace: Trace, verdict: Verdict, program: Program) -> None:
    """The band covers the exposure, the vacuum limits their own phases."""
    plot = cycle_plot(trace, verdict, program)
    (band,) = plot.panels[0].limits
    assert (band.low, band.high, band.start_s, band.end_s) == (134.0, 137.0, 700.0, 890.0)
    assert [(limit.high, limit.start_s) for limit in plot.panels[1].limits] == [(12.0, 0.0), (10.0, 960.0)]


@given(
    st.lists(st.one_of(st.floats(-50, 150), st.just(float("nan"))), min_size=3, max_size=400),
    st.integers(1, 20),
)
def test_thinning_loses_no_extreme_and_no_gap(values: list[float], spans: int) -> None:
    """Whatever the record, the thinned one has the same lowest and highest value, in order, and its gaps."""
    array = np.array(values)
    times, kept = thinned(np.arange(float(array.size)), array, spans)
    assert np.all(np.diff(times) > 0)
    assert np.isnan(kept).any() == np.isnan(array).any()
    if not np.isnan(array).all():
        assert np.nanmax(kept) == np.nanmax(array)
        assert np.nanmin(kept) == np.nanmin(array)


def test_gap_in_the_record_breaks_the_curve(trace: Trace, verdict: Verdict, program: Program) -> None:
    """Missing samples are not bridged by a line."""
    broken = trace.channels[0].values.copy()
    broken[1000:1300] = np.nan
    gapped = replace(trace, channels=(replace(trace.channels[0], values=broken),))
    svg = plot_svg(cycle_plot(gapped, verdict, program), key="p", title="Record", description="")
    (curve,) = re.findall(r'class="curve curve-0" d="([^"]+)"', svg)
    assert curve.count("M") == 2


def test_words_of_a_limit_keep_clear_of_the_curve(trace: Trace, verdict: Verdict, program: Program) -> None:
    """No point of a curve lies within the words that say how deep the pulses must go."""
    svg = plot_svg(cycle_plot(trace, verdict, program), key="p", title="Record", description="")
    words = re.findall(r'class="limit-words" x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]+)<', svg)
    assert len(words) == 3
    for across, down, label in words:
        half = len(label) * 7.4 / 2
        inside = [
            (x, y)
            for x, y in _points(svg)
            if abs(x - float(across)) < half and float(down) - 12 < y < float(down) + 3
        ]
        assert not inside


def test_every_criterion_has_its_figure_on_the_plot(trace: Trace, program: Program) -> None:
    """Each criterion stands below the curves with its figures and a sign for the answer."""
    judged = judge(trace, program)
    svg = plot_svg(cycle_plot(trace, judged, program), key="p", title="Record", description="")
    words = re.findall(r'class="bar-words"[^>]*>([^<]+)<', svg)
    assert len(words) == len(judged.criteria) > 2
    signs = {True: "✓", False: "✗", None: "?"}
    assert [label[0] for label in words] == [signs[criterion.met] for criterion in judged.criteria]
    assert all("required" in label for label in words)


def test_saturated_steam_is_drawn_around_exposure(trace: Trace, program: Program) -> None:
    """The temperature that the pressure stands for is a curve of its own where it is judged."""
    judged = judge(trace, program)
    curve = next(
        c for c in cycle_plot(trace, judged, program).panels[0].curves if c.name == "saturated steam"
    )
    (exposure,) = [phase for phase in judged.phases if phase.name == "exposure"]
    shown = curve.times_s[np.isfinite(curve.values)]
    assert shown.min() >= exposure.start_s - 30.0
    assert shown.max() <= exposure.end_s + 30.0


def test_what_else_was_judged_has_a_panel() -> None:
    """Concentration and humidity of a gas are drawn below its temperature and pressure, each in its unit."""
    exposure = {
        "temperature": "52 °C", "band": "6 K", "time": "60 min", "pressure": {"max": "70 kPa"},
        "concentration": {"min": "450 mg/L"}, "humidity": {"min": "40 %", "max": "80 %"},
    }  # fmt: skip
    gas = Program.model_validate({"kind": "exposure", "name": "gas", "exposure": exposure})
    record = simulate(gas, seed=1).as_trace("gas")
    plot = cycle_plot(record, judge(record, gas), gas)
    assert [panel.unit for panel in plot.panels] == ["°C", "kPa", "mg/L", "%"]
    svg = plot_svg(plot, key="p", title="Record", description="")
    assert ">mg/L<" in svg
