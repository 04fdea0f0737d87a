"""Cycles in Parquet data sets: found by their ids however they are cut, and judged as single files are."""

from __future__ import annotations

from pathlib import Path

import polars as pl
import pytest

from sinkside.cycles.many import Asked, KeyColumns, Programs, Record, Told, gather, judge_records
from sinkside.cycles.many.tables import pieces_of
from sinkside.department import Program
from sinkside.errors import BadInput
from sinkside.limits import profile
from sinkside.parallel import ThisProcess
from support.cycle_tables import PRESSURE, TIME, cycle_table, data_set, written

FAULTS = ("normal", "short-exposure", "normal", "gap", "shallow-vacuum", "normal")


@pytest.fixture(scope="module")
def cycles(programs: dict[str, Program]) -> list[pl.DataFrame]:
    """Six cycles of one program, half of them with a fault."""
    return [cycle_table(programs["132-4"], seed, fault) for seed, fault in enumerate(FAULTS, 1)]


@pytest.fixture(scope="module")
def asked(programs: dict[str, Program]) -> Asked:
    """By one program and the European limits."""
    return Asked(Programs.of([("132-4", programs["132-4"])]), profile("eu"))


def told_of(place: Path, asked: Asked, columns: KeyColumns | None = None) -> list[Told]:
    records = gather([place], columns=columns or KeyColumns()).records
    return list(judge_records(records, asked, workers=ThisProcess()))


def plain(told: list[Told]) -> list[str]:
    """The lines, without what a record is called."""
    return [one.line.replace(one.trace, "") for one in told]


@pytest.fixture(scope="module")
def each_alone(
    cycles: list[pl.DataFrame], asked: Asked, tmp_path_factory: pytest.TempPathFactory
) -> list[str]:
    """What each cycle proves in a file of its own."""
    folder = tmp_path_factory.mktemp("alone")
    for number, table in enumerate(cycles):
        written(table, folder / f"c{number}.parquet")
    told = told_of(folder, asked)
    assert [one.verdict for one in told] == ["meets", "fails", "meets", "unclear", "fails", "meets"]
    return plain(told)


def test_a_table_of_cycles_gives_what_single_files_give(
    cycles: list[pl.DataFrame], each_alone: list[str], asked: Asked, tmp_path: Path
) -> None:
    """Six cycles in one table with ids are six records, to the last bit the same as in six files."""
    path = written(data_set(enumerate(cycles, 17)), tmp_path / "all.parquet")
    told = told_of(path, asked)
    assert plain(told) == each_alone
    assert [one.trace for one in told] == [f"all.parquet#{number}" for number in range(17, 23)]
    assert [one.cycle for one in told] == [str(number) for number in range(17, 23)]


def test_parts_that_end_within_a_cycle(
    cycles: list[pl.DataFrame], each_alone: list[str], asked: Asked, tmp_path: Path
) -> None:
    """Parts shorter than a cycle, cut without regard to any, give the same; part-10 comes after part-9."""
    table = data_set(enumerate(cycles))
    for number, part in enumerate(table.iter_slices(300)):
        written(part, tmp_path / "set" / f"part-{number}.parquet")
    assert len(list((tmp_path / "set").iterdir())) > 10
    told = told_of(tmp_path / "set", asked)
    assert plain(told) == each_alone


