"""Samples as Parquet: another library reads back what the trace holds, to the last bit."""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import polars as pl
import pyarrow.parquet as pq
import pytest

from sinkside.cycles import Channel, ChannelKind, Reading, Role, Trace, read_trace
from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.cycles.samples import (
    COLUMNS,
    KeptSamples,
    SampledCycle,
    SampleFile,
    needs_pyarrow,
    samples_of,
)
from sinkside.errors import BadInput, UnreadableFile

OF = SampledCycle("valley", "sterilizer-1", "132 °C, 4 min", "c-1", "l-1")
BEGAN = datetime(2026, 3, 14, 6, 12, 33, tzinfo=UTC)


@pytest.fixture
def trace(traces: Path) -> Trace:
    """A cycle of two probes in °F and a pressure in psi."""
    return read_trace(traces / "r-009.csv")


def _written(folder: Path, *tables: object) -> Path:
    path = folder / "samples.parquet"
    with SampleFile(path, {"evidence": "the recorder files"}) as file:
        for table in tables:
            file.add(table)
    return path


def test_another_library_reads_back_what_the_trace_holds(trace: Trace, tmp_path: Path) -> None:
    """Polars, which has a Parquet reader of its own, finds each channel's samples, units and moments."""
    path = _written(tmp_path, samples_of(trace, OF, began=BEGAN))
    frame = pl.read_parquet(path, use_pyarrow=False)
    assert frame.columns == list(COLUMNS)
    assert frame.height == trace.times_s.size * len(trace.channels)
    for channel in trace.channels:
        own = frame.filter(pl.col("channel") == channel.name)
        np.testing.assert_array_equal(own["value"].to_numpy(), channel.values)
        np.testing.assert_array_equal(own["elapsed_s"].to_numpy(), trace.times_s)
        assert own["time"].to_list() == [BEGAN + timedelta(seconds=s) for s in trace.times_s.tolist()]
        assert set(own["measures"]) == {channel.kind.value}
        assert set(own["unit"]) == {"°C" if channel.kind is ChannelKind.temperature else "Pa"}
    assert frame["time"].dtype == pl.Datetime("ms", "UTC")
    assert set(frame["cycle"]) == {"c-1"}
    assert set(frame["load"]) == {"l-1"}


def test_what_was_not_recorded_is_null(tmp_path: Path) -> None:
    """A missing reading, a missing stamp, an unknown moment, a cycle of no load: null, and no number."""
    values = np.array([20.0, np.nan, 22.0])
    probe = Channel("T1", ChannelKind.temperature, Role.chamber, "°C", values)
    trace = Trace("a", np.array([0.0, 1.0, np.nan]), (probe,))
    of = SampledCycle("valley", "washer-1", "A0 3000", "c-2")
    frame = pl.read_parquet(_written(tmp_path, samples_of(trace, of)), use_pyarrow=False)
    assert frame["value"].to_list() == [20.0, None, 22.0]
    assert frame["elapsed_s"].to_list() == [0.0, 1.0, None]
    assert frame["time"].to_list() == [None] * 3
    assert frame["load"].to_list() == [None] * 3
    frame = pl.read_parquet(_written(tmp_path, samples_of(trace, of, began=BEGAN)), use_pyarrow=False)
    assert frame["time"].to_list() == [BEGAN, BEGAN + timedelta(seconds=1), None]


def test_a_pressure_that_nobody_needs_has_the_unit_of_its_values(tmp_path: Path) -> None:
    """A washer's pressure in bar is held in pascal, by the recorder's zero; 1 bar is 100 kPa (SI)."""
    rows = "\n".join(f"{second},{20 + second / 10},1.0" for second in range(300))
    data = f"time_s,T1 [°C],Pressure [bar]\n{rows}\n".encode()
    trace = trace_from_bytes(data, name="a", reading=Reading(needs_pressure=False))
    frame = pl.read_parquet(_written(tmp_path, samples_of(trace, OF)), use_pyarrow=False)
    pressure = frame.filter(pl.col("channel").cast(pl.String).str.contains("Pressure"))
    assert pressure.select("measures", "unit", "value").unique().rows() == [("other", "Pa", 100_000.0)]


def test_the_file_says_what_it_holds(trace: Trace, tmp_path: Path) -> None:
    """Each column is described, and the file says where the evidence is."""
    path = _written(tmp_path, samples_of(trace, OF), samples_of(trace, OF))
    schema = pq.read_schema(path)
    said = {field.name: field.metadata[b"description"].decode() for field in schema}
    assert said == dict(COLUMNS)
    assert schema.metadata[b"evidence"] == b"the recorder files"
    assert b"absolute" in schema.metadata[b"about"]


def test_each_cycle_is_compared_to_the_last_bit(trace: Trace, tmp_path: Path) -> None:
    """One reading that is the next number up, one name, one sample less: not the same."""
    samples = samples_of(trace, OF, began=BEGAN)
    path = _written(tmp_path, samples, samples_of(trace, OF))
    other = trace.probes[0].values.copy()
    other[7] = np.nextafter(other[7], np.inf)
    nudged = Trace(
        "a",
        trace.times_s,
        tuple(
            Channel(c.name, c.kind, c.role, c.unit, other if c is trace.probes[0] else c.values, c.place)
            for c in trace.channels
        ),
    )
    with KeptSamples(path) as kept:
        assert kept.cycles == 2
        assert kept.are(0, samples)
        assert not kept.are(1, samples)
        assert kept.are(1, samples_of(trace, OF))
        assert not kept.are(1, samples_of(nudged, OF))
        assert not kept.are(1, samples_of(trace, OF).slice(1))
        assert not kept.are(1, samples_of(trace, SampledCycle("valley", "sterilizer-1", "132", "c-1", "l-1")))


def test_the_same_samples_make_the_same_file(trace: Trace, tmp_path: Path) -> None:
    """Byte for byte, so that two archives of one house can be compared by their digests."""
    files = [_written(tmp_path, samples_of(trace, OF, began=BEGAN)).read_bytes() for _ in range(5)]
    assert len(set(files)) == 1


def test_a_file_that_is_cut_off_is_named(trace: Trace, tmp_path: Path) -> None:
    """In one sentence, without a word of the library's."""
    path = _written(tmp_path, samples_of(trace, OF))
    path.write_bytes(path.read_bytes()[:-20])
    with pytest.raises(UnreadableFile, match="damaged or cut off"):
        KeptSamples(path)


def test_without_the_library_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever installed the program without it is told what to install."""
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(BadInput, match=r"install sinkside\[parquet\]"):
        needs_pyarrow()
