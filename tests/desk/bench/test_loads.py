"""Loads at the desk: built by scanning, started, linked to their record, decided by a named person."""

from __future__ import annotations

from copy import deepcopy
from datetime import timedelta
from typing import Any

import pytest

from sinkside.department.document import LimitOverride
from sinkside.desk import departments
from sinkside.desk.bench import load_deciding
from sinkside.desk.bench.runs import copy_of_code, run_of
from sinkside.desk.indicators import load_held
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.limits import published
from support.bench_house import CODES, BenchHouse, bench_house, demo_department
from support.load_house import (
    STEAM,
    STERILIZER,
    WASHER,
    WASHING,
    at_the_sink,
    copy_now,
    decided,
    load_now,
    load_with,
    packed,
    recorded,
    sterilized,
    tape,
    to_the_pack,
    washed,
)

FIRST, SECOND, THIRD = CODES


@pytest.fixture(scope="module")
def fresh() -> BenchHouse:
    """A bench with nothing on it yet, set up once."""
    return bench_house()


@pytest.fixture
def bench(fresh: BenchHouse) -> BenchHouse:
    """The same, one for each test."""
    return deepcopy(fresh)


def _refused(bench: BenchHouse, act: str, name: str = "tom", **fields: Any) -> str:
    answer = bench.tap(name, act, **fields)
    assert answer.outcome == "refused", answer.said
    return answer.said


def test_a_wrong_piece_is_caught_while_the_load_is_built(bench: BenchHouse) -> None:
    """A soiled set never enters a sterilizer, a washed one not without its pack; nothing of it is kept."""
    at_the_sink(bench, FIRST)
    bench.done("tom", "open-load", **STERILIZER, program=STEAM)
    assert "never goes into a sterilizer" in _refused(bench, "add-to-load", **STERILIZER, code=FIRST)
    washed(bench, FIRST)
    bench.done("tom", "to-clean-side")
    assert "is not packed" in _refused(bench, "add-to-load", **STERILIZER, code=FIRST)
    assert "nothing lies in this load" in _refused(bench, "start-load", **STERILIZER)


def test_a_program_that_the_text_does_not_name_is_refused_with_what_would_do(bench: BenchHouse) -> None:
    """The tube's text is washed at 90 °C and steamed at 134 °C for 3 min; other programs are refused."""
    at_the_sink(bench, FIRST)
    bench.done("tom", "open-load", **WASHER, program="Gentle 90", rack="rack-trays")
    said = _refused(bench, "add-to-load", **WASHER, code=FIRST)
    assert "does not go into Washer 1, Gentle 90" in said
    assert WASHING in said
    assert copy_now(bench).state == "at-sink"


def test_a_second_washer_does_whose_program_the_text_names_as_well(bench: BenchHouse) -> None:
    """The route names the first washer; the second one's program is held against the text itself."""
    at_the_sink(bench, FIRST)
    second = {"machine": "washer-2"}
    bench.done("tom", "open-load", **second, program=WASHING, rack="rack-trays-2")
    bench.done("tom", "add-to-load", **second, code=FIRST)
    bench.done("tom", "start-load", **second)
    bench.done("tom", "end-load", **second, complete=True)
    assert "no washer record" in _refused(bench, "to-clean-side")
    load_deciding.decide_without_trace(
        bench.house.archive,
        bench.house.visitor("lena"),
        load_with(bench, FIRST),
        "released",
        read="92 °C for 5 min on the display",
        reason="this washer has no recorder",
        now=bench.now,
    )
    bench.done("tom", "to-clean-side")


def test_what_was_not_taken_up_at_the_sink_enters_no_washer(bench: BenchHouse) -> None:
    """A set straight from theatre, or half done at the sink, is refused: what is not done is said."""
    bench.done("tom", "arrive")
    bench.done("tom", "open-load", **WASHER, program=WASHING)
    assert "was not taken up at the sink" in _refused(bench, "add-to-load", **WASHER, code=FIRST)
    bench.done("tom", "take-up")
    assert "not done at the sink" in _refused(bench, "add-to-load", **WASHER, code=FIRST)


def test_a_piece_lies_in_one_load_at_a_time(bench: BenchHouse) -> None:
    """Twice into the same load, or into another before it is decided, is refused; taken out, it may go in."""
    at_the_sink(bench, FIRST)
    bench.done("tom", "open-load", **WASHER, program=WASHING)
    bench.done("tom", "open-load", machine="washer-2", program=WASHING)
    bench.done("tom", "add-to-load", **WASHER, code=FIRST)
    assert "lies in this load already" in _refused(bench, "add-to-load", **WASHER, code=FIRST)
    assert "lies in a load of Washer 1" in _refused(bench, "add-to-load", machine="washer-2", code=FIRST)
    assert bench.done("tom", "take-out-of-load", **WASHER, code=FIRST).state == "at-sink"
    bench.done("tom", "add-to-load", machine="washer-2", code=FIRST)
    assert "does not lie in this load" in _refused(bench, "take-out-of-load", **WASHER, code=FIRST)


