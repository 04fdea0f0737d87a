"""Deviations entered by hand and worked on by whoever may; the effect counts the fault again by itself."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from sinkside.bench.deviations import DeviationReport, Standing
from sinkside.bench.faults import policy
from sinkside.desk.deviations import working
from sinkside.desk.deviations.kept import keep_report, opened_report
from sinkside.desk.deviations.working import Entered
from sinkside.desk.record_book import read_record
from sinkside.desk.today import today
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.instruction import Stage
from sinkside.records import Wanted
from support.bench_house import CODES, BenchHouse, bench_house
from support.load_house import at_the_sink, to_the_pack, washed

EFFECT = timedelta(days=policy().due.effect_days)


@pytest.fixture(scope="module")
def fresh() -> BenchHouse:
    """A bench, set up once, with an infection preventionist."""
    made = bench_house()
    made.house.add("ruth", "infection-prevention")
    made.house.add("olga", "auditor")
    return made


@pytest.fixture
def bench(fresh: BenchHouse) -> BenchHouse:
    """The same, one for each test."""
    return deepcopy(fresh)


def _report(bench: BenchHouse, name: str = "nora", *, fault: str = "wet-pack", **more: Any) -> str:
    at = more.pop("at", bench.now)
    entered = Entered(fault=fault, at=at, **more)
    return working.report(bench.house.archive, bench.house.visitor(name), entered, now=bench.now)


def _does(bench: BenchHouse, name: str, verb: Callable[..., None], key: str, **fields: Any) -> None:
    verb(bench.house.archive, bench.house.visitor(name), key, now=bench.now, **fields)


def _see(bench: BenchHouse, key: str) -> DeviationReport:
    return working.see_report(bench.house.archive, bench.house.visitor("lena"), key).report


def _corrected(bench: BenchHouse) -> str:
    """One that Tom corrected."""
    key = _report(bench, measure="the load was held")
    _does(bench, "lena", working.say_cause, key, began=Stage.packaging, words="the trays stood too close")
    person = bench.house.people["tom"]
    _does(bench, "lena", working.name_corrector, key, words="space the trays", person=person)
    bench.later(60)
    _does(bench, "tom", working.say_corrected, key, words="a spacer lies on every rack")
    return key


def test_theatre_reports_in_one_go(bench: BenchHouse) -> None:
    """Kind and code are enough: what it is called, stage and set follow; nobody's name is kept."""
    key = _report(bench, fault="torn-wrap", code=CODES[0])
    known = _see(bench, key)
    assert (known.words, known.found, known.name, known.by) == (
        policy().faults["torn-wrap"].words, "point-of-use", "Suction set", bench.house.people["nora"],
    )  # fmt: skip
    assert known.standing is Standing.open


def test_a_complaint_finds_the_load_that_it_is_counted_at(bench: BenchHouse) -> None:
    """Soil in the field, by the set's code: the washer of its last run is named by itself."""
    at_the_sink(bench, CODES[0])
    load = washed(bench, CODES[0])
    key = _report(bench, fault="soil-found", code=CODES[0], found=Stage.point_of_use, delay_min=20)
    known = _see(bench, key)
    assert (known.machine, known.load, known.delay_min, known.delay_told) == ("washer-1", load, 20, True)


@pytest.mark.parametrize(
    ("more", "refusal", "sentence"),
    [
        ({"fault": "nothing"}, BadInput, "expected one of"),
        ({"code": "SET-77"}, NotThere, "no set here has the code"),
        ({"machine": "nowhere"}, NotThere, "no such machine"),
        ({"words": "soil, asked Frau Berg"}, BadInput, "reads like a name"),
        ({"delay_min": -3}, BadInput, "expected 0 to"),
        ({"at": datetime.fromisoformat("2031-01-01T00:00:00+00:00")}, BadInput, "in the future"),
    ],
)
def test_what_cannot_be_reported_says_why(
    bench: BenchHouse, more: dict[str, Any], refusal: type[Exception], sentence: str
) -> None:
    """Unknown kinds, sets and machines, names, times to come: refused in a sentence."""
    with pytest.raises(refusal, match=sentence):
        _report(bench, **more)


def test_the_way_of_a_deviation(bench: BenchHouse) -> None:
    """Reported by theatre, caused and assigned by the lead, corrected by Tom, seen to hold by another."""
    key = _corrected(bench)
    assert _see(bench, key).standing is Standing.corrected
    bench.later(60)
    with pytest.raises(BadInput, match="too early"):
        _does(bench, "lena", working.check_effect, key, held=True, words="no wet pack since")
    bench.later(EFFECT.total_seconds() / 60)
    bench.house.now = bench.now
    _does(bench, "lena", working.check_effect, key, held=True, words="no wet pack since")
    known = _see(bench, key)
    assert known.standing is Standing.closed
    effect = known.corrections[0].effect
    assert effect is not None
    assert (effect.before.found, effect.after.found) == (1, 0)
    assert effect.after.days == EFFECT.days


