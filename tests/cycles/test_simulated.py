"""Simulated cycles of many programs: normal ones meet, faulty ones never do, in every dialect."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from sinkside.cycles import DIALECTS, faults_of, judge, judge_file, read_trace, simulate, write_recorder_file
from sinkside.department import Program
from sinkside.errors import BadInput

#: What a verdict may be where the fault leaves room: a cut can come before or after something was missed.
MAY_BE = {"gap": {"unclear"}, "clock-jump": {"unclear"}, "frozen-probe": {"unclear"}}
NEVER_MEETS = {"unclear", "fails"}


def judged(program: Program, fault: str, seed: int, folder: Path) -> str:
    dialect = list(DIALECTS)[seed % len(DIALECTS)]
    path = folder / "record"
    write_recorder_file(simulate(program, fault, seed=seed), path, dialect=dialect)
    return judge_file(path, program).verdict


def hunt(programs: dict[str, Program], folder: Path, *, normals: int, each_fault: int) -> None:
    """Judge so many normals over all programs, and so many of each fault of each program."""
    share = normals // len(programs) + 1
    for name, program in programs.items():
        met = Counter(judged(program, "normal", seed, folder) for seed in range(share))
        assert met == {"meets": share}, name
        for fault in faults_of(program)[1:]:
            verdicts = {judged(program, fault, 1000 + seed, folder) for seed in range(each_fault)}
            assert verdicts <= MAY_BE.get(fault, NEVER_MEETS), (name, fault)


def test_normals_meet_and_faults_do_not(programs: dict[str, Program], tmp_path: Path) -> None:
    """A tenth of the hunt: 200 normals all meet, and two of every named fault of every program never do."""
    hunt(programs, tmp_path, normals=200, each_fault=2)


@pytest.mark.long
def test_two_thousand_normals_and_twenty_of_each_fault(programs: dict[str, Program], tmp_path: Path) -> None:
    """2,000 normals over seeds, programs and dialects all meet; 20 of every named fault never do."""
    hunt(programs, tmp_path, normals=2000, each_fault=20)


@pytest.mark.parametrize("dialect", sorted(DIALECTS))
@pytest.mark.parametrize("name", ["132-4", "washes-hot"])
def test_a_written_record_reads_back(
    dialect: str, name: str, programs: dict[str, Program], tmp_path: Path
) -> None:
    """What a dialect writes is read back to the digits that it writes."""
    recording = simulate(programs[name], seed=7)
    rows = write_recorder_file(recording, tmp_path / "record", dialect=dialect)
    trace = read_trace(tmp_path / "record")
    assert rows == trace.times_s.size
    # Days of a spreadsheet are written to the millisecond.
    np.testing.assert_allclose(trace.times_s, recording.times_s, atol=0.001)
    np.testing.assert_allclose(trace.temperatures(), recording.probes_c, atol=0.0051)
    if recording.pressure_kpa is not None:
        assert trace.pressure_kpa is not None
        np.testing.assert_allclose(trace.pressure_kpa, recording.pressure_kpa, atol=0.0061)
    if recording.dosed_ml is not None:
        np.testing.assert_array_equal(trace.doses[0].values, recording.dosed_ml)


@pytest.mark.parametrize("dialect", sorted(DIALECTS))
def test_every_dialect_gives_the_verdict_of_the_plain_one(
    dialect: str, programs: dict[str, Program], tmp_path: Path
) -> None:
    """Normal and faulty cycles of sterilizer and washer are judged alike, whatever their recorder writes."""
    cycles = [("134-3", "normal"), ("134-3", "short-exposure"), ("washer", "normal"), ("washer", "cold-wash")]
    for name, fault in cycles:
        recording = simulate(programs[name], fault, seed=21)
        plain = judge(recording.as_trace("plain"), programs[name])
        write_recorder_file(recording, tmp_path / "record", dialect=dialect)
        verdict = judge_file(tmp_path / "record", programs[name])
        assert (verdict.verdict, verdict.evidence) == (plain.verdict, plain.evidence), (name, fault)
        for key, value in plain.values.items():
            assert verdict.values[key].value == pytest.approx(value.value, rel=0.02, abs=0.1), (name, key)


def test_the_seed_makes_the_record(programs: dict[str, Program], tmp_path: Path) -> None:
    """The same seed writes the same bytes; another seed writes others."""
    for number, seed in enumerate((3, 3, 4)):
        write_recorder_file(simulate(programs["134-3"], "dip", seed=seed), tmp_path / str(number))
    first, second, third = ((tmp_path / str(number)).read_bytes() for number in range(3))
    assert first == second
    assert first != third


def test_a_fault_that_a_program_cannot_have_is_refused(programs: dict[str, Program]) -> None:
    """A cycle without drying cannot dry too short, and a washer has no pulses to miss."""
    with pytest.raises(BadInput, match="'short-dry' is no fault"):
        simulate(programs["gravity-undried"], "short-dry", seed=1)
    with pytest.raises(BadInput, match="'missing-pulse' is no fault"):
        simulate(programs["washer"], "missing-pulse", seed=1)


@pytest.mark.parametrize(
    ("fault", "place"),
    [
        ("short-exposure", "exposure"),
        ("low-temperature", "exposure"),
        ("dip", "exposure"),
        ("superheat", "saturation"),
        ("missing-pulse", "air_removal"),
        ("shallow-vacuum", "air_removal"),
        ("short-dry", "drying"),
    ],
)
def test_steam_faults_are_missed_in_their_place(fault: str, place: str, programs: dict[str, Program]) -> None:
    """Each fault of a steam cycle shows as missed where it was put."""
    program = programs["134-3"]
    for seed in range(5):
        verdict = judge(simulate(program, fault, seed=seed).as_trace("record"), program)
        assert verdict.verdict == "fails"
        assert verdict.evidence[place] == "missed"


def test_air_that_stays_is_missed_by_saturation_where_the_band_forgives_it(
    programs: dict[str, Program],
) -> None:
    """A drain probe 2.6 K and more below saturated steam is found, in band or out of it."""
    program = programs["134-3"]
    for seed in range(10):
        verdict = judge(simulate(program, "residual-air", seed=seed).as_trace("record"), program)
        assert verdict.verdict == "fails"
        assert "missed" in {verdict.evidence["exposure"], verdict.evidence["saturation"]}
        assert {finding.rule for finding in verdict.findings} & {"steam-not-saturated", "air-suspected"}
