"""What a bench notices becomes a report in the same transaction, once, with its set, load and case."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from sinkside.bench.case_acts import DAMAGE_WORDS
from sinkside.bench.cases import PlannedCase
from sinkside.bench.deviations import DeviationReport, Standing
from sinkside.bench.loans import LoanPart, Way
from sinkside.bench.noticing import of_run
from sinkside.bench.plan import Plan
from sinkside.bench.run import Deviation
from sinkside.desk.bench import cases, load_deciding, loans
from sinkside.desk.bench.loans import Agreed, CameIn
from sinkside.desk.bench.runs import copy_of_code, run_of
from sinkside.desk.deviations.counting import Sought, rows_of
from sinkside.desk.deviations.kept import KIND, opened_report
from sinkside.records import Row, Wanted
from support.bench_house import CODES, BenchHouse, bench_house
from support.load_house import (
    STEAM,
    STERILIZER,
    WASHER,
    WASHING,
    at_the_sink,
    decided,
    load_with,
    recorded,
    sterilized,
    to_the_pack,
    washed,
)

CASE = "2026-04711"
FIRST, SECOND, _ = CODES


@pytest.fixture(scope="module")
def fresh() -> BenchHouse:
    """A bench, set up once."""
    return bench_house()


@pytest.fixture
def bench(fresh: BenchHouse) -> BenchHouse:
    """The same, one for each test."""
    return deepcopy(fresh)


def reported(bench: BenchHouse) -> list[DeviationReport]:
    """Every report, the oldest first."""
    who = bench.house.visitor("lena")
    with bench.house.archive.unit(writes=False) as unit:
        rows = sorted(unit.rows.all(KIND, ["north"]), key=lambda row: (row.updated, row.id))
        return [opened_report(unit, who, row.id).report for row in rows]


def _rows(bench: BenchHouse, **more: str) -> list[Row]:
    who = bench.house.visitor("lena")
    with bench.house.archive.unit(writes=False) as unit:
        return rows_of(unit, who, Sought(bench.now - timedelta(days=9), bench.now + timedelta(1), **more))


def _events(bench: BenchHouse, kind: str) -> int:
    with bench.house.archive.unit(writes=False) as unit:
        return len(unit.journal.events("north", Wanted(kinds=(kind,), limit=1_000)))


def _used(bench: BenchHouse, **more: Any) -> None:
    bench.done("nora", "report-use", case=CASE, last_used=bench.now.isoformat(), **more)


def test_what_theatre_reports_is_a_deviation_of_its_case(bench: BenchHouse) -> None:
    """Bent, missing, not treated: each its own report, found at the point of use, of that case and device."""
    damaged = [{"line": "1", "kind": "bent"}]
    _used(bench, treated=False, damaged=damaged, missing=[{"line": "1", "count": 1}])
    found = reported(bench)
    assert {one.fault for one in found} == {"damaged", "missing-piece", "not-treated"}
    assert {one.case for one in found} == {CASE}
    assert {one.found for one in found} == {"point-of-use"}
    assert {one.device for one in found} == {"suction tube"}
    assert {one.standing for one in found} == {Standing.open}
    assert next(one for one in found if one.fault == "not-treated").began == "point-of-use"
    assert _events(bench, "deviation-noticed") == len(found)


def test_what_is_told_twice_is_one_deviation(bench: BenchHouse) -> None:
    """A piece that theatre missed is not missed again when it is counted short, twice."""
    _used(bench, treated=True, missing=[{"line": "1", "count": 1}])
    bench.done("tom", "arrive")
    bench.done("tom", "take-up")
    for _ in range(2):
        bench.done("tom", "count", station="sink", found={"1": 1})
    assert [one.fault for one in reported(bench)] == ["missing-piece"]


def test_counting_short_again_is_the_same_deviation(bench: BenchHouse) -> None:
    """Counted short at the sink twice: one report, found at preparation."""
    bench.done("tom", "arrive")
    bench.done("tom", "take-up")
    for _ in range(2):
        bench.done("tom", "count", station="sink", found={"1": 1})
    (only,) = reported(bench)
    assert (only.fault, only.found, only.line) == ("missing-piece", "preparation", "1")
    assert only.words == "suction tube: 1 counted, 2 on the list"


def test_soil_at_assembly_is_counted_at_its_washer(bench: BenchHouse) -> None:
    """The report names the washer load that the set came out of, although the set went back since."""
    at_the_sink(bench, FIRST, SECOND)
    load = washed(bench, FIRST, SECOND)
    bench.done("tom", "to-clean-side")
    bench.done("tom", "soil-found", where="lumen of the second tube")
    (only,) = reported(bench)
    assert (only.fault, only.found, only.load, only.machine) == (
        "soil-found", "inspection", load, "washer-1",
    )  # fmt: skip
    assert only.standing is Standing.measures_taken
    assert [row.id for row in _rows(bench, machine="washer-1")] == [row.id for row in _rows(bench)]
    assert _rows(bench, machine="sterilizer-1") == []


def test_a_look_that_fails_is_a_deviation_each_time(bench: BenchHouse) -> None:
    """Blunt and set aside: damaged; soil sends it back; what passes is none."""
    at_the_sink(bench, FIRST)
    washed(bench, FIRST)
    bench.done("tom", "to-clean-side")
    bench.done("tom", "look", line="1", passed=True)
    bench.done("tom", "look", line="1", passed=False, fault="bent tip", then="set-aside")
    bench.later(1)
    bench.done("tom", "look", line="1", passed=False, fault="soil in the lumen", then="reprocess-set")
    damaged, soiled = reported(bench)
    assert (damaged.fault, damaged.measures[0].words) == ("damaged", "it was set aside")
    assert (soiled.fault, soiled.measures[0].words) == ("soil-found", "the whole set went back to the sink")
    assert soiled.machine == "washer-1"


def test_a_wet_pack_and_a_machine_that_broke_off(bench: BenchHouse) -> None:
    """The wet pack is of the sterilizer's load; a load that was not complete is of its machine alone."""
    to_the_pack(bench, FIRST, SECOND)
    decided(bench, recorded(bench, sterilized(bench, FIRST)))
    bench.done("tom", "wet-pack", code=FIRST, where="inside")
    bench.done("tom", "open-load", **STERILIZER, program="134 °C, 3 min")
    bench.done("tom", "add-to-load", **STERILIZER, code=SECOND)
    bench.done("tom", "start-load", **STERILIZER)
    bench.later(5)
    bench.done("tom", "end-load", **STERILIZER, complete=False, note="door alarm")
    wet, stopped = reported(bench)
    assert (wet.fault, wet.machine, wet.found) == ("wet-pack", "sterilizer-1", "sterilization")
    assert (stopped.fault, stopped.words, stopped.began) == ("load-stopped", "door alarm", "sterilization")
    assert (stopped.machine, stopped.code) == ("sterilizer-1", "")


