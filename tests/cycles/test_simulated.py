"""Simulated cycles of many programs: normal ones meet, faulty ones never do, in every dialect."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from sinkside.cycles import (
    DIALECTS,
    FAULTS,
    Fault,
    judge,
    judge_file,
    read_trace,
    simulate,
    simulate_many,
    write_recorder_file,
)
from sinkside.department import Program
from sinkside.errors import BadInput

#: Each file in the next dialect. Single probes, and what is recorded beside temperature and pressure, are
#: written by the four plain ones.
ALL_DIALECTS = itertools.cycle(DIALECTS)
PLAIN_DIALECTS = itertools.cycle(list(DIALECTS)[:4])
SHOWN_BESIDE = {"shows its spray", "gas", "cabinet", "bath", "leak rate"}

#: So many are simulated side by side and judged before the next; no more fit the memory of a small machine.
AT_ONCE = 100


def judged(
    program: Program,
    fault: str,
    seeds: Sequence[int],
    folder: Path,
    sizes: Sequence[float | None] | None = None,
) -> list[str]:
    """The verdicts on files that recorders of all dialects in turn wrote of cycles with a fault."""
    answers: list[str] = []
    dialects = ALL_DIALECTS if program.name not in SHOWN_BESIDE else PLAIN_DIALECTS
    for start in range(0, len(seeds), AT_ONCE):
        chosen = seeds[start : start + AT_ONCE]
        given = sizes[start : start + AT_ONCE] if sizes else None
        made = simulate_many(program, [fault] * len(chosen), chosen, sizes=given)
        for recording in made:
            path = folder / "record"
            write_recorder_file(recording, path, dialect=next(dialects))
            answers.append(judge_file(path, program).verdict)
    return answers


def hunt(programs: dict[str, Program], folder: Path, *, normals: int, each_fault: int) -> Counter[str]:
    """Judge so many normals over all programs, and so many of each fault over those that can have it.

    Counts normals that do not meet, faults that do, and faults told as `unclear` for `fails` or the reverse.
    """
    share = -(-normals // len(programs))
    counts: Counter[str] = Counter()
    for program in programs.values():
        answers = Counter(judged(program, "normal", range(share), folder))
        counts["normals"] += share
        counts["normals that do not meet"] += share - answers["meets"]
    for fault in FAULTS:
        able = [program for program in programs.values() if fault.befalls(program)]
        for index, program in enumerate(able):
            count = len(range(index, each_fault, len(able)))
            name = fault.asked_as
            answers = Counter(judged(program, name, range(1000, 1000 + count), folder))
            counts["faults"] += count
            counts[f"{fault.name} that meets"] += answers["meets"]
            counts["faults that meet"] += answers["meets"]
            if fault.seen != "either":
                counts["told"] += count
                counts["told wrongly"] += count - answers[fault.seen]
                counts[f"{fault.name} told wrongly"] += count - answers[fault.seen]
    return counts


def test_normals_meet_and_faults_do_not(programs: dict[str, Program], tmp_path: Path) -> None:
    """160 normals of all programs and dialects meet, and of every named fault three never do."""
    counts = hunt(programs, tmp_path, normals=160, each_fault=3)
    assert counts["normals"] >= 160
    assert counts["normals that do not meet"] == 0
    assert counts["faults that meet"] == 0, counts
    assert counts["told wrongly"] <= 0.05 * counts["told"], counts


@pytest.mark.long
def test_ten_thousand_normals_and_two_hundred_of_each_fault(
    programs: dict[str, Program], tmp_path: Path
) -> None:
    """At most 2 of 10,000 normals do not meet, no fault does, and 95 % are told from each other rightly."""
    counts = hunt(programs, tmp_path, normals=10_000, each_fault=200)
    assert counts["normals that do not meet"] <= 2
    assert counts["faults that meet"] == 0, counts
    assert counts["told wrongly"] <= 0.05 * counts["told"], counts


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_fault_is_seen_at_its_smallest_size(
    fault: Fault, programs: dict[str, Program], tmp_path: Path
) -> None:
    """At the smallest size that the table promises, no cycle with the fault meets."""
    for program in [one for one in programs.values() if fault.befalls(one)][:3]:
        name = fault.asked_as
        sizes = [fault.smallest] * 3
        assert "meets" not in judged(program, name, range(2000, 2003), tmp_path, sizes), program.name


def test_every_fault_has_its_picture() -> None:
    """The page of faults shows each of them, and no picture is left over from one that is gone."""
    folder = Path(__file__).parents[2] / "docs" / "cycles" / "pictures"
    assert sorted(path.stem for path in folder.glob("*.webp")) == sorted(fault.name for fault in FAULTS)


def test_every_fault_befalls_some_program(programs: dict[str, Program]) -> None:
    """No fault of the table stands there without a program that can have it."""
    idle = [f.name for f in FAULTS if not any(f.befalls(program) for program in programs.values())]
    assert idle == []


def test_alone_or_side_by_side_a_cycle_is_the_same(programs: dict[str, Program]) -> None:
    """A cycle is made by its seed alone, whatever is simulated beside it."""
    program = programs["134-3"]
    together = simulate_many(program, ["normal", "dip", "leak"], [5, 6, 7])
    for fault, seed, recording in zip(("normal", "dip", "leak"), (5, 6, 7), together, strict=True):
        alone = simulate(program, fault, seed=seed)
        np.testing.assert_array_equal(alone.times_s, recording.times_s)
        np.testing.assert_allclose(alone.probes_c, recording.probes_c, rtol=1e-12)


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