def test_cycles_written_alternately(
    cycles: list[pl.DataFrame], each_alone: list[str], asked: Asked, tmp_path: Path
) -> None:
    """Rows of two machines that ran at once, one row of each in turn, are told apart by both ids."""
    table = pl.concat(
        [
            data_set([(number // 2, cycle)], machine=f"S{number % 2}").with_row_index("order")
            for number, cycle in enumerate(cycles)
        ]
    )
    mixed = table.sort(pl.col("cycle_id"), pl.col("order"), maintain_order=True).drop("order")
    told = told_of(written(mixed, tmp_path / "mixed.parquet"), asked)
    assert [(one.cycle, one.machine) for one in told] == [(str(n // 2), f"S{n % 2}") for n in range(6)]
    assert [line.replace("#", "") for line in plain(told)] == each_alone


def test_folders_say_machine_and_program(
    cycles: list[pl.DataFrame], each_alone: list[str], programs: dict[str, Program], tmp_path: Path
) -> None:
    """Folders named machine=… and program=… say so of what they hold; an unknown program is not replaced."""
    first = data_set(enumerate(cycles[:3]))
    written(first, tmp_path / "set/machine=S1/program=132-4/a.parquet")
    written(data_set(enumerate(cycles[3:])), tmp_path / "set/machine=S2/program=134-3/a.parquet")
    written(cycles[0], tmp_path / "set/machine=S3/program=121-20/a.parquet")
    both = Asked(Programs.of((name, programs[name]) for name in ("132-4", "134-3")), profile("eu"))
    told = told_of(tmp_path / "set", both)
    assert [one.machine for one in told] == ["S1"] * 3 + ["S2"] * 3 + ["S3"]
    assert plain(told)[:3] == each_alone[:3]
    assert {one.program for one in told[3:6]} == {programs["134-3"].name}
    assert told[6].verdict == "unread"
    assert "'121-20'" in told[6].summary
    assert "--program NAME=FILE" in told[6].summary


def test_a_column_says_the_program(
    cycles: list[pl.DataFrame], programs: dict[str, Program], tmp_path: Path
) -> None:
    """A program's own name, in whatever case, or the name it was given on the command line, picks it."""
    named = data_set([(1, cycles[0])], program=programs["132-4"].name.upper())
    given = data_set([(2, cycles[0])], program="P4")
    path = written(pl.concat([named, given]), tmp_path / "named.parquet")
    both = Asked(Programs.of([("P4", programs["132-4"]), ("134-3", programs["134-3"])]), profile("eu"))
    assert [one.verdict for one in told_of(path, both)] == ["meets", "meets"]


def test_without_a_name_several_programs_are_a_question(
    cycles: list[pl.DataFrame], programs: dict[str, Program], tmp_path: Path
) -> None:
    """A record that names no program is not judged by the first of two."""
    path = written(cycles[0], tmp_path / "one.parquet")
    both = Asked(Programs.of((name, programs[name]) for name in ("132-4", "134-3")), profile("eu"))
    (told,) = told_of(path, both)
    assert told.verdict == "unread"
    assert "which of 2 programs" in told.summary


def test_a_name_for_two_programs_and_no_program_are_refused(programs: dict[str, Program]) -> None:
    """One name cannot mean two programs, and without any there is nothing to judge by."""
    with pytest.raises(BadInput, match="two different programs"):
        Programs.of([("a", programs["132-4"]), ("A", programs["134-3"])])
    with pytest.raises(BadInput, match="no program"):
        Programs.of([])


def test_what_cannot_be_judged_does_not_stop_the_rest(
    cycles: list[pl.DataFrame], each_alone: list[str], asked: Asked, tmp_path: Path
) -> None:
    """Rows without an id, a cycle without readings and a file cut off are told as such, among the others."""
    empty = cycles[1].with_columns(
        pl.lit(None, dtype=pl.Float64).alias(name) for name in cycles[1].columns[1:]
    )
    table = pl.concat([data_set([(1, cycles[0]), (2, empty)]), data_set([(3, cycles[2])])])
    idle = table.with_columns(
        pl.when(pl.col("cycle_id") == 2).then(None).otherwise(pl.col("cycle_id")).alias("cycle_id")
    )
    written(table, tmp_path / "set" / "a.parquet")
    written(idle, tmp_path / "set" / "b.parquet")
    whole = (tmp_path / "set" / "a.parquet").read_bytes()
    (tmp_path / "set" / "c.parquet").write_bytes(whole[: len(whole) // 2])
    told = told_of(tmp_path / "set", asked)
    assert [one.verdict for one in told] == [
        "meets",
        "unclear",
        "meets",
        "meets",
        "unread",
        "meets",
        "unread",
    ]
    assert "rows name no cycle" in told[4].summary
    assert "damaged or cut off" in told[6].summary
    assert plain(told)[0] == each_alone[0]
    assert plain(told)[5] == each_alone[2]


def test_a_damaged_row_group_costs_only_its_share(
    cycles: list[pl.DataFrame], asked: Asked, tmp_path: Path
) -> None:
    """A table with spoilt bytes in its middle gives sentences or verdicts for every cycle, and no crash."""
    path = written(data_set(enumerate(cycles)), tmp_path / "spoilt.parquet")
    data = bytearray(path.read_bytes())
    data[2_000:12_000] = bytes(10_000)
    path.write_bytes(data)
    records = gather([path], columns=KeyColumns()).records
    told = list(judge_records(records, asked, workers=ThisProcess()))
    assert len(told) == len(records) >= 1
    assert {one.verdict for one in told} <= {"unread", "unclear", "fails", "meets"}
    assert "unread" in {one.verdict for one in told}


def test_a_reading_called_load_is_no_id(cycles: list[pl.DataFrame], asked: Asked, tmp_path: Path) -> None:
    """A column of temperatures called Load does not cut the table; an id column asked for by name does."""
    table = cycles[0].rename({"T2 [°C]": "Load"}).with_columns(pl.lit("x9").alias("lauf"))
    path = written(table.drop("lauf"), tmp_path / "load.parquet")
    assert [record.name for record in gather([path], columns=KeyColumns()).records] == ["load.parquet"]
    more = written(
        pl.concat([table, table.with_columns(pl.lit("x10").alias("lauf"))]), tmp_path / "two.parquet"
    )
    found = gather([more], columns=KeyColumns(cycle="lauf")).records
    assert [record.said.cycle for record in found] == ["x9", "x10"]
    (refused,) = told_of(more, asked, KeyColumns(cycle="nobody"))
    assert "there is no column 'nobody'" in refused.summary


def test_one_file_of_one_cycle_keeps_its_name(
    cycles: list[pl.DataFrame], asked: Asked, tmp_path: Path
) -> None:
    """A file whose id column never changes is called by its name alone, as the contract says."""
    path = written(data_set([("2026-117", cycles[0])]), tmp_path / "x.parquet")
    (told,) = told_of(path, asked)
    assert (told.trace, told.cycle, told.verdict) == ("x.parquet", "2026-117", "meets")


def test_cycles_that_share_an_id_are_not_joined(
    cycles: list[pl.DataFrame], each_alone: list[str], asked: Asked, tmp_path: Path
) -> None:
    """Exports that all call their only cycle 1 stay as many cycles as files: the time begins anew in each."""
    for number in (0, 1):
        written(data_set([(1, cycles[number])]), tmp_path / "set" / f"{number}.parquet")
    assert plain(told_of(tmp_path / "set", asked)) == each_alone[:2]


def test_folders_are_searched_for_what_recorders_write(tmp_path: Path, traces: Path) -> None:
    """Programs, notes, hidden files and the results themselves are passed over; nothing at all is said."""
    for name in ("b.csv", "a10.CSV", "a9.txt", "notes.md", "132-4.yaml", ".hidden.csv", "out.parquet"):
        (tmp_path / name).write_bytes((traces / "r-009.csv").read_bytes())
    (tmp_path / "deep" / "er").mkdir(parents=True)
    (tmp_path / "deep" / "er" / "c.csv").write_text("x")
    found = gather([tmp_path], columns=KeyColumns(), besides=tmp_path / "out.parquet")
    assert [record.name for record in found.records] == ["a9.txt", "a10.CSV", "b.csv", "deep/er/c.csv"]
    assert found.passed_over == 2
    (tmp_path / "nothing").mkdir()
    (refused,) = gather([tmp_path / "nothing"], columns=KeyColumns()).records
    assert (refused.name, refused.refused) == ("nothing", "there is no recorder file in this folder")


def test_whoever_counts_cycles_has_none_cut(cycles: list[pl.DataFrame], tmp_path: Path) -> None:
    """With a cycle named by its number the file stays whole for the reader, which counts them."""
    path = written(data_set(enumerate(cycles)), tmp_path / "all.parquet")
    assert [record.rows for record in gather([path], columns=None).records] == [()]


def test_shares_follow_one_another_and_leave_none_out() -> None:
    """Whatever the sizes, shares hold every record once and in order, and none is larger than it must be."""
    from sinkside.cycles.many.record import Rows

    path = Path("x")
    records = [Record(name=str(n), path=path, rows=() if n % 3 else (Rows(path, n, 40),)) for n in range(50)]
    shares = list(pieces_of(records, rows=100, files=5))
    assert [record for share in shares for record in share] == records
    assert all(sum(record.size for record in share[:-1]) < 100 for share in shares)


def test_times_and_pressures_may_be_typed_or_in_other_units(
    cycles: list[pl.DataFrame], asked: Asked, tmp_path: Path
) -> None:
    """Times as moments and pressures in mbar, as whole numbers, give the same verdicts."""
    moment = pl.datetime(2026, 3, 4, 7, 12) + pl.duration(milliseconds=(pl.col(TIME) * 1000).cast(pl.Int64))
    table = data_set(enumerate(cycles)).with_columns(
        moment.alias("stamp"), (pl.col(PRESSURE) * 10).round().cast(pl.Int32).alias("pressure mbar abs")
    )
    path = written(table.drop(TIME, PRESSURE), tmp_path / "typed.parquet")
    assert [one.verdict for one in told_of(path, asked)] == [
        "meets",
        "fails",
        "meets",
        "unclear",
        "fails",
        "meets",
    ]
