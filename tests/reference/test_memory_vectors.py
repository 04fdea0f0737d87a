"""When questions come again, against what the library of the algorithm publishes about itself.

Vectors of the library's own tests (open-spaced-repetition/py-fsrs, tests/test_basic.py of the version with
FSRS-6 and 21 weights; read): they are answered with the library's short waits of 1 and 10 minutes and
without its scatter. The same sequence of days stands in ports of the algorithm to other languages.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from sinkside.teach.memory import Memory, Spacing, answered, likely_known

START = datetime(2022, 11, 29, 12, 30, tzinfo=UTC)
AS_THE_LIBRARY = Spacing(0.9, 36_500, first_min=(1.0, 10.0), again_min=(10.0,))


def test_days_until_a_question_comes_again() -> None:
    """Six right, two wrong, five right, each when due: 0 2 11 46 163 498 0 0 2 4 7 12 21 days."""
    memory, now, days = None, START, []
    for right in (True,) * 6 + (False,) * 2 + (True,) * 5:
        memory = answered(memory, AS_THE_LIBRARY, right=right, now=now)
        days.append((memory.due - now).days)
        now = memory.due
    assert days == [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]


def test_stability_and_difficulty_after_six_answers() -> None:
    """One wrong, five right after 0, 0, 1, 3, 8 and 21 days: stability 53.62691, difficulty 6.3574867."""
    memory, now = None, START
    for right, later in zip((False, True, True, True, True, True), (0, 0, 1, 3, 8, 21), strict=True):
        now += timedelta(days=later)
        memory = answered(memory, AS_THE_LIBRARY, right=right, now=now)
    assert memory is not None
    assert memory.stability == pytest.approx(53.62691, abs=1e-4)
    assert memory.difficulty == pytest.approx(6.3574867, abs=1e-4)


@pytest.mark.parametrize("days", [0, 1, 7, 30, 365])
def test_the_chance_of_knowing_follows_the_published_curve(days: int) -> None:
    """R = (1 + f·t/S)^(-0.1542), f = 0.9^(-1/0.1542) - 1 (FSRS-6 as its ports state it, read)."""
    memory = answered(None, AS_THE_LIBRARY, right=True, now=START)
    factor = 0.9 ** (-1.0 / 0.1542) - 1.0
    expected = (1.0 + factor * days / memory.stability) ** -0.1542
    assert likely_known(memory, START + timedelta(days=days)) == pytest.approx(expected, abs=1e-12)


def test_after_as_many_days_as_the_stability_nine_in_ten_are_known() -> None:
    """By definition of stability, at a stability of ten days the chance after ten days is 0.9."""
    memory = Memory(START, START + timedelta(days=10), 10.0, 5.0, 2, None, 3, 3)
    assert likely_known(memory, START + timedelta(days=10)) == pytest.approx(0.9, abs=1e-12)
