"""What is kept of a recorder: its saved reader, and an independent probe recorder laid beside its record."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sinkside import documents
from sinkside.cycles import Reader, Reading, Trace, judge, laid_beside, reader_for, simulate
from sinkside.cycles.reading import trace_from_bytes
from sinkside.cycles.simulate.dialects import Dialect
from sinkside.cycles.simulate.writing import as_written
from sinkside.department import Program
from sinkside.errors import BadInput

#: A recorder that names neither units nor what its pressure stands on.
MUTE = Dialect(
    time_head="time",
    steam_probes=("T1", "T2"),
    pressure_head="P",
    times="elapsed",
    washer_probes=("T1", "T2"),
)


def mute(programs: dict[str, Program], fault: str = "normal", seed: int = 3) -> bytes:
    return as_written(simulate(programs["134-3"], fault, seed=seed), MUTE)


@pytest.fixture
def reader(programs: dict[str, Program]) -> Reader:
    """A reader made from a first file with the answers given."""
    said = Reading(temperature_unit="°C", pressure_unit="kPa")
    return reader_for(mute(programs), name="first", reading=said)


def test_a_saved_reader_asks_nothing_again(
    reader: Reader, programs: dict[str, Program], tmp_path: Path
) -> None:
    """A reader read from its file reads the next cycle, whole or faulty, without asking anything."""
    documents.save(reader, tmp_path / "sterilizer.yaml")
    again = documents.load(Reader, tmp_path / "sterilizer.yaml")
    assert again == reader
    for fault, expected in (("normal", "meets"), ("short-exposure", "fails")):
        data = mute(programs, fault, seed=8)
        with pytest.raises(BadInput, match="--temperature-unit"):
            trace_from_bytes(data, name="next")
        trace = trace_from_bytes(data, name="next", reading=Reading(reader=again))
        assert judge(trace, programs["134-3"]).verdict == expected
        assert "saved reader" in trace.inferred[0]


def test_what_the_record_settled_is_saved_too(reader: Reader, programs: dict[str, Program]) -> None:
    """The first file showed by its plateau that the pressure is absolute; a cold one is read by that."""
    assert [column.reference for column in reader.columns if column.kind == "pressure"] == ["absolute"]
    cold = b"time,T1,T2,P\n" + b"".join(b"%d,40.0,40.1,95.0\n" % second for second in range(60))
    trace = trace_from_bytes(cold, name="cold", reading=Reading(reader=reader))
    assert trace.pressure_kpa is not None
    assert trace.pressure_kpa[0] == pytest.approx(95.0)


@pytest.mark.parametrize(
    ("head", "sentence"),
    [
        (b"time,T1,T2,T3,P", "'T3' is new"),
        (b"time,T1,P", "'T2' is gone"),
        (b"time,T2,T1,P", "another order"),
        (b"time,T1,T2 [F],P", r"'T2' is gone, 'T2 \[F\]' is new"),
    ],
)
def test_a_changed_head_is_refused_with_what_changed(head: bytes, sentence: str, reader: Reader) -> None:
    """A recorder that was set up anew is not read by what was true before."""
    cells = head.count(b",") * b",50.0"
    rows = b"".join(b"%d%s\n" % (second, cells) for second in range(60))
    with pytest.raises(BadInput, match=sentence):
        trace_from_bytes(head + b"\n" + rows, name="next", reading=Reading(reader=reader))


def apart(trace: Trace, *, first: int, every: int, offset: float) -> tuple[Trace, Trace]:
    """A machine's record with its first probe, and a probe recorder's with the second, started later."""
    machine = replace(trace, channels=(trace.channels[0], trace.channels[2]))
    channel = replace(trace.channels[1], values=trace.channels[1].values[first::every])
    times = trace.times_s[first::every] - trace.times_s[first] + offset
    return machine, Trace("probes", times - times[0], (channel,))


@pytest.mark.parametrize(("first", "every"), [(0, 1), (37, 1), (37, 5), (240, 2)])
def test_an_independent_recorder_is_laid_beside(first: int, every: int, programs: dict[str, Program]) -> None:
    """A probe recorder with its own clock and interval is set to the second; the cycle is judged by both."""
    program = programs["134-3"]
    whole = simulate(program, seed=4).as_trace("machine")
    machine, probes = apart(whole, first=first, every=every, offset=0.0)
    together = laid_beside(machine, probes)
    assert together.inferred[0].startswith(f"the probe recorder began {first} s after the machine")
    assert len(together.probes) == 2
    plain = judge(whole, program)
    verdict = judge(together, program)
    assert verdict.evidence["exposure"] == plain.evidence["exposure"] == "met"
    if every == 1:
        known = np.isfinite(together.temperatures()).all(axis=0)
        np.testing.assert_allclose(
            together.temperatures()[:, known], whole.temperatures()[:, known], atol=0.01
        )


def test_a_colder_independent_probe_fails_the_cycle(programs: dict[str, Program]) -> None:
    """Where the independent probe stayed 3 K colder, the cycle that meets by the machine alone does not."""
    program = programs["134-3"]
    machine, probes = apart(simulate(program, seed=4).as_trace("machine"), first=20, every=1, offset=0.0)
    colder = replace(probes.channels[0], values=probes.channels[0].values - 3.0)
    verdict = judge(laid_beside(machine, replace(probes, channels=(colder,))), program)
    assert verdict.verdict == "fails"


def test_records_that_do_not_belong_together_are_refused(programs: dict[str, Program]) -> None:
    """Another kind of cycle, or a probe that lay on the bench, is not aligned by force."""
    machine, probes = apart(
        simulate(programs["134-3"], seed=4).as_trace("machine"), first=20, every=1, offset=0.0
    )
    still = replace(probes.channels[0], values=np.full(probes.times_s.size, 21.0))
    with pytest.raises(BadInput, match="hardly moves"):
        laid_beside(machine, replace(probes, channels=(still,)))
    washer = simulate(programs["washer"], seed=4).as_trace("washer")
    with pytest.raises(BadInput, match="cannot be aligned clearly"):
        laid_beside(machine, washer)
