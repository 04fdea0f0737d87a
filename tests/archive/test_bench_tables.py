"""The tables of the bench: what a scanner finds, what is due, runs one at a time, taps kept once."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import select, text

from sinkside.archive import WorkspaceArchive
from sinkside.archive.connection import among, begun
from sinkside.archive.schema_bench import runs
from sinkside.desk.ports import Unit
from sinkside.errors import Conflict
from sinkside.records import (
    ByCopy,
    ByLoad,
    ByMachine,
    ByPerson,
    ByStanding,
    ByText,
    CaseSet,
    KeptCase,
    KeptCopy,
    KeptLoad,
    KeptRun,
    KeptTap,
    LoadedCopy,
    PlanText,
    Touching,
    WantedCopies,
)
from support.archive_places import DEPARTMENT, later
from support.memory_archive import MemoryUnit, Tables

COPY = KeptCopy(
    "c-1", DEPARTMENT, "4711", "set", "s-1", "Hand set", "soiled", "arrival", later(1), due=later(9)
)
OTHER = replace(COPY, id="c-2", code="4712", name="Sinus set", state="in-store", due=None)
RUN = KeptRun("r-1", DEPARTMENT, "c-1", later(1), "soiled", 1, "{}")
LOAD = KeptLoad("l-1", DEPARTMENT, "washer", "w-1", "Instruments", "building", later(2))
CASE = KeptCase("k-1", DEPARTMENT, "OP-17", "3", later(30), "planned")
TAP = KeptTap("key-1", DEPARTMENT, "b-1", 1, "begin", "p-1", later(3), later(3), "done", "Begun.", "c-1")


def _both(unit: Unit) -> tuple[Unit, Unit]:
    return unit, MemoryUnit.over(Tables())


def test_copies_are_found_by_code_state_words_and_what_is_due(archive: WorkspaceArchive) -> None:
    """Both kinds of archive find the same, what is due first; a code belongs to one copy only."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            copies = keeper.bench.copies
            copies.put(OTHER)
            copies.put(COPY)
            assert copies.by_code(DEPARTMENT, "4711") == COPY == copies.get("c-1")
            assert copies.found(DEPARTMENT, WantedCopies()) == [COPY, OTHER]
            assert copies.found(DEPARTMENT, WantedCopies(states=("in-store",))) == [OTHER]
            assert copies.found(DEPARTMENT, WantedCopies(text="SINUS")) == [OTHER]
            assert copies.found(DEPARTMENT, WantedCopies(due_before=later(10))) == [COPY]
            assert copies.found(DEPARTMENT, WantedCopies(of="s-1", offset=1)) == [OTHER]
            assert copies.counts(DEPARTMENT) == {"soiled": 1, "in-store": 1}
            with pytest.raises(Conflict):
                copies.put(replace(OTHER, code="4711"))


def test_a_run_is_changed_by_one_at_a_time(archive: WorkspaceArchive) -> None:
    """A change must be of the version that was seen; who comes second is told so and changes nothing."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            runs = keeper.bench.runs
            runs.put(RUN)
            changed = replace(RUN, version=2, state="at-sink", body='{"a":1}')
            runs.put(changed)
            with pytest.raises(Conflict):
                runs.put(replace(RUN, version=2, state="packed"))
            assert runs.get("r-1") == changed
            for _ in range(2):
                runs.follow(PlanText("plan-1", "i-1", 2))
            assert runs.of_copy(DEPARTMENT, "c-1") == [changed]


def test_loads_tell_what_lay_in_them(archive: WorkspaceArchive) -> None:
    """By state, machine, cycle, run and copy; what was taken out again is still told."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            loads = keeper.bench.loads
            loads.put(LOAD)
            loads.put(replace(LOAD, state="running", started=later(4), cycle="y-1"))
            inside = LoadedCopy("l-1", "c-1", "r-1", later(3))
            loads.keep_in(inside)
            loads.keep_in(replace(inside, out=later(4)))
            assert loads.standing(DEPARTMENT, ["building"]) == []
            assert loads.standing(DEPARTMENT, ["running"]) == [loads.get("l-1")]
            assert loads.of_cycle(DEPARTMENT, "y-1") == loads.get("l-1")
            assert loads.of_machine(DEPARTMENT, "w-1", since=later(2)) == [loads.get("l-1")]
            assert loads.of_machine(DEPARTMENT, "w-1", since=later(3)) == []
            latest = loads.latest_of_machine(DEPARTMENT, "w-1", before=later(3), most=2)
            assert latest == [loads.get("l-1")]
            assert loads.latest_of_machine(DEPARTMENT, "w-1", before=later(2), most=2) == []
            assert loads.latest_of_machine(DEPARTMENT, "w-2", before=later(3), most=2) == []
            for found in (loads.in_load("l-1"), loads.of_run("r-1"), loads.of_copy("c-1")):
                assert found == [replace(inside, out=later(4))]


