"""Moments on clocks that change. The dates of the changes are those of the IANA zone database."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.errors import BadInput
from sinkside.journal import known_zone, moment

TWICE = datetime.fromisoformat("2026-10-25T02:30")
SKIPPED = datetime.fromisoformat("2026-03-29T02:30")


def test_an_ordinary_time_needs_no_help() -> None:
    """Outside the changes of the clock a time is one moment."""
    noon = datetime.fromisoformat("2026-01-15T12:00")
    assert moment(noon, "Europe/Berlin") == datetime(2026, 1, 15, 11, tzinfo=UTC)
    assert moment(noon, "America/Denver") == datetime(2026, 1, 15, 19, tzinfo=UTC)


def test_the_repeated_hour_is_never_settled_in_silence() -> None:
    """A time that occurred twice is refused until somebody says which, by fold or by offset."""
    with pytest.raises(BadInput, match="2026-10-25 02:30: this time occurred twice in Europe/Berlin"):
        moment(TWICE, "Europe/Berlin")
    first = datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    second = datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    assert moment(TWICE, "Europe/Berlin", fold=0) == first
    assert moment(TWICE, "Europe/Berlin", fold=1) == second
    assert moment(TWICE, "Europe/Berlin", offset=timedelta(hours=2)) == first
    assert moment(TWICE, "Europe/Berlin", offset=timedelta(hours=1)) == second


@pytest.mark.parametrize("fold", [None, 0, 1])
def test_a_skipped_time_is_no_moment(fold: int | None) -> None:
    """A time that the clock never showed is refused, whatever is said of it."""
    with pytest.raises(BadInput, match="skipped this time"):
        moment(SKIPPED, "Europe/Berlin", fold=fold)


def test_an_offset_that_was_not_in_force_is_refused() -> None:
    """A distance from UTC that contradicts the zone is not believed."""
    with pytest.raises(BadInput, match="was not in force in Europe/Berlin then"):
        moment(datetime.fromisoformat("2026-07-01T12:00"), "Europe/Berlin", offset=timedelta(hours=1))


def test_a_stamp_that_has_a_zone_already_is_refused() -> None:
    """Only what a clock showed is resolved; a moment is one already."""
    with pytest.raises(BadInput, match="without a zone"):
        moment(datetime(2026, 1, 1, tzinfo=UTC), "Europe/Berlin")
    with pytest.raises(BadInput, match="fold 0 for the first"):
        moment(TWICE, "Europe/Berlin", fold=2)


def test_the_ends_of_the_calendar_are_refused_in_a_sentence() -> None:
    """In UTC they lie outside of the years 1 to 9999, which are all that `datetime` knows."""
    with pytest.raises(BadInput, match="very end of the calendar"):
        moment(datetime.fromisoformat("0001-01-01T00:00"), "Europe/Vienna")
    with pytest.raises(BadInput, match="very end of the calendar"):
        moment(datetime.fromisoformat("9999-12-31T23:59"), "America/New_York")


@given(
    st.integers(0, 525_600),
    st.sampled_from(["Europe/London", "America/New_York", "Australia/Lord_Howe", "UTC"]),
)
def test_every_moment_of_a_year_is_found_again(minutes: int, zone: str) -> None:
    """What a clock showed at any minute of a year resolves to that minute, once told which of two."""
    truth = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    local = truth.astimezone(known_zone(zone))
    assert moment(local.replace(tzinfo=None, fold=0), zone, offset=local.utcoffset()) == truth
    assert moment(local.replace(tzinfo=None, fold=0), zone, fold=local.fold) == truth


@pytest.mark.parametrize("zone", ["Europe/Atlantis", "", "../etc/passwd", "Europe"])
def test_unknown_zones_are_refused(zone: str) -> None:
    """A zone that no clock keeps is an error in words."""
    with pytest.raises(BadInput, match="no time zone that this machine knows"):
        known_zone(zone)
