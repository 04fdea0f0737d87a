"""What each cause of a recall reaches: worked by hand on a few sets, with every time written down."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from sinkside.bench.loans import LoanPart, Way
from sinkside.bench.recall import CauseKind, Fate, Found, Where
from sinkside.desk import solution_log
from sinkside.desk.bench import loans
from sinkside.desk.bench.loans import Agreed
from sinkside.desk.bench.runs import open_run
from sinkside.desk.machine_rows import MACHINE, row_id
from sinkside.desk.recall import recalling, working
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.evidence import last_good
from sinkside.desk.recall.recalling import Scope
from sinkside.desk.recall.tracing import sets_of_codes
from sinkside.desk.recall.working import Called, Ended
from sinkside.desk.solution_making import Said
from sinkside.desk.today import today
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.records import CaseSet, KeptCase, KeptLoad, LoadedCopy, Row
from support.bench_house import CODES, BenchHouse, bench_house

WATER = "ro-loop"
ENDED = Ended("All looked at.", "Unknown; the lot was tested.", "The lot was sent back.")


@pytest.fixture(scope="module")
def prepared() -> BenchHouse:
    """A bench with its sets; Ruth is of infection prevention."""
    bench = bench_house()
    bench.house.add("ruth", "infection-prevention")
    return bench


@pytest.fixture
def bench(prepared: BenchHouse) -> BenchHouse:
    """The same for one test alone."""
    return deepcopy(prepared)


def _codes(bench: BenchHouse, cause: Cause, **scope: Any) -> set[str]:
    reach, _ = recalling.see_reach(
        bench.house.archive, bench.house.visitor("lena"), cause, Scope(**scope), now=bench.now
    )
    return {one.code for one in reach.touched}


def _cause(kind: CauseKind, of: str, **more: Any) -> Cause:
    return Cause(kind=kind, of=of, words="It went wrong.", **more)


def _at_the_sink(bench: BenchHouse, code: str, name: str = "tom") -> None:
    bench.done(name, "arrive", code=code)
    bench.done(name, "take-up", code=code)


def _used(bench: BenchHouse, code: str, number: str) -> None:
    """A set was used in a case by the run that it is on, and came back on its next one."""
    with bench.house.archive.unit() as unit:
        copy = unit.bench.copies.by_code("north", code)
        assert copy is not None
        unit.bench.cases.put(KeptCase(f"k-{number}", "north", number, "2", bench.now, "closed"))
        unit.bench.cases.put_set(CaseSet(f"k-{number}", copy.of, copy=copy.id, state="used", run=copy.run))
        now = bench.later(60)
        open_run(unit, bench.house.visitor("lena"), copy, at=now, now=now)


def _solution(bench: BenchHouse, lot: str) -> str:
    lena = bench.house.visitor("lena")
    said = Said("enzyclear", "10", temperature="40")
    made = solution_log.MadeUp(lot, bench.now)
    return solution_log.log_solution(bench.house.archive, lena, said, made, now=bench.now)


def test_a_lot_reaches_what_stood_at_the_sink_while_it_was_in_use(bench: BenchHouse) -> None:
    """The first stood there before it was made, the second came in its time, the third when it was gone."""
    _at_the_sink(bench, CODES[0])
    bench.later(10)
    solution = _solution(bench, "L-1")
    bench.later(10)
    _at_the_sink(bench, CODES[1])
    bench.later(10)
    solution_log.discard(bench.house.archive, bench.house.visitor("lena"), solution, now=bench.now)
    bench.later(10)
    _solution(bench, "L-2")
    _at_the_sink(bench, CODES[2])
    bench.later(1)
    assert _codes(bench, _cause(CauseKind.chemical, "enzyclear", lot="L-1")) == set(CODES[:2])
    assert _codes(bench, _cause(CauseKind.chemical, "enzyclear", lot="L-2")) == set(CODES)


def test_a_lot_that_nobody_logged_asks_since_when(bench: BenchHouse) -> None:
    """Machines may have drawn it: without a solution and without a begin nobody can say what it reaches."""
    lot = _cause(CauseKind.chemical, "alkaclear", lot="M-7")
    with pytest.raises(BadInput, match="say since when"):
        _codes(bench, lot)
    _washed(bench, "w-1", "Instruments 93", bench.now)
    _washed(bench, "w-2", "Gentle 90", bench.now)
    reach, _ = recalling.see_reach(
        bench.house.archive,
        bench.house.visitor("lena"),
        lot,
        Scope(since=bench.now - timedelta(hours=1)),
        now=bench.later(60),
    )
    assert reach.loads == 0  # nothing lay in them; only their programs are told apart below
    _put_in(bench, "w-1", CODES[0])
    _put_in(bench, "w-2", CODES[1])
    assert _codes(bench, lot, since=bench.now - timedelta(hours=2)) == {CODES[0]}


def _washed(bench: BenchHouse, load: str, program: str, at: datetime) -> None:
    with bench.house.archive.unit() as unit:
        unit.bench.loads.put(
            KeptLoad(load, "north", "washer", "washer-1", program, "released", at, started=at)
        )


def _put_in(bench: BenchHouse, load: str, code: str) -> None:
    bench.done("tom", "arrive", code=code)
    with bench.house.archive.unit() as unit:
        copy = unit.bench.copies.by_code("north", code)
        assert copy is not None
        unit.bench.loads.keep_in(LoadedCopy(load, copy.id, copy.run, bench.now))


def test_a_person_reaches_what_they_did_there_and_the_loads_that_they_ran(bench: BenchHouse) -> None:
    """Tia at the sink with one set; Tom with the other. Narrowed to packing, nothing of Tia's is left."""
    _at_the_sink(bench, CODES[0], "tia")
    _at_the_sink(bench, CODES[1], "tom")
    tia = bench.house.people["tia"]
    bench.later(1)
    assert _codes(bench, _cause(CauseKind.person, tia)) == {CODES[0]}
    assert _codes(bench, _cause(CauseKind.person, tia, where=Where.sink)) == {CODES[0]}
    assert _codes(bench, _cause(CauseKind.person, tia, where=Where.packing)) == set()
    since = bench.now - timedelta(seconds=30)
    assert _codes(bench, _cause(CauseKind.person, tia), since=since) == set()


