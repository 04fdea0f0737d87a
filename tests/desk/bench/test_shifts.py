"""Handing over: what soaks, is under way, held and due is told by itself; somebody else takes it over."""

from __future__ import annotations

from copy import deepcopy
from datetime import timedelta

import pytest

from sinkside.desk.bench import shifts
from sinkside.errors import BadInput, Conflict, NotAllowed
from support.bench_house import CODES, BenchHouse, bench_house


@pytest.fixture(scope="module")
def prepared() -> BenchHouse:
    """A bench: one set soaks, one is held at the sink, one waits soiled."""
    made = bench_house()
    for code in CODES:
        made.done("tom", "arrive", code=code)
    for code in CODES[:2]:
        made.done("tom", "take-up", code=code)
    made.done("tom", "start-task", code=CODES[0], task=made.task("soak"))
    made.done("tom", "hold", code=CODES[1], why="a jaw is bent")
    made.later(3)
    return made


@pytest.fixture
def bench(prepared: BenchHouse) -> BenchHouse:
    """The same for one test alone."""
    return deepcopy(prepared)


def test_what_stands_open_is_told_by_itself(bench: BenchHouse) -> None:
    """The soak with its end (10 min from its begin), the hold with its reason, the soiled one as due."""
    found = shifts.find_shifts(bench.house.archive, bench.house.visitor("tom"), now=bench.now).now
    told = {one.kind: one for one in found}
    assert set(told) == {"soaks", "held", "due"}
    assert told["soaks"].until == bench.now + timedelta(minutes=7)
    assert told["held"].words == "a jaw is bent"
    assert told["due"].code == CODES[2]


def test_somebody_else_takes_over_what_stood_open_then(bench: BenchHouse) -> None:
    """What was handed over stays as it was; not taken over by who handed over, nor twice."""
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    key = shifts.hand_over(archive, tom, "early", note="bath 2 is slow", now=bench.now)
    with archive.unit(writes=False) as unit:
        assert list(shifts.not_taken_over(unit, tom)) == []
        ((_, sentence, _),) = shifts.not_taken_over(unit, bench.house.visitor("tia"))
        assert sentence == "early: handed over, and nobody took over yet."
    bench.later(30)
    with pytest.raises(BadInput, match="nobody takes over from themselves"):
        shifts.take_over(archive, tom, key, now=bench.now)
    with pytest.raises(NotAllowed):
        shifts.take_over(archive, bench.house.visitor("nora"), key, now=bench.now)
    tia = bench.house.visitor("tia")
    shifts.take_over(archive, tia, key, answer="seen", now=bench.now)
    with pytest.raises(Conflict, match="took this over already"):
        shifts.take_over(archive, tia, key, now=bench.now)
    kept = shifts.open_handover(archive, tia, key)
    assert (len(kept.handed), kept.note, kept.answer) == (3, "bath 2 is slow", "seen")
    assert shifts.find_shifts(archive, tia, now=bench.now).open == ()


def test_a_handover_says_which_shift(bench: BenchHouse) -> None:
    """Nobody hands over without saying from which shift, or in a note longer than anybody reads."""
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    with pytest.raises(BadInput, match="expected the shift"):
        shifts.hand_over(archive, tom, " ", now=bench.now)
    with pytest.raises(BadInput, match="expected at most 2000"):
        shifts.hand_over(archive, tom, "early", note="x" * 2001, now=bench.now)
