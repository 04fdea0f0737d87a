"""Recorders and faults that were once misread or misjudged, each as an invented record of its kind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sinkside.cycles import Recording, Trace, judge, judge_file, simulate
from sinkside.cycles.reading.heads import read_head
from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.cycles.trace import Place, Role
from sinkside.department import Program
from sinkside.science.validity import FloatArray

#: One psi and one inHg in kPa, and the standard atmosphere (NIST Special Publication 811, from memory).
PSI, INHG, ATMOSPHERE = 6.894757, 3.386389, 101.325


@pytest.fixture(scope="module")
def normal(programs: dict[str, Program]) -> Recording:
    """A normal cycle of the 134 °C, 3.5 min program."""
    return simulate(programs["134-3"], seed=5)


def kpa_of(recording: Recording) -> FloatArray:
    assert recording.pressure_kpa is not None
    return recording.pressure_kpa


def clock(second: float) -> str:
    at = 50_700 + int(second)
    return f"{at // 3600 % 24:02d}:{at // 60 % 60:02d}:{at % 60:02d}"


def events_before_the_first_sample(recording: Recording) -> bytes:
    """The first event stands between the head and the first sample, narrower than either."""
    lines = ["Elapsed,Chamber 1 (°C),Chamber 2 (°C),Pressure (kPa abs)", "EVENT,0:00:00,cycle start"]
    for second, probes, kpa in zip(recording.times_s, recording.probes_c.T, kpa_of(recording), strict=True):
        at = int(second)
        lines.append(
            f"{at // 3600}:{at // 60 % 60:02d}:{at % 60:02d},{probes[0]:.2f},{probes[1]:.2f},{kpa:.2f}"
        )
        if at % 300 == 0:
            lines.append(f"EVENT,0:{at // 60:02d}:00,step {at // 300}")
    return "\n".join(lines).encode()


def remarks_that_end_with_a_time(recording: Recording) -> bytes:
    """A tape with starred remarks that end with a time, units in every cell, vacuum in a unit of its own."""
    lines = ["LOAD 7", "--------", "TIME\tCHMBR 1\tCHMBR 2\tPRESS", f"*** cycle start {clock(0)}"]
    for second, probes, kpa in zip(recording.times_s, recording.probes_c.T, kpa_of(recording), strict=True):
        gauge = float(kpa) - ATMOSPHERE
        pressure = f"{gauge / PSI:.2f} psig" if gauge >= 0.0 else f"{-gauge / INHG:.2f} inHg"
        cells = [f"{one * 1.8 + 32.0:.1f} °F" for one in probes]
        if int(second) % 200 == 0:
            lines.append(f"*** pulse {int(second) // 200} {clock(second)}")
        lines.append("\t".join([clock(second), *cells, pressure]))
    return "\n".join(lines).encode()


def waste_water_and_set_value_beside(recording: Recording) -> bytes:
    """The waste water, and the set value as controllers call it, stand between the chamber's probes."""
    lines = ["Stamp;SV1 °C;PV1 chamber °C;Abwasser °C;PV2 chamber °C;Druck kPa abs"]
    for second, probes, kpa in zip(recording.times_s, recording.probes_c.T, kpa_of(recording), strict=True):
        waste = 38.0 + 8.0 * np.sin(second / 300.0)
        lines.append(
            f"{clock(second)};134,0;{probes[0]:.2f};{waste:.2f};{probes[1]:.2f};{kpa:.2f}".replace(".", ",")
        )
    return "\n".join(lines).encode()


def pipe_behind_the_drain(recording: Recording) -> bytes:
    """What is called drain stays at 40 °C all through: a pipe behind the chamber."""
    lines = ["t [s],T chamber 1 [°C],T chamber 2 [°C],T drain [°C],P abs [kPa]"]
    for second, probes, kpa in zip(recording.times_s, recording.probes_c.T, kpa_of(recording), strict=True):
        drain = 40.0 + 5.0 * np.sin(second / 200.0)
        lines.append(f"{second:g},{probes[0]:.2f},{probes[1]:.2f},{drain:.2f},{kpa:.2f}")
    return "\n".join(lines).encode()


