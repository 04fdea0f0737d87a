"""Moments that people type: on the department's clock, and never settled silently where clocks were changed.

Central European Time was left on 29 March and entered again on 25 October 2026, at 01:00 UTC (Directive
2000/84/EC; IANA time zone database).
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, cast

import pytest

from sinkside.errors import BadInput
from sinkside.web.asked import Asked
from sinkside.web.typed_moments import read_moment, typed


class _Visitor:
    zone = "Europe/Vienna"


class _Asked:
    visitor = _Visitor()


ASKED = cast("Asked", cast("Any", _Asked()))


def test_a_moment_is_read_on_the_departments_clock() -> None:
    """Summer and winter, with and without a distance; written back it is what was typed."""
    summer = read_moment(ASKED, "2026-07-01T12:00", field="at")
    assert summer == datetime(2026, 7, 1, 10, tzinfo=UTC)
    assert read_moment(ASKED, " 2026-12-01T12:00+01:00 ", field="at") == datetime(2026, 12, 1, 11, tzinfo=UTC)
    assert typed(ASKED, summer) == "2026-07-01T12:00"


@pytest.mark.parametrize("far", ["0001-01-01T00:00", "9999-12-31T23:59"])
def test_the_ends_of_the_calendar_are_no_moments(far: str) -> None:
    """In UTC they may lie outside of the years 1 to 9999, which are all that `datetime` knows."""
    with pytest.raises(BadInput, match="expected a day and a time") as refused:
        read_moment(ASKED, far, field="since")
    assert refused.value.resource == "since"


def test_an_hour_that_occurs_twice_is_asked_about() -> None:
    """02:30 on the night when clocks go back is two moments; the distance from UTC says which."""
    with pytest.raises(BadInput, match="occurred twice") as refused:
        read_moment(ASKED, "2026-10-25T02:30", field="began")
    assert refused.value.resource == "began"
    first = read_moment(ASKED, "2026-10-25T02:30+02:00", field="began")
    second = read_moment(ASKED, "2026-10-25T02:30+01:00", field="began")
    assert (second - first).total_seconds() == 3600


@pytest.mark.parametrize("text", ["2026-03-29T02:30", "yesterday", "", "2026-07-01T12:00+05:00"])
def test_what_no_clock_here_showed_is_refused(text: str) -> None:
    """A skipped hour, no moment at all, another zone's distance: each names the field."""
    with pytest.raises(BadInput) as refused:
        read_moment(ASKED, text, field="due")
    assert refused.value.resource == "due"
