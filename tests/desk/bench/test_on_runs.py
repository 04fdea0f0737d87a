"""Work on one set at sink and bench: what is asked at each station, what stops, what a repeat does."""

from __future__ import annotations

from typing import Any

import pytest

from sinkside.bench.run import Place
from sinkside.bench.tap import Tap
from sinkside.desk.bench import tapping
from sinkside.desk.bench.runs import copy_of_code
from sinkside.errors import Conflict
from support.bench_house import CODES, BenchHouse, bench_house, on_the_clean_side


@pytest.fixture
def bench() -> BenchHouse:
    """A bench with a set that has just arrived."""
    made = bench_house()
    made.done("tom", "arrive")
    return made


def _refused(bench: BenchHouse, name: str, act: str, **fields: Any) -> str:
    answer = bench.tap(name, act, **fields)
    assert answer.outcome == "refused", answer.said
    return answer.said


def test_a_soak_takes_its_time(bench: BenchHouse) -> None:
    """It must be begun, and is not done a minute early; all at once is for whoever works alone."""
    bench.done("tia", "take-up")
    assert "begin it first" in _refused(bench, "tia", "finish-task", task=bench.task("soak"))
    bench.done("tia", "start-task", task=bench.task("soak"))
    bench.later(9)
    assert "1 min left" in _refused(bench, "tia", "finish-task", task=bench.task("soak"))
    bench.later(1)
    bench.done("tia", "finish-task", task=bench.task("soak"))
    assert "works alone" in _refused(bench, "tia", "finish-station", station="sink")


def test_a_flush_is_counted(bench: BenchHouse) -> None:
    """The text asks for three times: twice is refused."""
    bench.done("tia", "take-up")
    assert "2 of at least 3 times" in _refused(bench, "tia", "finish-task", task=bench.task("flush"), times=2)
    bench.done("tia", "finish-task", task=bench.task("flush"), times=3)


def test_the_clean_side_stops_what_has_no_washer_record(bench: BenchHouse) -> None:
    """Soiled, half done or never washed: scanned on the clean side it stops, and says why."""
    assert "cannot go from there" in _refused(bench, "tom", "to-clean-side")
    bench.done("tom", "take-up")
    assert "no washer record" in _refused(bench, "tom", "to-clean-side")


def test_a_pack_needs_everything_before_it(bench: BenchHouse) -> None:
    """Not inspected, not counted, a critical part missing: each is said; then it closes."""
    on_the_clean_side(bench)
    assert "not inspected" in _refused(bench, "tom", "to-packing")
    bench.done("tom", "look-all")
    bench.done("tom", "finish-station", station="bench")
    bench.done("tom", "count", found={"1": 1})
    assert bench.tap("tom", "count", found={"1": 3}).outcome == "refused"
    assert bench.done("tom", "pack").state == "packed"


def test_soil_at_inspection_sends_the_whole_set_back(bench: BenchHouse) -> None:
    """Everything from the sink on is to be done again, and a washer record of before counts no more."""
    on_the_clean_side(bench)
    answer = bench.done(
        "tom", "look", line="1", passed=False, fault="soil in the lumen", then="reprocess-set"
    )
    assert answer.state == "soiled"
    bench.done("tom", "take-up")
    assert "no washer record" in _refused(bench, "tom", "to-clean-side")


def test_a_held_set_goes_nowhere_until_somebody_who_decides_lifts_it(bench: BenchHouse) -> None:
    """The technician who held it cannot let it go on; the lead can, with a reason."""
    on_the_clean_side(bench)
    bench.done("tom", "look-all")
    bench.done("tom", "finish-station", station="bench")
    assert bench.done("tom", "hold", why="asked the maker").state == "held"
    assert "it is held: asked the maker" in _refused(bench, "tom", "count-all")
    assert "only whoever decides" in _refused(bench, "tom", "lift-hold", hold="1", why="so")
    bench.done("lena", "lift-hold", hold="1", why="the maker answered")
    bench.done("tom", "count-all")


def test_everything_at_once_takes_few_taps(bench: BenchHouse) -> None:
    """Whoever works alone needs three taps at the sink and five from the clean side to a closed pack."""
    on_the_clean_side(bench)
    for act in ({"act": "look-all"}, {"act": "finish-station", "station": "bench"}, {"act": "count-all"}):
        bench.done("tom", **act)
    assert bench.done("tom", "pack").state == Place.packed
    with bench.house.archive.unit(writes=False) as unit:
        copy = copy_of_code(unit, "north", CODES[0])
        tapped = unit.bench.taps.on_copy("north", copy.id)
    assert [one.act for one in tapped] == [
        "arrive",
        *("take-up", "start-station", "finish-station"),
        *("to-clean-side", "look-all", "finish-station", "count-all", "pack"),
    ]


def test_a_repeat_is_done_once_and_a_queue_keeps_its_order(bench: BenchHouse) -> None:
    """The same key gets the same answer again; a number that is not the next one is refused whole."""
    visitor = bench.house.visitor("tom")

    def tap(number: int, key: str) -> Tap:
        act = {"act": "take-up", "code": CODES[0]}
        return Tap.model_validate(
            {"key": key, "bench": "tablet-1", "number": number, "at": bench.now, "act": act}
        )

    archive = bench.house.archive
    first = tapping.tap(archive, visitor, [tap(1, "key-one-1")], now=bench.now)[0]
    again = tapping.tap(archive, visitor, [tap(1, "key-one-1")], now=bench.now)[0]
    assert (again.said, again.repeated, first.repeated) == (first.said, True, False)
    with pytest.raises(Conflict, match="expected 2"):
        tapping.tap(archive, visitor, [tap(3, "key-three")], now=bench.now)
    with pytest.raises(Conflict, match="expected 2"):
        tapping.tap(archive, visitor, [tap(1, "key-other")], now=bench.now)


def test_nothing_is_done_before_the_last_thing(bench: BenchHouse) -> None:
    """A tap of an hour ago is refused after a later one, unless it is entered from paper."""
    bench.later(120)
    bench.done("tom", "take-up")
    bench.now -= bench.now - bench.house.now
    assert "something was done with it later" in _refused(bench, "tom", "pause")


def test_what_theatre_reports_as_damaged_is_looked_at_on_its_own() -> None:
    """Everything at once is refused until that line was looked at; it may pass then, or fail."""
    bench = bench_house()
    told = {"case": "C-1183", "last_used": bench.now.isoformat(), "treated": True}
    bench.done("nora", "report-use", **told, damaged=[{"line": "1", "kind": "bent"}])
    on_the_clean_side(bench)
    assert "theatre reported of suction tube: bent" in _refused(bench, "tom", "look-all")
    bench.done("tom", "look", line="1", passed=True)
    bench.done("tom", "look-all")