def test_cases_tell_which_sets_they_need(archive: WorkspaceArchive) -> None:
    """By number and by time; what a case got stays when the list of what it needs is made anew."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            cases = keeper.bench.cases
            cases.put(CASE)
            got = CaseSet("k-1", "s-1", copy="c-1", state="issued")
            cases.put_set(CaseSet("k-1", "s-1"))
            cases.put_set(got)
            cases.put_set(CaseSet("k-1", "s-2"))
            cases.strike_sets("k-1")
            assert cases.sets_of("k-1") == [got] == cases.of_copy("c-1")
            assert cases.by_number(DEPARTMENT, "OP-17") == CASE == cases.get("k-1")
            assert cases.between(DEPARTMENT, later(30), later(31)) == [CASE]
            assert cases.between(DEPARTMENT, later(29), later(30)) == []


def test_a_tap_is_kept_once(archive: WorkspaceArchive) -> None:
    """Its key belongs to it for good; each bench counts its own."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            taps = keeper.bench.taps
            refused = replace(TAP, key="key-2", number=2, outcome="refused", said="Not yet.")
            taps.keep(TAP)
            taps.keep(refused)
            with pytest.raises(Conflict):
                taps.keep(replace(TAP, number=3))
            assert taps.get(DEPARTMENT, "key-1") == TAP
            assert (taps.last_number(DEPARTMENT, "b-1"), taps.last_number(DEPARTMENT, "b-2")) == (2, 0)
            assert taps.on_copy(DEPARTMENT, "c-1") == [TAP, refused]
            elsewhere = replace(TAP, key="key-3", number=4, run="r-other")
            taps.keep(elsewhere)
            assert taps.on_run(DEPARTMENT, "c-1", TAP.run, since=TAP.at) == [TAP, refused]
            assert taps.on_run(DEPARTMENT, "c-1", "r-other", since=TAP.at) == [elsewhere]
            assert taps.on_run(DEPARTMENT, "c-1", TAP.run, since=later(999)) == []
            assert taps.refused(DEPARTMENT) == [refused]


def test_what_was_touched_is_traced_to_where_it_is_and_to_its_cases(archive: WorkspaceArchive) -> None:
    """By machine, load, text, copy, person and act; each run once, and whether the copy is still on it."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            _a_history(keeper)
            tracing = keeper.bench.tracing
            machine = frozenset({"w-1"})
            (washed,) = tracing.touched(DEPARTMENT, [ByMachine(machine, later(4), later(5))])
            assert (washed.run, washed.load, washed.place, washed.is_its_last) == (
                "r-1",
                "l-1",
                "arrival",
                False,
            )
            whole: tuple[Touching, ...] = (
                ByMachine(machine, later(0), later(9)),
                ByMachine(machine, later(4), later(5), LOAD.program),
                ByLoad(frozenset({"l-1", "l-2"})),
            )
            for reaches in whole:
                assert tracing.touched(DEPARTMENT, [reaches]) == [washed]
            sink = frozenset({"at-sink"})
            some: tuple[Touching, ...] = (
                ByText("i-1", 2, RUN.opened, later(9)),
                ByText("i-1", 0, later(0), later(9)),
                ByPerson("p-1", later(3), later(4)),
                ByPerson("p-1", later(3), later(4), sink),
                ByStanding(sink, ((later(0), later(9)),)),
                ByStanding(sink, ((later(0), later(1)), (later(8), later(9)))),
                ByCopy(frozenset({"c-1"}), later(2), later(20)),
            )
            for reaches in some:
                assert [one.run for one in tracing.touched(DEPARTMENT, [reaches])] == ["r-1"], reaches
            none: tuple[Touching, ...] = (
                ByMachine(frozenset({"w-2"}), later(0), later(9)),
                ByMachine(machine, later(4), later(5), "another program"),
                ByText("i-1", 1, later(0), later(9)),
                ByText("i-1", 2, later(0), RUN.opened),
                ByPerson("p-1", later(3), later(4), frozenset({"packed"})),
                ByStanding(frozenset({"packed"}), ((later(0), later(9)),)),
                ByStanding(sink, ((later(0), TAP.at),)),
                ByStanding(sink, ()),
            )
            for misses in none:
                assert tracing.touched(DEPARTMENT, [misses]) == [], misses
            (after,) = tracing.touched(DEPARTMENT, [ByCopy(frozenset({"c-1"}), later(20), later(21))])
            assert after.run == "r-2"
            assert tracing.loads_by_person(DEPARTMENT, "p-1", later(0), later(9)) == {"l-1"}
            assert tracing.people(DEPARTMENT) == ["p-1", "p-2"]
            assert [(one.run, one.number, one.state) for one in tracing.cases_of(["r-1", "r-2"])] == [
                ("r-1", "OP-17", "used")
            ]


def test_runs_with_deviations_are_found_by_what_was_done_when(archive: WorkspaceArchive) -> None:
    """Both archives find the runs on which something was not as written, and no others."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            noted = replace(RUN, body='{"deviations":[{"id":"1"}],"holds":[]}')
            plain = replace(RUN, id="r-2", body='{"deviations":[],"holds":[{"id":"1"}]}')
            runs = keeper.bench.runs
            for number, one in enumerate((plain, noted), start=1):
                runs.put(one)
                keeper.bench.taps.keep(replace(TAP, key=f"key-{number}", number=number, run=one.id))
            assert runs.with_deviations(DEPARTMENT, ["begin"], later(3), later(4)) == [noted]
            assert runs.with_deviations(DEPARTMENT, ["begin"], later(4), later(9)) == []
            assert runs.with_deviations(DEPARTMENT, ["end"], later(3), later(4)) == []
            assert runs.with_deviations("elsewhere", ["begin"], later(3), later(4)) == []


