"""Cases to come and the arrival list: who needs what by when, and whether an honest range is enough."""

from __future__ import annotations

import functools
from copy import deepcopy
from datetime import timedelta
from typing import Any

import pytest

from sinkside.bench.cases import PlannedCase
from sinkside.desk.bench import cases as desk
from sinkside.desk.bench.arrivals import Arrival, Arrivals, arrivals
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput, NotAllowed
from support.bench_house import CODES, SUCTION_SET, BenchHouse, bench_house

CASE = "2026-04711"


@functools.cache
def _made() -> BenchHouse:
    return bench_house()


@pytest.fixture
def bench() -> BenchHouse:
    """A bench of one's own."""
    return deepcopy(_made())


def _plan(bench: BenchHouse, number: str, hours: float, *sets: str, name: str = "nora", **more: Any) -> None:
    begins = bench.now + timedelta(hours=hours)
    planned = PlannedCase(number=number, begins=begins, sets=sets or (bench.set,), **more)
    desk.plan_case(bench.house.archive, bench.house.visitor(name), planned, now=bench.now)


def _list(bench: BenchHouse) -> Arrivals:
    return arrivals(bench.house.archive, bench.house.visitor("tom"), now=bench.now)


def _line(bench: BenchHouse, code: str = CODES[0]) -> Arrival:
    return next(one for one in _list(bench).lines if one.copy.code == code)


def _case(bench: BenchHouse, number: str) -> desk.CaseSeen:
    nora, week = bench.house.visitor("nora"), timedelta(days=7)
    found = desk.find_cases(bench.house.archive, nora, bench.now - week, bench.now + week)
    return next(one for one in found if one.case.number == number)


def _used(bench: BenchHouse, code: str = CODES[0]) -> None:
    bench.done("nora", "report-use", code=code, case="7001", last_used=bench.now.isoformat(), treated=True)


def test_a_soiled_set_says_by_when_it_is_needed_and_when_it_may_be_ready(bench: BenchHouse) -> None:
    """Six hours are left; what is left of the route is summed as a range, and it is late for cleaning."""
    _used(bench)
    _plan(bench, CASE, 6)
    bench.later(10)
    line = _line(bench)
    assert line.need is not None
    assert (line.need.number, line.left_s) == (CASE, (6 * 60 - 10) * 60)
    assert line.late_s == 600
    assert line.ready is not None
    assert 0 < line.ready.low_s < line.ready.high_s
    assert line.outlook == line.ready.outlook(line.left_s or 0)


def test_what_is_done_is_taken_off_what_is_left(bench: BenchHouse) -> None:
    """After the sink the set may be ready earlier than before it, by at least the soak of ten minutes."""
    _used(bench)
    before = _line(bench).ready
    bench.done("tom", "take-up")
    bench.done("tom", "start-station", station="sink")
    bench.later(11)
    bench.done("tom", "finish-station", station="sink")
    after = _line(bench).ready
    assert before is not None
    assert after is not None
    assert before.low_s - after.low_s >= 600


def test_the_earliest_case_gets_what_is_ready_first(bench: BenchHouse) -> None:
    """Of two cases the earlier gets the set on its way, the later the one that is still in use."""
    _used(bench, CODES[1])
    _plan(bench, "8002", 30)
    _plan(bench, "8001", 20)
    found = {line.copy.code: line.need.number for line in _list(bench).lines if line.need}
    assert found[CODES[1]] == "8001"
    assert set(found.values()) == {"8001", "8002"}


def test_a_case_without_a_set_is_told(bench: BenchHouse) -> None:
    """Three copies serve three wants; the fourth has none, and the case that goes without is the latest."""
    _plan(bench, "8001", 20, bench.set, bench.set)
    _plan(bench, "8002", 30, bench.set, bench.set)
    (none,) = _list(bench).unserved
    assert (none.need.number, none.set_name) == ("8002", SUCTION_SET)


def test_a_held_set_has_no_time_and_says_why(bench: BenchHouse) -> None:
    """Nobody can say when it will be ready: no range, outlook unknown, the reason of the hold beside it."""
    _used(bench)
    _plan(bench, CASE, 6)
    for code in CODES[1:]:
        _used(bench, code)
        bench.done("tom", "hold", code=code, why="asked the maker")
    bench.done("tom", "hold", why="asked the maker")
    line = next(one for one in _list(bench).lines if one.need)
    assert (line.copy.state, line.ready, line.outlook) == ("held", None, "unknown")
    assert line.holds == ("asked the maker",)


@pytest.mark.parametrize(("hours", "outlook"), [(40, "in-time"), (0.5, "not-in-time")])
def test_the_outlook_is_an_honest_one(bench: BenchHouse, hours: float, outlook: str) -> None:
    """Forty hours are enough at worst; half an hour is not at best, and nothing shorter is proposed."""
    for code in CODES:
        _used(bench, code)
    _plan(bench, CASE, hours)
    assert next(one for one in _list(bench).lines if one.need).outlook == outlook


def test_a_file_of_cases_is_taken_in_twice_without_doubles(bench: BenchHouse) -> None:
    """Opened in a child process; the second time all is as it was; a change of time alone is a change."""
    day = (bench.now + timedelta(days=1)).strftime("%Y-%m-%d")
    rows = f"case;begins;sets;patient\n{CASE};{day} 07:30;{SUCTION_SET};Kowalska\n8001;{day} 09:00;;Berg\n"

    def take_in(text: str) -> desk.Imported:
        upload = Upload("week.csv", "text/csv", text.encode())
        visitor = bench.house.visitor("nora")
        return desk.import_cases(bench.house.archive, visitor, upload, now=bench.now)

    first = take_in(rows)
    assert first.added == (CASE, "8001")
    assert "column D" in first.left_out[0]
    assert take_in(rows).unchanged == (CASE, "8001")
    assert take_in(rows.replace("09:00", "10:00")).changed == ("8001",)
    seen = _case(bench, CASE)
    assert [(one.name, one.state) for one in seen.sets] == [(SUCTION_SET, "wanted")]


def test_a_case_that_is_over_stays_as_it_is(bench: BenchHouse) -> None:
    """A closed case is not opened again by a list that still has it."""
    _plan(bench, CASE, 1)
    bench.done("nora", "close-case", case=CASE)
    _plan(bench, CASE, 5)
    assert _case(bench, CASE).closed


def test_planning_asks_for_the_right_and_for_sets_that_are_here(bench: BenchHouse) -> None:
    """A technician plans no cases; a set of another house and a begin next decade are refused."""
    with pytest.raises(NotAllowed):
        _plan(bench, CASE, 1, name="tom")
    with pytest.raises(BadInput, match="sets of this department"):
        _plan(bench, CASE, 1, "s-elsewhere")
    with pytest.raises(BadInput, match="too far"):
        _plan(bench, CASE, 24 * 900)
