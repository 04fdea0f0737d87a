"""Water events: machines stand still, loads since are known, tests come before a named person's word."""

from __future__ import annotations

import copy
from datetime import timedelta

import pytest

from sinkside.bench.programmes.water_event import WaterEventKind
from sinkside.desk import machine_checks
from sinkside.desk import today as desk_today
from sinkside.desk.bench.exceptions import find_exceptions
from sinkside.desk.programmes import water_events
from sinkside.desk.programmes.water_events import Begun, BegunAlready, GoOn
from sinkside.errors import BadInput, NotAllowed
from support.bench_house import CODES, BenchHouse, bench_house
from support.load_house import STEAM, STERILIZER, WASHER, WASHING, at_the_sink, washed

SUPPLIER = "the water supplier's notice"
FORM = GoOn("washer-1", CODES[0], "2026-04711", "surgeon on duty, theatre 2", "no second set in the house")


@pytest.fixture(scope="module")
def made() -> BenchHouse:
    """A house in which the first set was washed, and two more wait at the sink."""
    bench = bench_house()
    at_the_sink(bench, *CODES)
    washed(bench, CODES[0])
    return bench


@pytest.fixture
def bench(made: BenchHouse) -> BenchHouse:
    """One of its own for each test."""
    return copy.deepcopy(made)


def _begun(
    bench: BenchHouse,
    *points: str,
    kind: WaterEventKind = WaterEventKind.boil_notice,
    minutes_ago: int = 0,
    machines: tuple[str, ...] = (),
) -> str:
    begin = bench.now - timedelta(minutes=minutes_ago)
    begun = Begun(kind, SUPPLIER, begin, points or ("ro-loop",), machines)
    return water_events.begin_event(bench.house.archive, bench.house.visitor("tom"), begun, now=bench.now)


def _seen(bench: BenchHouse, key: str) -> water_events.SeenEvent:
    return water_events.see_event(bench.house.archive, bench.house.visitor("lena"), key)


def _back(bench: BenchHouse, key: str) -> None:
    tom = bench.house.visitor("tom")
    bench.later(60)
    water_events.water_is_back(
        bench.house.archive, tom, key, at=bench.now, said_by=SUPPLIER, words="", now=bench.now
    )


def _all_shown(bench: BenchHouse, key: str) -> None:
    answers = {
        "conductivity": ["4"],
        "water-germs": ["1", "0.05"],
        "screens-and-arms": ["yes", "yes", "yes"],
        "water-results": ["20", "7.5", "300"],
    }
    bench.later(10)
    for one in _seen(bench, key).to_test:
        machine_checks.record_check(
            bench.house.archive,
            bench.house.visitor("tom"),
            one.thing,
            one.check,
            answers[one.check],
            now=bench.now,
        )


def test_the_machines_that_draw_the_water_stand_still(bench: BenchHouse) -> None:
    """Both washers draw from the loop; the sterilizer does not, unless somebody says so."""
    assert [one.id for one in _seen(bench, _begun(bench)).event.machines] == ["washer-1", "washer-2"]
    with_steam = _begun(bench, machines=("sterilizer-1",))
    assert "sterilizer-1" in {one.id for one in _seen(bench, with_steam).event.machines}


def test_no_load_is_begun_or_started_there_and_elsewhere_one_is(bench: BenchHouse) -> None:
    """The sentence says what happened, where and by whose word; the sterilizer takes its load."""
    bench.done("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays")
    bench.done("tom", "add-to-load", **WASHER, code=CODES[1])
    _begun(bench)
    bench.later(1)
    refused = bench.tap("tom", "start-load", **WASHER)
    assert refused.outcome == "refused"
    assert "stands still: boil-water notice at reverse osmosis loop" in refused.said
    assert SUPPLIER in refused.said
    other = bench.tap("tom", "open-load", machine="washer-2", program=WASHING, rack="rack-trays-2")
    assert other.outcome == "refused"
    bench.done("tom", "open-load", **STERILIZER, program=STEAM)


def test_a_load_of_before_is_entered_although_the_event_is_open(bench: BenchHouse) -> None:
    """What was begun before the water failed stands in no event's way: the load's own time counts."""
    bench.later(30)
    _begun(bench, minutes_ago=5)
    key, at = "key-of-before", bench.now - timedelta(minutes=20)
    now, bench.now = bench.now, at
    done = bench.tap("tom", "open-load", key=key, **WASHER, program=WASHING, rack="rack-trays")
    bench.now = now
    assert done.outcome == "done", done.said


def test_loads_since_it_began_are_listed_and_those_before_are_not(bench: BenchHouse) -> None:
    """A notice that came late reaches back to the load of an hour ago; one of this moment does not."""
    assert _seen(bench, _begun(bench)).loads == ()
    assert len(_seen(bench, _begun(bench, minutes_ago=90)).loads) == 1


def test_nothing_goes_on_before_tests_and_a_named_persons_word(bench: BenchHouse) -> None:
    """Not before the water is back and every check passed since; not by a technician; not without words."""
    key = _begun(bench)
    archive, lena, tom = bench.house.archive, bench.house.visitor("lena"), bench.house.visitor("tom")
    with pytest.raises(BadInput, match="water is back"):
        water_events.close_event(archive, lena, key, words="all done", now=bench.now)
    _all_shown(bench, key)
    _back(bench, key)
    assert {one.check for one in _seen(bench, key).to_test} == {
        "conductivity",
        "water-germs",
        "screens-and-arms",
    }
    with pytest.raises(BadInput, match="not shown since the water is back"):
        water_events.close_event(archive, lena, key, words="all done", now=bench.now)
    _all_shown(bench, key)
    with pytest.raises(NotAllowed):
        water_events.close_event(archive, tom, key, words="all done", now=bench.now)
    with pytest.raises(BadInput):
        water_events.close_event(archive, lena, key, words=" ", now=bench.now)
    assert bench.tap("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays").outcome == "refused"
    water_events.close_event(archive, lena, key, words="plant disinfected, filters new", now=bench.now)
    bench.later(1)
    bench.done("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays")