def first_reading_missing(recording: Recording) -> bytes:
    """A probe without its very first reading, when nothing was hot."""
    lines = ["t [s],T chamber 1 [°C],T chamber 2 [°C],P abs [kPa]"]
    for second, probes, kpa in zip(recording.times_s, recording.probes_c.T, kpa_of(recording), strict=True):
        first = f"{probes[0]:.2f}" if second > recording.times_s[0] else "---"
        lines.append(f"{second:g},{first},{probes[1]:.2f},{kpa:.2f}")
    return "\n".join(lines).encode()


def groups_merged_above_the_heads(recording: Recording) -> bytes:
    """Quantity and unit once above several columns, as spreadsheets write merged cells."""
    lines = [";Temperature (°C);;Pressure (kPa abs)", "Time;Chamber 1;Chamber 2;Chamber"]
    for second, probes, kpa in zip(recording.times_s, recording.probes_c.T, kpa_of(recording), strict=True):
        lines.append(f"{clock(second)};{probes[0]:.2f};{probes[1]:.2f};{kpa:.2f}")
    return "\n".join(lines).encode()


def a_probe_that_nothing_names(recording: Recording) -> bytes:
    """The colder probe stands under a name that is no word for a temperature, without a unit."""
    lines = ["Time,Probe 1 °C,Meting B,Pressure kPa abs"]
    for second, probes, kpa in zip(recording.times_s, recording.probes_c.T, kpa_of(recording), strict=True):
        lines.append(f"{clock(second)},{probes[0]:.2f},{probes[1]:.2f},{kpa:.2f}")
    return "\n".join(lines).encode()


@pytest.mark.parametrize(
    "written",
    [
        events_before_the_first_sample,
        remarks_that_end_with_a_time,
        waste_water_and_set_value_beside,
        pipe_behind_the_drain,
        first_reading_missing,
        groups_merged_above_the_heads,
        a_probe_that_nothing_names,
    ],
)
def test_a_normal_cycle_meets(
    written: Callable[[Recording], bytes], normal: Recording, programs: dict[str, Program], tmp_path: Path
) -> None:
    """The verdict and F0 (1 %) are those of the plain record, by two probes."""
    plain = judge(normal.as_trace("plain"), programs["134-3"])
    path = tmp_path / "record"
    path.write_bytes(written(normal))
    verdict = judge_file(path, programs["134-3"])
    assert (plain.verdict, verdict.verdict) == ("meets", "meets"), verdict.summary
    assert verdict.recorder.probes == 2
    assert verdict.values["f0"].value == pytest.approx(plain.values["f0"].value, rel=0.01)


@pytest.mark.parametrize(
    ("head", "place", "role"),
    [
        ("Temperatur Kammerablauf °C", Place.drain, Role.chamber),
        ("Sonde vidange °C", Place.drain, Role.chamber),
        ("Sonda desagüe °C", Place.drain, Role.chamber),
        ("Chamber drain probe °C", Place.drain, Role.chamber),
        ("Manteltemperaturfühler °C", Place.jacket, Role.elsewhere),
        ("Sonde double paroi °C", Place.jacket, Role.elsewhere),
        ("Sonda doble pared °C", Place.jacket, Role.elsewhere),
        ("Jacket probe °C", Place.jacket, Role.elsewhere),
        ("Vorgabe Fühler 1 °C", Place.set_point, Role.elsewhere),
        ("T. consig. sonde °C", Place.set_point, Role.elsewhere),
        ("Valor deseado sonda °C", Place.set_point, Role.elsewhere),
        ("SettempProbe °C", Place.set_point, Role.elsewhere),
        ("Dampfzufuhrfühler °C", Place.supply, Role.elsewhere),
        ("Sonde alimentation vapeur °C", Place.supply, Role.elsewhere),
        ("Sonda suministro de vapor °C", Place.supply, Role.elsewhere),
        ("Steam supply probe °C", Place.supply, Role.elsewhere),
        ("Abwasserfühler °C", Place.waste, Role.elsewhere),
        ("Sonde eaux usées °C", Place.waste, Role.elsewhere),
        ("Sonda aguas residuales °C", Place.waste, Role.elsewhere),
        ("Waste water probe °C", Place.waste, Role.elsewhere),
    ],
)
def test_where_a_probe_is_by_its_name(head: str, place: Place, role: Role) -> None:
    """Drain, jacket, set point, supply and waste in four languages; only the drain is in the chamber."""
    read = read_head(head)
    assert (read.kind, read.place, read.role) == ("temperature", place, role)