def _in_store(bench: BenchHouse, minutes_before: float) -> datetime:
    """A case that wants the set, beginning so long before it is in store; when it begins."""
    to_the_pack(bench, FIRST)
    decided(bench, recorded(bench, sterilized(bench, FIRST)))
    bench.later(90)
    bench.done("lena", "put-in-store", place="A 1")
    begins = bench.now - timedelta(minutes=minutes_before)
    planned = PlannedCase(number=CASE, begins=begins, sets=(bench.set,))
    cases.plan_case(bench.house.archive, bench.house.visitor("lena"), planned, now=bench.now)
    return begins


def test_a_set_given_out_after_its_case_began_is_late(bench: BenchHouse) -> None:
    """By how much is reckoned from the case's begin and the giving out; what theatre then reports has it."""
    _in_store(bench, 25)
    bench.done("lena", "issue", case=CASE, whole=True)
    (late,) = reported(bench)
    assert (late.fault, late.delay_min, late.delay_told, late.case) == ("late-set", 25, False, CASE)
    bench.later(30)
    _used(bench, treated=True, damaged=[{"line": "1", "kind": "bent"}])
    damaged = next(one for one in reported(bench) if one.fault == "damaged")
    assert damaged.delay_min == 25


def test_a_set_given_out_in_time_is_not_late(bench: BenchHouse) -> None:
    """Before the case begins nothing is reported; nor for a case that nobody planned."""
    _in_store(bench, -25)
    bench.done("lena", "issue", case=CASE, whole=True)
    assert reported(bench) == []


def test_a_pack_that_fell(bench: BenchHouse) -> None:
    """Found in the store; what the act did about it is enough, and it is counted."""
    _in_store(bench, -25)
    bench.done("lena", "pack-mishap", what="dropped")
    (fell,) = reported(bench)
    assert (fell.fault, fell.found, fell.standing) == ("dropped", "storage", Standing.closed)


def test_a_set_let_out_under_exception(bench: BenchHouse) -> None:
    """Still hot, it went out by the form: reported with its case, and its cause is asked for."""
    to_the_pack(bench, FIRST)
    decided(bench, recorded(bench, sterilized(bench, FIRST)))
    form = {"authority": "lead on call, by telephone", "reason": "no other set of this kind in the house"}
    bench.done("lena", "issue-under-exception", case=CASE, **form)
    (only,) = reported(bench)
    assert (only.fault, only.case, only.standing) == ("exception", CASE, Standing.measures_taken)


