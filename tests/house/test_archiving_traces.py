"""The archive of traces from the command line, on a real house: read back, killed, altered, checked."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import polars as pl
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq
import pytest

from sinkside import wiring
from sinkside.archive import open_archive
from sinkside.desk.cycle_records import KIND, opened_cycle, trace_in
from support.command import ROOT, Sinkside
from support.filled_house import house_at


@pytest.fixture(scope="module")
def traced(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo house, in which nothing is changed."""
    return house_at(tmp_path_factory.mktemp("traced") / "house")


@pytest.fixture(scope="module")
def made(traced: Path, sinkside: Sinkside, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its archive of traces, in which nothing is changed."""
    folder = tmp_path_factory.mktemp("traces") / "archive"
    done = sinkside("archive-traces", "--workspace", traced, "--to", folder)
    assert done.status == 0, done.err
    return folder


@pytest.fixture
def archived(made: Path, tmp_path: Path) -> Path:
    """An archive of one's own."""
    shutil.copytree(made, tmp_path / "archive")
    return tmp_path / "archive"


def _largest(folder: Path) -> Path:
    return max(folder.rglob("*.parquet"), key=lambda path: path.stat().st_size)


def _problems(sinkside: Sinkside, house: Path, folder: Path) -> list[str]:
    """What the check names; its exit status says the same."""
    done = sinkside("archive-traces", "--workspace", house, "--to", folder, "--check")
    named = [line.removeprefix("■ ") for line in done.out.splitlines() if line.startswith("■ ")]
    assert done.status == (1 if named else 0), done.err
    return named


def test_every_cycle_of_the_house_is_read_back_as_it_was_parsed(traced: Path, made: Path) -> None:
    """Polars, with a reader of its own, against each recorder file read anew; no row is left over."""
    frame = pl.read_parquet(made / "**/*.parquet", use_pyarrow=False)
    rows = 0
    archive = open_archive(traced)
    with archive.unit(writes=False) as unit:
        for row in unit.rows.all(KIND, ["valley", "harbour"], limit=1000):
            trace = trace_in(unit, opened_cycle(unit, row))
            own = frame.filter(pl.col("cycle") == row.id)
            assert own["value"].to_list() == [v for c in trace.channels for v in c.values.tolist()]
            assert own["elapsed_s"].to_list() == trace.times_s.tolist() * len(trace.channels)
            assert set(own["program"]) == {row.fields["program"]}
            rows += own.height
    archive.close()
    assert rows == frame.height > 100_000


def test_a_second_run_changes_nothing(traced: Path, archived: Path, sinkside: Sinkside) -> None:
    """Every file is as it was, to the byte and the moment."""
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in archived.rglob("*.*")}
    done = sinkside("archive-traces", "--workspace", traced, "--to", archived)
    assert done.status == 0
    assert "0 files written" in done.out
    assert {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in archived.rglob("*.*")} == before
    assert _problems(sinkside, traced, archived) == []