def test_water_reaches_its_machines_since_the_oldest_good_result_of_what_failed(bench: BenchHouse) -> None:
    """Germs failed and were good a month ago; the meter was good this morning, and says nothing of germs."""
    germs, meter = bench.now - timedelta(days=30), bench.now - timedelta(hours=2)
    fields: dict[str, str | bool] = {
        "water-germs at": bench.now.isoformat(),
        "water-germs passed": False,
        "water-germs good": germs.isoformat(),
        "water-conductivity at": meter.isoformat(),
        "water-conductivity passed": True,
        "water-conductivity good": meter.isoformat(),
    }
    with bench.house.archive.unit() as unit:
        unit.rows.put(
            Row(MACHINE, row_id("north", WATER), "north", "in-use", "loop", bench.now, fields=fields)
        )
    good = last_good(bench.house.archive, bench.house.visitor("lena"), _cause(CauseKind.water, WATER))
    assert good is not None
    assert good.since == germs


def test_a_negative_counts_from_when_its_load_began_and_only_before_the_failed_one(bench: BenchHouse) -> None:
    """Negatives of the loads of 6 and 12 o'clock, a failed one at 9: everything since 6 is reached.

    When each was read tells nothing of that (common practice, no source).
    """
    day = bench.now.replace(hour=6)
    with bench.house.archive.unit() as unit:
        for load, hours in (("l-6", 0), ("l-9", 3), ("l-12", 6)):
            at = day + timedelta(hours=hours)
            kept = KeptLoad(
                load,
                "north",
                "sterilizer",
                "sterilizer-1",
                "134",
                "released",
                at,
                started=at,
                cycle=f"y-{load}",
            )
            unit.bench.loads.put(kept)
        for load in ("l-6", "l-12"):
            fields = {"machine": "sterilizer-1", "kind": "biological", "cycle": f"y-{load}"}
            read = day + timedelta(days=1)
            unit.rows.put(Row("indicator", f"i-{load}", "north", "negative", "lot", read, fields=fields))
    lena = bench.house.visitor("lena")
    failed = last_good(bench.house.archive, lena, _cause(CauseKind.indicator, "sterilizer-1", load="l-9"))
    latest = last_good(bench.house.archive, lena, _cause(CauseKind.machine, "sterilizer-1"))
    assert failed is not None
    assert latest is not None
    moment = timedelta(microseconds=1)
    assert (failed.since, latest.since) == (day + moment, day + timedelta(hours=6) + moment)