def test_a_refused_tap_reports_nothing(bench: BenchHouse) -> None:
    """What was not done is undone whole, its report too."""
    assert bench.tap("tom", "soil-found", where="jaw").outcome == "refused"
    assert reported(bench) == []


def test_a_missing_fragment_is_told_and_reported(bench: BenchHouse) -> None:
    """It may be in the patient: began at the point of use, of the case in which the set was used."""
    _used(bench, treated=True)
    bench.done("tom", "arrive")
    bench.done("tom", "take-up")
    bench.done("tom", "missing-fragment", line="1", count=1)
    (only,) = reported(bench)
    assert (only.fault, only.case, only.began, only.found) == (
        "missing-fragment", CASE, "point-of-use", "cleaning",
    )  # fmt: skip


def test_a_run_of_earlier_days_reads_as_deviations(bench: BenchHouse) -> None:
    """A run that kept what was not as written, before reports were made, is read; nothing is written."""
    _used(bench, treated=True, damaged=[{"line": "1", "kind": "bent"}])
    with bench.house.archive.unit() as unit:
        opened = run_of(unit, copy_of_code(unit, "north", FIRST))
        plain = [one.model_copy(update={"fault": "", "line": ""}) for one in opened.run.deviations]
        body = opened.run.model_copy(update={"deviations": tuple(plain)}).model_dump_json()
        unit.bench.runs.put(replace(opened.kept, version=opened.kept.version + 1, body=body))
    tables = bench.house.archive.tables  # type: ignore[attr-defined] # the archive in memory has them
    for key in [key for key in tables.rows if key[0] in {KIND, "deviation-since"}]:
        del tables.rows[key]
    for key in [key for key in tables.revisions if key[0] == KIND]:
        del tables.revisions[key]
    (row,) = _rows(bench)
    assert (row.fields["fault"], row.fields["device"], row.fields["source"]) == (
        "damaged", "suction tube", "run",
    )  # fmt: skip
    assert reported(bench) == []
    with bench.house.archive.unit(writes=False) as unit:
        opened_there = opened_report(unit, bench.house.visitor("lena"), row.id)
    assert (opened_there.number, opened_there.report.words) == (0, "suction tube: bent")


def test_what_a_run_of_earlier_days_kept_is_known_by_its_words() -> None:
    """The words that the program wrote into runs say which kind each is; others are not as written."""
    plan = Plan(set="s-1", name="Set", set_revision=1, texts=(), tasks=(), lines=())
    at = datetime.fromisoformat("2026-03-02T09:00:00+00:00")

    def kind(what: str, reason: str = "reported by theatre") -> str:
        return of_run(plan, Deviation(id="1", task="", what=what, reason=reason, at=at, by="p")).fault

    assert kind("cleaning began late: tube, 20 min late", "asked the maker") == "late-cleaning"
    assert kind("used without being issued", "it stood in store") == "not-issued"
    assert kind("not thrown away in theatre: tip of tube") == "not-thrown-away"
    assert kind("not done in theatre: Wipe it.") == "not-treated"
    assert kind("tube: 1 missing after the case") == "missing-piece"
    for words in DAMAGE_WORDS.values():
        assert kind(f"tube: {words}") == "damaged"
    assert kind("flushed twice only", "the brush was gone") == "not-as-written"


def test_a_plain_deviation_stands_at_the_stage_of_its_task(bench: BenchHouse) -> None:
    """Said at the sink of a task there: its stage is where it was found and began."""
    bench.done("tom", "arrive")
    bench.done("tom", "take-up")
    task = bench.task("flush")
    bench.done("tom", "deviate", task=task, what="flushed twice only", reason="the brush was gone")
    (only,) = reported(bench)
    assert (only.fault, only.found, only.began) == ("not-as-written", "cleaning", "cleaning")
    assert only.words == "flushed twice only: the brush was gone"


def test_a_cycle_that_was_held_is_a_deviation_of_its_load(bench: BenchHouse) -> None:
    """Its record did not meet and the lead held it: once, of the load and the machine; released is none."""
    to_the_pack(bench, FIRST, SECOND)
    load = sterilized(bench, FIRST, SECOND)
    cycle = recorded(bench, load, "short-exposure")
    decided(bench, cycle, "held")
    (held,) = reported(bench)
    assert (held.fault, held.load, held.machine_name) == ("load-held", load, "Sterilizer 1")
    assert (held.found, held.began, held.standing) == ("sterilization", None, Standing.measures_taken)
    assert held.words == ("Sterilizer 1, 134 °C, 3 min: its record fails: looked at the packs and the record")
    decided(bench, cycle, "released")
    decided(bench, cycle, "held")
    assert len(reported(bench)) == 1


