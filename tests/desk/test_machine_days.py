"""Machines' days: what is due, what a failed check does, what ran since the last good one, the way back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sinkside.cycles import simulate, write_recorder_file
from sinkside.department import Department, Machine, Program, Room, WaterPoint, Weekday
from sinkside.desk import (
    cycle_deciding,
    cycle_handing_in,
    cycle_records,
    departments,
    machine_checks,
    machine_standing,
)
from sinkside.desk.machine_days import Clock, due_of, findings_of, machines_today
from sinkside.desk.machine_own_checks import own_checks, replace_check
from sinkside.desk.machine_pages import open_thing
from sinkside.desk.machine_policy import ChecksHere, needed_by, policy
from sinkside.desk.uploads import Upload
from sinkside.documents import validate
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.limits import profile, published
from sinkside.limits.units import base_unit
from support.desk_house import ELSEWHERE, House

PROGRAM = validate(
    Program,
    {
        "kind": "steam-prevacuum",
        "name": "134/3",
        "exposure": {"temperature": "134 °C", "band": "3 K", "time": "3 min"},
        "air_removal": {"pulses": 3, "vacuum": "15 kPa"},
        "drying": {"time": "15 min", "vacuum": "10 kPa"},
    },
    resource="program",
)
STERILIZER = "sterilizer-1"
SITE = Department(
    name="North",
    zone="Europe/Vienna",
    machines=(
        Machine.model_validate(
            {"id": STERILIZER, "name": "Sterilizer 1", "kind": "steam-sterilizer", "programs": [PROGRAM]}
        ),
        Machine.model_validate({"id": "washer-1", "name": "Washer 1", "kind": "washer-disinfector"}),
    ),
    rooms=(Room.model_validate({"id": "sink", "name": "Sink room", "kind": "cleaning", "eyewash": True}),),
    water=(WaterPoint.model_validate({"id": "loop", "name": "Loop", "grade": "critical"}),),
)


@pytest.fixture
def equipped(house: House) -> House:
    """The house with two machines, a room and a water point."""
    departments.keep_department(house.archive, house.visitor("ada"), SITE, now=house.now)
    return house


@pytest.fixture
def tape(tmp_path: Path) -> Upload:
    """A record of a cycle that meets its program."""
    file = tmp_path / "tape.csv"
    write_recorder_file(simulate(PROGRAM, "normal", seed=1), file)
    return Upload(file.name, "text/csv", file.read_bytes())


def _ran(house: House, tape: Upload, *, minutes: float = 40) -> str:
    """A cycle of the sterilizer, some time later."""
    house.later(minutes=minutes)
    ran = cycle_handing_in.Ran(STERILIZER, PROGRAM.name)
    # No two loads have the very same file: each tape says when it was torn off.
    torn = Upload(tape.name, tape.media_type, tape.data + f"\ntorn off {house.now:%H:%M}\n".encode())
    handed = cycle_handing_in.hand_in_cycles(
        house.archive, house.visitor("tom"), [torn], ran=ran, now=house.now
    )
    return handed.cycles[0]


def _check(
    house: House, check: str, *answers: str, thing: str = STERILIZER, cycle: str = "", by: str = "tom"
) -> machine_checks.CheckKept:
    house.later(minutes=1)
    return machine_checks.record_check(
        house.archive, house.visitor(by), thing, check, answers, now=house.now, cycle=cycle
    )


def _state(house: House, thing: str = STERILIZER) -> str:
    known = machines_today(house.archive, house.visitor("tom"), now=house.now)
    return next(one.state for one in known if one.thing.id == thing)


def test_every_bound_is_asked_in_the_unit_of_its_figure() -> None:
    """No question compares a reading with a published figure of another unit."""
    for check in policy().checks.values():
        for question in check.questions:
            for name in question.limits:
                unit = published(name).unit
                assert unit in {question.unit, "1"} or base_unit(unit) == question.unit, (question.id, name)


def test_days_agree_with_the_published_frequencies() -> None:
    """A check is due as often as its figure says: a day, a week, a month, a quarter (CDC 2008, ST108)."""
    days = {"per day": 1, "per week": 7, "per month": 30, "per quarter": 91}
    for check in policy().checks.values():
        for name in check.often:
            figure = published(name)
            expected = 365 / figure.value[0] if figure.unit == "per year" else days[figure.unit]
            assert check.days == int(expected), name


def test_a_new_department_has_everything_due_today(equipped: House) -> None:
    """Nothing was ever done: each machine, room and water point has its checks due, and none is overdue."""
    known = machines_today(equipped.archive, equipped.visitor("tom"), now=equipped.now)
    due = {one.thing.id: [due.needed.id for due in one.of("due")] for one in known}
    assert due == {
        STERILIZER: ["air-removal", "leak-rate"],
        "washer-1": ["screens-and-arms"],
        "sink": ["room-climate", "eyewash"],
        "loop": ["conductivity", "water-germs"],
    }
    assert {one.state for one in known} == {"due"}


def test_a_check_done_is_done_until_its_day_comes(equipped: House) -> None:
    """A weekly test done on Monday is later until the next Monday, due on that day, overdue on Tuesday."""
    _check(equipped, "leak-rate", "0.8")
    start = equipped.now
    states = []
    for day in (0, 3, 7, 8):
        equipped.now = start + timedelta(days=day)
        (one,) = (
            due
            for thing in machines_today(equipped.archive, equipped.visitor("tom"), now=equipped.now)
            if thing.thing.id == STERILIZER
            for due in thing.dues
            if due.needed.id == "leak-rate"
        )
        states.append(one.state)
    assert states == ["done", "later", "due", "overdue"]


def test_a_daily_check_is_overdue_only_once_the_machine_ran_without_it(equipped: House, tape: Upload) -> None:
    """A closed Sunday tells nobody of a missed test; a cycle on Monday before the test is a finding."""
    _check(equipped, "air-removal", "yes")
    _check(equipped, "leak-rate", "0.8")
    equipped.later(days=4)
    assert _state(equipped) == "due"
    _ran(equipped, tape)
    assert _state(equipped) == "overdue"
    today = machines_today(equipped.archive, equipped.visitor("tom"), now=equipped.now)
    (finding,) = findings_of(today[0], "Europe/Vienna")
    assert finding.rule == "machine-used-without-check"
    assert finding.message == (
        "Sterilizer 1 ran on 2026-03-06 without its air-removal test; last done 2026-03-02."
    )


def test_the_day_is_the_departments_own(equipped: House) -> None:
    """A test at half past midnight in Vienna belongs to the new day, though UTC still has the old one."""
    (needed, *_) = needed_by({"steam-sterilizer", "steam-with-air-removal"}, ChecksHere(), profile("eu"))
    late = datetime(2026, 3, 2, 23, 30, tzinfo=UTC)
    equipped.now = late
    _check(equipped, "air-removal", "yes")
    with equipped.archive.unit(writes=False) as unit:
        row = unit.rows.get("machine", "north/sterilizer-1")
    morning = late + timedelta(hours=10)
    assert due_of(needed, row, Clock(morning, "Europe/Vienna")).state == "done"
    assert due_of(needed, row, Clock(morning, "UTC")).state == "due"


def test_no_check_falls_due_on_a_closed_day(equipped: House) -> None:
    """A room read on Friday is due on Monday where the weekend is closed, on Saturday where it is open."""
    site = SITE.model_copy(update={"closed": (Weekday.saturday, Weekday.sunday)})
    equipped.later(days=4)
    _check(equipped, "room-climate", "20", "45", "yes", thing="sink")
    monday = equipped.later(days=3)
    assert _state(equipped, "sink") == "overdue"
    departments.keep_department(equipped.archive, equipped.visitor("ada"), site, now=monday)
    assert _state(equipped, "sink") == "due"


@pytest.mark.parametrize(("rate", "passed"), [("1.3", True), ("1,3", True), ("1.31", False)])
def test_the_leak_rate_passes_up_to_its_limit(equipped: House, rate: str, *, passed: bool) -> None:
    """1.3 mbar/min passes, anything above does not (EN 285, air leakage test, as quoted)."""
    done = _check(equipped, "leak-rate", rate)
    assert done.check.passed is passed
    assert done.check.answers[0].expected == "≤\xa01.3\xa0mbar/min"
    assert "EN 285" in done.check.answers[0].source


def test_a_failed_check_takes_the_machine_out_and_lists_the_loads_since_the_last_good_one(
    equipped: House, tape: Upload
) -> None:
    """Two loads before the last good test are left out, the three after it are listed, the latest first."""
    _ran(equipped, tape)
    _ran(equipped, tape)
    _check(equipped, "leak-rate", "0.7")
    since = [_ran(equipped, tape) for _ in range(3)]
    done = _check(equipped, "leak-rate", "2.4")
    assert done.out_of_use
    assert [load.id for load in done.loads] == since[::-1]
    page = open_thing(equipped.archive, equipped.visitor("olga"), STERILIZER, now=equipped.now)
    assert page.today.state == "out-of-use"
    assert [load.cycle.id for load in page.asked[0].loads] == since[::-1]
    later = _ran(equipped, tape)
    page = open_thing(equipped.archive, equipped.visitor("olga"), STERILIZER, now=equipped.now)
    assert page.asked[0].loads[0].cycle.id == later
    assert page.days[-1].state == "failed"
    assert page.days[-1].cycles == 6


def test_without_a_good_test_every_load_is_asked_after(equipped: House, tape: Upload) -> None:
    """Where no leak rate test ever passed, all loads that are kept are listed."""
    ran = [_ran(equipped, tape) for _ in range(2)]
    assert [load.id for load in _check(equipped, "leak-rate", "3").loads] == ran[::-1]


def test_one_file_counts_once_by_the_cycle_that_was_decided_on(house: House, tape: Upload) -> None:
    """Judged by two programs a run counts once: by the latest, and once somebody decided by that one."""
    longer = PROGRAM.model_copy(update={"name": "as the display says"})
    machine = SITE.machines[0].model_copy(update={"programs": (PROGRAM, longer)})
    site = SITE.model_copy(update={"machines": (machine, *SITE.machines[1:])})
    departments.keep_department(house.archive, house.visitor("ada"), site, now=house.now)
    tom, made = house.visitor("tom"), list[str]()
    for program in (PROGRAM, longer):
        house.later(minutes=5)
        ran = cycle_handing_in.Ran(STERILIZER, program.name, reason="the display says so")
        made += cycle_handing_in.hand_in_cycles(house.archive, tom, [tape], ran=ran, now=house.now).cycles
    first, latest = made

    def counted() -> list[tuple[str, str]]:
        page = open_thing(house.archive, house.visitor("olga"), STERILIZER, now=house.now)
        assert page.days[-1].cycles == 1
        return [(load.cycle.id, load.cycle.also) for load in page.asked[0].loads]

    _check(house, "leak-rate", "3")
    assert counted() == [(latest, PROGRAM.name)]
    ada = house.visitor("ada")
    cycle_deciding.decide(
        house.archive, ada, first, "held", verdict_revision=1, reason="asked", now=house.now
    )
    assert counted() == [(first, longer.name)]
    for cycle in made:
        assert cycle_records.open_cycle(house.archive, ada, cycle).counted == first


def test_a_cycle_on_a_machine_out_of_use_says_so(equipped: House, tape: Upload) -> None:
    """The record keeps why the machine was out of use; one handed in before does not say it."""
    before = _ran(equipped, tape)
    _check(equipped, "air-removal", "no")
    during = _ran(equipped, tape)
    kept = [
        cycle_records.open_cycle(equipped.archive, equipped.visitor("ada"), cycle).record.out_of_use
        for cycle in (before, during)
    ]
    assert kept[0] == ""
    assert kept[1].startswith("Air-removal test: Has the whole sheet changed evenly")


def test_only_a_passing_check_and_the_right_role_bring_it_back(equipped: House) -> None:
    """A technician may not; a lead may once the same check passes, and says why; then it is in use."""
    _check(equipped, "leak-rate", "2")
    back = machine_standing.return_to_use
    with pytest.raises(NotAllowed):
        back(equipped.archive, equipped.visitor("tom"), STERILIZER, reason="tight", now=equipped.now)
    with pytest.raises(BadInput, match="not shown yet: leak rate test"):
        back(equipped.archive, equipped.visitor("ada"), STERILIZER, reason="tight", now=equipped.now)
    _check(equipped, "leak-rate", "0.6")
    with pytest.raises(BadInput, match="reason"):
        back(equipped.archive, equipped.visitor("ada"), STERILIZER, reason=" ", now=equipped.now)
    back(equipped.archive, equipped.visitor("ada"), STERILIZER, reason="New gasket, tight", now=equipped.now)
    assert _state(equipped) == "due"
    with pytest.raises(BadInput, match="already"):
        back(equipped.archive, equipped.visitor("ada"), STERILIZER, reason="again", now=equipped.now)


def test_after_a_major_repair_three_empty_cycles_in_a_row_are_shown(equipped: House, tape: Upload) -> None:
    """Three empty cycles and three air-removal tests in a row (CDC 2008); one that fails starts anew."""
    tom, ada = equipped.visitor("tom"), equipped.visitor("ada")
    machine_standing.take_out_of_use(
        equipped.archive, tom, STERILIZER, "major-repair", reason="Pump replaced", now=equipped.now
    )
    for answer in ("yes", "no", "yes", "yes"):
        _check(equipped, "empty-cycle", "yes", answer, cycle=_ran(equipped, tape))
    page = open_thing(equipped.archive, tom, STERILIZER, now=equipped.now)
    shown = {one.check: (one.done, one.wanted) for one in page.to_show}
    assert shown == {"empty-cycle": (2, 3), "air-removal": (0, 3)}
    for _ in range(3):
        _check(equipped, "air-removal", "yes")
    with pytest.raises(BadInput, match=r"not shown yet: empty test cycle \(2 of 3 in a row\)"):
        machine_standing.return_to_use(equipped.archive, ada, STERILIZER, reason="ready", now=equipped.now)
    _check(equipped, "empty-cycle", "yes", "yes", cycle=_ran(equipped, tape))
    after = machine_standing.return_to_use(
        equipped.archive, ada, STERILIZER, reason="ready", now=equipped.now
    )
    assert after.in_use


def test_an_empty_cycle_needs_a_judged_record_of_its_own(
    equipped: House, tape: Upload, tmp_path: Path
) -> None:
    """Without a record, with one that stood behind a check before, or of another machine, nothing is kept."""
    with pytest.raises(BadInput, match="judged record"):
        _check(equipped, "empty-cycle", "yes", "yes")
    cycle = _ran(equipped, tape)
    _check(equipped, "empty-cycle", "yes", "yes", cycle=cycle)
    with pytest.raises(BadInput, match="earlier check"):
        _check(equipped, "empty-cycle", "yes", "yes", cycle=cycle)
    with pytest.raises(BadInput, match="another machine"):
        _check(equipped, "screens-and-arms", "yes", "yes", "yes", thing="washer-1", cycle=cycle)
    with pytest.raises(NotThere):
        _check(equipped, "empty-cycle", "yes", "yes", cycle="c-unknown")
    file = tmp_path / "bad.csv"
    write_recorder_file(simulate(PROGRAM, "short-exposure", seed=1), file)
    failed = _ran(equipped, Upload(file.name, "text/csv", file.read_bytes()))
    assert not _check(equipped, "empty-cycle", "yes", "yes", cycle=failed).check.passed


@pytest.mark.parametrize(
    ("thing", "check", "answers", "error", "sentence"),
    [
        (STERILIZER, "leak-rate", ("tight",), BadInput, "is no number"),
        (STERILIZER, "leak-rate", ("nan",), BadInput, "is no number"),
        (STERILIZER, "leak-rate", (), BadInput, "is no number"),
        (STERILIZER, "air-removal", ("perhaps",), BadInput, "expected yes or no"),
        (STERILIZER, "air-removal", (), BadInput, "expected an answer"),
        (STERILIZER, "air-removal", ("yes", "yes"), BadInput, "expected 1 answers"),
        (STERILIZER, "biological", (), BadInput, "needs no such check"),
        ("washer-1", "leak-rate", ("1",), BadInput, "needs no such check"),
        ("washer-9", "leak-rate", ("1",), NotThere, "no such machine"),
    ],
)
def test_what_is_no_check_is_refused(
    equipped: House, thing: str, check: str, answers: tuple[str, ...], error: type[Exception], sentence: str
) -> None:
    """A wrong answer, a check that the thing does not need, or a thing that is not here: nothing is kept."""
    with pytest.raises(error, match=sentence):
        _check(equipped, check, *answers, thing=thing)
    page = open_thing(equipped.archive, equipped.visitor("tom"), STERILIZER, now=equipped.now)
    assert page.checks == ()


def test_a_room_out_of_its_range_is_told_and_stays_in_use(equipped: House) -> None:
    """A cleaning room at 27 °C is a failed check, but nobody closes a room by a thermometer."""
    done = _check(equipped, "room-climate", "27", "45", "yes", thing="sink")
    assert not done.check.passed
    assert not done.out_of_use
    assert _state(equipped, "sink") == "failed"


def test_a_department_replaces_what_passes_and_how_often_with_a_reason(equipped: House) -> None:
    """Its own figure holds and says so with its reason; without a reason nothing is kept."""
    with pytest.raises(NotAllowed):
        _replace(equipped, "tom", 1, 0.5, reason="validated")
    with pytest.raises(BadInput, match="reason"):
        _replace(equipped, "ada", 1, 0.5, reason="")
    with pytest.raises(BadInput, match="expected 1 to"):
        _replace(equipped, "ada", 0, 0.5, reason="validated")
    _replace(equipped, "ada", 1, 0.5, reason="validated")
    done = _check(equipped, "leak-rate", "0.9")
    assert not done.check.passed
    assert done.check.answers[0].source == "this department: validated"
    here = next(one for one in own_checks(equipped.archive, equipped.visitor("tom")) if one.id == "leak-rate")
    assert (here.needed.often, here.needed.source) == ("each day", "this department: validated")


def _replace(house: House, who: str, days: int, high: float, *, reason: str) -> None:
    replace_check(
        house.archive,
        house.visitor(who),
        "leak-rate",
        is_needed=True,
        days=days,
        bounds={"rate": (None, high)},
        reason=reason,
        now=house.now,
    )


def test_a_check_can_be_asked_for_or_not(equipped: House) -> None:
    """The European profile does not ask for the biological test; a department may ask for it all the same."""
    before = {one.id: one.is_asked for one in own_checks(equipped.archive, equipped.visitor("tom"))}
    assert (before["biological"], before["leak-rate"]) == (False, True)
    replace_check(
        equipped.archive,
        equipped.visitor("ada"),
        "biological",
        is_needed=True,
        days=1,
        bounds={},
        reason="Asked for by infection prevention",
        now=equipped.now,
    )
    today = machines_today(equipped.archive, equipped.visitor("tom"), now=equipped.now)
    sterilizer = next(one for one in today if one.thing.id == STERILIZER)
    assert "biological" in {due.needed.id for due in sterilizer.of("due")}


def test_water_out_of_its_range_asks_after_the_washers_that_draw_it(house: House) -> None:
    """Critical water above 10 µS/cm asks for the loads of the machines whose programs name it."""
    from sinkside.desk.machine_things import things_of

    washer = {
        "id": "washer-1",
        "name": "Washer 1",
        "kind": "washer-disinfector",
        "programs": [
            {"kind": "washer-disinfector", "name": "93", "phases": [{"name": "rinse", "water": "loop"}]}
        ],
    }
    site = SITE.model_copy(update={"machines": (Machine.model_validate(washer), *SITE.machines[:1])})
    departments.keep_department(house.archive, house.visitor("ada"), site, now=house.now)
    loop = next(thing for thing in things_of(site) if thing.id == "loop")
    assert loop.machines == ("washer-1",)
    done = _check(house, "conductivity", "10", thing="loop")
    assert not done.check.passed


def test_machines_of_another_department_are_not_there(equipped: House) -> None:
    """Whoever works elsewhere sees no machine of this department, and records nothing on it."""
    from sinkside.records import Grant

    with equipped.archive.unit() as unit:
        unit.sites.add(ELSEWHERE)
        unit.people.grant(Grant(equipped.people["uma"], ELSEWHERE.id, "lead"))
    uma = equipped.visitor("uma", ELSEWHERE.id)
    assert machines_today(equipped.archive, uma, now=equipped.now) == ()
    with pytest.raises(NotThere):
        open_thing(equipped.archive, uma, STERILIZER, now=equipped.now)
    with pytest.raises(NotThere):
        machine_checks.record_check(equipped.archive, uma, STERILIZER, "leak-rate", ["1"], now=equipped.now)


def test_what_was_done_stands_in_the_record_book(equipped: House) -> None:
    """A failed check, the machine out of use and its return are events with plain sentences."""
    from sinkside.desk.record_book import read_record
    from sinkside.records import Wanted

    _check(equipped, "leak-rate", "2")
    _check(equipped, "leak-rate", "0.6")
    machine_standing.return_to_use(
        equipped.archive, equipped.visitor("ada"), STERILIZER, reason="tight", now=equipped.now
    )
    page = read_record(
        equipped.archive, equipped.visitor("ada"), Wanted(subject=f"machine:{STERILIZER}", limit=10)
    )
    assert [entry.sentence for entry in page.entries] == [
        "Ada returned Sterilizer 1 to use.",
        "Tom recorded the check leak-rate of Sterilizer 1: passed.",
        "Tom took Sterilizer 1 out of use (failed check).",
        "Tom recorded the check leak-rate of Sterilizer 1: not passed.",
    ]
