"""Indicators: lots, hours and controls; what must be there before a release; growth closes the sterilizer."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from sinkside.cycles import simulate, write_recorder_file
from sinkside.department import Department, Machine, Program
from sinkside.desk import cycle_deciding, cycle_handing_in, cycle_records, departments, machine_checks
from sinkside.desk.indicator_documents import Kind
from sinkside.desk.indicator_reading import IndicatorRead, read_biological
from sinkside.desk.indicators import (
    add_lot,
    indicators_of,
    look_at_chemical,
    place_biological,
    say_load,
)
from sinkside.desk.indicators_before_release import NeededThing, before_release, policy
from sinkside.desk.machine_pages import open_thing
from sinkside.desk.today import today
from sinkside.desk.uploads import Upload
from sinkside.documents import validate
from sinkside.errors import BadInput, NotAllowed, NotThere
from support.desk_house import House

STERILIZER = "sterilizer-1"
WRAPPED = {
    "kind": "steam-prevacuum",
    "name": "134/3",
    "exposure": {"temperature": "134 °C", "band": "3 K", "time": "3 min"},
    "air_removal": {"pulses": 3, "vacuum": "15 kPa"},
    "drying": {"time": "15 min", "vacuum": "10 kPa"},
}
PROGRAM = validate(Program, WRAPPED, resource="program")
OTHER = validate(Program, {**WRAPPED, "name": "134/3 heavy"}, resource="program")
SITE = Department(
    name="North",
    zone="Europe/Vienna",
    machines=tuple(
        Machine.model_validate(
            {"id": name, "name": name.capitalize(), "kind": "steam-sterilizer", "programs": [PROGRAM, OTHER]}
        )
        for name in (STERILIZER, "sterilizer-2")
    ),
)


@pytest.fixture(scope="module")
def tape(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A record of a cycle that meets its program."""
    file = tmp_path_factory.mktemp("tapes") / "tape.csv"
    write_recorder_file(simulate(PROGRAM, "normal", seed=1), file)
    return Path(file).read_bytes()


@pytest.fixture
def equipped(house: House) -> House:
    """The house with two sterilizers."""
    departments.keep_department(house.archive, house.visitor("ada"), SITE, now=house.now)
    return house


def _ran(house: House, tape: bytes, *, machine: str = STERILIZER, program: str = PROGRAM.name) -> str:
    """A cycle, forty minutes on; every file is one of its own."""
    house.later(minutes=40)
    upload = Upload(
        f"{house.now:%H%M}.csv", "text/csv", tape + b"\n" * (house.now.minute + house.now.hour + 1)
    )
    ran = cycle_handing_in.Ran(machine, program, reason="another load")
    handed = cycle_handing_in.hand_in_cycles(
        house.archive, house.visitor("tom"), [upload], ran=ran, now=house.now
    )
    return handed.cycles[0]


def _lot(house: House, kind: Kind = "biological", *, days: int = 90, hours: float | None = 3) -> str:
    return add_lot(
        house.archive,
        house.visitor("tom"),
        kind,
        name="Sporetell" if kind == "biological" else "Stripfive",
        lot="A17",
        expires=house.now.date() + timedelta(days=days),
        hours=hours if kind == "biological" else None,
        now=house.now,
    )


def _placed(house: House, cycle: str, lot: str) -> str:
    return place_biological(house.archive, house.visitor("tom"), cycle, lot, started=house.now, now=house.now)


def _read(house: House, indicator: str, *, grew: bool, control: bool = True) -> IndicatorRead:
    return read_biological(
        house.archive, house.visitor("tom"), indicator, grew=grew, control_grew=control, now=house.now
    )


def _needed(house: House, cycle: str) -> dict[str, NeededThing]:
    with house.archive.unit(writes=False) as unit:
        known = cycle_records.opened_cycle(unit, cycle_records.cycle_row(unit, house.visitor("ada"), cycle))
        things = before_release(unit, house.visitor("ada"), known, now=house.now)
    return {one.id: one for one in things}


def _release(house: House, cycle: str, reason: str = "") -> None:
    cycle_deciding.decide(
        house.archive,
        house.visitor("ada"),
        cycle,
        "released",
        verdict_revision=1,
        now=house.now,
        reason=reason,
    )


def test_an_expired_lot_is_neither_added_nor_used(equipped: House, tape: bytes) -> None:
    """A lot of yesterday is refused; one that ends today works today and not tomorrow."""
    with pytest.raises(BadInput, match="expired on"):
        _lot(equipped, days=-1)
    lot, cycle = _lot(equipped, days=0), _ran(equipped, tape)
    _placed(equipped, cycle, lot)
    equipped.later(days=1)
    with pytest.raises(BadInput, match="expired on 2026-03-02"):
        _placed(equipped, cycle, lot)
    with pytest.raises(BadInput, match="expired"):
        look_at_chemical(
            equipped.archive,
            equipped.visitor("tom"),
            cycle,
            _expired(equipped),
            passed=True,
            now=equipped.later(days=9),
        )


def _expired(house: House) -> str:
    return _lot(house, "chemical", days=3)


