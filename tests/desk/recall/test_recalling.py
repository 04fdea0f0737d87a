"""Recall: what a positive indicator reaches, who may narrow it, that none is closed half done (scene 3)."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from sinkside.bench.recall import CauseKind, Fate
from sinkside.bench.run import Place
from sinkside.desk.bench.runs import copy_of_code, keep_run, open_run, run_of
from sinkside.desk.recall import recalling
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.recalling import Scope
from sinkside.errors import BadInput, NotAllowed
from sinkside.records import CaseSet, KeptCase, KeptCopy, KeptLoad, LoadedCopy
from support.bench_house import BenchHouse, bench_house

LOADS, SETS, USED, CASES = 11, 74, 19, 13
POSITIVE = Cause(kind=CauseKind.indicator, of="sterilizer-1", words="Indicator of load 11 grew.", load="l-11")


@pytest.fixture(scope="module")
def morning() -> tuple[BenchHouse, datetime]:
    """74 sets in 11 loads of both programs since yesterday 06:40, 19 used in 13 cases; one load before."""
    bench = bench_house()
    bench.house.add("ruth", "infection-prevention")
    negative = bench.now
    with bench.house.archive.unit() as unit:
        for number in range(-1, LOADS):
            started = negative + timedelta(hours=2 * number + 1)
            program = ("134 °C, 3 min", "121 °C, 20 min")[number % 2]
            unit.bench.loads.put(
                KeptLoad(
                    f"l-{number + 1}",
                    "north",
                    "sterilizer",
                    "sterilizer-1",
                    program,
                    "released",
                    started,
                    started=started,
                    fields={"implant": number == 3},
                )
            )
    for number in range(SETS + 5):
        _a_set(bench, number, f"l-{number % LOADS + 1}" if number < SETS else "l-0")
    return bench, negative


def _a_set(bench: BenchHouse, number: int, load: str) -> None:
    """A set that lay in a load; the first 19 were used since, one is issued, the rest in store."""
    visitor = bench.house.visitor("lena")
    code = f"R-{number}"
    with bench.house.archive.unit() as unit:
        copy = KeptCopy(
            f"c-{number}", "north", code, "set", bench.set, "Suction set", "in-use", "store", bench.now
        )
        unit.bench.copies.put(copy)
        opened = open_run(unit, visitor, copy, at=bench.now, now=bench.now)
        unit.bench.loads.keep_in(LoadedCopy(load, copy.id, opened.run.id, bench.now))
        stored = opened.run.model_copy(update={"place": Place.issued if number == USED else Place.in_store})
        opened = keep_run(unit, opened, stored, now=bench.now)
        if number >= USED:
            return
        case = f"k-{number % CASES}"
        unit.bench.cases.put(KeptCase(case, "north", f"OP-{number % CASES}", "2", bench.now, "closed"))
        unit.bench.cases.put_set(
            CaseSet(case, bench.set, turn=number + 1, copy=copy.id, state="used", run=opened.run.id)
        )
        open_run(unit, visitor, opened.copy, at=bench.now, now=bench.now)


def test_a_positive_indicator_lists_every_load_of_every_program(
    morning: tuple[BenchHouse, datetime],
) -> None:
    """11 loads, 74 sets, 19 of them used in 13 cases, whatever the program; no load before that."""
    bench, negative = morning
    until = negative + timedelta(hours=30)
    scope, lena = Scope(since=negative, until=until), bench.house.visitor("lena")
    reach = recalling.see_reach(bench.house.archive, lena, POSITIVE, scope, now=until)
    assert (len(reach.loads), reach.sets, len(reach.cases)) == (LOADS, SETS, CASES)
    assert len([one for one in reach.touched if one.used_in]) == USED
    assert reach.touched[0].fate is Fate.issued
    assert len(reach.of(Fate.here)) == SETS - USED - 1


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
    reach = recalling.see_reach(archive, ruth, POSITIVE, narrow, now=until)
    assert set(reach.loads) == {"l-11", "l-4"}


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
        recalling.close_recall(archive, lena, key, words="done", now=until)
    recall = recalling.see_recall(archive, lena, key).recall
    for one in recall.open_sets:
        recalling.deal_with_set(archive, lena, key, one.run, words="set apart, room 4", now=until)
    for case in recall.open_cases:
        recalling.tell_case(archive, lena, key, case, words="theatre 2 and infection prevention", now=until)
    recalling.close_recall(archive, lena, key, words="All found; sterilizer repaired and tested.", now=until)
    with pytest.raises(BadInput, match="closed"):
        recalling.tell_case(archive, lena, key, "OP-1", words="again", now=until)
    with archive.unit(writes=False) as unit:
        assert copy_of_code(unit, "north", f"R-{SETS - 1}").state == "held"
    assert [row.state for row in recalling.find_recalls(archive, lena)] == ["closed"]
