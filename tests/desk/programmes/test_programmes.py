"""Programmes at the desk: planned from texts, tested piece by piece; a failed test holds and tells."""

from __future__ import annotations

import copy
from datetime import date, timedelta

import pytest

from sinkside.desk import today as desk_today
from sinkside.desk.bench.runs import copy_of_code, run_of
from sinkside.desk.programmes import planning, seeing, testing
from sinkside.desk.record_book import read_record
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.findings import Level
from sinkside.records import Wanted
from support.bench_house import CODES, BenchHouse, bench_house
from support.load_house import at_the_sink, copy_now, washed

EXPIRES = date(2027, 1, 31)


@pytest.fixture(scope="module")
def made() -> BenchHouse:
    """A house whose first two sets came out of one washer load."""
    bench = bench_house()
    at_the_sink(bench, *CODES[:2])
    washed(bench, *CODES[:2])
    return bench


@pytest.fixture
def bench(made: BenchHouse) -> BenchHouse:
    """One of its own for each test."""
    return copy.deepcopy(made)


def _planned(
    bench: BenchHouse, *, method: str = "atp", at_most: float | None = 100.0
) -> tuple[str, str, int]:
    """A programme of the suction tube: its key, the device's, and how many places it has."""
    said_by = "the kit's maker, paper of the meter" if at_most is not None else ""
    wanted = planning.Planned("ATP, tubes", method, [bench.instruction], at_most, said_by)
    lena = bench.house.visitor("lena")
    key = planning.make_programme(bench.house.archive, lena, wanted, now=bench.now)
    seen = seeing.see_programme(bench.house.archive, lena, key, now=bench.now)
    device = seen.programme.devices[0]
    return key, device.id, len(device.places)


def _tested(bench: BenchHouse, key: str, device: str, *found: str, code: str = CODES[0]) -> testing.Kept:
    bench.later(5)
    what = testing.Found(found, code, "L-77", EXPIRES)
    tom = bench.house.visitor("tom")
    return testing.record_test(bench.house.archive, tom, key, device, what, now=bench.now)


def test_how_often_and_where_come_from_the_text(bench: BenchHouse) -> None:
    """The suction tube has a lumen: it is one of the difficult ones, and its lumen is sampled first."""
    key, _, _ = _planned(bench)
    seen = seeing.see_programme(bench.house.archive, bench.house.visitor("lena"), key, now=bench.now)
    device = seen.programme.devices[0]
    assert device.difficult
    assert device.times == 3
    assert device.places[0] == "inside the lumen"
    assert device.family == ("tubular",)
    assert seen.asked.dues[0].day == seen.day


def test_a_number_needs_a_pass_mark_and_whose_it_is(bench: BenchHouse) -> None:
    """Nothing published is a pass mark for ATP; laboratory figures are not taken for one."""
    with pytest.raises(BadInput, match="highest number that passes"):
        _planned(bench, at_most=None)
    lena = bench.house.visitor("lena")
    nobody = planning.Planned("ATP", "atp", [bench.instruction], 100.0)
    with pytest.raises(BadInput):
        planning.make_programme(bench.house.archive, lena, nobody, now=bench.now)


def test_a_technician_records_and_does_not_plan(bench: BenchHouse) -> None:
    """Planning is the lead's and the educator's; whoever is in theatre records nothing."""
    key, device, places = _planned(bench)
    tom, nora = bench.house.visitor("tom"), bench.house.visitor("nora")
    with pytest.raises(NotAllowed):
        planning.end_programme(bench.house.archive, tom, key, now=bench.now)
    found = testing.Found(["1"] * places, "", "L", EXPIRES)
    with pytest.raises(NotAllowed):
        testing.record_test(bench.house.archive, nora, key, device, found, now=bench.now)


def test_a_passed_test_moves_the_next_one_and_holds_nothing(bench: BenchHouse) -> None:
    """Everything within the mark: the set goes on, and the device is due after its interval."""
    key, device, places = _planned(bench)
    before = copy_now(bench).state
    kept = _tested(bench, key, device, *["20"] * places)
    assert kept.result.passed
    assert kept.step is None
    assert copy_now(bench).state == before
    seen = seeing.see_programme(bench.house.archive, bench.house.visitor("lena"), key, now=bench.now)
    assert seen.asked.dues[0].day == seen.day + timedelta(days=30)
    assert seen.shown[device].sentence.startswith("0 of 1 failed")


def test_a_failed_test_holds_the_set_and_knows_its_washer_load(bench: BenchHouse) -> None:
    """The first failure holds the tested set, names the load and what lay beside it, and tells on Today."""
    key, device, places = _planned(bench)
    good = _tested(bench, key, device, *["20"] * places)
    kept = _tested(bench, key, device, "500", *["20"] * (places - 1))
    assert not kept.result.passed
    assert kept.result.machine == "washer-1"
    assert kept.result.since == good.result.at
    assert [one.code for one in kept.result.beside] == [CODES[1]]
    assert copy_now(bench).state == "held"
    assert copy_now(bench, CODES[1]).state != "held"
    with bench.house.archive.unit(writes=False) as unit:
        why = run_of(unit, copy_of_code(unit, "north", CODES[0])).run.open_holds()[-1].why
    assert "inside the lumen" in why
    matters = desk_today.today(bench.house.archive, bench.house.visitor("lena"), now=bench.now)
    assert any(one.noun == "verification" and "suction" in one.sentence.lower() for one in matters)


