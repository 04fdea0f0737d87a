"""The moment of the first sample: kept where the recorder's stamps tell it, else left open."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta, timezone

import polars as pl
import pytest

from sinkside.cycles import Reading, Trace
from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.cycles.reading.spelling import DateOrder

BEGAN = datetime(2026, 3, 14, 23, 59, 50)  # noqa: DTZ001 # what a clock on the wall showed


def _trace(stamps: list[str], *, head: str = "Time", order: DateOrder | None = None) -> Trace:
    rows = (f"{stamp};{20 + number / 10}" for number, stamp in enumerate(stamps))
    data = "\n".join([f"{head};T1 [°C]", *rows]).encode()
    return trace_from_bytes(data, name="record", reading=Reading(date_order=order))


def _stamps(written: str, began: datetime = BEGAN, *, step_s: float = 1.0) -> list[str]:
    return [(began + timedelta(seconds=second * step_s)).strftime(written) for second in range(30)]


@pytest.mark.parametrize(
    "written", ["%Y-%m-%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p", "%Y%m%d%H%M%S"]
)
def test_a_dated_stamp_is_kept_as_the_clock_showed_it(written: str) -> None:
    """Python's own strftime is the witness, over midnight too."""
    trace = _trace(_stamps(written))
    assert trace.first_stamp == BEGAN
    assert trace.times_s.tolist() == list(range(30))


@pytest.mark.parametrize("hours", [-5.5, 0.0, 1.0])
def test_a_stamp_with_its_distance_from_utc_is_a_moment(hours: float) -> None:
    """Python's own arithmetic of time zones is the witness; half hours west of Greenwich too."""
    began = BEGAN.replace(tzinfo=timezone(timedelta(hours=hours)))
    stamps = [(began + timedelta(seconds=second)).isoformat() for second in range(30)]
    trace = _trace(stamps)
    assert trace.first_stamp == began
    assert trace.first_stamp.tzinfo is UTC
    assert trace.times_s.tolist() == list(range(30))


@pytest.mark.parametrize("zone", [None, "UTC", "America/Chicago"])
def test_a_typed_stamp_is_kept_with_its_zone(zone: str | None) -> None:
    """A Parquet file's own type says the day, and UTC where it names a zone."""
    began = BEGAN.replace(tzinfo=UTC) if zone else BEGAN
    times = pl.Series("time", [began + timedelta(seconds=second) for second in range(30)])
    if zone is not None:
        times = times.dt.convert_time_zone(zone)
    held = io.BytesIO()
    pl.DataFrame([times, pl.Series("T1 [°C]", [20.0 + second for second in range(30)])]).write_parquet(held)
    assert trace_from_bytes(held.getvalue(), name="record").first_stamp == began


def test_a_day_that_is_not_known_stays_open() -> None:
    """Seconds, a time of day alone, and a date that is the fourth of March or the third of April."""
    doubtful = datetime(2026, 3, 4, 7, 12, 30)  # noqa: DTZ001 # what a clock on the wall showed
    assert _trace([str(second) for second in range(300)], head="time_s").first_stamp is None
    assert _trace(_stamps("%H:%M:%S")).first_stamp is None
    stamps = _stamps("%d.%m.%Y %H:%M:%S", doubtful)
    assert _trace(stamps).first_stamp is None
    assert _trace(stamps, order="day-month-year").first_stamp == doubtful


def test_samples_that_share_a_stamp_move_the_first_with_them() -> None:
    """Six samples a minute, only two in the first: it began forty seconds into that minute."""
    began = datetime(2026, 3, 14, 7, 12, 40)  # noqa: DTZ001 # what a clock on the wall showed
    trace = _trace(_stamps("%Y-%m-%d %H:%M", began, step_s=10.0))
    assert trace.first_stamp == began
