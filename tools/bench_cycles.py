"""Judging many cycles, measured beside plain things in the same run; the third part of `make bench`.

Each figure stands beside reading the same bytes with polars, and beside the bare integral of the lethality
with numpy. Processor time is given besides the time on the clock, as a busy machine stretches only the
latter.
"""

from __future__ import annotations

import os
import resource
import subprocess
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import polars as pl

from bench import ROOT, TRACES, Row, side_by_side
from sinkside import documents
from sinkside.cycles import Recording, judge_file, simulate
from sinkside.cycles.simulate.dialects import DIALECTS
from sinkside.cycles.simulate.writing import as_written
from sinkside.department import Drying, Program
from sinkside.quantities import Quantity

ROWS = 2_400
FILES = 1_200
DIFFERENT = 40
CYCLES = 20_000
CYCLES_A_PART = 1_000
PARTS_A_MACHINE = 2
LONG_DRYING_MIN = 24.0
PROGRAM = TRACES / "132-4.yaml"

#: Delimited dialects, with what each calls three probes more, so that a file has six readings and the time.
WIDE = {
    "si": "Load {} [°C]",
    "us": "Load Temp {} (°F)",
    "eu": "T Ladung {} [°C]",
    "fr": "Température charge {} (°C)",
    "kelvin and torr": "T_load{} / K",
    "Spanish, groups of thousands": "Temperatura carga {} (°C)",
    "days of a spreadsheet": "Load {} [°C]",
    "quoted, decimal comma": "Load {} [°C]",
}

#: The bars, in seconds, files a second and bytes.
SECONDS_A_FILE = 0.012
FILES_A_SECOND = 120
SECONDS_A_SET = 25
BYTES_A_SET = 2 * 2**30


@dataclass(frozen=True)
class Used:
    """What a run of processes took: seconds on the clock, of processor, and bytes at its peak."""

    seconds: float
    processor_s: float
    peak_bytes: int


def recording_of(program: Program, seed: int) -> Recording:
    """A simulated cycle of five probes and 2,400 samples; its drying is as long as that takes."""
    longer = program.model_copy(update={"drying": Drying(time=Quantity(LONG_DRYING_MIN, "min"))})
    made = simulate(longer, seed=seed)
    assert made.pressure_kpa is not None
    at = np.minimum(np.arange(ROWS), made.times_s.size - 1)
    noise = np.random.default_rng(seed).normal(0.0, 0.02, (5, ROWS))
    return replace(
        made,
        times_s=made.times_s[0] + np.arange(float(ROWS)),
        probes_c=made.probes_c[[0, 1, 0, 1, 0]][:, at] - 0.05 * np.arange(5)[:, None] + noise,
        pressure_kpa=made.pressure_kpa[at] + noise[0],
    )


def wide_files(program: Program, folder: Path, count: int) -> list[tuple[str, Path]]:
    """Files of six readings in the delimited dialects, one after the other; forty of them differ."""
    folder.mkdir()
    written: dict[int, bytes] = {}
    made = []
    for number in range(count):
        name = list(WIDE)[number % len(WIDE)]
        if number < DIFFERENT:
            more = tuple(WIDE[name].format(load) for load in (1, 2, 3))
            way = DIALECTS[name]
            way = replace(way, steam_probes=(*way.steam_probes, *more))  # type: ignore[arg-type]
            written[number] = as_written(recording_of(program, number), way)
        path = folder / f"{number}.csv"
        path.write_bytes(written[number % DIFFERENT])
        made.append((name, path))
    return made


def each_dialect(program: Program, folder: Path) -> Iterator[str]:
    """Reading and judging a file of 2,400 rows, warm, in the delimited dialects and then in every one."""
    for name, path in wide_files(program, folder / "wide", len(WIDE)):
        yield str(_warm(f"2,400 × 6, {name}", path, program, runs=31))
    slowest: Row | None = None
    above = []
    for number, (name, way) in enumerate(DIALECTS.items()):
        path = folder / f"every-{number}.txt"
        path.write_bytes(as_written(recording_of(program, number), way))
        row = _warm(f"  slowest of {len(DIALECTS)}: {name}", path, program, runs=7)
        slowest = row if slowest is None or row.seconds > slowest.seconds else slowest
        if row.seconds > SECONDS_A_FILE:
            above.append(name)
    yield str(slowest)
    yield f"  dialects above the bar: {', '.join(above) or 'none'}"


def _warm(what: str, path: Path, program: Program, *, runs: int) -> Row:
    seconds, beside = side_by_side(lambda: judge_file(path, program), lambda: _plainly_read(path), runs=runs)
    return Row(what, seconds, "polars reading", beside, SECONDS_A_FILE)


def _plainly_read(path: Path) -> pl.DataFrame:
    """The file's lines as columns of text, as far as polars alone can."""
    if path.read_bytes().startswith(b"PAR1"):
        return pl.read_parquet(path)
    return pl.read_csv(
        path, separator=";", has_header=False, encoding="utf8-lossy", quote_char=None, infer_schema=False,
        truncate_ragged_lines=True,
    )  # fmt: skip


