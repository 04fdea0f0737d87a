"""Hours on paper (scene 11): entered afterwards with their true times, marked, in order, no doubles."""

from __future__ import annotations

from copy import deepcopy
from datetime import datetime, timedelta
from typing import Any, Final

import pytest

from sinkside.bench.outage import PaperLine, PaperLoad
from sinkside.desk.bench import copies, downtime, load_deciding
from sinkside.desk.bench.runs import copy_of_code
from sinkside.errors import BadInput, Conflict
from sinkside.records import KeptTap, Wanted
from support.bench_house import CODES, BenchHouse, bench_house
from support.load_house import decided, load_with, recorded

SETS: Final = 31


@pytest.fixture(scope="module")
def prepared() -> BenchHouse:
    """A bench with 31 sets that have not arrived; the network was down for four hours."""
    made = bench_house()
    lena = made.house.visitor("lena")
    for number in range(len(CODES), SETS):
        copies.add_copy(made.house.archive, lena, made.set, code=f"SET-{number + 1}", now=made.now)
    return made


@pytest.fixture
def bench(prepared: BenchHouse) -> BenchHouse:
    """The same for one test alone."""
    return deepcopy(prepared)


def _began(bench: BenchHouse) -> datetime:
    return bench.now - timedelta(hours=4, minutes=30)


def _outage(bench: BenchHouse) -> str:
    began = _began(bench)
    return downtime.begin_outage(
        bench.house.archive,
        bench.house.visitor("tom"),
        began=began,
        ended=began + timedelta(hours=4),
        why="the network is down",
        now=bench.now,
    )


def _line(bench: BenchHouse, number: str, minute: int, code: str, **change: Any) -> PaperLine:
    said = {"line": number, "kind": "arrival", "at": _began(bench) + timedelta(minutes=minute), "code": code}
    return PaperLine.model_validate({**said, **change})


def _copy(bench: BenchHouse, outage: str, *lines: PaperLine) -> None:
    tom = bench.house.visitor("tom")
    downtime.copy_lines(bench.house.archive, tom, outage, lines, now=bench.now)


def _enter(bench: BenchHouse, outage: str) -> downtime.Entered:
    return downtime.enter(bench.house.archive, bench.house.visitor("tom"), outage, now=bench.now)


def _taps(bench: BenchHouse) -> list[KeptTap]:
    with bench.house.archive.unit(writes=False) as unit:
        ids = [copy_of_code(unit, "north", f"SET-{n + 1}").id for n in range(SETS)]
        return [one for copy in ids for one in unit.bench.taps.on_copy("north", copy)]


def test_thirty_one_sets_are_entered_in_order_marked_and_once(bench: BenchHouse) -> None:
    """Copied last sheet first and entered twice: 31 taps with the times on paper, in their order, marked."""
    outage = _outage(bench)
    lines = [_line(bench, f"A{n // 12 + 1}-{n % 12 + 1}", 7 * n, f"SET-{n + 1}") for n in range(SETS)]
    for sheet in (lines[24:], lines[:12], lines[12:24]):
        _copy(bench, outage, *sheet)
    assert _enter(bench, outage) == downtime.Entered(SETS, 0)
    _copy(bench, outage, *lines)
    with pytest.raises(Conflict, match="entered already"):
        _enter(bench, outage)
    taps = _taps(bench)
    assert [one.at for one in taps] == [line.at for line in lines]
    assert all(one.entered and one.outcome == "done" for one in taps)
    events = _events(bench)
    assert [one["done"] for one in events] == sorted(one["done"] for one in events)
    assert len(events) == SETS
    assert downtime.find_outages(bench.house.archive, bench.house.visitor("tom")).open == ()


def _events(bench: BenchHouse) -> list[dict[str, Any]]:
    with bench.house.archive.unit(writes=False) as unit:
        found = unit.journal.events("north", Wanted(kinds=("tapped",), limit=100))
    return [dict(one.data) for one in reversed(found)]


def test_what_is_refused_is_put_right_and_entered_again(bench: BenchHouse) -> None:
    """A code that nothing has is refused with the reason; put right, the same line is entered, once."""
    outage = _outage(bench)
    _copy(bench, outage, _line(bench, "A1-1", 5, "SET-99"), _line(bench, "A1-2", 6, "SET-2"))
    assert _enter(bench, outage) == downtime.Entered(1, 1)
    (line,) = downtime.open_outage(bench.house.archive, bench.house.visitor("tom"), outage).to_enter()
    assert "SET-99" in line.said
    _copy(bench, outage, _line(bench, "A1-1", 5, "SET-1"))
    assert _enter(bench, outage) == downtime.Entered(1, 0)


