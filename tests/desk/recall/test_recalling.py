"""Recall: what a positive indicator reaches, who may narrow it, that none is closed half done (scene 3)."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from sinkside.bench.recall import Fate, Found
from sinkside.desk.bench.runs import copy_of_code, run_of
from sinkside.desk.recall import recalling, working
from sinkside.desk.recall.recalling import Scope
from sinkside.desk.recall.returning import held_if_recalled
from sinkside.desk.recall.working import Called, Ended
from sinkside.errors import BadInput, NotAllowed
from support.bench_house import BenchHouse
from support.recalled_house import (
    CASES,
    LOADS,
    POSITIVE,
    SETS,
    USED,
    a_morning_with_a_positive_indicator,
)

ENDED = Ended("All found, none opened.", "The door seal leaked.", "Seal renewed; three empty cycles met.")


@pytest.fixture(scope="module")
def morning() -> tuple[BenchHouse, datetime]:
    """The morning of a positive indicator."""
    return a_morning_with_a_positive_indicator()


def test_a_positive_indicator_lists_every_load_of_every_program(
    morning: tuple[BenchHouse, datetime],
) -> None:
    """11 loads, 74 sets, 19 of them used in 13 cases, whatever the program; no load before that."""
    bench, negative = morning
    until = negative + timedelta(hours=30)
    scope, lena = Scope(since=negative, until=until), bench.house.visitor("lena")
    reach, others = recalling.see_reach(bench.house.archive, lena, POSITIVE, scope, now=until)
    assert others == ()
    assert (reach.loads, reach.sets, reach.cases) == (LOADS, SETS, CASES)
    assert len([one for one in reach.touched if one.used_in]) == USED
    assert reach.touched[0].fate is Fate.issued
    assert len([one for one in reach.touched if one.fate is Fate.here]) == SETS - USED - 1


def test_only_infection_prevention_narrows_with_a_reason(morning: tuple[BenchHouse, datetime]) -> None:
    """The lead may not; without a reason nobody may; implants are taken in all the same."""
    bench, negative = morning
    until, archive = negative + timedelta(hours=30), bench.house.archive
    narrow = Scope("load-and-implants", "Loaded wrong, seen at once.", negative, until)
    with pytest.raises(NotAllowed):
        recalling.see_reach(archive, bench.house.visitor("lena"), POSITIVE, narrow, now=until)
    ruth = bench.house.visitor("ruth")
    with pytest.raises(BadInput):
        recalling.see_reach(archive, ruth, POSITIVE, replace(narrow, reason=" "), now=until)
    reach, _ = recalling.see_reach(archive, ruth, POSITIVE, narrow, now=until)
    assert {one.load for one in reach.touched} == {"l-11", "l-4"}


def test_a_recall_holds_what_is_here_and_closes_when_all_is_dealt_with(
    morning: tuple[BenchHouse, datetime],
) -> None:
    """Every stored set is held; it closes only once each set and each case is dealt with, and stays held."""
    bench, negative = morning
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    until = negative + timedelta(hours=30)
    key = recalling.open_recall(archive, lena, POSITIVE, Scope(since=negative, until=until), now=until)
    with archive.unit(writes=False) as unit:
        copy = copy_of_code(unit, "north", f"R-{SETS - 1}")
        assert (copy.state, run_of(unit, copy).run.open_holds()[0].why) == (
            "held",
            "recall: Indicator of load 11 grew.",
        )
    with pytest.raises(BadInput, match="55 sets and 13 cases"):
        working.close_recall(archive, lena, key, ENDED, now=until)
    recall = recalling.see_recall(archive, lena, key).recall
    for one in recall.open_sets:
        working.deal_with_set(
            archive, lena, key, one.run, found=Found.found, words="set apart, room 4", now=until
        )
    for case in recall.open_cases:
        working.tell_case(archive, lena, key, case, Called(until, "nurse in charge of theatre 2"), now=until)
    working.close_recall(archive, lena, key, ENDED, now=until)
    with pytest.raises(BadInput, match="closed"):
        working.tell_case(archive, lena, key, "OP-1", Called(until, "theatre 2"), now=until)
    with archive.unit(writes=False) as unit:
        assert copy_of_code(unit, "north", f"R-{SETS - 1}").state == "held"
    assert [row.state for row in recalling.find_recalls(archive, lena)] == ["closed"]


def test_where_a_set_is_now_is_told_of_an_open_recall() -> None:
    """A set that was let out after the recall was opened is not looked for where it lay then."""
    bench, negative = a_morning_with_a_positive_indicator()
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    until = negative + timedelta(hours=30)
    key = recalling.open_recall(archive, lena, POSITIVE, Scope(since=negative, until=until), now=until)
    here = recalling.see_recall(archive, lena, key).now
    run = next(run for run, one in here.items() if one.code == f"R-{SETS - 1}")
    assert (here[run].fate, here[run].state) == (Fate.here, "held")
    with archive.unit() as unit:
        copy = copy_of_code(unit, "north", f"R-{SETS - 1}")
        unit.bench.copies.put(replace(copy, state="issued", place="theatre"))
    now = recalling.see_recall(archive, lena, key).now[run]
    assert (now.fate, now.place) == (Fate.issued, "theatre")


def test_an_issued_set_that_comes_back_is_held_while_its_recall_is_open() -> None:
    """Unopened and whole it goes into the store, and out of it only once somebody has lifted that."""
    bench, negative = a_morning_with_a_positive_indicator(sets=4, used=1)
    archive, lena = bench.house.archive, bench.house.visitor("lena")
    until = bench.now = negative + timedelta(hours=30)
    with archive.unit(writes=False) as unit:
        run = run_of(unit, copy_of_code(unit, "north", "R-1")).run
        assert held_if_recalled(unit, "north", run, at=until, by=lena.person) == run
    recalling.open_recall(archive, lena, POSITIVE, Scope(since=negative, until=until), now=until)
    with archive.unit(writes=False) as unit:
        back = held_if_recalled(unit, "north", run, at=until, by=lena.person)
    assert [one.why for one in back.open_holds()] == ["recall: Indicator of load 11 grew."]
