"""Hours on paper: lines are copied in any order, stand in their true order, once, and gaps are told."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from sinkside.bench.outage import PaperLine, PaperTime
from sinkside.errors import BadInput

DOWN = datetime(2026, 3, 2, 2, 0, tzinfo=UTC)
NIGHT = PaperTime(began=DOWN, ended=DOWN + timedelta(hours=4), why="the network is down", by="p-1")


def _line(number: str, minute: int, code: str = "K-1", **change: Any) -> PaperLine:
    said = {"line": number, "kind": "arrival", "at": DOWN + timedelta(minutes=minute), "code": code}
    return PaperLine.model_validate({**said, **change})


@given(st.permutations(range(31)))
def test_thirty_one_sets_stand_in_their_true_order(turns: list[int]) -> None:
    """Scene 11: 31 sets, copied in any order and twice, stand once each, by their true times."""
    lines = [_line(f"A{n // 12 + 1}-{n % 12 + 1}", 7 * n, f"K-{n}") for n in range(31)]
    copied = NIGHT.with_lines([lines[n] for n in turns[:16]]).with_lines([lines[n] for n in turns])
    assert [one.code for one in copied.in_order()] == [f"K-{n}" for n in range(31)]
    assert copied.gaps() == ()


def test_what_is_entered_is_not_entered_again() -> None:
    """A line that is in the record stays; the same words again change nothing, others are refused."""
    done = _line("A1-1", 5).model_copy(update={"outcome": "done", "tries": 1, "said": "taken up"})
    copied = NIGHT.with_lines([done, _line("A1-2", 6, "K-2")])
    again = copied.with_lines([_line("A1-1", 5)])
    assert again == copied
    assert [one.line for one in again.to_enter()] == ["A1-2"]
    with pytest.raises(BadInput, match="A1-1 is entered already with other words"):
        copied.with_lines([_line("A1-1", 9)])


def test_a_line_that_was_refused_is_put_right_and_keeps_its_tries() -> None:
    """A slip of the pen can be put right; the next try is another one, so that its key is another."""
    refused = _line("A1-1", 5, "K-9").model_copy(update={"outcome": "refused", "tries": 1, "said": "no such"})
    (line,) = NIGHT.with_lines([refused]).with_lines([_line("A1-1", 5, "K-1")]).to_enter()
    assert (line.code, line.tries, line.outcome) == ("K-1", 1, "")


def test_gaps_on_a_sheet_are_told() -> None:
    """Line 2 of sheet A1 was passed over: struck out, or forgotten; what comes after the last one is free."""
    copied = NIGHT.with_lines([_line("A1-1", 1), _line("A1-3", 2, "K-2"), _line("A2-1", 3, "K-3")])
    assert copied.gaps() == ("A1-2",)


def test_a_letter_stands_for_one_form() -> None:
    """The pack gives each form a letter; a line copied as another form is a slip."""
    with pytest.raises(BadInput, match="the letter A stands for Arrival here"):
        NIGHT.with_lines([_line("A1-1", 1), _line("A2-1", 3, "K-2", kind="issue", case="C-1183")])


def test_one_set_does_not_arrive_twice_at_one_minute() -> None:
    """The same set on two lines at one minute is one line too many."""
    with pytest.raises(BadInput, match="A1-1 and A2-4 say the same of K-1"):
        NIGHT.with_lines([_line("A1-1", 1), _line("A2-4", 1)])


def test_no_line_takes_a_name() -> None:
    """A case is its number; what may be a name is refused and not repeated."""
    with pytest.raises(ValidationError, match="expected a case number") as refused:
        _line("A1-1", 1, kind="issue", case="Smith")
    assert "Smith" not in refused.value.errors()[0]["msg"]