def test_a_time_that_no_sheet_can_have_is_refused(bench: BenchHouse) -> None:
    """Before the outage, after it, or with an end before its begin: said with what was expected."""
    outage = _outage(bench)
    for minute in (-30, 300):
        with pytest.raises(BadInput, match="not within the time without screens"):
            _copy(bench, outage, _line(bench, "A1-1", minute, "SET-1"))
    with pytest.raises(BadInput, match="expected a moment after it began"):
        downtime.begin_outage(
            bench.house.archive,
            bench.house.visitor("tom"),
            began=bench.now,
            ended=_began(bench),
            why="the network",
            now=bench.now,
        )


def test_a_line_of_a_load_needs_its_head(bench: BenchHouse) -> None:
    """Without machine, program and times nobody knows in which load a set was."""
    with pytest.raises(BadInput, match="expected its machine, program, start and end"):
        _copy(bench, _outage(bench), _line(bench, "B1-1", 5, "SET-1", kind="wash-load"))


def test_a_line_copied_by_mistake_is_struck(bench: BenchHouse) -> None:
    """Before it is entered it can be struck; afterwards it cannot."""
    outage, archive, tom = _outage(bench), bench.house.archive, bench.house.visitor("tom")
    _copy(bench, outage, _line(bench, "A1-1", 5, "SET-1"), _line(bench, "A1-2", 6, "SET-2"))
    downtime.strike_line(archive, tom, outage, "a1-2", now=bench.now)
    assert _enter(bench, outage) == downtime.Entered(1, 0)
    with pytest.raises(BadInput, match="not entered yet"):
        downtime.strike_line(archive, tom, outage, "A1-1", now=bench.now)


def _load(bench: BenchHouse, sheet: str, kind: str, machine: str, program: str, minute: int) -> PaperLoad:
    at = _began(bench) + timedelta(minutes=minute)
    ends = at + timedelta(minutes=45)
    said = {"sheet": sheet, "kind": kind, "machine": machine, "program": program, "at": at, "ended": ends}
    return PaperLoad.model_validate(said)


def test_a_whole_night_waits_for_a_named_person_at_each_load(bench: BenchHouse) -> None:
    """From arrival to issue on paper: what comes after a load is entered only once somebody decided on it."""
    outage, archive, tom = _outage(bench), bench.house.archive, bench.house.visitor("tom")
    washing = _load(bench, "B1", "wash-load", "washer-1", "Instruments 90", 30)
    steam = _load(bench, "D1", "sterilizer-load", "sterilizer-1", "134 °C, 3 min", 100)
    washed = _line(bench, "B1-1", 15, "SET-1", kind="wash-load")
    sterile = _line(bench, "D1-1", 100, "SET-1", kind="sterilizer-load")
    downtime.copy_lines(archive, tom, outage, [washed], load=washing, now=bench.now)
    downtime.copy_lines(archive, tom, outage, [sterile], load=steam, now=bench.now)
    issued = _line(bench, "E1-1", 220, "SET-1", kind="issue", case="C-1183")
    packed = _line(bench, "C1-1", 90, "SET-1", kind="packing")
    _copy(bench, outage, issued, _line(bench, "A1-1", 5, "SET-1"), packed)
    assert _enter(bench, outage) == downtime.Entered(2, 3)
    load_deciding.decide_without_trace(
        archive,
        bench.house.visitor("lena"),
        load_with(bench, "SET-1"),
        "released",
        read="92 °C for 5 min on the display",
        reason="this washer has no recorder",
        now=bench.now,
    )
    assert _enter(bench, outage) == downtime.Entered(2, 1)
    (line,) = downtime.open_outage(archive, tom, outage).to_enter()
    assert (line.line, line.outcome) == ("E1-1", "refused")
    decided(bench, recorded(bench, load_with(bench, "SET-1")))
    bench.later(61)
    assert _enter(bench, outage) == downtime.Entered(1, 0)
    taps = [one for one in _taps(bench) if one.outcome == "done"]
    assert {"arrive", "take-up", "add-to-load", "pack", "put-in-store", "issue"} <= {one.act for one in taps}
    assert all(one.entered for one in taps)