def test_the_effect_counts_the_same_fault_before_and_after(bench: BenchHouse) -> None:
    """Three before, one after, of other kinds none; and how many sets were packed in both times."""
    for _ in range(2):
        _report(bench)
    _report(bench, fault="label")
    to_the_pack(bench, CODES[0])
    key = _corrected(bench)
    bench.later(60)
    _report(bench)
    with bench.house.archive.unit(writes=False) as unit:
        lena = bench.house.visitor("lena")
        before, after = working.counted_around(unit, lena, _see(bench, key), now=bench.now)
    assert (before.found, before.sets) == (3, 1)
    assert (after.found, after.sets) == (0, 0)
    bench.later(1)
    with bench.house.archive.unit(writes=False) as unit:
        _, later = working.counted_around(unit, lena, _see(bench, key), now=bench.now)
    assert (later.found, later.days) == (1, 1)


def test_who_may_do_what(bench: BenchHouse) -> None:
    """Theatre reports and no more; a technician says measures; the lead does the rest; an auditor reads."""
    key = _report(bench)
    with pytest.raises(NotAllowed):
        _does(bench, "nora", working.say_measure, key, words="the load was held")
    _does(bench, "tom", working.say_measure, key, words="the load was held")
    with pytest.raises(NotAllowed):
        _does(bench, "tom", working.say_cause, key, began=Stage.packaging, words="too close")
    with pytest.raises(NotAllowed):
        _report(bench, "olga")
    with pytest.raises(BadInput, match="no correction to carry out"):
        _does(bench, "olga", working.say_corrected, key, words="all is well now")
    _does(bench, "ruth", working.say_cause, key, began=Stage.packaging, words="trays too close")
    with pytest.raises(BadInput, match="somebody of this department"):
        _does(bench, "lena", working.name_corrector, key, words="space them", person="p-none")
    tom = bench.house.people["tom"]
    _does(bench, "lena", working.name_corrector, key, words="space the trays", person=tom)
    with pytest.raises(BadInput, match="somebody else is named"):
        _does(bench, "tia", working.say_corrected, key, words="all is well now")
    assert _see(bench, key).correction is not None


def test_a_minor_one_is_asked_further_and_its_delay_said(bench: BenchHouse) -> None:
    """Measures close it; the lead asks further; how long the case waited is said afterwards."""
    key = _report(bench, fault="label", measure="relabelled and looked up")
    assert _see(bench, key).standing is Standing.closed
    _does(bench, "lena", working.ask_further, key)
    _does(bench, "tom", working.say_delay, key, minutes=12)
    known = _see(bench, key)
    assert (known.standing, known.delay_min, known.delay_told) == (Standing.measures_taken, 12, True)


def test_every_step_stands_in_the_record_book_in_a_sentence(bench: BenchHouse) -> None:
    """Each step is one event of the deviation, told with its kind's own words."""
    key = _corrected(bench)
    bench.later(60)
    _does(bench, "lena", working.check_effect, key, held=False, words="two more wet packs")
    bench.house.now = bench.now
    wanted = Wanted(subject=f"deviation:{key}", limit=50)
    page = read_record(bench.house.archive, bench.house.visitor("lena"), wanted)
    told = [one.sentence for one in page.entries]
    assert len(told) == 5
    assert all("Wet pack" in one for one in told), told
    assert any("did not hold" in one for one in told)
    assert _see(bench, key).standing is Standing.measures_taken


def test_two_at_once_do_not_overwrite_each_other(bench: BenchHouse) -> None:
    """Who read an older state of it is refused, and loses nothing of the other's words."""
    key, lena = _report(bench), bench.house.visitor("lena")
    with bench.house.archive.unit(writes=False) as unit:
        before = opened_report(unit, lena, key)
    _does(bench, "tom", working.say_measure, key, words="the load was held")
    with pytest.raises(Conflict), bench.house.archive.unit() as unit:
        keep_report(unit, lena, before, before.report, "deviation-delay", now=bench.now)
    assert len(_see(bench, key).measures) == 1


def test_another_department_has_none_of_it(bench: BenchHouse) -> None:
    """A deviation of the north is not there for a visitor of another department."""
    key = _report(bench)
    elsewhere = replace(bench.house.visitor("lena"), department="south")
    for wanted in (key, "d-none", "r-none.1"):
        with pytest.raises(NotThere, match="no such deviation"):
            working.see_report(bench.house.archive, elsewhere, wanted)


def test_today_tells_what_is_due_to_whoever_can_do_it(bench: BenchHouse) -> None:
    """Due after a day: to a technician what asks for measures; to who is named, the correction."""
    key = _report(bench, code=CODES[0])

    def told(name: str) -> list[str]:
        matters = today(bench.house.archive, bench.house.visitor(name), now=bench.now)
        return [one.sentence for one in matters if one.noun == "deviation"]

    assert told("tom") == []
    bench.house.now = bench.later(25 * 60)
    assert told("tom") == ["Wet pack, Suction set: say what was done at once."]
    assert told("nora") == []
    _does(bench, "tom", working.say_measure, key, words="the load was held")
    _does(bench, "lena", working.say_cause, key, began=Stage.packaging, words="trays too close")
    tom = bench.house.people["tom"]
    _does(bench, "lena", working.name_corrector, key, words="space the trays", person=tom)
    bench.house.now = bench.later(31 * 24 * 60)
    assert told("tom") == ["Wet pack, Suction set: carry out the correction."]
    assert told("tia") == []
    assert told("lena") == ["Wet pack, Suction set: carry out the correction."]
