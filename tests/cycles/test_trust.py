"""What cannot be believed: gaps, clocks, frozen and impossible readings, and what the judge makes of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sinkside.cycles import Channel, Trace, Verdict, judge, simulate
from sinkside.cycles.trust import DoubtKind, believable
from sinkside.department import Program


@pytest.fixture
def trace(programs: dict[str, Program]) -> Trace:
    """A normal cycle of the 132 °C, 4 min program, sampled every second."""
    return simulate(programs["132-4"], seed=11).as_trace("record")


@pytest.fixture
def exposure(trace: Trace, programs: dict[str, Program]) -> tuple[int, int]:
    """Samples at which exposure starts and ends."""
    (phase,) = [p for p in judge(trace, programs["132-4"]).phases if p.name == "exposure"]
    return int(phase.start_s), int(phase.end_s)


def without(trace: Trace, first: int, last: int) -> Trace:
    """The trace without some of its samples."""
    kept = np.ones(trace.times_s.size, dtype=bool)
    kept[first:last] = False
    channels = tuple(replace(channel, values=channel.values[kept]) for channel in trace.channels)
    return replace(trace, times_s=trace.times_s[kept], channels=channels)


def with_values(trace: Trace, index: int, first: int, last: int, values: float | np.ndarray) -> Trace:
    """The trace with other readings in one channel."""
    changed = trace.channels[index].values.copy()
    changed[first:last] = values
    channels: list[Channel] = list(trace.channels)
    channels[index] = replace(channels[index], values=changed)
    return replace(trace, channels=tuple(channels))


def rules(verdict: Verdict) -> set[str]:
    return {finding.rule for finding in verdict.findings}


def test_a_gap_in_exposure_is_unclear(
    trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """A minute without samples within exposure leaves it open, and the gap is named."""
    verdict = judge(without(trace, exposure[0] + 60, exposure[0] + 120), programs["132-4"])
    assert verdict.verdict == "unclear"
    assert verdict.evidence["exposure"] == "not evidenced"
    assert "record-gap" in rules(verdict)
    assert "f0" not in verdict.values


def test_a_gap_that_hides_nothing_required_does_not_matter(
    trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """Half a minute missing in a drying that was long enough without it leaves the verdict, and is told."""
    verdict = judge(without(trace, exposure[1] + 600, exposure[1] + 615), programs["132-4"])
    assert verdict.verdict == "meets"
    assert "record-gap" in rules(verdict)


def test_a_gap_that_hides_pulses_is_unclear(
    trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """Without the samples of the first pulses nobody can say that they were missed."""
    verdict = judge(without(trace, 20, exposure[0] - 250), programs["132-4"])
    assert verdict.evidence["air_removal"] == "not evidenced"
    assert verdict.verdict == "unclear"


def test_what_was_missed_wins_over_what_is_hidden(
    programs: dict[str, Program],
) -> None:
    """A pulse missed on good samples fails, though a gap leaves drying open."""
    trace = simulate(programs["132-4"], "missing-pulse", seed=5).as_trace("record")
    verdict = judge(without(trace, trace.times_s.size - 900, trace.times_s.size - 200), programs["132-4"])
    assert verdict.evidence["drying"] == "not evidenced"
    assert verdict.verdict == "fails"


def test_two_dropped_samples_are_no_gap(
    trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """A recorder that drops two samples a second apart hides nothing."""
    assert judge(without(trace, exposure[0] + 60, exposure[0] + 62), programs["132-4"]).verdict == "meets"


@pytest.mark.parametrize("jump", [-3600.0, -30.0, 3600.0])
@pytest.mark.parametrize("part", ["pulses", "exposure", "drying"])
def test_a_clock_that_was_set_proves_no_time(
    jump: float, part: str, trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """Wherever the clock was set during the record, its durations are not evidence."""
    at = {"pulses": 100, "exposure": exposure[0] + 100, "drying": exposure[1] + 600}[part]
    times = trace.times_s + np.where(np.arange(trace.times_s.size) >= at, jump, 0.0)
    verdict = judge(replace(trace, times_s=times), programs["132-4"])
    assert verdict.verdict == "unclear"
    assert "clock-jump" in rules(verdict)


def test_stamps_that_repeat_are_seen(
    trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """A clock that stands still within exposure leaves it open; the same sample written twice does not."""
    times = trace.times_s.copy()
    times[exposure[0] + 50 : exposure[0] + 54] = times[exposure[0] + 50]
    stopped = judge(replace(trace, times_s=times), programs["132-4"])
    assert stopped.verdict == "unclear"
    assert "repeated-stamps" in rules(stopped)
    order = np.sort(np.concatenate((np.arange(trace.times_s.size), [exposure[0] + 50])))
    channels = tuple(replace(channel, values=channel.values[order]) for channel in trace.channels)
    doubled = replace(trace, times_s=trace.times_s[order], channels=channels)
    assert judge(doubled, programs["132-4"]).verdict == "meets"


def test_a_frozen_probe_is_not_believed(
    trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """A probe that repeats one reading through exposure proves nothing there."""
    frozen = with_values(trace, 1, exposure[0] + 20, exposure[1] + 60, 133.2)
    verdict = judge(frozen, programs["132-4"])
    assert verdict.verdict == "unclear"
    assert "frozen-probe" in rules(verdict)


def test_a_coarse_probe_is_not_frozen(trace: Trace, programs: dict[str, Program]) -> None:
    """A recorder of whole degrees repeats itself on the plateau, and that is no fault."""
    coarse = trace
    for index in range(2):
        coarse = with_values(coarse, index, 0, trace.times_s.size, np.rint(trace.channels[index].values))
    assert not [doubt for doubt in believable(coarse).doubts if doubt.kind is DoubtKind.frozen]
    assert judge(coarse, programs["132-4"]).evidence["exposure"] == "met"


def test_single_holes_and_spikes_are_bridged_and_told(
    trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """One missing reading and one of 0 °C within exposure are bridged by their neighbours, not overlooked."""
    at = exposure[0] + 90
    holed = with_values(with_values(trace, 0, at, at + 1, np.nan), 1, at + 9, at + 10, 0.0)
    verdict = judge(holed, programs["132-4"])
    assert verdict.verdict == "meets"
    assert {"readings-bridged", "impossible-readings"} <= rules(verdict)


def test_a_probe_that_is_lost_leaves_exposure_open(
    trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """Readings missing for half a minute within exposure leave it open."""
    lost = with_values(trace, 1, exposure[0] + 90, exposure[0] + 120, np.nan)
    verdict = judge(lost, programs["132-4"])
    assert verdict.verdict == "unclear"
    assert "missing-readings" in rules(verdict)


def test_units_that_contradict_physics_never_meet(trace: Trace, programs: dict[str, Program]) -> None:
    """Fahrenheit passed off as °C, or bar as kPa, does not meet."""
    hot = trace
    for index in range(2):
        hot = with_values(hot, index, 0, trace.times_s.size, trace.channels[index].values * 1.8 + 32.0)
    assert judge(hot, programs["132-4"]).verdict != "meets"
    bars = with_values(trace, 2, 0, trace.times_s.size, trace.channels[2].values / 100.0)
    assert judge(bars, programs["132-4"]).verdict != "meets"


def test_a_record_without_pressure_meets_nothing_that_needs_it(
    trace: Trace, programs: dict[str, Program]
) -> None:
    """Temperatures alone leave air removal, saturation and drying open."""
    verdict = judge(replace(trace, channels=trace.channels[:2]), programs["132-4"])
    assert verdict.verdict == "unclear"
    assert [verdict.evidence[name] for name in ("air_removal", "saturation", "drying")] == [
        "not evidenced"
    ] * 3


@pytest.mark.parametrize("share", [0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 0.9])
def test_a_record_that_ends_early_is_unclear(
    share: float, trace: Trace, programs: dict[str, Program]
) -> None:
    """Wherever a normal cycle's record is cut before drying is done, nobody can tell."""
    cut = without(trace, int(share * trace.times_s.size), trace.times_s.size)
    verdict = judge(cut, programs["132-4"])
    assert verdict.verdict == "unclear", verdict.summary