def test_each_run_is_counted_once_by_when_something_was_first_done(archive: WorkspaceArchive) -> None:
    """Twice on one run counts once, the first time; what was refused or is on no run does not count."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            taps = keeper.bench.taps
            for number, (run, minutes) in enumerate((("r-1", 5), ("r-1", 3), ("r-2", 4), ("", 6)), start=1):
                taps.keep(replace(TAP, key=f"key-{number}", number=number, run=run, at=later(minutes)))
            taps.keep(replace(TAP, key="key-9", number=9, run="r-3", outcome="refused"))
            tracing = keeper.bench.tracing
            assert tracing.first_times(DEPARTMENT, "begin", later(0), later(9)) == [later(3), later(4)]
            assert tracing.first_times(DEPARTMENT, "begin", later(4), later(9)) == [later(4), later(5)]
            assert tracing.first_times(DEPARTMENT, "pack", later(0), later(9)) == []


def _a_history(keeper: Unit) -> None:
    """A copy that was washed twice on one run, used in a case, and is on its next run now."""
    bench = keeper.bench
    bench.copies.put(replace(COPY, run="r-2"))
    bench.runs.put(replace(RUN, plan="plan-1", closed=later(20)))
    bench.runs.put(replace(RUN, id="r-2", opened=later(20)))
    bench.runs.follow(PlanText("plan-1", "i-1", 2))
    for number in (1, 2):
        bench.loads.put(replace(LOAD, id=f"l-{number}", state="over", started=later(3 + number)))
        bench.loads.keep_in(LoadedCopy(f"l-{number}", "c-1", "r-1", later(3)))
    bench.loads.keep_in(LoadedCopy("l-1", "c-9", "r-9", later(3), out=later(3)))
    bench.cases.put(CASE)
    bench.cases.put_set(CaseSet("k-1", "s-1", copy="c-1", state="used", run="r-1"))
    bench.taps.keep(replace(TAP, run="r-1", state="at-sink"))
    started = replace(TAP, key="key-9", number=9, act="start-load", copy="", fields={"load": "l-1"})
    bench.taps.keep(started)
    bench.taps.keep(replace(TAP, key="key-8", number=8, by="p-2", outcome="refused"))
    bench.taps.keep(replace(TAP, key="key-2", number=2, outcome="refused", run="r-2"))


def test_ids_that_come_as_one_value_are_looked_up_by_an_index(archive: WorkspaceArchive) -> None:
    """SQLite says how it looks them up; row by row a recall would read every set of years."""
    with begun(archive.engine, writes=False) as transaction:
        if not transaction.on_sqlite:
            return
        asked = str(select(runs.c.id).where(among(runs.c.id, "wanted")).compile(archive.engine))
        plan = transaction.connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {asked}", ('["r-1"]',)).all()
    assert any(str(step[-1]).startswith("SEARCH runs USING") for step in plan), plan


def test_the_sum_of_what_was_touched_counts_what_is_told_one_by_one(archive: WorkspaceArchive) -> None:
    """Both archives sum up the same: how much it is, which copy is still on its run, which run is over."""
    with archive.unit() as unit:
        for keeper in _both(unit):
            _a_history(keeper)
            tracing = keeper.bench.tracing
            ways: list[Touching] = [
                ByCopy(frozenset({"c-1"}), later(0), later(99)),
                ByMachine(frozenset({"w-1"}), later(0), later(9)),
            ]
            first, second = tracing.touched(DEPARTMENT, ways)
            summed = tracing.summed(DEPARTMENT, ways, most=5, away="away", codes=[first.code])
            assert (summed.runs, summed.copies, summed.loads, summed.cases) == (
                2,
                1,
                len({first.load} - {""}),
                1,
            )
            assert (first.is_its_last, second.is_its_last) == (False, True)
            assert (summed.standing, summed.passed) == ((second,), (first,))
            assert sorted(one.run for one in summed.of_codes) == [first.run, second.run]
            assert tracing.summed(DEPARTMENT, ways, most=0, away="away").passed == ()
            assert tracing.summed(DEPARTMENT, ways, most=5, away=second.state).standing == (first, second)
            assert tracing.summed(DEPARTMENT, [], most=5, away="away").runs == 0


def test_no_server_compiles_what_it_answers_at_once(archive: WorkspaceArchive) -> None:
    """PostgreSQL would compile a long statement for seconds and is told not to; SQLite compiles nothing."""
    with begun(archive.engine, writes=False) as transaction:
        told = "off" if transaction.on_sqlite else transaction.connection.execute(text("SHOW jit")).scalar()
    assert told == "off"