def many_files(program: Program, folder: Path) -> Iterator[str]:
    """A folder of files in mixed dialects, judged by the command with every processor."""
    files = [path for _, path in wide_files(program, folder / "many", FILES)]
    used = judged(folder / "many", folder / "files.parquet")
    rate = FILES / used.seconds
    word = "within" if rate >= FILES_A_SECOND else "BELOW"
    yield (
        f"{FILES:,} files of {ROWS:,} × 6, mixed dialects: {rate:.0f} files/s on {os.cpu_count()} processors "
        f"({used.seconds:.1f} s; {used.processor_s / FILES * 1000:.1f} ms of processor a file), "
        f"{word} the bar of {FILES_A_SECOND}"
    )
    yield from beside(files, _plainly_read, used)


def data_set(program: Program, folder: Path) -> Iterator[str]:
    """Twenty thousand cycles in a Parquet data set in parts, judged by the command with every processor."""
    parts = list(written_set(program, folder / "set"))
    used = judged(folder / "set", folder / "set.parquet")
    word = "within" if used.seconds <= SECONDS_A_SET else "ABOVE"
    small = "within" if used.peak_bytes <= BYTES_A_SET else "ABOVE"
    yield (
        f"{CYCLES:,} cycles of {ROWS:,} × 4 from Parquet: {used.seconds:.1f} s, {word} the bar of "
        f"{SECONDS_A_SET} s "
        f"({used.processor_s:.1f} s of processor, {used.processor_s / CYCLES * 1000:.2f} ms a cycle); "
        f"{used.peak_bytes / 2**20:.0f} MiB at the peak, {small} {BYTES_A_SET / 2**20:.0f}"
    )
    yield from beside(parts, pl.read_parquet, used)


def written_set(program: Program, folder: Path) -> Iterator[Path]:
    """Cycles with four readings, in a folder for each machine; two hundred differ, and all in their noise."""
    base = [recording_of(program, seed) for seed in range(200)]
    random = np.random.default_rng(0)
    heads = ("T1 [°C]", "T2 [°C]", "T3 [°C]", "p abs [kPa]")
    for number in range(CYCLES // CYCLES_A_PART):
        place = folder / f"machine=S{number // PARTS_A_MACHINE + 1}"
        place.mkdir(parents=True, exist_ok=True)
        chosen = [base[index] for index in random.integers(len(base), size=CYCLES_A_PART)]
        readings = [np.vstack([one.probes_c[:3], one.pressure_kpa]) for one in chosen]
        table = np.concatenate(readings, axis=1)
        table = np.round(table + random.normal(0.0, 0.02, table.shape), 2)
        first = (number % PARTS_A_MACHINE) * CYCLES_A_PART
        frame = pl.DataFrame(
            {
                "cycle_id": np.repeat(np.arange(first, first + CYCLES_A_PART), ROWS),
                "time_s": np.tile(np.arange(float(ROWS)), CYCLES_A_PART),
                **dict(zip(heads, table, strict=True)),
            }
        )
        path = place / f"part-{number % PARTS_A_MACHINE}.parquet"
        frame.write_parquet(path)
        yield path


def beside(paths: Sequence[Path], read: Callable[[Path], pl.DataFrame], used: Used) -> Iterator[str]:
    """Reading the same files with polars, and the bare integral over as many samples, in one process."""
    start = time.process_time()
    rows = sum(read(path).height for path in paths)
    reading = time.process_time() - start
    temperatures = 120.0 + 15.0 * np.random.default_rng(0).random(ROWS)
    times = np.arange(float(ROWS))
    start = time.process_time()
    for _ in range(max(1, rows // ROWS)):
        np.trapezoid(10.0 ** ((temperatures - 121.1) / 10.0), times)
    integral = time.process_time() - start
    yield (
        f"  beside: polars reading {reading:.1f} s of processor (ours {used.processor_s / reading:.1f} ×); "
        f"the bare integral {integral:.1f} s (ours {used.processor_s / integral:.1f} ×)"
    )


def judged(place: Path, out: Path) -> Used:
    """A run of the command over a folder, with all its processes."""
    words = [
        str(ROOT / ".venv/bin/sinkside"),
        "judge",
        str(place),
        "--program",
        str(PROGRAM),
        "--out",
        str(out),
    ]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    run = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    peak = _peak_of(run)
    seconds = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert run.returncode in {0, 1}, run.returncode
    processor_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Used(seconds, processor_s, peak)


def _peak_of(run: subprocess.Popen[bytes]) -> int:
    """The most bytes that a process and all below it held at once, looked at ten times a second."""
    most = [0]
    done = threading.Event()

    def look() -> None:
        while not done.wait(0.1):
            most[0] = max(most[0], sum(_resident(process) for process in _family(run.pid)))

    watcher = threading.Thread(target=look)
    watcher.start()
    run.wait()
    done.set()
    watcher.join()
    return most[0]


def _family(process: int) -> list[int]:
    try:
        tasks = list(Path(f"/proc/{process}/task").iterdir())
        children = [int(word) for task in tasks for word in (task / "children").read_text().split()]
    except OSError:
        return [process]
    return [process, *(each for child in children for each in _family(child))]


def _resident(process: int) -> int:
    try:
        return int(Path(f"/proc/{process}/statm").read_text().split()[1]) * resource.getpagesize()
    except OSError:
        return 0


def main() -> None:
    """Print every figure."""
    program = documents.load(Program, PROGRAM)
    with tempfile.TemporaryDirectory() as name:
        for lines in (each_dialect, many_files, data_set):
            for line in lines(program, Path(name)):
                print(line, flush=True)


if __name__ == "__main__":
    main()
