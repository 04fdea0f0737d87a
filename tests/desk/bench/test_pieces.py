"""Marked instruments belong to one set and to their mate; how often a line was processed is counted."""

from __future__ import annotations

import pytest

from sinkside.bench.acts import Look
from sinkside.bench.doing import Doer
from sinkside.bench.gates import in_the_way
from sinkside.bench.in_loads import decided, put_in
from sinkside.bench.packing import look
from sinkside.bench.run import InLoad, Place
from sinkside.department import Station
from sinkside.desk.bench.copies import take_out_of_use
from sinkside.desk.bench.pieces import mark_piece
from sinkside.desk.bench.runs import copy_of_code, run_of
from sinkside.errors import BadInput, Conflict
from support.bench_house import CODES, BenchHouse, at_packing, bench_house


@pytest.fixture
def bench() -> BenchHouse:
    """A bench with two marked tubes of the first set, mates of each other, and one of the second set."""
    made = bench_house()
    lena, archive = made.house.visitor("lena"), made.house.archive
    mark_piece(archive, lena, CODES[0], "1", code="TUBE-1", now=made.now)
    mark_piece(archive, lena, CODES[0], "1", code="TUBE-2", mate="TUBE-1", now=made.now)
    mark_piece(archive, lena, CODES[1], "1", code="TUBE-3", now=made.now)
    return made


def test_a_pack_closes_only_with_its_own_instruments(bench: BenchHouse) -> None:
    """One of another set is refused by name; without both mates the pack does not close."""
    at_packing(bench)
    wrong = bench.tap("tom", "put-in", piece="TUBE-3")
    assert "belongs to Suction set, SET-2" in wrong.said
    bench.done("tom", "put-in", piece="TUBE-1")
    assert "TUBE-2" in bench.tap("tom", "pack").said
    bench.done("tom", "put-in", piece="TUBE-2")
    bench.done("tom", "pack")


def test_every_closed_pack_counts_as_one_use(bench: BenchHouse) -> None:
    """The copy and each of its lines were processed once more, and the next run knows."""
    at_packing(bench)
    for piece in ("TUBE-1", "TUBE-2"):
        bench.done("tom", "put-in", piece=piece)
    bench.done("tom", "pack")
    with bench.house.archive.unit(writes=False) as unit:
        copy = copy_of_code(unit, "north", CODES[0])
    assert (copy.fields["uses"], copy.fields["uses:1"]) == (1, 1)


def test_a_worn_out_line_stops_until_it_is_replaced(bench: BenchHouse) -> None:
    """At as many uses as its text allows it is to be replaced; a new one begins at nothing."""
    at_packing(bench)
    with bench.house.archive.unit(writes=False) as unit:
        opened = run_of(unit, copy_of_code(unit, "north", CODES[0]))
    line = opened.plan.lines[0].model_copy(update={"most_uses": 40, "expected": 1})
    plan = opened.plan.model_copy(update={"lines": (line,)})
    worn = opened.run.model_copy(update={"uses": {"1": 40}})
    said = "; ".join(in_the_way(plan, worn, Place.packed, now=bench.now))
    assert "processed 40 times, its text allows 40" in said
    act = Look(code=CODES[0], line="1", passed=False, fault="worn out", then="replace")
    new = look(plan, worn, act, Doer("p-1", bench.now)).run
    assert "its text allows" not in "; ".join(in_the_way(plan, new, Place.packed, now=bench.now))


def test_no_more_are_marked_than_the_list_has(bench: BenchHouse) -> None:
    """The set has two tubes: a third is refused, and so is a code that something has already."""
    lena, archive = bench.house.visitor("lena"), bench.house.archive
    with pytest.raises(BadInput, match="all 2"):
        mark_piece(archive, lena, CODES[0], "1", code="TUBE-9", now=bench.now)
    with pytest.raises(Conflict, match="TUBE-1"):
        mark_piece(archive, lena, CODES[2], "1", code="TUBE-1", now=bench.now)


def test_every_sterilizer_load_of_a_set_must_be_released_and_cool(bench: BenchHouse) -> None:
    """Of two loads the first is held and the second released: the set stays out of the store."""
    at_packing(bench)
    for piece in ("TUBE-1", "TUBE-2"):
        bench.done("tom", "put-in", piece=piece)
    bench.done("tom", "pack")
    with bench.house.archive.unit(writes=False) as unit:
        opened = run_of(unit, copy_of_code(unit, "north", CODES[0]))
    run = opened.run
    for load in ("l-8", "l-9"):
        steam = next(iter(opened.plan.machines(Station.sterilizer)))
        inside = InLoad(
            load=load,
            station=Station.sterilizer,
            machine=steam.machine,
            program=steam.program,
            members=("suction tube",),
            at=bench.now,
        )
        run = put_in(opened.plan, run, inside)
    for first, said in (("held", "no sterilizer load that somebody released"), ("released", "")):
        after = decided(run, "l-8", first, at=bench.now, cooled=bench.now)  # type: ignore[arg-type]
        after = decided(after, "l-9", "released", at=bench.now, cooled=bench.now)
        assert "; ".join(in_the_way(opened.plan, after, Place.in_store, now=bench.now)) == said


def test_what_is_out_of_use_is_on_no_run_any_more(bench: BenchHouse) -> None:
    """No tap brings it back; it is said why, and once."""
    at_packing(bench)
    lena, archive = bench.house.visitor("lena"), bench.house.archive
    with pytest.raises(BadInput):
        take_out_of_use(archive, lena, CODES[0], why=" ", now=bench.now)
    take_out_of_use(archive, lena, CODES[0], why="the tray is bent", now=bench.now)
    for act in ("pause", "pack", "arrive"):
        assert bench.tap("tom", act).outcome == "refused"
    with archive.unit(writes=False) as unit:
        assert copy_of_code(unit, "north", CODES[0]).state == "out-of-use"
    with pytest.raises(BadInput, match="out of use already"):
        take_out_of_use(archive, lena, CODES[0], why="again", now=bench.now)