def test_a_failed_test_does_not_count(bench: BenchHouse) -> None:
    """A conductivity above the limit keeps everything still until one passes."""
    key = _begun(bench, kind=WaterEventKind.treatment_failed)
    _back(bench, key)
    bench.later(5)
    tom = bench.house.visitor("tom")
    machine_checks.record_check(bench.house.archive, tom, "ro-loop", "conductivity", ["90"], now=bench.now)
    assert not any(one.shown for one in _seen(bench, key).to_test)
    assert not _seen(bench, key).is_ready


def test_water_without_a_check_of_ours_is_named(bench: BenchHouse) -> None:
    """Of a plain tap no check is kept: the page says so, and whoever closes says what was shown."""
    key = _begun(bench, "tap-cold")
    seen = _seen(bench, key)
    assert seen.event.machines == ()
    assert seen.without_check == ("cold tap at the sink",)


def test_one_exception_lets_one_load_go_on(bench: BenchHouse) -> None:
    """By the form, one load of one machine is begun and started; the next is refused; somebody reviews it."""
    key = _begun(bench)
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    with pytest.raises(NotAllowed):
        water_events.go_on(archive, bench.house.visitor("tom"), key, FORM, now=bench.now)
    water_events.go_on(archive, lena, key, FORM, now=bench.now)
    bench.later(1)
    assert bench.tap("tom", "open-load", machine="washer-2", program=WASHING).outcome == "refused"
    bench.done("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays")
    bench.done("tom", "add-to-load", **WASHER, code=CODES[1])
    bench.done("tom", "start-load", **WASHER)
    bench.later(50)
    bench.done("tom", "end-load", **WASHER, complete=True)
    assert bench.tap("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays").outcome == "refused"
    (exception,) = find_exceptions(archive, lena).to_review
    assert exception[1].in_the_way == (f"boil-water notice at reverse osmosis loop, told by {SUPPLIER}",)
    assert _seen(bench, key).event.allowed[0].load


@pytest.mark.parametrize(
    "change", [{"case": "Maria Berg"}, {"authority": "me"}, {"reason": ""}, {"machine": "sterilizer-1"}]
)
def test_a_form_that_is_not_whole_lets_nothing_go_on(bench: BenchHouse, change: dict[str, str]) -> None:
    """A name for a case, hardly a word, or a machine that does not stand still: refused, and none is kept."""
    key = _begun(bench)
    lena = bench.house.visitor("lena")
    with pytest.raises(BadInput):
        water_events.go_on(bench.house.archive, lena, key, GoOn(**{**vars(FORM), **change}), now=bench.now)
    assert _seen(bench, key).event.allowed == ()


def test_what_cannot_have_happened_is_refused(bench: BenchHouse) -> None:
    """It does not begin in the future, at no point, or by nobody's word; it is not over before it began."""
    tom = bench.house.visitor("tom")
    good = Begun(WaterEventKind.outage, SUPPLIER, bench.now, ("ro-loop",))
    for change in (
        {"begin": bench.now + timedelta(minutes=1)},
        {"points": ()},
        {"points": ("sterilizer-1",)},
        {"told_by": " "},
    ):
        with pytest.raises(BadInput):
            water_events.begin_event(
                bench.house.archive, tom, Begun(**{**vars(good), **change}), now=bench.now
            )
    key = _begun(bench)
    with pytest.raises(BadInput):
        water_events.water_is_back(
            bench.house.archive,
            tom,
            key,
            at=bench.now - timedelta(hours=1),
            said_by=SUPPLIER,
            words="",
            now=bench.now,
        )


def test_today_says_which_machines_stand_still_and_what_they_wait_for(bench: BenchHouse) -> None:
    """A stop while the water is bad, a concern while tests are open, nothing once it is closed."""
    key = _begun(bench)
    lena = bench.house.visitor("lena")

    def said() -> list[str]:
        found = desk_today.today(bench.house.archive, lena, now=bench.now)
        return [f"{one.level.value}: {one.sentence}" for one in found if one.noun == "water-event"]

    assert said() == ["stop: Boil-water notice at reverse osmosis loop: Washer 1, Washer 2 stand still."]
    _back(bench, key)
    assert said()[0].startswith("concern: ")
    _all_shown(bench, key)
    water_events.close_event(bench.house.archive, lena, key, words="all is shown", now=bench.now)
    assert said() == []


def test_what_an_open_event_says_is_not_written_twice(bench: BenchHouse) -> None:
    """The same, or less, leads to the open one; more machines, earlier, or after it was over is another."""
    first = _begun(bench, machines=(STERILIZER["machine"],))
    for machines in ((STERILIZER["machine"],), ()):
        with pytest.raises(BegunAlready) as led:
            _begun(bench, machines=machines)
        assert led.value.resource == first
    earlier = _begun(bench, minutes_ago=30)
    assert earlier != first
    assert _begun(bench, kind=WaterEventKind.outage) not in {first, earlier}
    for key in (first, earlier):
        _back(bench, key)
    assert _begun(bench) not in {first, earlier}