def test_prions_reach_every_run_of_a_set_and_its_cases(bench: BenchHouse) -> None:
    """Both runs of the set; a code that nobody has is told by name; Lena does not close it, Ruth does."""
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    bench.done("tom", "arrive", code=CODES[0])
    _used(bench, CODES[0], "C-1183")
    with archive.unit(writes=False) as unit:
        ids = sets_of_codes(unit, lena, CODES[:1])
        with pytest.raises(NotThere, match="NOBODY"):
            sets_of_codes(unit, lena, ["NOBODY"])
    cause = _cause(CauseKind.prion, ids[0], sets=ids)
    bench.later(1)
    reach, _ = recalling.see_reach(archive, lena, cause, Scope(), now=bench.now)
    assert [one.is_its_last for one in reach.touched] == [True, False]
    key = recalling.open_recall(archive, lena, cause, Scope(), now=bench.now)
    known = recalling.see_recall(archive, lena, key).recall
    for one in known.open_sets:
        working.deal_with_set(
            archive, lena, key, one.run, found=Found.found, words="sealed, room 4", now=bench.now
        )
    for case in known.open_cases:
        working.tell_case(archive, lena, key, case, Called(bench.now, "theatre 2"), now=bench.now)
    with pytest.raises(NotAllowed):
        working.close_recall(archive, lena, key, ENDED, now=bench.now)
    working.close_recall(archive, bench.house.visitor("ruth"), key, ENDED, now=bench.now)


def test_prions_reach_the_case_before_the_first_run_that_is_kept(bench: BenchHouse) -> None:
    """A set was new here when it came back from a case: that case is told; the set is in the house."""
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    _used(bench, CODES[0], "C-0007")
    with archive.unit(writes=False) as unit:
        ids = sets_of_codes(unit, lena, CODES[:1])
    cause = _cause(CauseKind.prion, ids[0], sets=ids)
    bench.later(1)
    reach, _ = recalling.see_reach(archive, lena, cause, Scope(), now=bench.now)
    assert reach.told_cases == ("C-0007",)
    assert [one.fate for one in reach.touched] == [Fate.here]
    later = Scope(since=bench.now - timedelta(minutes=30))
    since, _ = recalling.see_reach(archive, lena, cause, later, now=bench.now)
    assert since.cases == 0
    key = recalling.open_recall(archive, lena, cause, Scope(), now=bench.now)
    assert recalling.see_recall(archive, lena, key).recall.open_cases == ("C-0007",)