def test_the_second_failure_holds_the_load_and_the_third_stops_work(bench: BenchHouse) -> None:
    """By policy: first the set, then everything of its washer load, then work on the device."""
    key, device, places = _planned(bench)
    for _ in range(2):
        kept = _tested(bench, key, device, *["500"] * places)
    assert kept.step is not None
    assert kept.step.family
    assert copy_now(bench, CODES[1]).state == "held"
    assert _tested(bench, key, device, *["500"] * places).step is not None
    lena = bench.house.visitor("lena")
    stops = [
        one
        for one in desk_today.today(bench.house.archive, lena, now=bench.now)
        if one.noun == "verification"
    ]
    assert stops[0].level is Level.stop
    with pytest.raises(BadInput):
        planning.let_go_on(bench.house.archive, lena, key, device, reason=" ", now=bench.now)
    bench.later(5)
    planning.let_go_on(bench.house.archive, lena, key, device, reason="a jet was blocked", now=bench.now)
    seen = seeing.see_programme(bench.house.archive, lena, key, now=bench.now)
    assert seen.asked.stopped == ()


def test_a_test_that_is_not_done_is_overdue_on_today(bench: BenchHouse) -> None:
    """The day after its day a test stands among the concerns, and is gone once it is done."""
    key, device, places = _planned(bench)
    bench.later(60 * 36)
    tom = bench.house.visitor("tom")

    def said() -> list[str]:
        found = desk_today.today(bench.house.archive, tom, now=bench.now)
        return [one.sentence for one in found if one.noun == "verification"]

    assert any("overdue" in one for one in said())
    _tested(bench, key, device, *["20"] * places)
    assert said() == []


def test_the_next_piece_and_the_last_kit_are_proposed(bench: BenchHouse) -> None:
    """The form names the pieces never tested first, and the kit used last while it has not expired."""
    key, device, places = _planned(bench)
    _tested(bench, key, device, *["20"] * places)
    tom = bench.house.visitor("tom")
    form = seeing.see_test(bench.house.archive, tom, key, device, now=bench.now)
    assert [one.code for one in form.pieces] == [CODES[1], CODES[2], CODES[0]]
    assert (form.lot, form.expires) == ("L-77", "2027-01-31")
    later = seeing.see_test(bench.house.archive, tom, key, device, now=bench.now + timedelta(days=400))
    assert form.lot
    assert later.lot == ""


def test_what_cannot_be_recorded_is_refused_whole(bench: BenchHouse) -> None:
    """A missing place, an unknown code or an expired kit keeps nothing and holds nothing."""
    key, device, places = _planned(bench)
    tom = bench.house.visitor("tom")
    for found, refused in (
        (testing.Found(["1"] * (places - 1), CODES[0], "L", EXPIRES), BadInput),
        (testing.Found(["1"] * places, "SET-9", "L", EXPIRES), NotThere),
        (testing.Found(["1"] * places, CODES[0], "L", date(2020, 1, 1)), BadInput),
    ):
        with pytest.raises(refused):
            testing.record_test(bench.house.archive, tom, key, device, found, now=bench.now)
    seen = seeing.see_programme(bench.house.archive, tom, key, now=bench.now)
    assert seen.asked.rows == ()


def test_a_programme_is_changed_and_ended_and_its_results_stay(bench: BenchHouse) -> None:
    """How often and where are the department's to change; nothing more is recorded after the end."""
    key, device, places = _planned(bench, method="borescope", at_most=None)
    lena = bench.house.visitor("lena")
    _tested(bench, key, device, *["nothing"] * places)
    change = planning.OfDevice(6, ["inside the lumen", "at the bend"])
    planning.change_device(bench.house.archive, lena, key, device, change, now=bench.now)
    seen = seeing.see_programme(bench.house.archive, lena, key, now=bench.now)
    assert seen.programme.devices[0].places == ("inside the lumen", "at the bend")
    assert seen.asked.dues[0].day == seen.day + timedelta(days=15)
    planning.end_programme(bench.house.archive, lena, key, now=bench.now)
    with pytest.raises(BadInput, match="ended"):
        _tested(bench, key, device, "nothing", "nothing")
    seen = seeing.see_programme(bench.house.archive, lena, key, now=bench.now)
    assert len(seen.asked.rows) == 1
    assert seen.asked.dues == ()


def test_the_record_book_tells_each_act_in_a_sentence(bench: BenchHouse) -> None:
    """Planned and tested: each is one sentence with who did it, and no event is without one."""
    key, device, places = _planned(bench)
    _tested(bench, key, device, *["500"] * places)
    lena = bench.house.visitor("lena")
    said = [one.sentence for one in read_record(bench.house.archive, lena, Wanted(limit=6)).entries]
    assert any("planned ATP, tubes with 1 devices" in one for one in said)
    assert any("not passed" in one for one in said)
