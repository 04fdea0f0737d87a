"""The night when the clocks change: what order and interval of the samples settle is judged, and told."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import polars as pl
import pytest

from sinkside.cycles import Reading, Trace, judge, read_trace
from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.cycles.reading.spelling import DateOrder
from sinkside.department import Program


@pytest.fixture(scope="module")
def cycle(traces: Path) -> Trace:
    """A normal cycle of the 132 °C, 4 min program."""
    return read_trace(traces / "r-009.csv")


def wall_clock(zone: str, utc: datetime, seconds: float) -> datetime:
    """What a clock of a place shows, by the IANA time zone database of the system."""
    return (utc + timedelta(seconds=seconds)).astimezone(ZoneInfo(zone)).replace(tzinfo=None)


def record(cycle: Trace, stamps: list[str]) -> bytes:
    """The cycle with other stamps."""
    assert cycle.pressure_kpa is not None
    rows = zip(stamps, *cycle.temperatures().tolist(), cycle.pressure_kpa.tolist(), strict=True)
    body = [f"{stamp};{one:.2f};{two:.2f};{pressure:.2f}" for stamp, one, two, pressure in rows]
    return "\n".join(["Zeit;T1 [°C];T2 [°C];P abs [kPa]", *body]).encode()


@pytest.mark.parametrize(
    ("zone", "utc", "written", "went"),
    [
        ("Europe/Berlin", datetime(2026, 10, 25, 0, 45, tzinfo=UTC), "%d.%m.%Y %H:%M:%S", "back"),
        ("Europe/Lisbon", datetime(2026, 10, 25, 0, 45, tzinfo=UTC), "%Y-%m-%d %H:%M:%S", "back"),
        ("America/Chicago", datetime(2026, 11, 1, 6, 45, tzinfo=UTC), "%m/%d/%Y %I:%M:%S %p", "back"),
        ("Australia/Sydney", datetime(2026, 4, 4, 15, 45, tzinfo=UTC), "%d/%m/%Y %H:%M:%S", "back"),
        ("Europe/Paris", datetime(2026, 3, 29, 0, 45, tzinfo=UTC), "%Y-%m-%d %H:%M:%S", "forward"),
    ],
)
def test_a_cycle_across_the_change_is_judged(
    zone: str, utc: datetime, written: str, went: str, cycle: Trace, programs: dict[str, Program]
) -> None:
    """The samples go on at their own interval, so durations are known; the verdict says what was inferred."""
    stamps = [wall_clock(zone, utc, second).strftime(written) for second in cycle.times_s.tolist()]
    order: DateOrder = "month-day-year" if written.startswith("%m") else "day-month-year"
    reading = Reading(date_order=None if written.startswith("%Y") else order)
    trace = trace_from_bytes(record(cycle, stamps), name="record", reading=reading)
    np.testing.assert_allclose(trace.times_s, cycle.times_s)
    verdict = judge(trace, programs["132-4"])
    assert verdict.verdict == "meets"
    assert any(f"the clock went {went} by an hour" in note for note in verdict.recorder.inferred)


@pytest.mark.parametrize("written", ["%H:%M:%S", "%m/%d/%Y %H:%M:%S"])
def test_without_a_day_that_is_known_nothing_is_settled(
    written: str, cycle: Trace, programs: dict[str, Program]
) -> None:
    """Stamps without a date, or with one of two orders, may be of a clock that somebody set: unclear."""
    utc = datetime(2026, 11, 1, 6, 45, tzinfo=UTC)
    stamps = [wall_clock("America/Chicago", utc, at).strftime(written) for at in cycle.times_s.tolist()]
    trace = trace_from_bytes(record(cycle, stamps), name="record")
    assert judge(trace, programs["132-4"]).verdict == "unclear"


def test_typed_stamps_across_the_change(cycle: Trace, tmp_path: Path) -> None:
    """Parquet with stamps of a wall clock is read as text is."""
    utc = datetime(2026, 10, 25, 0, 45, tzinfo=UTC)
    stamps = [wall_clock("Europe/Berlin", utc, second) for second in cycle.times_s.tolist()]
    path = tmp_path / "record.parquet"
    pl.DataFrame({"stamp": stamps, "T1 [°C]": cycle.temperatures()[0]}).write_parquet(path)
    trace = read_trace(path)
    np.testing.assert_allclose(trace.times_s, cycle.times_s)
    assert "the clock went back by an hour from 3:00 to 2:00" in trace.inferred[0]


@pytest.mark.parametrize(
    ("began", "back_at"),
    [
        # In the middle of an hour; in the day; on a day on which no clock changes.
        ("2026-10-25 02:20", "2026-10-25 02:40"),
        ("2026-10-25 12:45", "2026-10-25 13:00"),
        ("2026-10-18 02:45", "2026-10-18 03:00"),
    ],
)
def test_a_clock_that_was_set_stays_unclear(
    began: str, back_at: str, cycle: Trace, programs: dict[str, Program]
) -> None:
    """An hour back anywhere else is a clock that somebody set, and no duration is believed."""
    first, turn = datetime.fromisoformat(began), datetime.fromisoformat(back_at)
    shown = [first + timedelta(seconds=second) for second in cycle.times_s.tolist()]
    stamps = [at if at < turn else at - timedelta(hours=1) for at in shown]
    data = record(cycle, [at.strftime("%d.%m.%Y %H:%M:%S") for at in stamps])
    assert judge(trace_from_bytes(data, name="record"), programs["132-4"]).verdict == "unclear"


def test_a_gap_at_the_change_stays_unclear(cycle: Trace, programs: dict[str, Program]) -> None:
    """Where samples are missing across the change, nobody knows how many: the clock counts as set."""
    utc = datetime(2026, 10, 25, 0, 45, tzinfo=UTC)
    data = record(
        cycle,
        [
            wall_clock("Europe/Berlin", utc, second).strftime("%d.%m.%Y %H:%M:%S")
            for second in cycle.times_s.tolist()
        ],
    )
    lines = data.splitlines()
    cut = b"\n".join([*lines[:880], *lines[940:]])
    assert judge(trace_from_bytes(cut, name="record"), programs["132-4"]).verdict == "unclear"


def test_a_record_within_the_hour_that_comes_twice_says_so(cycle: Trace) -> None:
    """No stamp steps back, and still nobody knows which of the two hours it was: it is told, not settled."""
    utc = datetime(2026, 10, 25, 0, 5, tzinfo=UTC)
    stamps = [
        wall_clock("Europe/Berlin", utc, second).strftime("%d.%m.%Y %H:%M:%S")
        for second in cycle.times_s.tolist()
    ]
    trace = trace_from_bytes(record(cycle, stamps), name="record")
    assert any("no stamp says which of the two hours" in note for note in trace.inferred)
