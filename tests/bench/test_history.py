"""Lines of a history: their order, which of them are one go, and what a gap says."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from sinkside.bench.history import Evidence, Line, LineKind, folded, gap, in_order

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def _task(minute: int, entry: int, **more: Any) -> Line:
    told: dict[str, Any] = {"by": "p-tom", "like": "finish-task c-1", "many": "{count} tasks done.", **more}
    at = NOW + timedelta(minutes=minute)
    return Line(at, f"Task {minute} done.", LineKind.work, entries=(entry,), **told)


def test_the_newest_is_first_and_a_tie_goes_by_the_record_book() -> None:
    """A stretch counts by its end; of two at one moment the later entry stands above."""
    stretch = Line(NOW, "A cycle.", LineKind.load, until=NOW + timedelta(hours=1), entries=(2,))
    first, second = _task(0, 3), _task(0, 4)
    assert in_order([first, stretch, second]) == (stretch, second, first)


def test_like_acts_of_one_go_are_one_line_that_keeps_every_entry() -> None:
    """Three tasks by the same person: one line from the first to the last, with its count and its entries."""
    (one,) = folded(in_order([_task(0, 1), _task(5, 2), _task(9, 3)]))
    assert (one.words, one.count, one.entries) == ("3 tasks done.", 3, (3, 2, 1))
    assert (one.at, one.until) == (NOW, NOW + timedelta(minutes=9))


@pytest.mark.parametrize(
    "other",
    [
        _task(5, 2, by="p-tia"),
        _task(5, 2, like="finish-task c-2"),
        _task(5, 2, like=""),
        _task(61, 2),
    ],
)
def test_what_is_no_one_go_stays_apart(other: Line) -> None:
    """Somebody else's, another set's, one like none, one an hour later: not folded."""
    assert len(folded(in_order([_task(0, 1), other]))) == 2


def test_something_between_ends_a_go() -> None:
    """Tasks before and after a hold are two lines."""
    hold = Line(NOW + timedelta(minutes=3), "Held.", LineKind.trouble, entries=(2,))
    assert len(folded(in_order([_task(0, 1), hold, _task(5, 3)]))) == 3


def test_a_gap_says_what_since_when_and_who_asks() -> None:
    """It is a line of its own, at the moment from which on it was expected."""
    line = gap("its record", since=NOW, policy="this department", evidence=(Evidence("load", "l-1"),))
    assert line.is_gap
    assert line.gap is not None
    assert (line.at, line.gap.expected, line.gap.policy) == (NOW, "its record", "this department")
    assert not _task(0, 1).is_gap