@pytest.mark.parametrize("probe", [0, 1])
@pytest.mark.parametrize("noise", [1.0, 2.0, 5.0])
def test_a_noisy_probe_proves_nothing(
    probe: int, noise: float, trace: Trace, exposure: tuple[int, int], programs: dict[str, Program]
) -> None:
    """A probe whose readings scatter by a kelvin and more neither meets nor fails a band of three."""
    scatter = noise * np.random.default_rng(5).normal(size=trace.times_s.size - exposure[0] + 100)
    values = trace.channels[probe].values[exposure[0] - 100 :] + scatter
    verdict = judge(
        with_values(trace, probe, exposure[0] - 100, trace.times_s.size, values), programs["132-4"]
    )
    assert verdict.verdict == "unclear"
    assert "noisy-probe" in rules(verdict)


def test_what_all_probes_do_is_no_noise(trace: Trace, programs: dict[str, Program]) -> None:
    """Where both probes swing together, as when steam comes in pulses, nothing is taken for noise."""
    swing = 2.0 * np.sin(np.arange(trace.times_s.size) ** 2.0)
    both = trace
    for index in range(2):
        both = with_values(both, index, 0, trace.times_s.size, trace.channels[index].values + swing)
    assert DoubtKind.noisy not in {doubt.kind for doubt in believable(both).doubts}