def test_a_load_that_only_waits_is_no_deviation(bench: BenchHouse) -> None:
    """Its record meets and it is held until the result of its implant's indicator is there."""
    to_the_pack(bench, FIRST)
    load = sterilized(bench, FIRST)
    bench.done("tom", "mark-implant", **STERILIZER, words="two bone screws")
    decided(bench, recorded(bench, load), "held")
    assert reported(bench) == []


def test_a_load_that_broke_off_and_was_held_is_one_deviation(bench: BenchHouse) -> None:
    """That the machine stopped is reported when it is taken out; that it is held follows from it."""
    at_the_sink(bench, FIRST)
    bench.done("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays")
    bench.done("tom", "add-to-load", **WASHER, code=FIRST)
    bench.done("tom", "start-load", **WASHER)
    bench.later(9)
    bench.done("tom", "end-load", **WASHER, complete=False, note="water alarm")
    _held_by_hand(bench, load_with(bench, FIRST))
    assert [one.fault for one in reported(bench)] == ["load-stopped"]


def test_a_washer_load_that_was_held_without_a_record(bench: BenchHouse) -> None:
    """What was read at the machine stands in the report, with the reason."""
    at_the_sink(bench, FIRST)
    bench.done("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays")
    bench.done("tom", "add-to-load", **WASHER, code=FIRST)
    bench.done("tom", "start-load", **WASHER)
    bench.later(50)
    bench.done("tom", "end-load", **WASHER, complete=True)
    _held_by_hand(bench, load_with(bench, FIRST))
    (held,) = reported(bench)
    assert (held.fault, held.found, held.machine) == ("load-held", "cleaning", "washer-1")
    assert "84 °C on the display" in held.words


def _held_by_hand(bench: BenchHouse, load: str) -> None:
    load_deciding.decide_without_trace(
        bench.house.archive,
        bench.house.visitor("lena"),
        load,
        "held",
        read="84 °C on the display",
        reason="it never reached its temperature",
        now=bench.now,
    )


def test_a_set_that_was_brought_to_the_wrong_load(bench: BenchHouse) -> None:
    """Soiled at the sterilizer: refused, and a deviation of the set, once for that load, closed by that."""
    at_the_sink(bench, FIRST)
    bench.done("tom", "open-load", **STERILIZER, program=STEAM)
    for turn in range(2):
        bench.later(turn)
        assert bench.tap("tom", "add-to-load", **STERILIZER, code=FIRST).outcome == "refused"
    (only,) = reported(bench)
    assert (only.fault, only.code, only.machine) == ("refused-load", FIRST, "sterilizer-1")
    assert (only.found, only.standing) == ("sterilization", Standing.closed)
    assert only.words.startswith("Suction set (")
    assert _events(bench, "deviation-noticed") == 1


def test_what_was_scanned_twice_or_into_no_load_is_no_deviation(bench: BenchHouse) -> None:
    """It lies in it already; nothing is built for the machine; nobody has the code."""
    at_the_sink(bench, FIRST)
    assert bench.tap("tom", "add-to-load", **WASHER, code=FIRST).outcome == "refused"
    bench.done("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays")
    bench.done("tom", "add-to-load", **WASHER, code=FIRST)
    assert bench.tap("tom", "add-to-load", **WASHER, code=FIRST).outcome == "refused"
    assert bench.tap("tom", "add-to-load", **WASHER, code="NOBODY").outcome == "refused"
    assert reported(bench) == []


def test_a_loan_that_is_not_as_agreed(bench: BenchHouse) -> None:
    """One of two tubes came: a deviation of that copy, with the other house; as agreed there is none."""
    (wrong,) = [one for one in _loan_came(bench, "LOAN-1", 1) if one.code == "LOAN-1"]
    assert (wrong.fault, wrong.standing, wrong.began) == ("wrong-loan", Standing.open, None)
    assert wrong.words.startswith("Suction kit, from Hillside: 1 of 2 of tube came.")
    assert [one.code for one in _loan_came(bench, "LOAN-2", 2)] == ["LOAN-1"]


def _loan_came(bench: BenchHouse, code: str, counted: int) -> list[DeviationReport]:
    """A borrowed kit of two tubes comes in, its owner going by the text that is approved here."""
    archive, tom = bench.house.archive, bench.house.visitor("tom")
    parts, due = (LoanPart(name="tube", expected=2),), bench.now + timedelta(days=3)
    agreed = Agreed(Way.borrowed, "Suction kit", "Hillside", due, of=bench.set, parts=parts)
    first = loans.agree(archive, tom, agreed, now=bench.now)
    ours = loans.open_loan(archive, tom, first, now=bench.now).loan.ours
    loan = loans.agree(archive, tom, replace(agreed, theirs=ours), now=bench.now)
    loans.receive(archive, tom, loan, CameIn(code, (counted,), marked_sterile=True), now=bench.now)
    return reported(bench)
