"""Runs over many records: the same in any number of processes and machines, and taken up after a kill."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from sinkside.cycles import DIALECTS, Unread, Verdict, judge_file, simulate, write_recorder_file
from sinkside.cycles.many import (
    Asked,
    KeyColumns,
    Programs,
    Record,
    Told,
    gather,
    judge_records,
    workers_for,
)
from sinkside.cycles.many.told import told_lost
from sinkside.department import Program
from sinkside.documents import to_json
from sinkside.errors import UnreadableFile
from sinkside.limits import profile
from sinkside.parallel import Cluster, Processes, ThisProcess, Work, Workers
from support.command import ROOT, SAMPLES
from support.cycle_tables import cycle_table, data_set, written

PROGRAM = SAMPLES / "traces" / "132-4.yaml"


@pytest.fixture(scope="module")
def asked(programs: dict[str, Program]) -> Asked:
    """By one program and the European limits."""
    return Asked(Programs.of([("132-4", programs["132-4"])]), profile("eu"))


@pytest.fixture(scope="module")
def mixed(programs: dict[str, Program], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with recorder files of several dialects, a bad one among them, and a data set."""
    folder = tmp_path_factory.mktemp("mixed")
    program = programs["132-4"]
    for seed, dialect in enumerate(["si", *sorted(DIALECTS)[:3]]):
        fault = ("normal", "short-exposure")[seed % 2]
        write_recorder_file(simulate(program, fault, seed=seed), folder / f"{seed}.csv", dialect=dialect)
    (folder / "5.csv").write_bytes(b"\x00" * 100)
    tables = [(seed, cycle_table(program, seed)) for seed in range(6)]
    written(data_set(tables), folder / "machine=S1" / "set.parquet")
    return folder


def records_in(place: Path) -> tuple[Record, ...]:
    return gather([place], columns=KeyColumns()).records


def lines(told: Iterable[Told]) -> list[str]:
    return [one.line for one in told]