def test_a_pressure_that_ends_above_the_vacuum_is_open(trace: Trace, programs: dict[str, Program]) -> None:
    """A gauge that shows nothing below 20 kPa cannot show pulses to 15 kPa, nor drying: open, not missed."""
    cut = with_values(trace, 2, 0, trace.times_s.size, np.maximum(trace.channels[2].values, 20_000.0))
    verdict = judge(cut, programs["132-4"])
    assert verdict.evidence["air_removal"] == "not evidenced"
    assert verdict.verdict == "unclear"
    assert "channel-at-its-end" in rules(verdict)


@pytest.mark.parametrize("most", [133.0, 134.0])
def test_a_probe_that_ends_below_the_plateau_is_open(
    most: float, trace: Trace, programs: dict[str, Program]
) -> None:
    """A probe cut off within the band shows the same reading all through exposure, and proves nothing."""
    held = float(np.median(trace.channels[0].values[trace.channels[0].values > 131.0]))
    cut = with_values(
        trace, 0, 0, trace.times_s.size, np.minimum(trace.channels[0].values, min(most, held - 0.3))
    )
    assert judge(cut, programs["132-4"]).verdict == "unclear"


@pytest.mark.parametrize("factor", [0.01, 10.0, 0.145038, 7.50062])
def test_a_pressure_in_another_unit_is_named(
    factor: float, trace: Trace, programs: dict[str, Program]
) -> None:
    """Bar, mbar, psi or mmHg passed off as kPa: the plateau tells which, and the verdict stays open.

    1 kPa is 0.145038 psi and 7.50062 mmHg (NIST Special Publication 811, appendix B, from memory).
    """
    wrong = with_values(trace, 2, 0, trace.times_s.size, trace.channels[2].values * factor)
    verdict = judge(wrong, programs["132-4"])
    assert verdict.verdict == "unclear"
    (finding,) = [finding for finding in verdict.findings if finding.rule == "units-contradict-physics"]
    assert "in " in str(finding.evidence["instead"])


def test_gauge_passed_off_as_absolute_is_named(trace: Trace, programs: dict[str, Program]) -> None:
    """A pressure that the head calls absolute and that is steam only as gauge leaves the verdict open."""
    wrong = with_values(trace, 2, 0, trace.times_s.size, trace.channels[2].values - 101_325.0)
    verdict = judge(wrong, programs["132-4"])
    assert verdict.verdict == "unclear"
    assert {f.evidence["instead"] for f in verdict.findings if f.rule == "units-contradict-physics"} == {
        "gauge"
    }


def test_fahrenheit_passed_off_as_celsius_is_named(trace: Trace, programs: dict[str, Program]) -> None:
    """134 °C written as 273 "°C" is told by the pressure beside it."""
    hot = trace
    for index in range(2):
        hot = with_values(hot, index, 0, trace.times_s.size, trace.channels[index].values * 1.8 + 32.0)
    verdict = judge(hot, programs["132-4"])
    assert verdict.verdict == "unclear"
    assert "in °F" in {f.evidence.get("instead") for f in verdict.findings}
