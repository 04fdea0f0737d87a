"""Handover: what presses first stands first; somebody else takes it over, once."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from sinkside.bench.handover import Handed, Handover, taken_over
from sinkside.errors import BadInput, Conflict

NOW = datetime(2026, 3, 2, 14, 0, tzinfo=UTC)


def _soaks(name: str, minutes: int | None) -> Handed:
    until = None if minutes is None else NOW + timedelta(minutes=minutes)
    return Handed(kind="soaks", code=name, name=name, state="at-sink", until=until)


HANDOVER = Handover(
    shift="early",
    at=NOW,
    by="p-1",
    handed=(_soaks("b", None), _soaks("c", 9), _soaks("a", 3)),
    note="one bath is slow",
)


def test_what_presses_stands_first() -> None:
    """The soak that ends first comes first; what has no time comes last."""
    assert [one.name for one in HANDOVER.of("soaks")] == ["a", "c", "b"]
    assert HANDOVER.of("held") == ()


def test_somebody_else_takes_over_once() -> None:
    """Not who handed over, and not twice."""
    with pytest.raises(BadInput, match="nobody takes over from themselves"):
        taken_over(HANDOVER, by="p-1", at=NOW)
    taken = taken_over(HANDOVER, by="p-2", at=NOW, answer=" seen ")
    assert (taken.is_taken, taken.taken_by, taken.answer) == (True, "p-2", "seen")
    with pytest.raises(Conflict, match="took this over already"):
        taken_over(taken, by="p-3", at=NOW)