def test_one_load_is_built_and_one_runs_at_a_time(bench: BenchHouse) -> None:
    """A second one is refused; the next is built while one runs, and waits for its end."""
    at_the_sink(bench, FIRST, SECOND)
    bench.done("tom", "open-load", **WASHER, program=WASHING)
    assert "is being built" in _refused(bench, "open-load", **WASHER, program=WASHING)
    bench.done("tom", "add-to-load", **WASHER, code=FIRST)
    bench.done("tom", "start-load", **WASHER)
    assert "no load is being built" in _refused(bench, "add-to-load", **WASHER, code=SECOND)
    bench.done("tom", "open-load", **WASHER, program=WASHING)
    bench.done("tom", "add-to-load", **WASHER, code=SECOND)
    assert "another load is in Washer 1" in _refused(bench, "start-load", **WASHER)
    bench.done("tom", "end-load", **WASHER, complete=True)
    bench.done("tom", "start-load", **WASHER)


def test_what_was_held_or_sent_back_meanwhile_does_not_start_with_its_load(bench: BenchHouse) -> None:
    """A hold stops the start until the piece is out; what was sent back lies in the load no longer."""
    at_the_sink(bench, FIRST, SECOND)
    bench.done("tom", "open-load", **WASHER, program=WASHING)
    for code in (FIRST, SECOND):
        bench.done("tom", "add-to-load", **WASHER, code=code)
    bench.done("tom", "hold", code=FIRST, why="asked the maker")
    bench.done("tom", "send-back", code=SECOND, reason="a lumen is blocked")
    assert "take it out first" in _refused(bench, "start-load", **WASHER)
    bench.done("tom", "take-out-of-load", **WASHER, code=FIRST)
    assert "nothing lies in this load" in _refused(bench, "start-load", **WASHER)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"machine": "washer-9", "program": WASHING}, "there is no machine 'washer-9' here"),
        ({"machine": "washer-1", "program": "Hot 99"}, "has no program 'Hot 99'"),
        ({"machine": "washer-1", "program": WASHING, "rack": "rack-9"}, "has no rack 'rack-9'"),
        ({"machine": "bath-1", "program": "Ultrasonic 40 kHz"}, "takes no loads"),
    ],
)
def test_what_is_not_there_is_said(bench: BenchHouse, fields: dict[str, str], said: str) -> None:
    """A machine, program or rack that the department lacks is refused by its name, with those it has."""
    assert said in _refused(bench, "open-load", **fields)


def test_theatre_builds_no_load(bench: BenchHouse) -> None:
    """Whoever does not work at the bench has no hand in loads."""
    assert "does not allow" in _refused(bench, "open-load", "nora", **WASHER, program=WASHING)


def test_a_washer_without_recorder_is_decided_by_what_was_read(bench: BenchHouse) -> None:
    """With words and a reason, by whoever decides, once it is out; marked so for good. A sterilizer never."""
    at_the_sink(bench, FIRST)
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    bench.done("tom", "open-load", **WASHER, program=WASHING)
    bench.done("tom", "add-to-load", **WASHER, code=FIRST)
    bench.done("tom", "start-load", **WASHER)
    load = load_with(bench, FIRST)
    told: dict[str, Any] = {"read": "92 °C for 5 min", "reason": "it has no recorder", "now": bench.now}
    with pytest.raises(Conflict, match="out of its machine"):
        load_deciding.decide_without_trace(archive, lena, load, "released", **told)
    bench.done("tom", "end-load", **WASHER, complete=False, note="door fault")
    with pytest.raises(BadInput, match="broke off"):
        load_deciding.decide_without_trace(archive, lena, load, "released", **told)
    with pytest.raises(NotAllowed):
        load_deciding.decide_without_trace(archive, bench.house.visitor("tom"), load, "held", **told)
    with pytest.raises(BadInput, match="8 to 2000"):
        load_deciding.decide_without_trace(archive, lena, load, "held", **{**told, "reason": "so"})
    with pytest.raises(BadInput, match="reads like a name"):
        load_deciding.decide_without_trace(
            archive, lena, load, "held", **{**told, "reason": "needed by patient Maier"}
        )
    load_deciding.decide_without_trace(archive, lena, load, "held", **told)
    assert load_now(bench, load).fields["no_trace"] is True
    assert "no washer record" in _refused(bench, "to-clean-side")
    bench.done("tom", "send-back", reason="the washer broke off")
    bench.done("tom", "take-up")


def test_a_sterilizers_load_is_decided_on_its_record_alone(bench: BenchHouse) -> None:
    """Handed in for the load and judged, then released by the lead: the packs are out, and cool for 30 min.

    The figure is the published one (ANSI/AAMI ST79, second-hand).
    """
    to_the_pack(bench, FIRST)
    load = sterilized(bench, FIRST)
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    with pytest.raises(BadInput, match="decided on its record"):
        load_deciding.decide_without_trace(
            archive, lena, load, "released", read="134 °C for 3 min", reason="no recorder", now=bench.now
        )
    cycle = recorded(bench, load)
    assert load_now(bench, load).cycle == cycle
    assert copy_now(bench).state == "in-sterilizer"
    ended = bench.now
    bench.later(5)
    decided(bench, cycle)
    assert load_now(bench, load).state == "released"
    assert copy_now(bench).state == "sterilized"
    with archive.unit(writes=False) as unit:
        inside = run_of(unit, copy_of_code(unit, "north", FIRST)).run.loads[-1]
    assert published("steam-cooling-minimum").ends("min")[0] == 30
    assert inside.cooled == ended + timedelta(minutes=30)