@pytest.mark.parametrize(("kind", "hours"), [("biological", None), ("chemical", 3.0)])
def test_only_biological_indicators_have_hours(equipped: House, kind: Kind, hours: float | None) -> None:
    """A biological lot says when it is read, a chemical one has nothing to wait for."""
    with pytest.raises(BadInput, match="hours"):
        add_lot(
            equipped.archive,
            equipped.visitor("tom"),
            kind,
            name="N",
            lot="1",
            expires=date(2030, 1, 1),
            hours=hours,
            now=equipped.now,
        )


def test_no_growth_is_not_read_early_but_growth_is(equipped: House, tape: bytes) -> None:
    """Before the hours are over only growth is a result; after them both are, and it is read once."""
    lot = _lot(equipped)
    first, second = (_placed(equipped, _ran(equipped, tape), lot) for _ in range(2))
    with pytest.raises(BadInput, match="hours are not over"):
        _read(equipped, second, grew=False)
    assert _read(equipped, second, grew=True).indicator.outcome == "positive"
    equipped.later(hours=3)
    assert _read(equipped, first, grew=False).indicator.outcome == "negative"
    with pytest.raises(BadInput, match="read already"):
        _read(equipped, first, grew=False)


def test_growth_is_a_deviation_of_its_machine_and_no_growth_is_none(equipped: House, tape: bytes) -> None:
    """One report by the indicator that grew, with the sterilizer and what follows; none by the other."""
    lot = _lot(equipped)
    first, second = (_placed(equipped, _ran(equipped, tape), lot) for _ in range(2))
    equipped.later(hours=3)
    _read(equipped, first, grew=False)
    _read(equipped, second, grew=True)
    with equipped.archive.unit(writes=False) as unit:
        (row,) = unit.rows.all("deviation", [equipped.visitor("tom").department])
    assert (row.fields["fault"], row.fields["machine"], row.state) == (
        "indicator-grew", STERILIZER, "measures-taken",
    )  # fmt: skip


def test_without_growth_of_its_control_an_indicator_says_nothing(equipped: House, tape: bytes) -> None:
    """The control must grow: without that no growth is no result, and another indicator is asked for."""
    cycle = _ran(equipped, tape)
    say_load(equipped.archive, equipped.visitor("tom"), cycle, implant=True, words="", now=equipped.now)
    indicator = _placed(equipped, cycle, _lot(equipped))
    equipped.later(hours=3)
    assert _read(equipped, indicator, grew=False, control=False).indicator.outcome == "not-valid"
    thing = _needed(equipped, cycle)["biological-implant"]
    assert (thing.state, "says nothing" in thing.sentence) == ("missing", True)


def test_an_implant_is_held_until_its_indicator_is_read(equipped: House, tape: bytes) -> None:
    """Waiting, late and missing all refuse the release of an implant; a negative lets a person decide."""
    cycle = _ran(equipped, tape)
    say_load(
        equipped.archive, equipped.visitor("tom"), cycle, implant=True, words="Plate set", now=equipped.now
    )
    with pytest.raises(BadInput, match="cannot be released without: biological indicator of a load with an"):
        _release(equipped, cycle, "urgent")
    indicator = _placed(equipped, cycle, _lot(equipped))
    assert _needed(equipped, cycle)["biological-implant"].state == "waiting"
    equipped.later(hours=4)
    assert _needed(equipped, cycle)["biological-implant"].state == "late"
    with pytest.raises(BadInput, match="cannot be released"):
        _release(equipped, cycle, "urgent")
    _read(equipped, indicator, grew=False)
    assert _needed(equipped, cycle)["biological-implant"].is_there
    _release(equipped, cycle, "No chemical indicator was packed")


def test_a_late_result_is_told_to_those_who_read_it(equipped: House, tape: bytes) -> None:
    """An indicator whose hours are over is a concern of the day until somebody reads it."""
    indicator = _placed(equipped, _ran(equipped, tape), _lot(equipped))

    def told(name: str) -> list[str]:
        matters = today(equipped.archive, equipped.visitor(name), now=equipped.now)
        return [matter.id for matter in matters if matter.noun == "indicator"]

    assert told("tom") == []
    equipped.later(hours=3, minutes=1)
    assert told("tom") == told("ada") == [indicator]
    assert told("olga") == []
    _read(equipped, indicator, grew=False)
    assert told("tom") == []


def test_growth_closes_the_sterilizer_and_asks_after_everything_since_the_last_negative(
    equipped: House, tape: bytes
) -> None:
    """All programs of that sterilizer since the last negative: no other machine, not the cycle it was in."""
    lot = _lot(equipped)
    before, good = _ran(equipped, tape), _ran(equipped, tape)
    negative = _placed(equipped, good, lot)
    since = [
        _ran(equipped, tape),
        _ran(equipped, tape, program=OTHER.name),
        _ran(equipped, tape),
    ]
    _ran(equipped, tape, machine="sterilizer-2")
    equipped.later(hours=3)
    _read(equipped, negative, grew=False)
    positive = _placed(equipped, since[-1], lot)
    read = _read(equipped, positive, grew=True)
    assert read.out_of_use
    assert [load.id for load in read.loads] == since[::-1]
    assert before not in {load.id for load in read.loads}
    page = open_thing(equipped.archive, equipped.visitor("olga"), STERILIZER, now=equipped.now)
    assert page.today.state == "out-of-use"
    assert [load.cycle.id for load in page.asked[0].loads] == since[::-1]
    assert {one.check for one in page.to_show} == {"empty-cycle", "air-removal"}
    other = open_thing(equipped.archive, equipped.visitor("olga"), "sterilizer-2", now=equipped.now)
    assert other.today.state != "out-of-use"


