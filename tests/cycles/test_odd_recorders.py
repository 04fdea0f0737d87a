"""Recorders and faults that nothing was tuned to: read and judged as if they had always been known."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sinkside.cycles import Recording, judge, judge_file, simulate, write_recorder_file
from sinkside.cycles.trust import DoubtKind, believable
from sinkside.department import Program
from sinkside.science.validity import FloatArray
from support.odd_faults import ODD_FAULTS
from support.odd_recorders import ODD_RECORDERS, two_cycles

SET_C = {"134-3": 134.0, "121-20": 121.0, "132-4": 132.0}
Simulated = Callable[..., Recording]


@pytest.fixture(scope="module")
def simulated(programs: dict[str, Program]) -> Simulated:
    """Recordings by program, fault, seed and interval, each made once."""

    @functools.cache
    def made(name: str, fault: str = "normal", *, seed: int, interval_s: float = 1.0) -> Recording:
        return simulate(programs[name], fault, seed=seed, interval_s=interval_s)

    return made


@pytest.mark.parametrize("fault", ["normal", "short-exposure", "missing-pulse"])
@pytest.mark.parametrize("recorder", ODD_RECORDERS)
def test_an_unknown_recorder_is_read(
    recorder: str, fault: str, programs: dict[str, Program], simulated: Simulated, tmp_path: Path
) -> None:
    """However a recorder writes, the verdict is that of the plain record, for normal and faulty cycles."""
    recording = simulated("134-3", fault, seed=5)
    plain = judge(recording.as_trace("plain"), programs["134-3"])
    path = tmp_path / "record"
    path.write_bytes(ODD_RECORDERS[recorder](recording))
    verdict = judge_file(path, programs["134-3"])
    assert (verdict.verdict, verdict.evidence) == (plain.verdict, plain.evidence)
    assert verdict.recorder.probes == 2


@pytest.mark.parametrize("seed", range(3))
def test_two_cycles_in_one_file_never_meet(
    seed: int, programs: dict[str, Program], simulated: Simulated, tmp_path: Path
) -> None:
    """A file that goes on with another cycle evidences neither of them by itself."""
    path = tmp_path / "record"
    path.write_bytes(two_cycles(simulated("134-3", seed=seed)))
    assert judge_file(path, programs["134-3"]).verdict == "unclear"


@pytest.mark.parametrize("name", SET_C)
@pytest.mark.parametrize("fault", ODD_FAULTS)
def test_an_unknown_fault_never_meets(
    fault: str, name: str, programs: dict[str, Program], simulated: Simulated, tmp_path: Path
) -> None:
    """What machine or recorder did wrong is missed or left open as a careful person would have it."""
    spoil, right = ODD_FAULTS[fault]
    for seed in range(2):
        recording = spoil(simulated(name, seed=seed), SET_C[name])
        write_recorder_file(recording, tmp_path / "record")
        verdict = judge_file(tmp_path / "record", programs[name])
        assert verdict.verdict != "meets"
        assert right in {verdict.verdict, "not meets"}


def rounded(recording: Recording, step_k: float, step_kpa: float) -> Recording:
    """As a recorder of a coarser resolution writes it."""

    def to(values: FloatArray, step: float) -> FloatArray:
        return np.round(values / step) * step

    assert recording.pressure_kpa is not None
    return replace(
        recording,
        probes_c=to(recording.probes_c, step_k),
        pressure_kpa=to(recording.pressure_kpa, step_kpa),
    )


@pytest.mark.parametrize("interval_s", [1.0, 2.0, 5.0, 10.0])
@pytest.mark.parametrize(
    ("step_k", "step_kpa"), [(0.01, 0.01), (0.1, 0.1), (0.1, 1.0), (0.5, 1.0), (1.0, 2.0)]
)
def test_a_coarse_recorder_is_not_taken_for_one_that_hung(
    step_k: float, step_kpa: float, interval_s: float, simulated: Simulated
) -> None:
    """Normal cycles, rounded as coarsely as recorders do, are not said to stand still or to prove nothing."""
    for name in ("134-3", "134-18", "gravity"):
        for seed in range(2):
            recording = simulated(name, seed=seed, interval_s=interval_s)
            samples = believable(rounded(recording, step_k, step_kpa).as_trace("a"))
            kinds = {doubt.kind for doubt in samples.doubts}
            assert not kinds & {DoubtKind.straight, DoubtKind.coarse}, (name, seed)