def test_a_department_may_let_packs_cool_longer(bench: BenchHouse) -> None:
    """Its own 45 min stand in the place of the published figure, with its reason."""
    own = {"limit": "steam-cooling-minimum", "value": "45 min", "reason": "heavy sets"}
    overrides = (LimitOverride.model_validate(own),)
    site = demo_department().model_copy(update={"overrides": overrides})
    departments.keep_department(bench.house.archive, bench.house.visitor("lena"), site, now=bench.now)
    to_the_pack(bench, FIRST)
    load = sterilized(bench, FIRST)
    ended = bench.now
    decided(bench, recorded(bench, load))
    assert load_now(bench, load).fields["cooled"] == (ended + timedelta(minutes=45)).isoformat()


def test_a_failed_cycle_holds_everything_in_it(bench: BenchHouse) -> None:
    """A record that does not dry long enough fails; held by the lead, its set goes back to the sink."""
    to_the_pack(bench, FIRST)
    load = sterilized(bench, FIRST)
    decided(bench, recorded(bench, load, "short-dry"), "held")
    assert load_now(bench, load).state == "held"
    with bench.house.archive.unit(writes=False) as unit:
        assert run_of(unit, copy_of_code(unit, "north", FIRST)).run.loads[-1].end == "held"
    bench.done("tom", "send-back", reason="drying too short")
    assert copy_now(bench).state == "soiled"


def test_a_decision_that_changes_reaches_the_load_again(bench: BenchHouse) -> None:
    """Released, then held by a second look: the load and its packs follow."""
    to_the_pack(bench, FIRST)
    load = sterilized(bench, FIRST)
    cycle = recorded(bench, load)
    decided(bench, cycle)
    bench.later(10)
    decided(bench, cycle, "held")
    assert load_now(bench, load).state == "held"
    with bench.house.archive.unit(writes=False) as unit:
        assert run_of(unit, copy_of_code(unit, "north", FIRST)).run.loads[-1].end == "held"


def test_a_record_belongs_to_one_load_of_its_own_machine(bench: BenchHouse) -> None:
    """Before the start, twice, of another machine, or not there: each is refused."""
    to_the_pack(bench, FIRST, SECOND)
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    load = sterilized(bench, FIRST)
    cycle = recorded(bench, load)
    with pytest.raises(Conflict, match="has a record already"):
        load_deciding.hand_in_for(archive, tom, load, [tape()], now=bench.now)
    bench.done("tom", "open-load", **STERILIZER, program=STEAM)
    bench.done("tom", "add-to-load", **STERILIZER, code=SECOND)
    other = load_with(bench, SECOND)
    with pytest.raises(Conflict, match="not begun"):
        load_deciding.link_cycle(archive, tom, other, cycle, now=bench.now)
    bench.done("tom", "start-load", **STERILIZER)
    with pytest.raises(Conflict, match="another load"):
        load_deciding.link_cycle(archive, tom, other, cycle, now=bench.now)
    with pytest.raises(NotThere):
        load_deciding.link_cycle(archive, tom, "l-none", cycle, now=bench.now)


def test_an_implant_is_marked_and_told_to_the_record(bench: BenchHouse) -> None:
    """Marked while it is built, the load's record knows of it, and is not released without its indicator."""
    to_the_pack(bench, FIRST)
    bench.done("tom", "open-load", **STERILIZER, program=STEAM)
    bench.done("tom", "add-to-load", **STERILIZER, code=FIRST)
    bench.done("tom", "mark-implant", **STERILIZER, words="plate, four holes")
    bench.done("tom", "start-load", **STERILIZER)
    bench.later(45)
    bench.done("tom", "end-load", **STERILIZER, complete=True)
    cycle = recorded(bench, load_with(bench, FIRST))
    with bench.house.archive.unit(writes=False) as unit:
        held = load_held(unit, cycle)
    assert held is not None
    assert (held.implant, held.words) == (True, "plate, four holes")
    with pytest.raises(BadInput, match="biological indicator"):
        decided(bench, cycle)
    assert "implants are asked after" in _refused_washer(bench)


def _refused_washer(bench: BenchHouse) -> str:
    at_the_sink(bench, SECOND)
    bench.done("tom", "open-load", **WASHER, program=WASHING)
    return _refused(bench, "mark-implant", **WASHER, words="plate")


def test_a_set_out_of_a_released_washer_goes_on_and_not_back(bench: BenchHouse) -> None:
    """After the clean side it enters no washer any more, unless it is sent back to the sink."""
    at_the_sink(bench, THIRD)
    washed(bench, THIRD)
    packed(bench, THIRD)
    bench.done("tom", "open-load", **WASHER, program=WASHING)
    assert "does not go back among soiled things" in _refused(bench, "add-to-load", **WASHER, code=THIRD)