def test_processes_machines_and_one_process_agree_to_the_last_bit(mixed: Path, asked: Asked) -> None:
    """Two processes, a Dask cluster of two more and this process tell the same bytes in the same order."""
    import distributed

    records = records_in(mixed)
    alone = lines(judge_records(records, asked, workers=ThisProcess()))
    shared = judge_records(records, asked, workers=Processes(2, lost=told_lost))
    assert lines(shared) == alone
    assert len(alone) == 11
    local: Any = distributed.LocalCluster
    with local(2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as cluster:
        machines: Cluster[Record, Told] = Cluster.at(cluster.scheduler_address, lost=told_lost)
        try:
            assert lines(judge_records(records, asked, workers=machines)) == alone
        finally:
            machines.close()


def test_told_lines_are_those_of_single_files(
    mixed: Path, asked: Asked, programs: dict[str, Program]
) -> None:
    """A line is what one file alone gives, and reads back as the verdict it was."""
    told = {one.trace: one for one in judge_records(records_in(mixed), asked, workers=ThisProcess())}
    verdict = judge_file(mixed / "1.csv", programs["132-4"])
    assert told["1.csv"].line == to_json(verdict, compact=True)
    assert told["1.csv"].answer() == verdict
    assert isinstance(told["5.csv"].answer(), Unread)
    assert isinstance(told["machine=S1/set.parquet#3"].answer(), Verdict)


def test_little_work_stays_in_this_process(mixed: Path) -> None:
    """Eleven cycles are not worth starting a process; a thousand files are, where there are processors."""
    records = records_in(mixed)
    assert isinstance(workers_for(records), ThisProcess)
    many = workers_for([Record(name="a", path=Path("a"))] * 1_000)
    assert isinstance(many, Processes) is ((os.cpu_count() or 1) > 1)
    assert isinstance(workers_for(records, 3), Processes)


def test_the_results_are_one_table(mixed: Path, asked: Asked, tmp_path: Path) -> None:
    """Every record is a row, in order, with where it is from, its verdict, its figures and its line."""
    out = tmp_path / "results.parquet"
    told = list(judge_records(records_in(mixed), asked, workers=ThisProcess(), out=out))
    table = pl.read_parquet(out)
    assert table["line"].to_list() == lines(told)
    assert table["verdict"].to_list() == [one.verdict for one in told]
    assert table["machine"].to_list() == [""] * 5 + ["S1"] * 6
    assert table["cycle"].to_list()[5:] == [str(number) for number in range(6)]
    row = table.row(0, named=True)
    first = told[0].answer()
    assert isinstance(first, Verdict)
    assert row["f0"] == first.values["f0"].value
    assert row["come-up"] == first.values["come-up"].value
    assert table["f0"].to_list()[4] is None
    assert sorted(path.name for path in tmp_path.iterdir()) == ["results.parquet"]


class Watched:
    """This process, noting which records it was asked to judge."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def each(self, work: Work[Record, Told], shares: Iterable[Sequence[Record]]) -> Iterator[list[Told]]:
        """The work done on each share, in their order."""
        for share in shares:
            self.asked += [record.name for record in share]
            yield work(share)


@pytest.fixture
def forty(tmp_path: Path, traces: Path) -> Path:
    """A folder of forty files, which make three shares."""
    folder = tmp_path / "forty"
    folder.mkdir()
    sources = [(traces / f"r-{number:03d}.csv").read_bytes() for number in (9, 14, 0, 4)]
    for number in range(40):
        (folder / f"{number}.csv").write_bytes(sources[number % 4])
    return folder


def test_a_run_goes_on_where_it_stopped(forty: Path, asked: Asked, tmp_path: Path) -> None:
    """What a stopped run has told of whole shares is not judged again, and nothing is left out or doubled."""
    out, records = tmp_path / "r.parquet", records_in(forty)
    whole = lines(judge_records(records, asked, workers=ThisProcess()))
    begun = judge_records(records, asked, workers=ThisProcess(), out=out)
    assert [next(begun).trace for _ in range(20)][-1] == "19.csv"
    begun.close()
    assert not out.exists()
    watched = Watched()
    workers: Workers[Record, Told] = watched
    assert lines(judge_records(records, asked, workers=workers, out=out)) == whole
    assert watched.asked == [f"{number}.csv" for number in range(32, 40)]
    assert pl.read_parquet(out)["line"].to_list() == whole


def test_what_has_changed_since_is_judged_anew(
    forty: Path, asked: Asked, programs: dict[str, Program], tmp_path: Path
) -> None:
    """Of three shares kept, one with a changed file, one spoilt: both anew; for another question, all."""
    out, records = tmp_path / "r.parquet", records_in(forty)
    begun = judge_records(records, asked, workers=ThisProcess(), out=out)
    for _ in range(39):
        next(begun)
    begun.close()
    (forty / "3.csv").write_bytes((forty / "0.csv").read_bytes())
    kept = (tmp_path / ".r.parquet.unfinished").iterdir()
    spoilt = sorted(kept, key=lambda path: path.stat().st_mtime_ns)[1]
    spoilt.write_bytes(spoilt.read_bytes()[:200])
    watched = Watched()
    list(judge_records(records, asked, workers=watched, out=out))
    assert watched.asked == [f"{number}.csv" for number in range(32)]
    other = Asked(Programs.of([("132-4", programs["134-3"])]), profile("uk"))
    assert {one.profile for one in judge_records(records, other, workers=ThisProcess(), out=out)} == {"uk"}
    assert set(pl.read_parquet(out)["profile"]) == {"uk"}


def run_of(*arguments: str | Path) -> subprocess.Popen[bytes]:
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src")}
    words = [sys.executable, "-W", "error", "-m", "sinkside", "judge", *map(str, arguments)]
    return subprocess.Popen(words, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def children_of(process: int) -> list[int]:
    text = Path(f"/proc/{process}/task/{process}/children").read_text()
    return [int(word) for word in text.split()]


def wait_until(true: object, *, within_s: float = 60.0) -> None:
    assert callable(true)
    end = time.monotonic() + within_s
    while not true():
        assert time.monotonic() < end
        time.sleep(0.005)


def test_a_killed_run_goes_on(traces: Path, tmp_path: Path) -> None:
    """Killed after its first share, a run of two processes leaves none behind; the next makes it whole."""
    folder = tmp_path / "many"
    folder.mkdir()
    for number in range(240):
        (folder / f"{number}.csv").write_bytes((traces / "r-009.csv").read_bytes())
    out, kept = tmp_path / "r.parquet", tmp_path / ".r.parquet.unfinished"
    run = run_of(folder, "--program", PROGRAM, "--out", out)
    wait_until(lambda: kept.is_dir() and any(kept.glob("*.parquet")))
    workers = children_of(run.pid)
    run.send_signal(signal.SIGKILL)
    run.communicate()
    assert not out.exists()
    wait_until(lambda: not any(_runs(worker) for worker in workers))
    done = {path: path.stat().st_mtime_ns for path in kept.glob("*.parquet")}
    again = run_of(folder, "--program", PROGRAM, "--out", out, "--json")
    printed, said = again.communicate()
    assert (again.returncode, said) == (0, b"")
    table = pl.read_parquet(out)
    assert table["trace"].to_list() == [f"{number}.csv" for number in range(240)]
    assert set(table["verdict"]) == {"meets"}
    assert table["line"].to_list() == printed.decode().splitlines()
    assert done
    assert not kept.exists()


def _runs(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def test_results_that_cannot_be_written_are_said_so(mixed: Path, asked: Asked, tmp_path: Path) -> None:
    """A folder that is none ends the run with the place where it failed."""
    (tmp_path / "file").write_text("x")
    out = tmp_path / "file" / "r.parquet"
    with pytest.raises(UnreadableFile, match="cannot be written"):
        list(judge_records(records_in(mixed), asked, workers=ThisProcess(), out=out))


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_the_command_counts_and_its_status_says_the_worst(
    mixed: Path, tmp_path: Path, options: tuple[str, ...]
) -> None:
    """With --out the command prints counts or lines, and ends with 2 where a file could not be read."""
    run = run_of(mixed, "--program", PROGRAM, "--out", tmp_path / "r.parquet", *options)
    printed, _ = run.communicate()
    assert run.returncode == 2
    text = printed.decode()
    if options:
        assert len(text.splitlines()) == 11
    else:
        assert "1 unread" in text
        assert text.endswith("r.parquet\n")