def test_growth_lets_nothing_out_whether_it_was_asked_for_or_not(equipped: House, tape: bytes) -> None:
    """A load without an implant needs no biological indicator; one that grew all the same holds it."""
    cycle = _ran(equipped, tape)
    assert "biological" not in _needed(equipped, cycle)
    _read(equipped, _placed(equipped, cycle, _lot(equipped)), grew=True)
    assert _needed(equipped, cycle)["biological"].state == "bad"
    with pytest.raises(BadInput, match="cannot be released"):
        _release(equipped, cycle, "urgent")


def test_a_release_without_what_must_be_there_says_so_for_good(equipped: House, tape: bytes) -> None:
    """Without strip, air-removal test and word on the load a reason is asked for, and all of it is kept."""
    cycle = _ran(equipped, tape)
    assert {one.id for one in _needed(equipped, cycle).values() if not one.is_there} == {
        "held",
        "air-removal",
        "chemical",
    }
    with pytest.raises(BadInput, match="reason"):
        _release(equipped, cycle)
    _release(equipped, cycle, "Opened and looked at")
    known = cycle_records.open_cycle(equipped.archive, equipped.visitor("ada"), cycle)
    assert known.decision is not None
    assert known.decision.without == (
        "What the load held",
        "Air-removal test of the day",
        "Chemical indicator",
    )


def test_with_everything_there_a_release_needs_no_reason(equipped: House, tape: bytes) -> None:
    """The day's test passed, the strip changed, no implant: a named person releases, and nobody before."""
    tom = equipped.visitor("tom")
    machine_checks.record_check(
        equipped.archive, tom, STERILIZER, "air-removal", ["yes"], now=equipped.later(minutes=5)
    )
    cycle = _ran(equipped, tape)
    say_load(equipped.archive, tom, cycle, implant=False, words="", now=equipped.now)
    look_at_chemical(equipped.archive, tom, cycle, _lot(equipped, "chemical"), passed=True, now=equipped.now)
    assert all(one.is_there for one in _needed(equipped, cycle).values())
    row = cycle_records.open_cycle(equipped.archive, tom, cycle).row
    assert row.state == "undecided"
    _release(equipped, cycle)


def test_a_failed_strip_speaks_against_release(equipped: House, tape: bytes) -> None:
    """One strip that did not change outweighs one that did."""
    cycle, lot, tom = _ran(equipped, tape), _lot(equipped, "chemical"), equipped.visitor("tom")
    for passed in (True, False):
        look_at_chemical(equipped.archive, tom, cycle, lot, passed=passed, now=equipped.now)
    assert _needed(equipped, cycle)["chemical"].state == "bad"
    with equipped.archive.unit(writes=False) as unit:
        assert [one.outcome for _, one in indicators_of(unit, cycle)] == ["passed", "failed"]


def test_a_load_of_a_machine_out_of_use_is_released_with_a_reason_only(equipped: House, tape: bytes) -> None:
    """What ran while the machine was closed says so among what must be there."""
    machine_checks.record_check(
        equipped.archive, equipped.visitor("tom"), STERILIZER, "air-removal", ["no"], now=equipped.now
    )
    thing = _needed(equipped, _ran(equipped, tape))["machine"]
    assert (thing.state, thing.missing) == ("bad", "reason")
    assert thing.sentence.startswith("It was out of use when the record was handed in: Air-removal test")


def test_who_may_not_and_what_is_not_here(equipped: House, tape: bytes) -> None:
    """An auditor records nothing; a lot of the wrong kind or of nowhere, or a start to come, is refused."""
    cycle, lot = _ran(equipped, tape), _lot(equipped)
    with pytest.raises(NotAllowed):
        say_load(equipped.archive, equipped.visitor("olga"), cycle, implant=False, words="", now=equipped.now)
    with pytest.raises(BadInput, match="expected chemical"):
        look_at_chemical(equipped.archive, equipped.visitor("tom"), cycle, lot, passed=True, now=equipped.now)
    with pytest.raises(NotThere):
        _placed(equipped, cycle, "t-none")
    with pytest.raises(NotThere):
        _placed(equipped, "c-none", lot)
    with pytest.raises(BadInput, match="within the last 14 days"):
        place_biological(
            equipped.archive,
            equipped.visitor("tom"),
            cycle,
            lot,
            started=equipped.now + timedelta(hours=1),
            now=equipped.now,
        )


def test_every_need_says_who_asks_for_it() -> None:
    """Each thing that must be there before a release names its source, or says that it is common practice."""
    for need in policy().needs.values():
        assert need.source
    assert "CDC" in policy().needs["biological-implant"].source