def test_a_set_that_was_lent_since_asks_for_a_letter_to_that_house(bench: BenchHouse) -> None:
    """Sent to Hillside after it was worked on: the recall does not close before Hillside was told."""
    archive, lena, tom = bench.house.archive, bench.house.visitor("lena"), bench.house.visitor("tom")
    _at_the_sink(bench, CODES[0])
    since = bench.now - timedelta(hours=1)
    part = (LoanPart(name="tube", expected=2),)
    due = bench.now + timedelta(days=3)
    agreed = Agreed(Way.lent, "Suction set", "Hillside", due, copy_code=CODES[0], of=bench.set, parts=part)
    loan = loans.agree(archive, tom, agreed, now=bench.now)
    loans.send(archive, tom, loan, statement="cleaned", now=bench.later(60))
    with archive.unit(writes=False) as unit:
        ids = sets_of_codes(unit, lena, CODES[:1])
    cause = _cause(CauseKind.product, ids[0], sets=ids)
    reach, others = recalling.see_reach(archive, lena, cause, Scope(since=since), now=bench.later(1))
    assert [one.other for one in others] == ["Hillside"]
    assert [one.fate for one in reach.touched] == [Fate.away]
    key = recalling.open_recall(archive, lena, cause, Scope(since=since), now=bench.now)
    known = recalling.see_recall(archive, lena, key).recall
    for one in known.open_sets:
        working.deal_with_set(
            archive, lena, key, one.run, found=Found.found, words="comes back", now=bench.now
        )
    with pytest.raises(BadInput, match="1 letter not dealt with"):
        working.close_recall(archive, lena, key, ENDED, now=bench.now)
    working.tell_other(archive, lena, key, loan, Called(bench.now), now=bench.now)
    with pytest.raises(BadInput, match="1 letter not dealt with"):
        working.close_recall(archive, lena, key, ENDED, now=bench.now)
    working.tell_other(archive, lena, key, loan, Called(bench.now, "their store"), now=bench.now)
    working.close_recall(archive, lena, key, ENDED, now=bench.now)


def test_a_set_that_is_not_found_stays_open_and_today_says_for_how_long(bench: BenchHouse) -> None:
    """Looked for in vain it is still to go; five hours later Today says so, and a name is refused."""
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    _at_the_sink(bench, CODES[0])
    with archive.unit(writes=False) as unit:
        ids = sets_of_codes(unit, lena, CODES[:1])
    cause = _cause(CauseKind.product, ids[0], sets=ids)
    key = recalling.open_recall(archive, lena, cause, Scope(), now=bench.later(1))
    run = recalling.see_recall(archive, lena, key).recall.open_sets[0].run
    lost = {"found": Found.not_found, "words": "not at the sink"}
    working.deal_with_set(archive, lena, key, run, **lost, now=bench.now)  # type: ignore[arg-type]
    with pytest.raises(BadInput, match="1 set and 0 cases not dealt with"):
        working.close_recall(archive, lena, key, ENDED, now=bench.now)
    with pytest.raises(BadInput, match="reads like a name"):
        working.deal_with_set(
            archive, lena, key, run, found=Found.found, words="asked Frau Berg", now=bench.now
        )
    said = [one.sentence for one in today(archive, lena, now=bench.later(5 * 60)) if one.noun == "recall"]
    assert said == ["Recall, open for 5 hours: It went wrong. 1 set to go."]


def test_a_reach_that_ends_with_the_next_good_evidence_asks_when_that_was(bench: BenchHouse) -> None:
    """Without that moment there is no end; infection prevention alone may choose it, with a reason."""
    cause = _cause(CauseKind.machine, "sterilizer-1")
    scope = Scope("until-next-good", "The repeat test was negative at noon.", bench.now - timedelta(hours=9))
    ruth = bench.house.visitor("ruth")
    with pytest.raises(BadInput, match="next good result"):
        recalling.see_reach(bench.house.archive, ruth, cause, scope, now=bench.now)
    ended = replace(scope, until=bench.now - timedelta(hours=1))
    recalling.see_reach(bench.house.archive, ruth, cause, ended, now=bench.now)
    with pytest.raises(NotAllowed):
        recalling.see_reach(bench.house.archive, bench.house.visitor("lena"), cause, ended, now=bench.now)