def middle(recording: Recording, set_c: float) -> int:
    """A sample in the middle of exposure."""
    hot = np.flatnonzero(recording.probes_c.min(axis=0) >= set_c)
    return int(hot[hot.size // 2])


def both_probes_noisy(recording: Recording) -> Recording:
    """Both probes scatter by 1.6 K, each its own way."""
    scatter = 1.6 * np.random.default_rng(1).normal(size=recording.probes_c.shape)
    return replace(recording, probes_c=recording.probes_c + scatter)


def noisy_gauge(recording: Recording) -> Recording:
    """The pressure scatters by 3 kPa."""
    scatter = 3.0 * np.random.default_rng(1).normal(size=recording.times_s.size)
    return replace(recording, pressure_kpa=kpa_of(recording) + scatter)


def one_sample_leaps(recording: Recording) -> Recording:
    """One reading of one probe in exposure is 38 K hotter than those before and after it."""
    probes = recording.probes_c.copy()
    probes[0, middle(recording, 134.0)] += 38.0
    return replace(recording, probes_c=probes)


def calibration_changed(recording: Recording) -> Recording:
    """One probe reads 1.3 K more from the middle of exposure on; nothing else moves."""
    probes = recording.probes_c.copy()
    probes[1, middle(recording, 134.0) :] += 1.3
    return replace(recording, probes_c=probes)


@pytest.mark.parametrize(
    ("spoilt", "rule"),
    [
        (both_probes_noisy, "noisy-probe"),
        (noisy_gauge, "noisy-probe"),
        (one_sample_leaps, "impossible-readings"),
        (calibration_changed, "probe-changed-level"),
    ],
)
def test_what_cannot_be_trusted_is_unclear(
    spoilt: Callable[[Recording], Recording], rule: str, normal: Recording, programs: dict[str, Program]
) -> None:
    """Neither met nor missed: the samples prove nothing, and the verdict says which."""
    verdict = judge(spoilt(normal).as_trace("record"), programs["134-3"])
    assert verdict.verdict == "unclear", verdict.summary
    assert rule in {finding.rule for finding in verdict.findings}


@pytest.mark.parametrize("interval_s", [1.0, 2.0, 5.0])
@pytest.mark.parametrize("name", ["132-4", "134-18", "gravity", "pulse", "quick-to-heat"])
def test_a_noisy_gauge_misses_no_drying(name: str, interval_s: float, programs: dict[str, Program]) -> None:
    """With 3 kPa of noise nobody can tell how long a drying vacuum held; a sound gauge still meets."""
    for seed in range(3):
        recording = simulate(programs[name], seed=seed, interval_s=interval_s)
        verdict = judge(noisy_gauge(recording).as_trace("record"), programs[name])
        assert verdict.evidence["drying"] == "not evidenced"
        assert verdict.verdict == "unclear"


def test_a_chamber_that_wavers_is_not_a_noisy_probe(programs: dict[str, Program]) -> None:
    """Probes that leap together are the chamber's doing: out of the band, and missed."""
    recording = simulate(programs["134-3"], seed=5)
    wave = 2.5 * np.random.default_rng(1).normal(size=recording.times_s.size)
    verdict = judge(
        replace(recording, probes_c=recording.probes_c + wave).as_trace("record"), programs["134-3"]
    )
    assert verdict.verdict == "fails"


def test_a_gauge_a_little_below_nothing(programs: dict[str, Program]) -> None:
    """A zero that is 1.5 kPa too low reads below nothing in a deep vacuum: judged, with no error."""
    recording = simulate(programs["134-3"], seed=5)
    trace: Trace = replace(recording, pressure_kpa=np.maximum(kpa_of(recording) - 4.5, -1.5)).as_trace(
        "record"
    )
    assert judge(trace, programs["134-3"]).evidence["air_removal"] == "met"


@pytest.mark.parametrize(
    ("fault", "expected"), [("normal", {"meets", "unclear"}), ("missing-pulse", {"fails"})]
)
def test_pulses_between_slow_samples(fault: str, expected: set[str], programs: dict[str, Program]) -> None:
    """Samples 5 s apart may miss how far a pulse went, and never that one is missing."""
    for name in ("132-4", "134-18", "270-f"):
        for seed in range(8):
            recording = simulate(programs[name], fault, seed=seed, interval_s=5.0)
            assert judge(recording.as_trace("record"), programs[name]).verdict in expected


def test_heads_of_a_cabinet(programs: dict[str, Program]) -> None:
    """The air of a drying cabinet is what its program asks about."""
    recording = simulate(programs["cabinet"], seed=1)
    rows = [
        f"{second:g},{probes[0]:.2f}"
        for second, probes in zip(recording.times_s, recording.probes_c.T, strict=True)
    ]
    trace = trace_from_bytes("\n".join(["t [s],Cabinet air 1 [°C]", *rows]).encode(), name="record")
    assert (
        judge(trace, programs["cabinet"]).verdict
        == judge(recording.as_trace("a"), programs["cabinet"]).verdict
    )


def test_a_probe_that_is_alone_has_the_pressure_beside_it(programs: dict[str, Program]) -> None:
    """One probe that reads 1.3 K more from one sample to the next, with no change of pressure, is unclear."""
    recording = calibration_changed(simulate(programs["134-3"], seed=5))
    alone = replace(recording, probes_c=recording.probes_c[1:])
    verdict = judge(alone.as_trace("record"), programs["134-3"])
    assert verdict.verdict == "unclear"
    assert "probe-changed-level" in {finding.rule for finding in verdict.findings}


def test_a_leap_of_the_gauge_is_no_pulse(programs: dict[str, Program]) -> None:
    """Where a pulse is missing, one sample of deep vacuum between the others does not stand for it."""
    recording = simulate(programs["134-3"], "missing-pulse", seed=5)
    pressure = kpa_of(recording).copy()
    high = np.flatnonzero(pressure[: middle(recording, 134.0)] > 90.0)
    pressure[high[high.size // 2]] = 4.0
    verdict = judge(replace(recording, pressure_kpa=pressure).as_trace("record"), programs["134-3"])
    assert verdict.verdict != "meets"
    assert "impossible-readings" in {finding.rule for finding in verdict.findings}


def test_a_broken_drain_probe_is_no_pipe(programs: dict[str, Program]) -> None:
    """A drain that reads 25 °C and never moves is broken: it is not left out, and nothing meets."""
    recording = simulate(programs["134-3"], seed=5)
    lines = ["t [s],T chamber 1 [°C],T drain [°C],P abs [kPa]"]
    for second, probes, kpa in zip(recording.times_s, recording.probes_c.T, kpa_of(recording), strict=True):
        lines.append(f"{second:g},{probes[0]:.2f},25.00,{kpa:.2f}")
    trace = trace_from_bytes("\n".join(lines).encode(), name="record")
    assert len(trace.probes) == 2
    assert judge(trace, programs["134-3"]).verdict != "meets"
