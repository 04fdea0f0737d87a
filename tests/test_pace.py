"""Counts of time are told as the quiet machine would have taken them, and are never made longer."""

from __future__ import annotations

import pytest

from support import pace


@pytest.fixture
def slow(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """A machine as slow as the list says, one entry each time it is asked."""
    asked: list[float] = []
    monkeypatch.setattr(pace, "slowness", lambda _clock: asked.pop(0))
    return asked


def test_a_count_is_divided_by_how_slow_the_machine_is_beside_it(slow: list[float]) -> None:
    """Three seconds on a machine that was twice, then four times as slow are one; the quickest counts."""
    slow += [2.0, 4.0, 1.0, 1.0]
    taken = iter([3.0, 2.0])
    assert pace.quickest_s(lambda: next(taken), counts=2) == pytest.approx(1.0)


def test_a_quicker_machine_gets_nothing_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in no time at all leaves the count as it is; work of twice the time halves it."""
    assert pace.slowness(lambda: 0.0) == 1.0
    ticks = iter([0.0, 2 * pace.QUIET_S])
    assert pace.slowness(lambda: next(ticks)) == pytest.approx(2.0)


def test_the_work_is_done_as_often_as_it_is_counted() -> None:
    """Each count does the whole work anew."""
    done: list[int] = []
    assert pace.quiet_s(lambda: done.append(1), counts=4) >= 0
    assert len(done) == 4