def test_a_killed_run_leaves_no_half_file_and_is_begun_again(
    traced: Path, made: Path, tmp_path: Path
) -> None:
    """Killed while a file is half written, and again with one done: what has its name is whole."""
    folder = tmp_path / "archive"
    whole = {path.relative_to(made): path.read_bytes() for path in made.rglob("*.parquet")}
    halves = 0
    for wanted in (0, 1):
        halves += _kill_when(traced, folder, files=wanted)
        found = {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*.parquet")}
        assert wanted <= len(found) < len(whole)
        assert found.items() <= whole.items()
    assert halves == 2
    assert _run(traced, folder).wait(120) == 0
    assert {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*.parquet")} == whole
    assert list(folder.rglob("*.part")) == []


def _run(house: Path, folder: Path) -> subprocess.Popen[bytes]:
    command = ["-m", "sinkside", "archive-traces", "--workspace", house, "--to", folder]
    return subprocess.Popen(
        [sys.executable, *map(str, command)],
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def _kill_when(house: Path, folder: Path, *, files: int) -> int:
    """Kill a run as soon as so many files are done and another is begun; how many halves lie about then."""
    run = _run(house, folder)
    deadline = time.monotonic() + 120
    while time.monotonic() < deadline and run.poll() is None:
        done = len(list(folder.rglob("*.parquet")))
        begun = [path for path in folder.rglob("*.parquet.part") if path.stat().st_size > 0]
        if done >= files and begun:
            run.send_signal(signal.SIGKILL)
            break
        time.sleep(0.002)
    run.wait(60)
    return len(list(folder.rglob("*.parquet.part")))


def test_a_byte_that_is_altered_is_named(traced: Path, archived: Path, sinkside: Sinkside) -> None:
    """And a file that is gone, and one that nobody wrote; archiving again mends what can be mended."""
    path = _largest(archived)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    other = next(one for one in sorted(archived.rglob("*.parquet")) if one != path)
    other.unlink()
    (path.parent / "2019-01.parquet").write_bytes(b"PAR1")
    told = " ".join(_problems(sinkside, traced, archived))
    assert f"{path.name} is not the file that was written" in told
    assert f"the file {other.name} is missing" in told
    assert "2019-01.parquet: nothing beside it says what it is" in told
    (path.parent / "2019-01.parquet").unlink()
    assert sinkside("archive-traces", "--workspace", traced, "--to", archived).status == 0
    assert _problems(sinkside, traced, archived) == []


def _forge(path: Path, **changes: Any) -> None:
    """Alter what stands beside a file."""
    beside = path.with_suffix(".json")
    beside.write_text(json.dumps({**json.loads(beside.read_text("utf-8")), **changes}), encoding="utf-8")


def test_a_forged_sample_is_named_though_the_digest_fits(
    traced: Path, archived: Path, sinkside: Sinkside
) -> None:
    """A reading cooled by a tenth of a kelvin, with the new digest beside: the evidence says no."""
    path = _largest(archived)
    file = pq.ParquetFile(path)
    groups = [file.read_row_group(place) for place in range(file.num_row_groups)]
    values = groups[3]["value"].to_pylist()
    values[100] -= 0.1
    column = groups[3].schema.get_field_index("value")
    groups[3] = groups[3].set_column(column, groups[3].schema.field(column), pa.array(values))
    cycle = pc.unique(groups[3]["cycle"]).to_pylist()[0]
    with pq.ParquetWriter(path, file.schema_arrow) as writer:
        for group in groups:
            writer.write_table(group, row_group_size=group.num_rows)
    _forge(path, sha256=hashlib.sha256(path.read_bytes()).hexdigest())
    (told,) = _problems(sinkside, traced, archived)
    assert told.endswith(f"{cycle}: its samples are not those of the recorder file")


def test_what_the_record_book_says_otherwise_is_named(
    traced: Path, archived: Path, sinkside: Sinkside
) -> None:
    """Another recorder file, an unknown cycle, a head that was never in the chain."""
    path = _largest(archived)
    said = json.loads(path.with_suffix(".json").read_text("utf-8"))
    cycles = said["cycles"]
    cycles[0]["file"] = cycles[1]["file"]
    cycles[2]["cycle"] = "c-0000000000000000"
    head = said["head"]
    _forge(path, cycles=cycles, head=head[:-1] + ("A" if head[-1] != "A" else "B"))
    told = " ".join(_problems(sinkside, traced, archived))
    assert "by the record book it came from another recorder file" in told
    assert "c-0000000000000000: the record book knows no such cycle" in told
    assert "is not in the chain of this house" in told


def test_a_recorder_file_that_was_altered_is_named(
    traced: Path, archived: Path, sinkside: Sinkside, tmp_path: Path
) -> None:
    """By the check, and by a run that would archive it: its rows are left out and the exit status is 1."""
    house = tmp_path / "house"
    shutil.copytree(traced, house)
    said = json.loads(_largest(archived).with_suffix(".json").read_text("utf-8"))
    digest = said["cycles"][0]["file"]
    file = house / "files" / digest[:2] / digest
    file.write_bytes(file.read_bytes() + b"\n")
    assert any("this stored file was altered" in told for told in _problems(sinkside, house, archived))
    done = sinkside("archive-traces", "--workspace", house, "--to", tmp_path / "anew")
    assert done.status == 1
    assert f"{said['cycles'][0]['cycle']}: {digest}: this stored file was altered" in done.out


def test_what_cannot_be_is_said_in_a_sentence(traced: Path, sinkside: Sinkside, tmp_path: Path) -> None:
    """A month that is none, an archive that is not there, a folder that is a file."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for arguments, sentence in (
        (("--to", tmp_path / "new", "--until", "June"), "June: expected a month, such as 2026-10"),
        (("--to", tmp_path / "new", "--check"), "there is no archive of traces here"),
        (("--to", tmp_path / "file"), "it cannot be written"),
    ):
        done = sinkside("archive-traces", "--workspace", traced, *arguments)
        assert done.status == 2
        assert sentence in done.err
        assert "Traceback" not in done.err
    assert wiring.is_workspace(traced)
